"""`bathkin new`: ten questions, a commented recipe. All answers are invented."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import pytest
from support import Outcome

Command = Callable[..., Outcome]


OPTIONS = [
    *("--metal", "nickel, hypophosphite", "--volume", "100 gal", "--ph", "4.8 hot"),
    *("--make-up", "nickel_sulfate_hexahydrate=27 g/L"),
    *("--make-up", "28 g/L sodium hypophosphite monohydrate"),
    *("--make-up", "lactic acid 30 g/L", "--make-up", "acetic acid = 10 g/L"),
    *("--temperature", "190 degF", "--loading", "0.4 dm2/L, 1 mil"),
    *("--shifts", "two shifts of 8 h, 5 days", "--price", "waste 0.5 USD/L"),
    *("--limit", "120 g/L orthophosphite as HPO3; 8 turnovers"),
    *("--limit", "9 wt% phosphorus at least"),
]


class Terminal(io.StringIO):
    """Standard input with somebody in front of it."""

    def isatty(self) -> bool:
        return True


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_options_become_a_recipe_that_says_who_said_what(bathkin: Command, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    outcome = bathkin("new", str(path), *OPTIONS)
    assert outcome.code == 0, outcome.err
    assert f"bathkin life {path}" in outcome.out
    text = path.read_text(encoding="utf-8")
    for line in (
        'base = "nickel-acid"  # nearest of',
        'volume_l = 378.5411784  # yours: "100 gal"',
        'nickel_sulfate_hexahydrate_g_l = 27  # yours: "nickel_sulfate_hexahydrate=27 g/L"',
        'thickness_um = 25.4  # yours: "1 mil"',
        'orthophosphite_g_l_as_hpo3 = 120  # yours: "120 g/L orthophosphite as HPO3"',
        'deposition_pct_of_fresh = "off"  # not in your limits; nickel-acid has 60',
        'line_per_h = "off"  # not in your prices; nickel-acid has 30',
        "# metal_trigger_pct = 95  # inherited from nickel-acid, common-practice: add at",
        "# corrector_g_l = 200  # inherited from nickel-acid, invented: 20 % caustic",
        "numbers inherited from\n# nickel-acid (illustrative",
    ):
        assert line in text, line
    recipe = bk.load_recipe(path)
    # 190 degF by hand.
    assert recipe.get("operation.temperature_c") == pytest.approx((190 - 32) / 1.8, rel=1e-9)
    assert (recipe.get("work.hours_per_day"), recipe.get("work.days_per_week")) == (16.0, 5.0)
    life = bk.simulate_life(recipe)
    assert {limit.path for limit in life.limits} == {
        "limits.orthophosphite_g_l_as_hpo3",
        "limits.turnovers",
        "limits.phosphorus_wt_pct_min",
    }
    # Every line that begins with a key says whose it is.
    lines = [line for line in text.splitlines() if " = " in line and "format" not in line]
    said = ("yours: ", "inherited from ", "not in your ", "such built-in", "name = ", "title = ")
    assert all(any(word in line for word in said) for line in lines)


def test_the_card_says_whose_each_number_is(bathkin: Command, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    assert bathkin("new", str(path), *OPTIONS).code == 0
    text = bathkin("show", str(path), "--set", "tank.drag_out_l_m2=0.1").out
    lines = [" ".join(line.split()) for line in text.splitlines()]
    for line in (
        "volume_l 378.541 yours",
        "drag_out_l_m2 0.1 yours, set by --set",
        "turnovers 8 yours",
        "corrector_g_l 200 inherited from nickel-acid, invented: 20 % caustic",
        "on nickel-acid: what is inherited holds as it stands there",
    ):
        assert line in lines, line
    order = ["Make-up", "How it is run", "Tank and work", "Replenishers", "Limits and warnings"]
    at = [lines.index(title) for title in (*order, "Cost", "Law and chemistry")]
    assert at == sorted(at)
    assert max(map(len, text.splitlines())) <= 100


@pytest.mark.parametrize("ending", ["csv", "xlsx"])
def test_a_filled_sheet_answers(bathkin: Command, tmp_path: Path, ending: str) -> None:
    sheet = tmp_path / f"answers.{ending}"
    assert bathkin("new", "--sheet", str(sheet)).code == 0
    again = bathkin("new", "--sheet", str(sheet))
    assert (again.code, "that file is there" in again.err) == (2, True)
    filled = tmp_path / "filled.csv"
    given = {
        "metal": ["copper, formaldehyde"],
        "volume": ["300 L"],
        "make_up": [
            "copper sulfate pentahydrate 10 g/L",
            "disodium edta dihydrate 36 g/L",
            "formaldehyde 3 g/L",
        ],
        "ph": ["12.5 cooled"],
        "temperature": ["45 degC"],
        "limits": ["12 MTO"],
    }
    heads, rows = read(sheet)
    for key, texts in given.items():
        mine = [row for row in rows if row[0] == key]
        for row, text in zip(mine, texts, strict=False):
            row[heads.index("answer")] = text
    with filled.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows([heads, *rows])
    path = tmp_path / "copper.toml"
    outcome = bathkin("new", str(path), "--from", str(filled), "--volume", "250 L", "--json")
    assert outcome.code == 0, outcome.err
    document = json.loads(outcome.out)
    assert (document["command"], document["base"]) == ("new", "copper-edta")
    recipe = bk.load_recipe(path)
    # An option wins over the sheet.
    assert (recipe.get("tank.volume_l"), recipe.get("limits.turnovers")) == (250.0, 12.0)


def read(sheet: Path) -> tuple[list[str], list[list[str]]]:
    from bathkin import _core

    heads, rows, _ = _core.read_table(str(sheet), None)
    return list(heads), [[str(cell[0]) for cell in row] for row in rows]


def test_racks_of_a_file_beside_the_recipe(bathkin: Command, tmp_path: Path) -> None:
    racks = tmp_path / "week.csv"
    racks.write_text("rack,in_h,minutes,area_dm2\nA,0,60,100\nB,4,60,100\n", encoding="utf-8")
    path = tmp_path / "tanks" / "mine.toml"
    path.parent.mkdir()
    outcome = bathkin("new", str(path), *OPTIONS, "--loading", f"racks {racks}, every day")
    assert outcome.code == 0, outcome.err
    recipe = bk.load_recipe(path)
    assert recipe.get("work.calendar") == "../week.csv"
    assert recipe.get("work.calendar_repeat_h") == 24.0
    assert bathkin("life", str(path), "--quiet").code == 0


def test_without_a_terminal_the_missing_options_are_named(bathkin: Command, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    outcome = bathkin("new", str(path), "--metal", "nickel", "--ph", "4.8 hot")
    assert outcome.code == 2
    for option in ("--volume", "--make-up", "--temperature"):
        assert option in outcome.err
    assert "--metal" not in outcome.err
    assert not path.exists()
    program = [sys.executable, "-m", "bathkin", "new", str(path)]
    ran = subprocess.run(program, stdin=subprocess.DEVNULL, capture_output=True, check=False)
    assert (ran.returncode, path.exists()) == (2, False)


def test_a_file_that_is_there_stays(bathkin: Command, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("mine", encoding="utf-8")
    outcome = bathkin("new", str(path), *OPTIONS)
    assert (outcome.code, path.read_text(encoding="utf-8")) == (2, "mine")
    assert "that file is there: expected a new one" in outcome.err


def test_on_a_terminal_a_wrong_answer_is_asked_again(
    bathkin: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed = ["tin", "nickel, hypophosphite", "400", "400 L"]
    typed += ["nickel sulfate = 27 g/L", "", "nickel sulfate hexahydrate = 27 g/L"]
    typed += ["sodium hypophosphite monohydrate 28 g/L", "lactic acid 30 g/L"]
    typed += ["acetic acid 10 g/L", "", "4.8", "4.8 hot", "", "300 degC", "88 degC", "", ""]
    typed += ["it smells", "", "8 turnovers", "", ""]
    monkeypatch.setattr(sys, "stdin", Terminal("\n".join(typed) + "\n"))
    path = tmp_path / "mine.toml"
    outcome = bathkin("new", str(path))
    assert outcome.code == 0, outcome.err
    said = " ".join(outcome.out.split())
    for refusal in (
        "! metal: tin: expected one of: cobalt, hypophosphite;",
        "! volume: 400: expected a unit: 400 L or 400 gal?",
        "as nickel_sulfate_heptahydrate_g_l",
        "! ph: 4.8: expected '4.8 hot' (read in the bath) or '4.8 cooled'",
        "expected a temperature between 0 and 100 degC",
        "! limits: it smells: expected a number with its unit and what it limits, such as 150 g/L",
    ):
        assert refusal in said, refusal
    recipe = bk.load_recipe(path)
    assert recipe.get("limits.turnovers") == 8.0
    monkeypatch.setattr(sys, "stdin", Terminal("nickel\n"))
    outcome = bathkin("new", str(tmp_path / "other.toml"))
    assert (outcome.code, (tmp_path / "other.toml").exists()) == (130, False)


@pytest.mark.parametrize(
    ("key", "answer", "expected"),
    [
        ("temperature", "88", "88 degC or 88 degF?"),
        ("loading", "0.5", "0.5 dm2/L or 0.5 ft2/gal?"),
        ("loading", "racks none.csv", "there is no such file"),
        ("shifts", "sometimes", "'2 shifts of 8 h, 5 days'"),
        ("shifts", "9 shifts of 8 h", "72: expected hours per day up to 24"),
        ("ph", "19 hot", "expected a pH between 0 and 14"),
        ("limits", "8 wt% phosphorus", "'8 wt% phosphorus at least' or"),
        ("limits", "150 g/L orthophosphite", "as orthophosphite_g_l_as_hpo3"),
        ("prices", "lots", "expected such as"),
        ("ph_reagent", "milk", "no reagent is called 'milk'"),
        ("make_up", "nickel sulfate hexahydrate = 27", "27 g/L"),
        ("colour", "green", "colour is no question"),
    ],
)
def test_a_wrong_answer_is_refused_with_what_was_expected(
    key: str, answer: str, expected: str
) -> None:
    answers: dict[str, Any] = {
        "metal": "nickel",
        "volume": "400 L",
        "make_up": ["nickel sulfate hexahydrate 27 g/L", "lactic acid 30 g/L"],
        "ph": "4.8 hot",
        "temperature": "88 degC",
    }
    answers["make_up"] += ["sodium hypophosphite monohydrate 28 g/L"]
    with pytest.raises(bk.BathkinError) as refused:
        bk.new_recipe({**answers, key: answer})
    assert expected in str(refused.value)


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
@pytest.mark.parametrize("name", bk.recipes())
def test_every_built_in_bath_can_be_told(name: str, tmp_path: Path) -> None:
    built_in = bk.load_recipe(name)
    values = {one.path: one.value for one in built_in.numbers() if one.value != "off"}
    units = {"_g_l": "g/L", "mg_l": "mg/L", "ol_l": "mol/L"}
    make_up = [
        f"{path.removeprefix('make_up.').rsplit('_', 2)[0]} = {value!r} {units[path[-4:]]}"
        for path, value in values.items()
        if path.startswith("make_up.")
    ]
    ph = f"{values.get('operation.ph')} {values.get('operation.ph_reading')}"
    told = bk.new_recipe(
        {
            "metal": f"{built_in.metal}, {built_in.reductant}",
            "volume": "50 gal",
            "make_up": make_up,
            "ph": ph if "operation.ph" in values else "as made up",
            "temperature": f"{values['operation.temperature_c']} degC",
            "limits": "0.1 turnovers",
        },
        tmp_path / "told.toml",
    )
    # This one has the make-up of nickel-acid, which comes first.
    nearest = "nickel-acid" if name == "nickel-mixed-potential" else name
    assert told.get("base") == nearest
    same = bk.load_recipe(nearest).make_up()
    assert told.make_up().ph == pytest.approx(same.ph, abs=1e-6)
    life = bk.simulate_life(bk.load_recipe(tmp_path / "told.toml"))
    # A bath that is dosed once, near its end, passes a turnover in one step.
    assert life.dump.limit == "turnovers"
    assert life.dump.turnovers >= 0.1 - 1e-6


@pytest.mark.parametrize(
    ("words", "key", "value"),
    [
        ("150 g/L orthophosphite as HPO3", "orthophosphite_g_l_as_hpo3", 150.0),
        ("orthophosphite 1.5 mol/L", "orthophosphite_mol_l", 1.5),
        ("1200 mM orthophosphite", "orthophosphite_mol_l", 1.2),
        ("8 turnovers", "turnovers", 8.0),
        ("12 MTO", "turnovers", 12.0),
        ("60 % of the fresh rate", "deposition_pct_of_fresh", 60.0),
        ("300 % of fresh ionic strength", "ionic_strength_pct_of_fresh", 300.0),
        ("70 % of set-point nickel", "metal_pct_of_set_point", 70.0),
        ("8 wt% phosphorus at least", "phosphorus_wt_pct_min", 8.0),
        ("at most 11 % phosphorus", "phosphorus_wt_pct_max", 11.0),
        ("0.4 mil/h rate at least", "deposition_um_h_min", 10.16),
        ("specific gravity 1.25", "specific_gravity", 1.25),
        ("pH 4.4 at least", "ph_min", 4.4),
        ("6 weeks", "clock_h", 1008.0),
        ("500 m2", "area_m2", 500.0),
        ("lactic acid at least 20 g/L", "lactic_acid_g_l_min", 20.0),
        ("nickel at least 4 g/L", "nickel_g_l_min", 4.0),
    ],
)
def test_limits_in_the_users_words(recipe: bk.Recipe, words: str, key: str, value: float) -> None:
    from bathkin.recipe.limit_words import limit_key

    found = limit_key(words, recipe)
    assert found.key == key
    assert found.value == pytest.approx(value, rel=1e-9)


def test_a_limit_is_printed_as_it_was_given(bathkin: Command) -> None:
    text = bathkin("life", "nickel-acid", "--quiet").out
    assert "First limit reached: orthophosphite as HPO3 at 150 g/L" in text
    row = next(line for line in text.splitlines() if line.startswith("orthophosphite as HPO3"))
    assert row.split()[3:6] == ["150", "150", "g/L"]
    assert "60" in next(line for line in text.splitlines() if "% of fresh" in line).split()
