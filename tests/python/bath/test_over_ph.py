"""A bath at another pH: shapes, names, messages, files, round trips."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import numpy as np
import pandas as pd
import pytest
from bathkin.plots.picture import Picture
from support import Outcome

Bathkin = Callable[..., Outcome]
# These curves run past the pH at which nickel hydroxide falls; that it is said is tested below.
OVERSATURATED = "ignore:solids.nickel:bathkin.BathkinWarning"


@pytest.fixture(scope="module")
def bath(recipe: bk.Recipe) -> bk.Bath:
    return recipe.make_up()


def test_distribution_passes_through_the_bath(bath: bk.Bath) -> None:
    over_ph = bath.distribution(ph=[3.0, bath.ph, 6.0])
    species, total = bath.species(), bath.totals()["nickel"]
    assert over_ph.component == "nickel"
    assert over_ph.total_mol_l == total
    assert over_ph.bath_ph == pytest.approx(bath.ph)
    for name, share in over_ph.fractions.items():
        assert share[1] * total == pytest.approx(species[name], rel=1e-6, abs=1e-12)
    assert sum(over_ph.fractions.values()) == pytest.approx(np.ones(3))
    assert over_ph.free_metal_mol_l[1] == pytest.approx(species["nickel"])
    assert over_ph.ionic_strength_mol_l[1] == pytest.approx(bath.ionic_strength_mol_l)
    assert over_ph.buffer_capacity_mol_l[1] == pytest.approx(bath.buffer_capacity_mol_l)
    assert over_ph.base_mol_l[0] < 0.0 < over_ph.base_mol_l[2]
    assert over_ph.base_mol_l[1] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.filterwarnings(OVERSATURATED)
def test_ranges_values_and_temperatures(bath: bk.Bath) -> None:
    assert bath.distribution().ph.shape == (61,)
    assert bath.distribution(ph=(4, 4.5)).ph.tolist() == [4.0, 4.1, 4.2, 4.3, 4.4, 4.5]
    assert bath.distribution(ph=[4, 5]).ph.tolist() == [4.0, 5.0]
    assert bath.distribution(ph=5).ph.tolist() == [5.0]
    assert bath.distribution(ph=np.linspace(3, 6, 8)[::2]).ph.shape == (4,)
    cold = bath.distribution(ph=[4.8], temperature_c="77 degF")
    assert cold.temperature_c == 25.0
    assert cold.bath_ph == pytest.approx(bath.ph_25c)
    assert cold == bath.distribution(ph=[4.8], temperature_c=25)
    assert cold != bath.distribution(ph=[4.8])


def test_distribution_table(bath: bk.Bath, tmp_path: Path) -> None:
    lactate = bath.distribution("lactate", ph=(2, 6))
    table = lactate.table()
    assert isinstance(table, pd.DataFrame)
    assert table.columns[0] == "ph"
    assert {"lactate", "lactic_acid", "nickel_lactate_2", "base_mol_l"} <= set(table.columns)
    assert list(table.columns[-2:]) == [
        "saturation_index_nickel_phosphite",
        "saturation_index_nickel_hydroxide",
    ]
    assert table["lactic_acid"].is_monotonic_decreasing
    assert table.attrs["recipe"] == "nickel-acid"
    lactate.to_csv(tmp_path / "lactate.csv")
    again = pd.read_csv(tmp_path / "lactate.csv")
    assert list(again.columns) == list(table.columns)
    assert again["lactate"].to_numpy() == pytest.approx(table["lactate"].to_numpy(), rel=1e-8)
    with pytest.raises(ValueError, match="read-only"):
        lactate.ph[0] = 1.0


def test_saturation_along_the_curves(bath: bk.Bath) -> None:
    here = bath.distribution(ph=[bath.ph])
    own = bath.saturation_index()
    for solid, indices in here.saturation_index.items():
        assert indices[0] == pytest.approx(own[solid], abs=1e-9)
    assert here.onsets == []
    assert not any(flag.where.startswith("solids.") for flag in here.flags)
    assert here.near_saturation() == []
    assert bath.distribution(ph=[6.2]).near_saturation() == ["nickel_hydroxide"]
    precipitation = bath.precipitation_ph("nickel_hydroxide")
    with pytest.warns(bk.BathkinWarning, match=r"nickel_hydroxide: from pH 6\.42 on oversaturated"):
        curve = bath.titration("sodium_hydroxide", to_ph=8)
    [onset] = curve.onsets
    assert onset.solid == "nickel_hydroxide"
    # The index is all but straight between points 0.1 pH apart.
    assert onset.ph == pytest.approx(precipitation, abs=2e-3)
    assert curve.saturation_index["nickel_hydroxide"][int(onset.point)] < 0.0
    assert curve.saturation_index["nickel_hydroxide"][int(onset.point) + 1] > 0.0
    assert onset.largest_index == curve.table()["saturation_index_nickel_hydroxide"].max()


def test_a_reagent_brings_its_solids(bath: bk.Bath) -> None:
    assert "nickel_carbonate" not in bath.saturation_index()
    curve = bath.titration("sodium_carbonate_anhydrous", amounts_g_l=[0.0, 1.0])
    assert curve.saturation_index["nickel_carbonate"][1] > -6.0


@pytest.mark.filterwarnings(OVERSATURATED)
def test_pictures_mark_where_a_solid_is_saturated(bath: bk.Bath) -> None:
    for figure in (
        bath.distribution(ph=(2, 8)).plot(),
        bath.titration("sodium_hydroxide", to_ph=9).plot(),
    ):
        assert "nickel hydroxide, pH 6.42" in [text.get_text() for text in figure.axes[0].texts]
        assert "supersaturated" in figure.get_supxlabel()
    clear = bath.distribution(ph=(2, 6)).plot()
    assert not any("hydroxide" in text.get_text() for text in clear.axes[0].texts)
    assert "supersaturated" not in clear.get_supxlabel()


def test_traces_are_in_the_table_and_not_in_the_picture(bath: bk.Bath, tmp_path: Path) -> None:
    over_ph = bath.distribution(ph=(2, 6.2))
    assert over_ph.fractions["nickel_hydroxide_3"].max() < 0.01
    assert "nickel_hydroxide_3" in over_ph.table()
    figure = over_ph.plot(tmp_path / "over-ph.png")
    assert isinstance(figure, Picture)
    assert (tmp_path / "over-ph.png").read_bytes().startswith(b"\x89PNG")
    axes = figure.axes[0]
    written = [text.get_text() for text in axes.texts]
    assert "free nickel" in written
    assert "the bath, pH 4.80" in written
    assert "nickel sulfate" in written
    assert not any("hydroxide" in text for text in written)
    assert axes.get_legend() is None
    # One curve for each notable species, and the vertical line.
    assert len(axes.lines) == len(over_ph.notable()) + 1
    assert sum(text in written for text in ("nickel lactate 1", "nickel lactate 2")) == 2


@pytest.mark.filterwarnings(OVERSATURATED)
def test_labels_do_not_overlap(bath: bk.Bath) -> None:
    from matplotlib.backends.backend_agg import FigureCanvasAgg

    old = {
        "make_up.phosphorous_acid_mol_l": 1.4,
        "make_up.sodium_carbonate_anhydrous_mol_l": 0.05,
    }
    for figure in (
        bath.distribution(ph=(0, 14)).plot(),
        bath.recipe.set(old).make_up().distribution(ph=(4, 8)).plot(),
    ):
        renderer = FigureCanvasAgg(figure).get_renderer()
        boxes = [text.get_window_extent(renderer) for text in figure.axes[0].texts]
        pairs = [(a, b) for at, a in enumerate(boxes) for b in boxes[at + 1 :]]
        assert len(boxes) > 6
        assert not any(a.overlaps(b) for a, b in pairs)


@pytest.mark.filterwarnings(OVERSATURATED)
@pytest.mark.parametrize("ph", [[4.0], (0, 14)])
def test_odd_pictures_are_drawn(bath: bk.Bath, ph: Any) -> None:
    for component in ("sodium", "orthophosphite", "nickel"):
        assert bath.distribution(component, ph=ph).plot().axes


@pytest.mark.filterwarnings(OVERSATURATED)
def test_titration(bath: bk.Bath, tmp_path: Path) -> None:
    curve = bath.titration("sodium_hydroxide", to_ph=9)
    assert curve.amount_g_l[0] == 0.0
    assert curve.ph[0] == pytest.approx(bath.ph)
    assert curve.ph[-1] == pytest.approx(9.0)
    assert (np.diff(curve.amount_g_l) > 0).all()
    assert curve.amount_g_l == pytest.approx(curve.amount_mol_l * 39.997, rel=1e-4)
    there = bath.titration("sodium_hydroxide", amounts_g_l=curve.amount_g_l)
    assert there.ph == pytest.approx(curve.ph, abs=1e-7)
    assert list(curve.table().columns[:3]) == ["amount_g_l", "amount_mol_l", "ph"]
    curve.to_csv(tmp_path / "curve.csv")
    curve.plot(tmp_path / "curve.svg")
    assert (tmp_path / "curve.csv").exists()
    assert (tmp_path / "curve.svg").read_text().startswith("<?xml")
    in_ounces = bath.titration("ammonia", amounts_g_l=["0 oz/gal", "0.1 oz/gal"])
    assert in_ounces.amount_g_l[1] == pytest.approx(0.748915, rel=1e-5)
    assert bath.titration("sulfuric_acid", amounts_g_l=(0, 10)).ph.shape == (61,)


def test_titration_says_what_it_left_out(bath: bk.Bath) -> None:
    with pytest.warns(bk.BathkinWarning, match=r"titration: 8 of 21 pHs are left out"):
        curve = bath.titration("sodium_hydroxide", to_ph=(4, 6))
    assert curve.ph.shape == (13,)
    assert "titration" in [flag.where for flag in curve.flags]


def test_amount_for_ph(bath: bk.Bath) -> None:
    amount = bath.amount_for_ph("ammonia", 5.2)
    assert isinstance(amount, bk.PhAdjustment)
    assert amount.reagent == "ammonia"
    assert amount.g_l == pytest.approx(17.031 * amount.mol_l, rel=1e-4)
    assert bath.titration("ammonia", amounts_g_l=[amount.g_l]).ph[0] == pytest.approx(5.2)
    assert bath.amount_for_ph("ammonia", "5.2") == amount
    assert bath.amount_for_ph("ammonia", bath.ph).g_l == 0.0
    cold = bath.amount_for_ph("ammonia", 5.2, temperature_c=25)
    assert cold.g_l != pytest.approx(amount.g_l, rel=1e-3)


def test_a_held_ph_stays(bath: bk.Bath) -> None:
    held = bath.at_ph(5.0)
    assert isinstance(held, bk.HeldSolution)
    assert set(held.to_dict()) == {
        "ph",
        "ph_scale",
        "temperature_c",
        "base_mol_l",
        "ionic_strength_mol_l",
        "free_metal_mol_l",
        "species",
    }
    assert held.ph == pytest.approx(5.0, abs=1e-9)
    assert held.ph_scale == "molal activity, hot (88 degC)"
    assert held.free_metal_mol_l == held.species["nickel"]
    assert set(held.species) == set(bath.species())
    before = bath.ph
    assert all(bath.at_ph(5.0) == held for _ in range(200))
    assert bath.ph == before
    assert bath.at_ph(5, "25 degC").ph_scale == "molal activity, of a sample (25 degC)"


def test_formation_curve(bath: bk.Bath) -> None:
    curve = bath.formation_curve("lactate", pl=[1.0, 2.0, 4.0])
    assert list(curve.columns) == [
        "pl",
        "mean_ligand_number",
        "ligand_mol_l",
        "free_metal_mol_l",
    ]
    assert curve["mean_ligand_number"].is_monotonic_decreasing
    species, total = bath.species(), bath.totals()["nickel"]
    own = -np.log10(species["lactate"])
    bound = species["nickel_lactate_1"] + 2 * species["nickel_lactate_2"]
    here = bath.formation_curve("lactate", pl=[own])
    assert here["mean_ligand_number"][0] == pytest.approx(bound / total, rel=1e-6)
    assert here["ligand_mol_l"][0] == pytest.approx(bath.totals()["lactate"], rel=1e-6)


def test_complexed_fraction(bath: bk.Bath) -> None:
    shares, species, totals = bath.complexed_fraction(), bath.species(), bath.totals()
    assert list(shares) == ["nickel", "lactate", "acetate", "sulfate"]
    assert shares["nickel"] == pytest.approx(1 - species["nickel"] / totals["nickel"])
    bound = species["nickel_lactate_1"] + 2 * species["nickel_lactate_2"]
    assert shares["lactate"] == pytest.approx(bound / totals["lactate"])


def test_curves_pickle_compare_and_show_themselves(bath: bk.Bath) -> None:
    over_ph = bath.distribution(ph=(3, 6))
    curve = bath.titration("ammonia", to_ph=6)
    for made in (over_ph, curve):
        again = pickle.loads(pickle.dumps(made))
        assert again == made
        assert again.table().equals(made.table())
        assert made.recipe == bath.recipe
        assert "<table>" in made._repr_html_()
    assert over_ph != curve
    assert over_ph != bath.distribution("lactate", ph=(3, 6))
    assert curve != bath.titration("sodium_hydroxide", to_ph=6)
    assert repr(over_ph).startswith("nickel of nickel-acid over pH\n  ph ")
    assert repr(curve).startswith("nickel-acid titrated with ammonia\n")


@pytest.mark.parametrize(
    ("ask", "error", "said"),
    [
        (lambda b: b.distribution("nikel"), bk.UnknownNameError, "did you mean nickel"),
        (lambda b: b.distribution("gold"), bk.UnknownNameError, "sulfate"),
        (lambda b: b.distribution(ph=[15]), bk.RecipeError, "a pH between 0 and 14"),
        (lambda b: b.distribution(ph=[]), bk.RecipeError, "at least one value"),
        (lambda b: b.distribution(ph=(4, 4)), bk.RecipeError, "two different numbers"),
        (lambda b: b.distribution(ph=5, temperature_c=120), bk.RecipeError, "between 0 and 100"),
        (lambda b: b.titration("ammonia"), bk.RecipeError, "either to_ph or amounts_g_l"),
        (lambda b: b.titration("lye", to_ph=9), bk.UnknownNameError, "no reagent is called 'lye'"),
        (lambda b: b.titration("ammonia", amounts_g_l=[-1]), bk.RecipeError, "zero or more"),
        (lambda b: b.titration("ammonia", to_ph=[4]), bk.RecipeError, "away from 4"),
        (
            lambda b: b.amount_for_ph("sodium_carbonate", 5),
            bk.RecipeError,
            "sodium_carbonate_anhydrous",
        ),
        (lambda b: b.amount_for_ph("ammonia", 4), bk.RecipeError, "it is at pH 4.80"),
        (lambda b: b.amount_for_ph("ammonia", 13), bk.RecipeError, "20 mol/L leave it at pH"),
        (lambda b: b.at_ph("5 mol/L"), bk.RecipeError, "a plain number"),
        (lambda b: b.formation_curve("lactat"), bk.UnknownNameError, "did you mean lactate"),
    ],
)
def test_refusals_name_what_was_expected(
    bath: bk.Bath, ask: Callable[[bk.Bath], object], error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said):
        ask(bath)


def test_command_over_ph(bathkin: Bathkin, tmp_path: Path) -> None:
    table, picture = tmp_path / "over.csv", tmp_path / "over.png"
    outcome = bathkin(
        *("solution", "nickel-acid", "--over-ph", "2:8"),
        *("--csv", str(table), "--plot", str(picture)),
    )
    assert outcome.code == 0
    assert max(map(len, outcome.out.splitlines())) <= 100
    rows = [line for line in outcome.out.splitlines() if line[:1].isdigit()]
    assert len(rows) == 13
    assert "every half pH of 61 points" in " ".join(outcome.out.split())
    assert "nickel hydroxide from pH 6.42" in " ".join(outcome.out.split())
    assert "solids.nickel_hydroxide: from pH 6.42 on" in " ".join(outcome.out.split())
    header = " ".join(line[-9:] for line in outcome.out.splitlines()[2:5])
    assert header.split() == ["SI", "nickel", "hydroxide"]
    assert pd.read_csv(table).shape[0] == 61
    assert picture.stat().st_size > 10_000


def test_command_over_ph_as_json(bathkin: Bathkin) -> None:
    read = bathkin(
        "solution", "nickel-acid", "--over-ph", "2:8:4", "--of", "lactate", "--json"
    ).document()
    assert read["command"] == "solution"
    assert {"version", "recipe", "flags", "cite", "cautions"} <= set(read)
    assert read["component"] == "lactate"
    assert read["over_ph"]["ph"] == [2.0, 4.0, 6.0, 8.0]
    assert len(read["fractions"]["lactic_acid"]) == 4
    assert read["bath_ph"] == pytest.approx(4.8)
    assert set(read["saturation_index"]) == {"nickel_phosphite", "nickel_hydroxide"}
    assert len(read["saturation_index"]["nickel_hydroxide"]) == 4
    assert 6.0 < read["saturated_from_ph"]["nickel_hydroxide"] < 6.5
    assert not any(name.startswith("saturation") for name in read["over_ph"])


def test_command_titrate(bathkin: Bathkin) -> None:
    arguments = ("solution", "nickel-acid", "--titrate", "ammonia", "--over-ph", "4.5,5,6")
    outcome = bathkin(*arguments)
    assert outcome.code == 0
    assert "1 of 3 pHs are left out" in " ".join(outcome.out.split())
    read = bathkin(*arguments, "--json").document()
    assert read["reagent"] == "ammonia"
    assert read["titration"]["ph"] == pytest.approx([5.0, 6.0])
    assert read["saturation_index"]["nickel_hydroxide"][1] < 0.0
    assert read["saturated_from_ph"] == {}
    assert set(read["titration"]) >= {"amount_g_l", "amount_mol_l", "buffer_capacity_mol_l"}


def test_command_to_ph(bathkin: Bathkin) -> None:
    outcome = bathkin("solution", "nickel-acid", "--to-ph", "5.2", "--with", "ammonia")
    assert outcome.code == 0
    assert "ammonia" in outcome.out
    assert "400 L" in outcome.out
    read = bathkin("solution", "nickel-acid", "--to-ph", "5.2", "--json").document()
    assert read["ph"] == 5.2
    assert read["ph_adjustment"]["reagent"] == "sodium_hydroxide"
    sample = bathkin(
        "solution", "nickel-acid", "--to-ph", "5.2", "--temperature-c", "77 degF", "--json"
    ).document()
    assert sample["temperature_c"] == 25.0
    assert sample["ph_adjustment"]["g_l"] != read["ph_adjustment"]["g_l"]


def test_command_solution_says_what_is_complexed(bathkin: Bathkin) -> None:
    assert "complexed nickel" in bathkin("solution", "nickel-acid").out
    read = bathkin("solution", "nickel-acid", "--json").document()
    free = read["species"]["nickel"] / read["totals"]["nickel"]
    assert read["complexed_fraction"]["nickel"] == pytest.approx(1 - free)


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--of", "nickel"), "--of needs --over-ph"),
        (("--csv", "x.csv"), "--csv needs --over-ph"),
        (("--titrate", "ammonia"), "--titrate needs --over-ph"),
        (("--with", "ammonia"), "--with needs --to-ph"),
        (("--temperature-c", "25"), "operation.temperature_c=VALUE"),
        (("--to-ph", "5", "--over-ph", "2:8"), "do not go together"),
        (("--over-ph", "2:8", "--of", "nickel", "--titrate", "ammonia"), "do not go together"),
        (("--over-ph", "2:8", "--precipitates-at", "nickel_hydroxide=6"), "do not go together"),
        (("--to-ph", "5", "--precipitates-at", "nickel_hydroxide=6"), "do not go together"),
        (
            ("--titrate", "ammonia", "--over-ph", "5:8", "--precipitates-at", "nickel_hydroxide=6"),
            "--precipitates-at and --over-ph do not go together",
        ),
        (("--over-ph", "2:8:x"), "a count from 2 to 10000"),
        (("--over-ph", "2:19"), "a pH between 0 and 14"),
        (("--over-ph", "2:8", "--plot", "x.doc"), "png"),
        (("--over-ph", "2:8", "--of", "nikel"), "did you mean nickel"),
        (("--to-ph", "4"), "it is at pH 4.80"),
        (("--to-ph", "5", "--with", "amonia"), "did you mean ammonia"),
    ],
)
def test_command_refusals(bathkin: Bathkin, options: tuple[str, ...], said: str) -> None:
    outcome = bathkin("solution", "nickel-acid", *options)
    assert outcome.code == 2
    assert said in outcome.err
    assert outcome.out == ""
