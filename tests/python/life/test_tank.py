"""The face of a tank as a shop runs it: calendars, racks, events, volumes, scenarios."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import numpy as np
import pandas as pd
import pytest
from bathkin.reports.life import life_text, rows_shown
from bathkin.reports.life_html import life_page
from support import POWER_LAW, ROOT, Outcome

SCENARIOS = ROOT / "shared" / "scenarios"
EXPECTED = ROOT / "shared" / "expected"
UNLISTED = "unlisted addition; results after this time doubtful"

pytestmark = pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")


@pytest.fixture(scope="module")
def shop() -> bk.Life:
    return bk.simulate_life(bk.load_recipe(SCENARIOS / "job-shop.toml"))


@pytest.mark.parametrize("name", ["job-shop", "lab-beaker", "copper-bail-out"])
def test_scenarios_give_what_is_kept(name: str) -> None:
    kept = pd.read_csv(EXPECTED / f"{name}.csv", comment="#")
    life = bk.simulate_life(bk.load_recipe(SCENARIOS / f"{name}.toml"))
    table = life.table()[list(kept.columns)]
    pd.testing.assert_frame_equal(table, kept, rtol=1e-6, atol=1e-9, check_dtype=False)


def test_racks_are_a_table_and_a_file(shop: bk.Life, tmp_path: Path) -> None:
    racks = shop.loads()
    kept = pd.read_csv(EXPECTED / "job-shop-racks.csv", comment="#")
    columns = ["in_h", "out_h", "area_dm2", "thickness_um", "alloy_wt_pct", "mass_g"]
    np.testing.assert_allclose(racks[columns], kept[columns], rtol=1e-6)
    assert racks["name"].tolist() == kept["name"].tolist()
    assert racks["out_h"].is_monotonic_increasing
    shop.loads_to_csv(tmp_path / "racks.csv")
    assert len(pd.read_csv(tmp_path / "racks.csv")) == len(racks)
    steady = bk.simulate_life(bk.load_recipe("nickel-acid").set("limits.turnovers", 1))
    assert steady.loads().empty
    assert steady.events().empty


def test_an_unlisted_addition_is_seen_everywhere(shop: bk.Life, tmp_path: Path) -> None:
    events = shop.events()
    assert events["event"].tolist() == ["partial_dump", "acid_by_mistake"]
    assert events["doubtful_after"].tolist() == [False, True]
    assert UNLISTED in events["what"][1]
    text = " ".join(life_text(shop).split())
    assert "<- results after this time doubtful" in text
    assert UNLISTED in text
    assert any(UNLISTED in flag.what for flag in shop.flags)
    assert UNLISTED in life_page(shop)
    figure = shop.plot(tmp_path / "life.png")
    assert "results after acid by mistake are doubtful" in figure.get_supxlabel().replace("\n", " ")
    for axes in figure.axes:
        assert {"1", "2"} <= {text.get_text() for text in axes.texts}


def test_text_of_a_tank_fits(shop: bk.Life) -> None:
    text = life_text(shop)
    assert max(map(len, text.splitlines())) <= 100
    assert text.isascii()
    for words in (
        "volumes, L:",
        "evaporated",
        "dragged out",
        "brackets",
        "degC",
        "stress tendency",
    ):
        assert words in text
    assert "MPa" not in text


def test_long_lives_print_some_rows() -> None:
    assert rows_shown(8) == list(range(8))
    shown = rows_shown(267)
    assert len(shown) <= 41
    assert (shown[0], shown[-1]) == (0, 266)


def test_volumes_add_up(shop: bk.Life) -> None:
    volumes = shop.volumes
    came = 400 + volumes["solutions_l"] + volumes["water_l"]
    went = sum(volumes[f"{name}_l"] for name in ("drag_out", "bled", "overflow", "evaporated"))
    assert volumes["volume_l"] == pytest.approx(came - went, abs=1e-9)


def test_stress_is_a_tendency(shop: bk.Life) -> None:
    assert shop.stress is not None
    assert shop.stress.end.tendency == "towards tensile"
    assert "common practice" in shop.stress.end.evidence
    assert bk.simulate_life("copper-edta").stress is None


def test_a_film_has_its_standing() -> None:
    film = bk.simulate_life("copper-tartrate-quiet").film
    assert film is not None
    assert film.largest_ph_drop > 0


def test_command_with_a_calendar(bathkin: Callable[..., Outcome], tmp_path: Path) -> None:
    calendar = tmp_path / "week.csv"
    calendar.write_text("rack;in_h;minutes;area_dm2\nlid;0;60;40,5\n", encoding="utf-8")
    racks = tmp_path / "racks.csv"
    arguments = ["life", str(POWER_LAW), "--calendar", str(calendar)]
    arguments += ["--set", "life.longest_clock_h=3"]
    printed = bathkin(*arguments, "--loads", str(racks))
    assert printed.code == 0
    assert "lid" in printed.out
    assert pd.read_csv(racks)["area_dm2"].tolist() == [40.5]
    document = bathkin(*arguments, "--json").document()
    assert document["loads"][0]["thickness_um"] == pytest.approx(16.4, abs=0.1)
    assert document["volumes"]["volume_l"] == 400
    assert document["events"] == []
    calendar.write_text("in_h,minutes,area_dm2\n0,60,-1\n", encoding="utf-8")
    refused = bathkin(*arguments)
    assert refused.code == 2
    assert f"{calendar}:2: area_dm2 = -1: expected the area of the rack" in refused.err


def test_a_calendar_is_judged_with_the_settings(
    bathkin: Callable[..., Outcome], tmp_path: Path
) -> None:
    rows = "in_h,minutes,area_dm2\n0,60,40\n{},60,40\n"
    (tmp_path / "week.csv").write_text(rows.format(100), encoding="utf-8")
    shop = tmp_path / "shop.toml"
    shop.write_text('base = "nickel-acid"\n[work]\ncalendar = "week.csv"\n', encoding="utf-8")
    day = tmp_path / "day.csv"
    day.write_text(rows.format(12), encoding="utf-8")
    stop = ["--set", "life.longest_clock_h=60"]
    repeat = ["--set", "work.calendar_repeat_h=24"]
    # The week is longer than a day, but it is the day that is plated.
    assert bathkin("life", str(shop), *repeat, *stop).code == 2
    printed = bathkin("life", str(shop), "--calendar", str(day), *repeat, *stop, "--json")
    assert printed.code == 0, printed.err
    assert [rack["in_h"] for rack in printed.document()["loads"]] == [0, 12, 24, 36, 48]
    # The order in which they are written does not matter, and a calendar that is gone is not read.
    (tmp_path / "week.csv").unlink()
    assert bathkin("life", str(shop), *repeat, "--calendar", str(day), *stop).code == 0
    refused = bathkin(
        "life", str(shop), "--calendar", str(day), "--set", "work.calendar_repeat_h=6"
    )
    assert refused.code == 2
    assert "before the calendar begins again, at 6 h" in refused.err


def test_water_that_leaves_is_a_sentence(bathkin: Callable[..., Outcome]) -> None:
    lean = "replenisher.reductant.sodium_hypophosphite_monohydrate_g_l=10"
    loss = "tank.drag_out_l_m2=0.1"
    printed = bathkin("life", str(POWER_LAW), "--set", lean, "--set", loss)
    text = " ".join(printed.out.split())
    assert "water taken out to hold the level 8945" in text
    assert "water made up -" not in text
    assert "an open tank of 0.54 m2 at 88 degC evaporates some 5.4 L/h" in text


def test_work_that_dissolves_ends_a_life(bathkin: Callable[..., Outcome]) -> None:
    arguments = ["life", "nickel-mixed-potential", "--set", "ph_control.policy=off"]
    text = " ".join(bathkin(*arguments).out.split())
    assert "The work dissolves in the bath: after 171.6 h on the clock" in text
    assert "the bath dissolves the metal from 171.6 h on: the life ends there" in text
    assert bathkin(*arguments, "--json").document()["verdict"]["limit"] == "nickel dissolves"


def test_areas_are_no_volumes() -> None:
    with pytest.raises(bk.RecipeError, match="an area"):
        bk.load_recipe("nickel-acid").set("load.lid.area_dm2", "3 ft3")


def test_drag_out_from_use() -> None:
    litres = bk.drag_out_from_use_l(added_g="1000 lb", held_g_l="20 oz/gal")
    assert litres / 3.785411784 == pytest.approx(800, rel=1e-9)
    with pytest.raises(bk.RecipeError, match="consumed_by_reaction = true"):
        bk.drag_out_from_use_l(added_g=1, held_g_l=1, consumed_by_reaction=True)
