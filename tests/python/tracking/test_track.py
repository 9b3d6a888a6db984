"""A bath followed along its log, at the face. All data is invented."""

from __future__ import annotations

import json
import pickle
from pathlib import Path

import bathkin as bk
import pandas as pd
import pytest
from support.tanks import HEAD, ROWS, RUN_DOWN, tank


@pytest.fixture(scope="module")
def found(tmp_path_factory: pytest.TempPathFactory) -> bk.Track:
    return bk.track(str(tank(tmp_path_factory.mktemp("tank"), "line-1")), members=20)


def test_standing_dump_and_rows(found: bk.Track) -> None:
    metal = found["metal_g_l"]
    assert metal.set_point == pytest.approx(6.0, rel=1e-4)
    assert (metal.unit, metal.analysed) == ("g/L", True)
    assert metal.p10 < metal.value < metal.p90
    assert metal.pct_of_set_point == pytest.approx(100.0 * metal.value / metal.set_point)
    assert found.now == "2026-03-03 08:00"
    assert [row.row for row in found.rows] == [1, 2, 3, 4, 5, 6]
    left, clock = found.dump.left_h, found.dump.clock_h
    assert left.p10 < left.p50 < left.p90
    assert clock.p50 == pytest.approx(left.p50 + found.now_h)
    assert found.dump.date.p10 <= found.dump.date.p50 <= found.dump.date.p90
    assert sum(found.first_limit.values()) == pytest.approx(1.0)
    assert found.alarms == []


def test_an_unknown_reading_is_named_with_those_there_are(found: bk.Track) -> None:
    with pytest.raises(bk.UnknownNameError, match=r"no reading called nickel: .*metal_g_l"):
        found["nickel"]


def test_it_is_plain_values_and_pickles(found: bk.Track) -> None:
    told = found.to_dict()
    assert json.loads(json.dumps(told)) == told
    assert {"standing", "findings", "alarms", "dump", "drawn", "held", "first_limit"} <= set(told)
    again = pickle.loads(pickle.dumps(found))
    assert again == found
    # What a plan needs is computed again, and gives the same.
    assert again.plan(8) == found.plan(8)


def test_a_plan_starts_from_the_bath_as_the_log_tells_it(found: bk.Track) -> None:
    plan = found.plan(8, round_ml=50)
    assert plan.start.metal_g_l == pytest.approx(found["metal_g_l"].value, rel=1e-6)
    assert plan.start.turnovers == pytest.approx(found["turnovers"].value, rel=1e-6)
    assert {total.replenisher for total in plan.totals} >= {"nickel replenisher"}
    assert all(total.volume_ml % 50 == 0 for total in plan.totals)
    assert found.plan(8, {"nickel_g_l": 5.8}).start.metal_g_l == pytest.approx(5.8)


def test_a_table_has_a_line_for_each_row(found: bk.Track, tmp_path: Path) -> None:
    table = found.table()
    assert list(table.index) == [1, 2, 3, 4, 5, 6]
    assert table["nickel_g_l"].iloc[1] == 4.84
    assert table["taken_nickel_g_l"].all()
    found.to_csv(tmp_path / "rows.csv")
    found.plot(tmp_path / "today.png")
    assert (tmp_path / "today.png").stat().st_size > 5000


def test_a_screen_fits_and_dates_have_no_hours(found: bk.Track) -> None:
    text = repr(found)
    assert max(map(len, text.splitlines())) <= 100
    line = next(line for line in text.splitlines() if line.startswith("date "))
    assert line.split()[1:] == [found.dump.date.p10, found.dump.date.p50, found.dump.date.p90]
    assert ":" not in line
    assert " ".join(text.split()).count("never analysed") >= 2


def test_a_bath_that_was_never_fed_raises_an_alarm(tmp_path: Path) -> None:
    low = bk.track(str(tank(tmp_path, "low", RUN_DOWN)), members=5)
    assert [alarm.code for alarm in low.alarms] == ["metal_low"]
    assert 55.0 < low.alarms[0].value < 65.0
    assert low.alarms[0].bound == 70.0


def test_a_recipe_without_a_log_says_so() -> None:
    with pytest.raises(bk.DataError, match=r'\[log\] file = "log.csv"'):
        bk.track("nickel-acid")


def test_a_late_result_gives_the_answer_of_one_known_at_once(tmp_path: Path) -> None:
    def found(name: str, row: int, sampled: str) -> bk.Track:
        cells = [line.split(",") for line in [*ROWS, "2026-03-03 09:00,,,,,0,0,0,0"]]
        cells[4][4] = ""
        cells[row - 1][4] = "0.13"
        lines = [
            ",".join([*line, sampled if at == row else ""]) for at, line in enumerate(cells, 1)
        ]
        return bk.track(str(tank(tmp_path, name, lines, f"{HEAD},sampled")), members=20)

    at_once = found("at-once", 3, "")
    # It comes in four rows after its sample.
    late = found("late", 7, "2026-03-02 10:00")
    for one, other in zip(at_once.standing, late.standing, strict=True):
        assert other.value == pytest.approx(one.value, rel=1e-9), one.name
    assert late.ends_h == pytest.approx(at_once.ends_h, rel=1e-9)
    # Taken as one of the row it came in at, it says something else.
    own = found("own", 7, "")
    assert own["orthophosphite_mol_l"].value < 0.98 * late["orthophosphite_mol_l"].value


