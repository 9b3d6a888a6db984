"""The commands: JSON documents, text, exit codes, messages."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import pytest
from bathkin import cli
from conftest import ROOT, Outcome

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
    assert "302.833  set by --set" in text
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
    assert document == life.document()
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


@pytest.mark.parametrize(
    ("content", "said"),
    [
        ("temperature_c,rate\n70,6,1\n80,10.6\n", "row 1: 3 cells for 2 columns"),
        ("temperature_c,rate\n70,6.1\n80,\n", "row 2, rate = (empty)"),
        ("temperature_c,rate\n70,6.1\n80,x\n", "row 2, rate = x"),
        ("temperature_c,rate\n70,6.1\n80,-1\n", "row 2, rate = -1: expected a number above zero"),
        (
            "temperature_c,rate\n70,6.1\n80,nan\n",
            "row 2, rate = nan: expected a number in every row",
        ),
        ("temperature_k,rate\n70,6.1\n80,10\n", "row 1, temperature_k = 70"),
        ("temperature_c;rate;ph\n70;6.1;5\n", "expected two: temperature_c"),
        ("rate,k\n70,6.1\n", "temperature_c, temperature_k or temperature_f"),
        ("temperature,rate\n70,6.1\n", "temperature_c, temperature_k, temperature_f"),
        (
            "temperature_c;rate\n70;6,1\n80;6.2\n",
            "row 2, rate = 6.2: expected the decimal mark ','",
        ),
        ("temperature_c,rate\n70,6.1\n", "one temperature"),
        ("temperature_c,rate\n", "there are no rows"),
        ("", "a line of column names"),
        ("\x81", "UTF-8"),
    ],
)
def test_tables_that_cannot_be_used(
    bathkin: Command, tmp_path: Path, content: str, said: str
) -> None:
    path = tmp_path / "t.csv"
    path.write_bytes(content.encode("latin-1"))
    outcome = bathkin("arrhenius", str(path))
    assert outcome.code == 2
    assert outcome.out == ""
    assert outcome.err.startswith("bathkin: error: ")
    assert "t.csv" in outcome.err
    assert said in outcome.err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ("solution nickel-acid --set operation.temperature_c=190", "190 degF would be 87.8 degC"),
        ("solution nickel-acid --set operation.ph=19", "operation.ph = 19: expected a pH between"),
        ("solution nickel-acid --set operation.ph=1", "cannot reach pH 1.00"),
        ("solution nickel-acid --set operation.ph=4,8", "decimal point"),
        ("solution nickel-acid --set make_up.lactic_acid_g_l=-3", "zero or more"),
        ("solution nickel-acid --set make_up.nickel_sulfate_g_l=3", "nickel_sulfate_hexahydrate"),
        ("solution nickel-acid --set make_up.unobtainium_g_l=3", "no reagent is called"),
        ("solution nickel-acid --set tank.volum_l=3", "did you mean tank.volume_l"),
        ("show nickel-acid --set species.lactic_acid.constant=sit", "valid names: default"),
        ("show nickel-acid --set species.nickel_acetate_1.constant=sat", "did you mean sit"),
        ("solution nickel-acid --set tank.volume_l=3ft", "a volume in L"),
        ("solution nickel-acid --set tank.volume_l", "expected PATH=VALUE"),
        (
            "life nickel-acid --set replenisher.metal.nickel_sulfate_hexahydrate_g_l=0",
            "a reagent that brings nickel",
        ),
        ("life nickel-acid --set limits.phosphorus_wt_pct_max=9", "exceeded at make-up"),
        ("life nickel-acid --plot life.doc", "a picture file that ends in"),
        ("life nickel-acid --csv none/life.csv", "there is no directory none"),
        ("life nickel-acid --csv .", "is a directory"),
        ("life nickel-acd", "did you mean nickel-acid"),
        ("life none.toml", "none.toml: cannot be read"),
        ("life", "Missing argument 'RECIPE' (see bathkin life --help)"),
        ("live nickel-acid", "No such command"),
        ("rate nickel-acid --fast", "No such option"),
        ("rate nickel-acid --vary operation.ph=4:5", "low:high:count"),
        ("rate nickel-acid --vary operation.ph=4:5:1", "low:high:count"),
        ("rate nickel-acid --vary operation.ph", "expected PATH=low:high:count"),
        ("rate nickel-acid --vary operation.ph=4.8,,5", "operation.ph = : expected a plain number"),
        ("rate nickel-acid --vary operation.ph=4.8,19", "operation.ph = 19"),
        ("rate nickel-acid --vary operation.hp=4.8", "did you mean operation.ph"),
        ("plate nickel-acid --minutes -5", "minutes = -5: expected a number above zero"),
        ("plate nickel-acid --area-dm2 3ft3", "an area in dm2"),
        ("arrhenius none.csv", "none.csv: cannot be read"),
    ],
)
def test_wrong_input(
    bathkin: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: str, said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    outcome = bathkin(*arguments.split(" "))
    assert outcome.code == 2
    assert outcome.err.startswith("bathkin: error: ")
    assert said in outcome.err
    assert len(outcome.err.splitlines()) == 1
    assert "Traceback" not in outcome.err
    assert list(tmp_path.iterdir()) == []


def test_a_failed_computation(bathkin: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise bk.ConvergenceError("the equilibrium did not converge at 3 h", time_h=3.0)

    monkeypatch.setattr("bathkin.cli.simulate.run", fail)
    outcome = bathkin("life", "nickel-acid")
    assert outcome.code == 3
    assert "the computation failed: the equilibrium did not converge at 3 h" in outcome.err
    assert "nothing was written" in outcome.err


def test_interrupted(bathkin: Command, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupt(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("bathkin.cli.simulate.run", interrupt)
    outcome = bathkin("life", "nickel-acid")
    assert outcome.code == 130
    assert outcome.err.strip() == "bathkin: interrupted; nothing was written"


def test_doubts_are_printed_not_warned(bathkin: Command) -> None:
    outcome = bathkin("life", "nickel-acid", "--set", "operation.temperature_c=97")
    assert outcome.code == 0
    assert "97 is outside 75 to 95" in " ".join(outcome.out.split())
    assert outcome.err == ""


@pytest.mark.parametrize("command", sorted(cli.group.commands))
def test_help(bathkin: Command, command: str) -> None:
    outcome = bathkin(command, "--help")
    assert outcome.code == 0
    assert "--json" in outcome.out
    assert command in bathkin().out


def test_version(bathkin: Command) -> None:
    assert bk.__version__ in bathkin("--version").out


def spawned(*arguments: str) -> subprocess.Popen[str]:
    # Started in the background, a shell hands down an ignored interrupt; a terminal does not.
    heeding = "import signal, runpy; signal.signal(signal.SIGINT, signal.default_int_handler); "
    run = heeding + "runpy.run_module('bathkin', run_name='__main__', alter_sys=True)"
    command = [sys.executable, "-W", "error", "-c", run, *arguments]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["recipes", "--json"], 0),
        (["life", "nickel-acid", "--set", "operation.temperature_c=97"], 0),
        (["life", "nickel-acd"], 2),
    ],
)
def test_as_a_program(arguments: list[str], code: int) -> None:
    program = spawned(*arguments)
    _, error = program.communicate(timeout=60)
    assert program.returncode == code
    assert "Traceback" not in error
    assert bool(error) == bool(code)


def test_a_closed_pipe_is_no_traceback() -> None:
    program = spawned("show", "nickel-acid")
    assert program.stdout is not None
    program.stdout.close()
    assert program.stderr is not None
    error = program.stderr.read()
    program.wait(timeout=60)
    program.stderr.close()
    assert "Traceback" not in error


def check_ctrl_c_stops(program: subprocess.Popen[str], after_s: float) -> None:
    time.sleep(after_s)
    if program.poll() is None:
        program.send_signal(signal.SIGINT)
        _, error = program.communicate(timeout=30)
        assert program.returncode == 130
        assert error.strip() == "bathkin: interrupted; nothing was written"
    else:
        program.communicate()
        pytest.fail("it ended before it could be interrupted")


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
def test_ctrl_c_stops_a_long_bootstrap() -> None:
    log = str(ROOT / "benches" / "data" / "log_a.csv")
    free = ["--free", "deposition.rate_mol_m2_s", "--bootstrap", "100000"]
    check_ctrl_c_stops(spawned("fit", "nickel-acid", "--log", log, *free), 4.0)


@pytest.mark.skipif(os.name == "nt", reason="no such signal there")
def test_ctrl_c_stops_a_long_life() -> None:
    # A life of many small doses, long enough to be caught at work.
    settings = [
        "replenishment.metal_trigger_pct=99.9",
        "limits.turnovers=1e6",
        "tank.volume_l=4000",
        "limits.orthophosphite_g_l_as_hpo3=1e6",
        "tank.bleed_per_turnover=0.9",
        "life.longest_clock_h=1e6",
    ]
    given = [part for setting in settings for part in ("--set", setting)]
    check_ctrl_c_stops(spawned("life", "nickel-acid", *given), 2.0)


def test_a_limit_is_switched_off_and_another_takes_its_place():
    recipe = bk.load_recipe("nickel-acid").set(
        {"limits.orthophosphite_g_l_as_hpo3": "off", "limits.turnovers": 2}
    )
    life = recipe.simulate_life()
    assert "orthophosphite_mol_l" not in [limit.name for limit in life.limits]
    assert life.dump.limit == "turnovers"
    both = bk.load_recipe("nickel-acid").set("limits.orthophosphite_mol_l", 0.5).simulate_life()
    assert [limit.path for limit in both.limits if limit.name == "orthophosphite_mol_l"] == [
        "limits.orthophosphite_mol_l"
    ]
