"""The commands: JSON documents, text, exit codes, messages."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import pytest
from bathkin import cli
from support import Outcome

Command = Callable[..., Outcome]
EVERY = {"command", "version", "recipe", "flags", "cite", "cautions"}
ESTIMATE = {"path", "value", "standard_error", "interval95", "status"}


@pytest.fixture
def rates(tmp_path: Path) -> Path:
    path = tmp_path / "rates.csv"
    path.write_text("temperature_c,rate_um_h\n# from the log\n70,6.1\n80,10.6\n85,13.7\n90,17.9\n")
    return path


def headed(outcome: Outcome, command: str, recipe: str | None = "nickel-acid") -> dict[str, object]:
    assert outcome.code == 0, outcome.err
    document = outcome.document()
    assert set(document) >= EVERY
    assert document["command"] == command
    assert document["version"] == bk.__version__
    assert document["recipe"] == recipe
    if recipe:
        assert document["cite"]
        assert document["cautions"]
        assert {"where", "what"} == set(document["flags"][0])
    return document


def test_recipes(bathkin: Command) -> None:
    document = headed(bathkin("recipes", "--json"), "recipes", None)
    entry = document["recipes"][0]
    assert set(entry) == {"name", "metal", "reductant", "backing", "title"}
    assert entry["name"] == "nickel-acid"
    assert "nickel-acid" in bathkin("recipes").out


def test_show(bathkin: Command) -> None:
    document = headed(bathkin("show", "nickel-acid", "--json"), "show")
    numbers = {entry["path"]: entry for entry in document["numbers"]}
    assert numbers["operation.temperature_c"]["range"] == [75.0, 95.0]
    assert numbers["operation.temperature_c"]["source"]
    text = bathkin("show", "nickel-acid", "--set", "tank.volume_l=80 gal").out
    assert "302.833  yours, set by --set" in text
    assert "[replenisher.metal]" in text


def test_show_constants(bathkin: Command) -> None:
    document = headed(bathkin("show", "nickel-acid", "--constants", "--json"), "show")
    assert "numbers" not in document
    one = {entry["name"]: entry for entry in document["constants"]}["dihydrogen_phosphite"]
    assert one["forms_from"] == {"orthophosphite": 1.0, "proton": 1.0}
    assert (one["label"], one["log_k_25c"], one["kind"]) == ("default", 6.7, "published")
    assert (one["log_k_uncertainty"], one["log_k_class"]) == (0.3, "stated")
    assert one["group"] == "phosphite"
    solid = {entry["name"]: entry for entry in document["solid_constants"]}["nickel_phosphite"]
    assert (solid["enthalpy_kind"], solid["enthalpy_uncertainty_kj_mol"]) == ("estimated", 20.0)
    assert solid["alternatives"][0]["label"] == "hkf"
    other = one["alternatives"][0]
    assert (other["label"], other["log_k_25c"]) == ("hkf", 6.121)
    assert other["source"]
    assert other["note"]
    chosen = ["--set", "constants.set=hkf"]
    text = bathkin("show", "nickel-acid", "--constants", *chosen).out
    assert "* hkf: log K 6.121 +- 0.3 (analogy), -0.38 kJ/mol +- 10 (analogy), 191" in text
    assert "  default: log K 6.7 +- 0.3, -0.38 kJ/mol +- 5 (database)" in text
    assert "(group phosphite)" in text
    assert "enthalpy estimated: nickel sulfate (5.8) on dihydrogen_phosphite" in text
    assert "\nsolids\n" in text
    assert "orthophosphite + proton = H2PO3-" in text
    assert max(map(len, text.splitlines())) <= 100


def test_solution(bathkin: Command) -> None:
    document = headed(bathkin("solution", "nickel-acid", "--json"), "solution")
    for key in ("ph", "ph_25c", "temperature_c", "ionic_strength_mol_l", "buffer_capacity_mol_l"):
        assert isinstance(document[key], float), key
    assert document["species"]["nickel"] > 0.0
    assert document["make_up"]["lactic_acid"] == pytest.approx(27.0)
    assert document["ph_adjustment"]["reagent"] == "sodium_hydroxide"
    assert document["ph_adjustment"]["g_l"] > 0.0
    assert "4.80 at 88 degC" in bathkin("solution", "nickel-acid").out


def test_rate(bathkin: Command) -> None:
    vary = ["--vary", "operation.ph=4.4:5.2:3", "--vary", "operation.temperature_c=176 degF,88"]
    document = headed(bathkin("rate", "nickel-acid", *vary, "--json"), "rate")
    points = document["points"]
    assert [point["operation.ph"] for point in points] == [4.4, 4.4, 4.8, 4.8, 5.2, 5.2]
    assert [point["operation.temperature_c"] for point in points] == [80.0, 88.0] * 3
    for point in points:
        assert {
            "deposition_um_h",
            "phosphorus_wt_pct",
            "hydrogen_l_m2_h",
            "ph",
            "free_metal_mol_l",
            "ionic_strength_mol_l",
            "reductant_efficiency",
            "factors",
            "plate_out_pct",
            "reason",
        } <= set(point)
    assert len(headed(bathkin("rate", "nickel-acid", "--json"), "rate")["points"]) == 1
    text = bathkin("rate", "nickel-acid", *vary).out
    assert "temperature_c" in text
    assert "first to last: pH rises from 4.40 to 5.20" in text
    assert "Factors of the law" in bathkin("rate", "nickel-acid").out


def test_plate(bathkin: Command) -> None:
    load = ["--minutes", "30", "--area-dm2", "10"]
    document = headed(bathkin("plate", "nickel-acid", *load, "--json"), "plate")
    assert (document["minutes"], document["area_dm2"]) == (30.0, 10.0)
    for key in ("thickness_um", "mass_g", "metal_g", "phosphorus_wt_pct", "density_g_cm3"):
        assert document[key] > 0.0, key
    default = headed(bathkin("plate", "nickel-acid", "--json"), "plate")
    assert (default["minutes"], default["area_dm2"]) == (60.0, 20.0)
    assert "thickness" in bathkin("plate", "nickel-acid", "--area-dm2", "3 ft2").out


def test_life(bathkin: Command, life: bk.Life) -> None:
    document = headed(bathkin("life", "nickel-acid", "--json"), "life")
    assert document == life.to_dict()
    assert {"limit", "clock_h", "plating_h", "turnovers", "area_m2"} <= set(document["verdict"])
    assert {"name", "bound", "value", "margin"} <= set(document["limits"][0])
    assert {
        "clock_h",
        "turnovers",
        "replenisher",
        "volume_ml",
        "dose",
        "dose_unit",
        "reason",
    } == set(document["ledger"][0])
    assert document["balance"]["max_relative_residual"] < 1e-9
    lengths = {len(column) for column in document["table"].values()}
    assert lengths == {len(life.columns["ph"])}


def test_life_text(bathkin: Command) -> None:
    full, quiet = bathkin("life", "nickel-acid"), bathkin("life", "nickel-acid", "--quiet")
    assert "First limit reached: orthophosphite" in full.out
    assert "Cautions" in full.out
    assert "illustrative" in full.out
    assert "Cautions" not in quiet.out
    assert "First limit reached" in quiet.out
    assert full.err == ""
    # Standing remarks are gone; what this life is doubted for stays.
    assert quiet.err.startswith("bathkin: warning: solution.activity: ionic strength")
    assert "illustrative" not in quiet.err
    assert "invented for the demo" not in quiet.err


def test_life_files(bathkin: Command, tmp_path: Path) -> None:
    names = {"--csv": "life.csv", "--plot": "life.png", "--report": "life.html"}
    files = [part for option, name in names.items() for part in (option, str(tmp_path / name))]
    first = bathkin("life", "nickel-acid", "--quiet", *files)
    assert first.code == 0
    for name in names.values():
        assert f"wrote {tmp_path / name}" in first.out
        assert (tmp_path / name).stat().st_size > 500
    again = bathkin("life", "nickel-acid", "--json", *files)
    again.document()
    assert f"replaced {tmp_path / 'life.csv'}" in again.err
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(names.values())


def test_arrhenius(bathkin: Command, rates: Path, tmp_path: Path) -> None:
    document = headed(bathkin("arrhenius", str(rates), "--json"), "arrhenius", None)
    assert all(set(estimate) == ESTIMATE for estimate in document["estimates"])
    assert document["estimates"][0]["path"] == "activation_energy_kj_mol"
    assert {"correlation", "error_model", "degrees_of_freedom", "messages"} <= set(document)
    picture = tmp_path / "fit.png"
    text = bathkin("arrhenius", str(rates), "--at", "88", "--plot", str(picture))
    assert "at 361.15 K (88.00 degC)" in text.out
    text = bathkin("arrhenius", str(rates), "--at", "190.4 degF", "--quiet")
    assert "at 361.15 K (88.00 degC)" in text.out
    assert "assumed" not in text.out
    assert picture.stat().st_size > 500


def test_a_messy_table_of_rates(bathkin: Command, tmp_path: Path) -> None:
    plain, messy = tmp_path / "plain.csv", tmp_path / "messy.csv"
    plain.write_text("temperature_f,rate\n158,6.1\n176,10.6\n194,19\n")
    messy.write_text("note;rate (um/h);T [\u00b0F]\n;10,6;176\nslow;6,1;158\n;19;194\n", "utf-8")
    told = bathkin("arrhenius", str(messy), "--at", "190")
    assert "'10,6' taken as 10.6; decimal comma in the whole file" in told.out
    assert "note: 'note' taken as words" in told.out
    assert "T [\u00b0F]: '176 degF' taken as 353.15; converted to temperature_k" in told.out
    assert "(87.78 degC)" in told.out
    documents = [bathkin("arrhenius", str(path), "--json").document() for path in (plain, messy)]
    energies = [document["estimates"][0]["value"] for document in documents]
    assert energies[0] == pytest.approx(energies[1], rel=1e-12)
    assert [one["taken"] for one in documents[1]["assumptions"]] == ["10.6", "words", "353.15"]


def test_doubts_are_printed_not_warned(bathkin: Command) -> None:
    outcome = bathkin("life", "nickel-acid", "--set", "operation.temperature_c=97")
    assert outcome.code == 0
    assert "97 is outside 75 to 95" in " ".join(outcome.out.split())
    assert outcome.err == ""


@pytest.mark.parametrize("command", sorted({*cli.group.commands} - {"log"}))
def test_help(bathkin: Command, command: str) -> None:
    outcome = bathkin(command, "--help")
    assert outcome.code == 0
    assert "--json" in outcome.out
    assert command in bathkin().out


def test_version(bathkin: Command) -> None:
    assert bk.__version__ in bathkin("--version").out
