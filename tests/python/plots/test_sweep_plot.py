"""The picture of a sweep: its panels, lines, labels, and the reasons below."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import numpy as np
import pandas as pd
import pytest
from bathkin.plots.picture import label, rendered
from matplotlib.figure import Figure
from support import POWER_LAW, Outcome

Command = Callable[..., Outcome]
PH, CELSIUS = "operation.ph", "operation.temperature_c"
NICKEL = "make_up.nickel_sulfate_hexahydrate_g_l"
HYPOPHOSPHITE = "make_up.sodium_hypophosphite_monohydrate_g_l"
LACTIC = "make_up.lactic_acid_g_l"
NICKEL_PANELS = ["rate, µm/h", "phosphorus, wt%", "free nickel, mol/L"]

# The hump of thiourea and plate-out as in tests/rust/support/stabilized.rs; all invented.
STABILIZED = {
    "make_up.thiourea_mg_l": 1,
    "deposit.alloy_element": "P",
    "deposition.stabilizer.thiourea.gain": 0.2,
    "deposition.stabilizer.thiourea.trace_mg_l": 0.3,
    "deposition.stabilizer.thiourea.critical_mg_l": 4.5,
    "deposition.stabilizer.thiourea.steepness": 3.5,
    "deposition.stabilizer.thiourea.set_point_mg_l": 1,
    "decomposition.rate_mol_l_h": 5e-5,
    "decomposition.flag_above_pct": 5,
    "decomposition.activation_energy_kj_mol": 120,
    "decomposition.reference_temperature_c": 88,
    "decomposition.ph_order": 0.8,
    "decomposition.reference_ph": 4.8,
    "decomposition.suppression.thiourea.constant_mg_l": 0.25,
    "decomposition.suppression.thiourea.reference_mg_l": 1,
}
pytestmark = pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")


def below(figure: Figure) -> list[str]:
    """Lines of the text at the foot."""
    text: Any = figure._supxlabel
    return [line.strip() for line in text.get_text().splitlines()]


def quantities(figure: Figure) -> list[str]:
    return [axes.get_ylabel() for axes in figure.axes if axes.get_ylabel()]


@pytest.mark.parametrize(
    ("varied", "abscissa", "reason"),
    [
        ({PH: [4.4, 4.8, 5.2]}, "pH", "rate: pH rises from 4.40 to 5.20 (hydrogen ion order)"),
        ({CELSIUS: [80, 85, 90]}, "temperature, °C", "(activation energy): 1.840 times as fast"),
        ({NICKEL: [15, 27, 40]}, "nickel sulfate hexahydrate, g/L", "rate: nickel rises from"),
        (
            {HYPOPHOSPHITE: [15, 30, 45]},
            "sodium hypophosphite monohydrate, g/L",
            "phosphorus: hypophosphite rises from 0.1415 mol/L",
        ),
        ({LACTIC: [10, 27, 45]}, "lactic acid, g/L", "free nickel: the free part of the nickel"),
    ],
)
def test_nickel(varied: dict[str, list[float]], abscissa: str, reason: str) -> None:
    table = bk.sweep(POWER_LAW, varied)
    figure = table.plot()
    assert quantities(figure) == NICKEL_PANELS
    assert {axes.get_xlabel() for axes in figure.axes} == {abscissa}
    (line,) = figure.axes[0].lines
    assert list(line.get_ydata()) == list(table["deposition_um_h"])
    assert any(reason in text for text in below(figure))
    assert any("illustrative" in text for text in below(figure))
    assert figure._repr_png_().startswith(b"\x89PNG")


def test_copper_has_no_alloy_and_free_metal_in_decades() -> None:
    figure = bk.sweep("copper-tartrate", {PH: np.linspace(11, 14, 13)}).plot()
    assert quantities(figure) == ["rate, µm/h", "free copper, mol/L"]
    assert [axes.get_yscale() for axes in figure.axes] == ["linear", "log"]
    text = " ".join(below(figure))
    # The rate has its peak inside, and the reasons say what drives it up and what ends it.
    assert "rate to its peak at 12.75: methylene glycolate rises" in text
    assert "rate to the end: hydroxide rises" in text
    assert "(inhibition)" in text


def test_a_tiny_free_metal_fills_its_panel() -> None:
    paths = {CELSIUS: [50, 60, 70], "make_up.formaldehyde_g_l": [2, 4]}
    table = bk.sweep("copper-edta", paths)
    _, free = table.plot().axes
    assert free.get_ylim()[1] < 2.0 * table["free_metal_mol_l"].max()


def test_the_surface_behind_a_film() -> None:
    table = bk.sweep("copper-tartrate-quiet", {PH: [12.0, 12.4, 12.8]})
    figure = table.plot()
    assert quantities(figure)[-1] == "pH at the surface"
    bath, surface = figure.axes[-1].lines
    assert (bath.get_ydata() > surface.get_ydata()).all()


def test_a_stabilizer_and_what_plates_out() -> None:
    recipe = bk.load_recipe("nickel-acid").set(STABILIZED)
    table = bk.sweep(recipe, {"make_up.thiourea_mg_l": [0.2, 1, 3, 6], CELSIUS: [80, 90]})
    figure = table.plot()
    assert quantities(figure) == [*NICKEL_PANELS, "plate-out, % of the rate"]
    assert figure.axes[-1].get_xlabel() == "thiourea, mg/L"
    assert any("(stabilizer)" in text for text in below(figure))


def test_second_path_lines_third_path_panels() -> None:
    paths = {PH: [4.4, 4.8, 5.2], CELSIUS: [80, 85, 90, 95], LACTIC: [15, 27]}
    table = bk.sweep(POWER_LAW, paths)
    figure = table.plot()
    assert len(figure.axes) == 3 * 2
    assert {len(axes.lines) for axes in figure.axes} == {4}
    titles = [axes.get_title() for axes in figure.axes]
    assert titles[:2] == ["lactic acid 15 g/L", "lactic acid 27 g/L"]
    assert figure.axes[0].get_ylim() == figure.axes[1].get_ylim()
    (legend,) = figure.legends
    assert legend.get_title().get_text() == "temperature, °C"
    assert [text.get_text() for text in legend.get_texts()] == ["80", "85", "90", "95"]
    # Nothing of the legend lies on a panel.
    figure.draw_without_rendering()
    place = legend.get_window_extent()
    assert all(axes.get_window_extent().x1 < place.x0 for axes in figure.axes)
    headings = ["pH 4.4 to 5.2 at temperature 80 °C and lactic acid 15 g/L"]
    headings += ["temperature 80 to 95 °C at pH 4.4 and lactic acid 15 g/L"]
    assert set(headings) <= set(below(figure))
    # Phosphorus depends on pH alone here: four lines look like one, and the picture says so.
    assert figure.axes[2].get_title(loc="right") == "all lines are one"


def test_values_in_any_order_make_one_line() -> None:
    figure = bk.sweep("nickel-acid", {PH: [5.2, 4.4, 4.8]}).plot()
    (line,) = figure.axes[0].lines
    assert list(line.get_xdata()) == [4.4, 4.8, 5.2]


def test_many_lines_have_few_names() -> None:
    figure = bk.sweep("nickel-acid", {PH: [4.4, 5.2], CELSIUS: np.linspace(75, 95, 41)}).plot()
    names = [text.get_text() for text in figure.legends[0].get_texts()]
    assert len(figure.axes[0].lines) == 41
    assert len(names) == 10
    assert (names[0], names[-1]) == ("75", "95")


def test_reasons_stay_inside_the_picture() -> None:
    table = bk.sweep("nickel-mixed-potential", {PH: [4.2, 4.8, 5.4]})
    figure = table.plot()
    figure.draw_without_rendering()
    foot: Any = figure._supxlabel
    box = foot.get_window_extent()
    assert box.x0 >= 0
    assert box.x1 <= figure.bbox.x1
    assert box.y1 < min(axes.get_window_extent().y0 for axes in figure.axes)
    assert "the oxidation partial current gives" in " ".join(below(figure))


def test_refusals(tmp_path: Path) -> None:
    with pytest.raises(bk.RecipeError, match="0 paths were varied: expected one, two or 3"):
        bk.sweep("nickel-acid", {}).plot()
    with pytest.raises(bk.RecipeError, match=r"takes 9 values: expected at most 8"):
        bk.sweep("nickel-acid", {PH: [4.8], CELSIUS: [88], LACTIC: range(20, 29)}).plot()
    with pytest.raises(bk.RecipeError, match="expected a picture file"):
        bk.sweep("nickel-acid", {PH: [4.4, 4.8]}).plot(tmp_path / "ph.txt")


def test_it_is_a_table_too(tmp_path: Path) -> None:
    table = bk.sweep("nickel-acid", {PH: [4.4, 4.8, 5.2]})
    assert isinstance(table, pd.DataFrame)
    again = pickle.loads(pickle.dumps(table))
    assert rendered(again.plot(), "png") == rendered(table.plot(), "png")
    # What is taken from it is an ordinary table with the plot of pandas.
    assert type(table[table[PH] > 4.5]) is pd.DataFrame
    table.plot(tmp_path / "ph.svg")
    assert (tmp_path / "ph.svg").read_bytes().startswith(b"<?xml")


def test_labels() -> None:
    wanted = {
        "make_up.thiourea_mg_l": "thiourea, mg/L",
        "deposition.order.nickel": "nickel order",
        "deposition.reference_mol_l.nickel": "nickel reference, mol/L",
        "deposition.ph_order": "pH order",
        "tank.drag_out_l_m2": "drag out, L/m²",
        "film.thickness_um": "film thickness, µm",
    }
    assert {path: label(path) for path in wanted} == wanted


def test_command(bathkin: Command, tmp_path: Path) -> None:
    path = tmp_path / "ph.png"
    vary = ("--vary", "operation.ph=4.4:5.2:3", "--vary", "operation.temperature_c=80,90")
    outcome = bathkin("rate", "nickel-acid", *vary, "--plot", str(path))
    assert (outcome.code, outcome.err) == (0, "")
    assert outcome.out.endswith(f"\nwrote {path}\n")
    assert path.read_bytes().startswith(b"\x89PNG")
    outcome = bathkin("rate", "nickel-acid", *vary, "--plot", str(path), "--json")
    assert len(outcome.document()["points"]) == 6
    assert outcome.err == f"replaced {path}\n"
    outcome = bathkin("rate", "nickel-acid", "--plot", str(path))
    assert outcome.code == 2
    assert "--plot needs --vary, such as --vary operation.ph=4.4:5.2:5" in outcome.err
    outcome = bathkin("rate", "nickel-acid", *vary, "--plot", str(tmp_path / "ph.xyz"))
    assert outcome.code == 2
    assert "expected a picture file that ends in" in outcome.err
