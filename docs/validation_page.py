"""The page and the picture of validation.py."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import bathkin as bk
import numpy as np
from bathkin.plots.picture import BLUE, GREY, INK, Picture, headline, label, named, plain_axes
from validation import SIGNS, LeftOut, Outcome, score

TREND = (*SIGNS, "peak")
INTRODUCTION = """\
The built-in recipes against published rates, compositions, energies and trends. Each row is a run
of the library; `shared/reference/published_rates.csv` has the settings of each. Mostly abstracts
were read. The rate parameters of the nickel baths are invented, for no credible rate equation of
acid nickel is printed: that a row comes out right from which a recipe was made proves nothing. Such
rows stand apart, and the score does not count them. Mind that a trend nobody fitted may be common
practice too: heat, pH and hypophosphite speed any such recipe. Of whole lives one is published:
a bath kept free of phosphite and sulfate holds its rate to 30 turnovers
(`tests/rust/life/ageing.rs`)."""
LEFT_OUT = """\
Two handbook baths are targets of `nickel-acid`. Here `shared/reference/nickel_laws.py` fitted it
once without each of them; um/h."""
ENERGIES = """\
kJ/mol between the ends of each card's range of temperature; within 5 is wanted. Twice the rate per
10 degC, the rule of the shop, is 74 kJ/mol near 85 degC: printed here, not aimed at."""


def table(head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> str:
    """A table in Markdown."""
    lines = [head, tuple("---" for _ in head), *rows]
    return "\n".join("| " + " | ".join(cells).replace("\n", " ") + " |" for cells in lines)


def span_of(row: Any) -> str:
    """The published value or range with its unit."""
    if math.isnan(row.low):
        return ""
    value = f"{row.low:.4g}" if row.low == row.high else f"{row.low:.4g}-{row.high:.4g}"
    return f"{value} {row.unit}"


def mark(right: bool | None) -> str:
    """A verdict in a word."""
    return "no target" if right is None else ("right" if right else "**wrong**")


def target_of(row: Any) -> str:
    """What is wanted of a value."""
    if row.check == "shown":
        return ""
    if row.check == "ratio":
        return f"within {100 * row.tolerance:g} %"
    if row.check == "corner":
        return f"within a factor {row.tolerance:g} of the middle"
    return f"within {row.tolerance:g} {row.unit}"


def values_table(found: list[Outcome]) -> str:
    """Rates, compositions, energies."""
    rows = []
    for one in found:
        row = one.row
        computed = one.trouble or f"{one.computed:.4g} {row.unit}"
        ratio = "" if one.trouble else f"{one.against:.2f}"
        published = (row.id, f"{row.bath}: {row.claim}", span_of(row))
        rows.append((*published, one.recipe, computed, ratio, target_of(row), mark(one.right)))
    head = ("row", "published", "value", "recipe", "computed", "ratio", "wanted", "")
    return table(head, rows)


def signs_table(found: list[Outcome]) -> str:
    """Trends."""
    rows = []
    for one in found:
        row = one.row
        wanted = f"peak at {span_of(row)}" if row.check == "peak" else row.check
        computed = f"peak at {one.computed:.4g}"
        if row.check in SIGNS:
            # What is left of rounding in two equal answers is no change.
            moved = abs(one.against) > 1e-6
            computed = f"{100.0 * one.against:+.2g} %" if moved else "no change"
        subject = named(row.quantity)[0]
        published = (row.id, f"{row.bath}: {row.claim}", f"{subject} {wanted}")
        rows.append((*published, one.recipe, one.trouble or computed, mark(one.right)))
    return table(("row", "published", "wanted", "recipe", "computed", ""), rows)


def energies_table() -> str:
    """What each card states and what its fresh bath shows."""
    rows = []
    for name in bk.recipes():
        energy = bk.load_recipe(name).apparent_activation_energy()
        if energy is not None and energy.stated_kj_mol is not None:
            apart = energy.as_run_kj_mol - energy.stated_kj_mol
            numbers = (f"{energy.stated_kj_mol:g}", f"{energy.as_run_kj_mol:.1f}", f"{apart:+.1f}")
            rows.append((name, f"{energy.low_c:g}-{energy.high_c:g}", *numbers, energy.held))
    return table(("recipe", "degC", "stated", "shown", "apart", "held"), rows)


def left_out_table(found: list[LeftOut]) -> str:
    """What leaving a bath out of the fit does to it."""
    rows = []
    for one in found:
        rates = (one.wanted_um_h, one.with_it_um_h, one.without_it_um_h)
        ratio = f"{one.without_it_um_h / one.wanted_um_h:.2f}"
        rows.append((one.row, *(f"{rate:.3g}" for rate in rates), ratio))
    head = ("row", "published, middle", "fitted to all", "fitted without it", "ratio without it")
    return table(head, rows)


def sources_table(found: list[Outcome]) -> str:
    """Where the rows are from, those of one publication together."""
    rows: dict[tuple[str, ...], list[str]] = {}
    for one in found:
        row = one.row
        ids = rows.setdefault((row.source, row.how_read, row.confidence, row.note), [])
        if row.id not in ids:
            ids.append(row.id)
    listed = ((", ".join(ids), *about) for about, ids in rows.items())
    return table(("rows", "source", "read in", "confidence", "note"), listed)


def page(found: list[Outcome], left_out: list[LeftOut]) -> str:
    """The whole page."""
    parts = [
        "# How true it is",
        "<!-- Written by docs/validation.py (make validation): do not edit. -->",
        INTRODUCTION,
        f"**{score(found)}**",
        "![published rates and phosphorus against computed ones](validation.png)",
    ]
    for title, used in (("Not used", "no"), ("`used`: regression tests", "yes")):
        parts.append(f"## {title}")
        chosen = [one for one in found if one.row.used == used]
        trends = [one for one in chosen if one.row.check in TREND]
        parts += ["### Trends", signs_table(trends)]
        parts += ["### Values", values_table([one for one in chosen if one not in trends])]
    parts += ["## Left out of the fit", LEFT_OUT, left_out_table(left_out)]
    parts += ["## Energies the cards state", ENERGIES, energies_table()]
    parts += ["## Sources", sources_table(found)]
    return "\n\n".join(parts) + "\n"


def picture(found: list[Outcome]) -> Picture:
    """Published against computed: rates with 20 %, phosphorus with 1 wt%."""
    figure = Picture(figsize=(9.6, 4.8), layout="constrained")
    rates, phosphorus = figure.subplots(1, 2)
    for axes, quantity in ((rates, "deposition_um_h"), (phosphorus, "phosphorus_wt_pct")):
        plain_axes(axes)
        values = [one for one in found if one.row.quantity == quantity and not one.trouble]
        points = [one for one in values if one.row.check in ("ratio", "within", "shown")]
        _draw(axes, points)
        axes.set_xlabel(f"published {label(quantity)}")
        axes.set_ylabel(f"computed {label(quantity)}")
        most = max(value for one in points for value in (one.row.high, one.computed))
        least = min(value for one in points for value in (one.row.low, one.computed))
        if axes is rates:
            ends = np.array([0.7 * least, 1.4 * most])
            axes.set(xscale="log", yscale="log")
            _band(axes, ends, ends / 1.2, ends * 1.2, "within 20 %")
            for form in (axes.xaxis, axes.yaxis):
                form.set_major_formatter("{x:g}")
                form.set_minor_formatter("")
        else:
            ends = np.array([0.0, 1.1 * most])
            _band(axes, ends, ends - 1.0, ends + 1.0, "within 1 wt%")
        axes.set(xlim=ends, ylim=ends)
    headline(figure, "published against computed; numbers are rows of the page")
    return figure


def _band(axes: Any, ends: Any, low: Any, high: Any, name: str) -> None:
    axes.plot(ends, ends, color=GREY, linewidth=1.0)
    axes.fill_between(ends, low, high, color=GREY, alpha=0.15, lw=0, label=name)
    axes.legend(frameon=False, fontsize=8, loc="upper left")


def _draw(axes: Any, points: list[Outcome]) -> None:
    for used, colour, face, name in (
        ("no", BLUE, BLUE, "not used"),
        ("yes", GREY, "white", "a recipe was made from it"),
    ):
        chosen = [one for one in points if one.row.used == used]
        low, high = (np.array([getattr(one.row, end) for one in chosen]) for end in ("low", "high"))
        style = {"fmt": "o", "color": colour, "markerfacecolor": face, "markersize": 5.5}
        computed = [one.computed for one in chosen]
        half = 0.5 * (high - low)
        axes.errorbar(low + half, computed, xerr=half, elinewidth=1.0, label=name, **style)
        for one, at in zip(chosen, low + half, strict=True):
            place = {"textcoords": "offset points", "xytext": (5, -9), "fontsize": 7}
            axes.annotate(one.row.id, (at, one.computed), color=INK, **place)
