"""Pictures. They belong to no window: save them, or let a notebook show them."""

from __future__ import annotations

import io
import os
import textwrap
from pathlib import Path
from typing import Any

from matplotlib.figure import Figure

from bathkin.core import files
from bathkin.errors import RecipeError

INK, BLUE, RED, GREEN, GREY = "#222222", "#1f5a96", "#b03a2e", "#3b7d4f", "#6b6b6b"
STYLE: dict[str, Any] = {"linewidth": 1.6, "marker": "o", "markersize": 3.5}


class Picture(Figure):
    """A figure a notebook shows by itself."""

    def _repr_png_(self) -> bytes:
        return rendered(self, "png")


def rendered(figure: Figure, kind: str) -> bytes:
    """A figure as bytes of a picture format."""
    buffer = io.BytesIO()
    figure.savefig(buffer, format=kind, dpi=150)
    return buffer.getvalue()


def check_format(path: str | os.PathLike[str]) -> str:
    """The picture format that a path's ending names.

    Raises:
        RecipeError: When it names none.
    """
    known = sorted({"png", "pdf", "svg", "jpg", "tif", "eps"} & set(Figure().canvas.filetypes))
    kind = Path(path).suffix.lower().removeprefix(".")
    if kind not in known:
        raise RecipeError(f"{Path(path)}: expected a picture file that ends in {', '.join(known)}")
    return kind


def save(figure: Figure, path: str | os.PathLike[str]) -> None:
    """Writes a figure in the format its path's ending names.

    Raises:
        RecipeError: When the ending names no picture format.
        OSError: When the file cannot be written.
    """
    files.write(path, rendered(figure, check_format(path)))


def saved(figure: Figure, path: str | os.PathLike[str] | None) -> Figure:
    """The figure, after it was saved where a path is given.

    Raises:
        RecipeError: When the path's ending names no picture format.
        OSError: When the file cannot be written.
    """
    if path is not None:
        save(figure, path)
    return figure


def plain_axes(axes: Any) -> None:
    """Quiet axes: no box, a light grid."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.grid(True, color="#e4e4e4", linewidth=0.6)
    axes.set_axisbelow(True)
    axes.tick_params(colors=INK, labelsize=9)


def headline(figure: Figure, text: str) -> None:
    """What a picture shows, over its upper left corner."""
    figure.suptitle(text, fontsize=11, color=INK, x=0.01, ha="left")


def small_print(figure: Figure, notes: list[str], width: int = 110) -> None:
    """Notices at the foot of a picture, in lines of `width` characters."""
    if notes:
        text = textwrap.fill("; ".join(notes), width)
        figure.supxlabel(text, fontsize=7, color=GREY, x=0.01, ha="left")


_UNIT_TEXT = {
    "_mol_m2_s": "mol/(m² s)",
    "_l_m2_h": "L/(m² h)",
    "_kj_mol": "kJ/mol",
    "_dm2_l": "dm²/L",
    "_l_m2": "L/m²",
    "_mg_l": "mg/L",
    "_ml_l": "mL/L",
    "_mol_l": "mol/L",
    "_wt_pct": "wt%",
    "_ma_cm2": "mA/cm²",
    "_v_she": "V SHE",
    "_um_h": "µm/h",
    "_m_s": "m/s",
    "_g_l": "g/L",
    "_l_h": "L/h",
    "_um": "µm",
    "_pct": "%",
    "_m2": "m²",
    "_c": "°C",
    "_h": "h",
    "_l": "L",
}


def named(path: str) -> tuple[str, str]:
    """A path in words, and its unit; empty without one.

    Example:
        >>> from bathkin.plots.picture import named
        >>> named("make_up.lactic_acid_g_l"), named("deposition.order.nickel")
        (('lactic acid', 'g/L'), ('nickel order', ''))
        >>> named("cost_per_m2")
        ('cost per m²', '')
    """
    *tables, name = path.split(".")
    if tables == ["film"]:
        # Its names are the surface's: a thickness here is not the deposit's.
        name = f"film_{name}"
    # The unit of a table holds for all its names: deposition.reference_mol_l.nickel.
    for at, word in enumerate((name, *tables[:0:-1])):
        for ending, unit in _UNIT_TEXT.items():
            if word.endswith(ending):
                stem = word.removesuffix(ending)
                if stem.endswith("_per"):
                    # A cost per m²: the unit is that of the cost.
                    return f"{_spoken(stem)} {unit}", ""
                words = stem if at == 0 else f"{name}_{stem}"
                return _spoken(words), unit
    # Under a table of a section the last name alone says too little.
    return _spoken("_".join([name, *tables[:0:-1]])), ""


def _spoken(words: str) -> str:
    return "pH" if words == "ph" else words.replace("_", " ").replace("ph ", "pH ")


def label(path: str) -> str:
    """A path as an axis label.

    Example:
        >>> from bathkin.plots.picture import label
        >>> label("operation.temperature_c")
        'temperature, °C'
    """
    return ", ".join(filter(None, named(path)))
