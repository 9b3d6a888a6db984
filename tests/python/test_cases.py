"""Small questions asked in public, with computed answers: shared/reference/cases.json."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import numpy as np
import pytest
from bathkin.core.units import to_number
from support import ROOT, Outcome

Command = Callable[..., Outcome]


def case(name: str) -> dict[str, Any]:
    """A case by its name."""
    text = (ROOT / "shared" / "reference" / "cases.json").read_text(encoding="utf-8")
    (found,) = (case for case in json.loads(text) if case["id"] == name)
    return found


def quantity(pair: list[Any]) -> str:
    return f"{pair[0]} {pair[1]}"


def test_p12_a_rate_per_minute_is_read_and_doubted(bathkin: Command, tmp_path: Path) -> None:
    of = case("P12")
    rate = quantity(of["inputs"]["rate"])
    with pytest.warns(bk.EntryWarning) as said:
        um_h = to_number("limits.deposition_um_h", rate)
    assert um_h == pytest.approx(of["expect"]["um_per_h"], rel=1e-12)
    assert of["expect"]["warning"] in str(said[0].message)
    # The command says it beside its result, and computes.
    setting = f"limits.deposition_um_h={rate}"
    outcome = bathkin("show", "nickel-acid", "--set", setting)
    assert outcome.code == 0
    assert outcome.err.startswith(f"bathkin: warning: --set: limits.deposition_um_h = {rate}: 1200")
    assert of["expect"]["warning"] in outcome.err
    # So does a table of rates whose column says per minute.
    table = tmp_path / "rates.csv"
    table.write_text("temperature_c,rate_um_min\n70,10\n80,15\n90,20\n")
    outcome = bathkin("arrhenius", str(table))
    assert outcome.code == 0
    assert of["expect"]["warning"] in outcome.err
    table.write_text("temperature_c,rate_um_h\n70,10\n80,15\n90,20\n")
    assert bathkin("arrhenius", str(table)).err == ""


def test_p13_inches_per_hour_at_190_degrees(bathkin: Command, tmp_path: Path) -> None:
    of = case("P13")
    rate, heat = (quantity(of["inputs"][name]) for name in ("rate", "T"))
    assert to_number("limits.deposition_um_h", rate) == pytest.approx(of["expect"]["um_per_h"])
    bath = bk.load_recipe("nickel-acid").set("operation.temperature_c", heat)
    celsius = of["expect"]["T_C"]
    assert bath.get("operation.temperature_c") == pytest.approx(celsius, abs=5e-5)
    # Without its unit, and in degC, the reading is above the boiling point of an open bath.
    degrees = of["inputs"]["T"][0]
    for impossible in (degrees, str(degrees), f"{degrees} degC"):
        with pytest.raises(bk.RecipeError, match="expected a temperature between 0 and 100 degC"):
            bk.load_recipe("nickel-acid").set("operation.temperature_c", impossible).make_up()
    outcome = bathkin("rate", "nickel-acid", "--set", f"operation.temperature_c={degrees}")
    assert outcome.code == 2
    assert "190 degF would be 87.8 degC" in outcome.err
    # A table says in which unit its temperatures are, or is refused.
    table = tmp_path / "rates.csv"
    rows = "\n170,12.7\n180,18\n190,25.4\n"
    table.write_text(f"temperature,rate_um_h{rows}")
    outcome = bathkin("arrhenius", str(table))
    assert outcome.code == 2
    assert "temperature_c, temperature_k, temperature_f" in outcome.err
    table.write_text(f"temperature_f,rate_um_h{rows}")
    energy = bathkin("arrhenius", str(table), "--json").document()["estimates"][0]
    kelvin = [to_number("temperature_k", f"{value} degF") for value in (170, 180, 190)]
    fit = bk.fit_arrhenius(kelvin, [12.7, 18, 25.4])
    assert energy["value"] == pytest.approx(fit.activation_energy_kj_mol.value)


@pytest.mark.parametrize("slope", [case("F16")["inputs"]["slope"], "-8270 1/K", "-8270 degC"])
def test_f16_an_exponent_with_a_dimension_is_refused(slope: str) -> None:
    with pytest.raises(bk.DataError, match=case("F16")["expect"]["error"]) as caught:
        bk.activation_energy_kj_mol(slope)
    assert f"slope_k = {slope}" in str(caught.value)
    with pytest.raises(bk.DataError, match="expected a number"):
        bk.activation_energy_kj_mol(case("F16")["inputs"]["expr"])


def test_f17_activation_energy_from_a_slope_in_kelvin() -> None:
    of = case("F17")
    slope = of["inputs"]["slope_K"]
    for given in (slope, f"{slope} K", f"{slope / 1000} kK"):
        energy = bk.activation_energy_kj_mol(given)
        assert energy == pytest.approx(of["expect"]["Ea_kJ"], abs=5e-5)


def test_p19_a_tank_and_a_drum_by_their_sides() -> None:
    of = case("P19")
    gallon_l = 3.785411784
    tank = " x ".join(f"{side} ft" for side in of["inputs"]["tank_ft"])
    found = to_number("tank.volume_l", tank) / gallon_l
    assert found == pytest.approx(of["expect"]["tank_gal"], rel=1e-4)
    drum = of["inputs"]["drum_in"]
    found = to_number("tank.volume_l", f"{drum['d']} in dia x {drum['level']} in") / gallon_l
    assert found == pytest.approx(of["expect"]["drum_gal"], rel=1e-3)
    with pytest.raises(bk.RecipeError, match="measures something else"):
        to_number("load.part.area_dm2", "3 ft3")
    with pytest.raises(bk.RecipeError, match="a unit with every side"):
        to_number("tank.volume_l", "3 x 6 x 4.5 ft")


def test_a_synthetic_table_out_of_order_with_headings_in_latex(bathkin: Command) -> None:
    # Producer: ln k against 1/T by numpy.polyfit, errors from the residuals with n - 2.
    table = ROOT / "shared" / "reference" / "arrhenius_unsorted.csv"
    outcome = bathkin("arrhenius", str(table), "--json")
    assert outcome.code == 0, outcome.err
    document = outcome.document()
    assert document["degrees_of_freedom"] == 98
    found = {one["path"]: one for one in document["estimates"]}
    rows = [line for line in table.read_text().splitlines() if not line.startswith(("#", "$"))]
    kelvin, k = np.array([row.split(",") for row in rows], dtype=float).T
    line, covariance = np.polyfit(1.0 / kelvin, np.log(k), 1, cov=True)
    energy, ln_a = found["activation_energy_kj_mol"], found["ln_a"]
    assert energy["value"] == pytest.approx(bk.activation_energy_kj_mol(line[0]), rel=1e-9)
    error = -bk.activation_energy_kj_mol(np.sqrt(covariance[0, 0]))
    assert energy["standard_error"] == pytest.approx(error, rel=1e-6)
    assert (ln_a["value"], ln_a["standard_error"]) == pytest.approx(
        (line[1], np.sqrt(covariance[1, 1])), rel=1e-6
    )
    # Answers that go with the data, to the digits they are printed with.
    assert energy["value"] == pytest.approx(96.4302, abs=5e-5)
    assert energy["standard_error"] == pytest.approx(0.5442, abs=5e-5)
    assert ln_a["value"] == pytest.approx(28.30428, abs=5e-6)