def test_contents_are_said_as_the_shop_says_them(found: bk.Track) -> None:
    """27 g/L of lactic acid stand in the make-up; HPO3-2 of 0.1 mol/L, IUPAC 2021, is 7.998 g/L."""
    lactate = found["lactate_mol_l"].as_given
    assert (lactate.words, lactate.unit) == ("lactic acid", "g/L")
    assert lactate.value == pytest.approx(90.08 * found["lactate_mol_l"].value, rel=1e-3)
    assert found["metal_g_l"].as_given is None
    # Its log has it in mol/L.
    assert found["hypophosphite_mol_l"].as_given is None
    assert "lactic acid" in found.summary()


def test_analyses_that_stand_in_no_row_yet_are_one_more(tmp_path: Path) -> None:
    recipe = str(tank(tmp_path, "used", [row.replace(",0.134,", ",,") for row in ROWS]))
    later = bk.track(recipe, now={"orthophosphite_g_l_as_hpo3": 60}, used=True, members=20)
    assert later.rows[-1].row == 7
    assert later["orthophosphite_mol_l"].as_given.value == pytest.approx(60.0, rel=0.05)
    # A bath of which nothing tells the age is drawn wider.
    untold = bk.track(recipe, used=True, members=20)

    def width(found: bk.Track) -> float:
        one = found["orthophosphite_mol_l"]
        return one.p90 - one.p10

    assert width(untold) > 2.0 * width(later)
    with pytest.raises(bk.DataError, match="turnovers = 3: expected --turnovers"):
        bk.track(recipe, now={"turnovers": 3}, members=1)
    with pytest.raises(bk.DataError, match="expected a reading"):
        bk.track(recipe, now={"metal_l": 3, "note": "x"}, members=1)


@pytest.mark.parametrize(
    ("heading", "value"),
    [
        ("turnovers", "3"),
        ("age (d)", "5"),
        ("orthophosphite (g/L as HPO3)", "60"),
        ("sulfate (mol/L)", "0.42"),
        ("specific gravity", "1.16"),
    ],
)
def test_a_used_bath_is_told_by_its_first_row(heading: str, value: str, tmp_path: Path) -> None:
    rows = [row.replace(",0.134,", ",,") for row in ROWS]
    recipe = tank(tmp_path, "used", [rows[0].replace(",,", f",{value},", 1), *rows[1:]])
    log = tmp_path / "used.csv"
    log.write_text(log.read_text().replace("orthophosphite (mol/L)", heading))
    found = bk.track(str(recipe), members=5)
    assert found["orthophosphite_mol_l"].value > 0.6


def test_numbers_with_a_width_are_told_and_held_where_asked(found: bk.Track) -> None:
    known = {one.path: one for one in found.drawn_numbers}
    assert set(known) == set(found.recipe.widths(solids=True))
    strengths = [abs(one.moved) for one in found.drawn_numbers if one.moved is not None]
    assert strengths == sorted(strengths, reverse=True)
    # The log tells how fast the bath plates, whatever its activation energy.
    assert not known["deposition.activation_energy_kj_mol"].drawn
    log = found.log
    held = bk.track(found.recipe, log, members=2, hold=["species", "solids", "deposition"])
    assert held.drawn_numbers == []
    asked = bk.track(found.recipe, log, members=2, draw=["deposition.activation_energy_kj_mol"])
    drawn = {one.path for one in asked.drawn_numbers if one.drawn}
    assert "deposition.activation_energy_kj_mol" in drawn


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"hold": ["deposition.rate"]}, "deposition.rate_mol_m2_s"),
        ({"hold": "species"}, "expected paths"),
        ({"draw": ["phosphorus.ph_order"]}, "range = "),
        ({"draw": ["operation.ph"]}, "the shop sets"),
        ({"work": "planned"}, "as-logged or as-planned"),
    ],
)
def test_what_cannot_be_held_or_drawn_is_said(
    wrong: dict[str, object], told: str, found: bk.Track
) -> None:
    with pytest.raises(bk.BathkinError, match=told):
        bk.track(found.recipe, found.log, members=1, **wrong)  # type: ignore[arg-type]


def test_work_as_planned_is_not_redrawn(found: bk.Track) -> None:
    planned = bk.track(found.recipe, found.log, members=20, work="as-planned")
    assert any("as the recipe plans it" in one for one in planned.held)
    assert not any("redrawn" in one or "level of its own" in one for one in planned.drawn)


def test_what_is_below_detection_is_an_upper_bound_that_is_counted() -> None:
    log = pd.DataFrame(
        {
            "time_h": [0, 2, 4, 6],
            "nickel (g/L)": [6.0, 4.75, 4.85, 4.8],
            "orthophosphite (mol/L)": ["<0.05", "", "", "<0.01"],
            "area in tank (dm2)": [0, 200, 200, 200],
            "metal added (L)": [0, 5, 4.6, 4.8],
        }
    )
    followed = bk.track("nickel-acid", log, members=2)
    (one,) = followed.below_detection
    assert (one.column, one.readings, one.less_than_expected) == ("orthophosphite_mol_l", 2, 1)
    assert "2 below detection, taken as an upper bound" in followed.summary()
