"""Dates beside hours: tables, texts, documents, pictures and pages of a life made up at a date."""

from __future__ import annotations

import datetime
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import Any

import bathkin as bk
import pandas as pd
import pytest
from bathkin.core import dates
from bathkin.reports.life import life_text
from bathkin.reports.life_html import life_page
from support import Outcome

Command = Callable[..., Outcome]
START = "2026-03-02 06:00"
MONDAY = datetime.datetime(2026, 3, 2, 6)
# Invented; dates are rounded to the minute.
CALENDAR = """# invented
rack,in,out,area_dm2
a,2026-03-02 07:00,2026-03-02 08:00,120
b,2026-03-02 09:00,2026-03-02 10:00,120
"""
OF_RACKS = ["--set", "work.calendar_repeat_h=24", "--set", "limits.turnovers=0.2", "--quiet"]

pytestmark = pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")


@pytest.fixture(scope="module")
def dated(recipe: bk.Recipe) -> bk.Life:
    return bk.simulate_life(recipe, start=START)


@pytest.fixture
def calendar(tmp_path: Path) -> str:
    path = tmp_path / "racks.csv"
    path.write_text(CALENDAR)
    return str(path)


def expected(hours: pd.Series[float]) -> pd.Series[pd.Timestamp]:
    """Producer: the time arithmetic of pandas."""
    return (MONDAY + pd.to_timedelta(hours, unit="h")).dt.round("min")


def test_tables_have_dates_behind_hours(dated: bk.Life, life: bk.Life, tmp_path: Path) -> None:
    for table, bare in [
        (dated.table(), life.table()),
        (dated.ledger(), life.ledger()),
        (dated.outlook(), life.outlook()),
    ]:
        assert (table["date"].dropna() == expected(table["clock_h"].dropna())).all()
        assert list(table.columns).index("date") == list(table.columns).index("clock_h") + 1
        pd.testing.assert_frame_equal(table.drop(columns="date"), bare, check_like=False)
    assert dated.dump_date == expected(pd.Series([dated.dump.clock_h]))[0]
    assert (dated.start, life.start, life.dump_date) == (MONDAY, None, None)
    dated.to_csv(tmp_path / "life.csv")
    header, first = (tmp_path / "life.csv").read_text().splitlines()[:2]
    assert header.startswith("turnovers,turnovers_plated,clock_h,date,plating_h")
    assert ",2026-03-02 06:00:00," in first


def test_the_start_is_of_the_life(dated: bk.Life, life: bk.Life) -> None:
    assert pickle.loads(pickle.dumps(dated)) == dated != life
    forms: list[Any] = ["02.03.2026 6:00", "2026-03-02T06:00", MONDAY, pd.Timestamp(MONDAY)]
    for form in forms:
        assert dates.moment("start", form) == MONDAY
    assert dates.moment("start", datetime.date(2026, 3, 2)) == MONDAY.replace(hour=0)
    zoned = dates.moment("start", "2026-03-02 06:00+01:00")
    assert dates.spoken(zoned, 26.5) == "Tue 2026-03-03 08:30+01:00"


@pytest.mark.parametrize("start", ["tomorrow", "3/4/2026", "2026-02-30", 5, pd.NaT, True])
def test_what_is_no_date_is_named_with_an_example(recipe: bk.Recipe, start: Any) -> None:
    with pytest.raises(bk.RecipeError, match=r"start = .*: expected .* 2026-03-02 06:00"):
        bk.simulate_life(recipe, start=start)


def test_dates_end_with_the_year_9999(recipe: bk.Recipe) -> None:
    life = bk.simulate_life(recipe.set("limits.turnovers", 1), start="9999-12-31 12:00")
    with pytest.raises(bk.RecipeError, match=r"9999-12-31 12:00: .* beyond the year 9999"):
        life.table()


def test_words_pages_and_pictures_say_when(dated: bk.Life, life: bk.Life) -> None:
    text = " ".join(life_text(dated).split())
    assert "made up Mon 2026-03-02 06:00" in text
    # Producer: `date -d "2026-03-02 06:00 363 hours 17 minutes" "+%a %F %R"`.
    assert "(15.1 days, 2.2 weeks), on Tue 2026-03-17 09:17," in text
    assert max(map(len, life_text(dated).splitlines())) <= 100
    assert "2026" not in life_text(life)
    page, bare = life_page(dated), life_page(life)
    assert "<td>2026-03-17 09:17</td>" in page
    assert "made up Mon 2026-03-02 06:00" in page
    assert "made up" not in bare
    figure = dated.plot()
    assert "Tue 2026-03-17 09:17" in str(figure.get_suptitle() or figure.texts)
    figure.canvas.draw()
    labels = [tick.get_text() for tick in figure.axes[2].get_xticklabels()]
    assert labels[:4] == ["0\n2 Mar", "1\n3 Mar", "2\n4 Mar", "3\n6 Mar"]


def test_documents_have_dates_with_a_start_alone(bathkin: Command) -> None:
    arguments = ["life", "nickel-acid", "--json", "--set", "limits.turnovers=1"]
    bare = bathkin(*arguments).document()
    document = bathkin(*arguments, "--start", START).document()
    assert document["start"] == START
    assert document["verdict"]["date"] == "2026-03-03 09:24"
    assert document["table"]["date"][0] == START
    assert document["ledger"][0]["date"] == "2026-03-02 06:34"
    assert "date" not in str(bare["ledger"] + bare["outlook"]) + str(bare["verdict"])
    assert "start" not in bare
    del document["table"]["date"], document["verdict"]["date"]
    assert (document["table"], document["verdict"]) == (bare["table"], bare["verdict"])


def test_a_calendar_with_dates_tells_the_start(bathkin: Command, calendar: str) -> None:
    outcome = bathkin("life", "nickel-acid", "--calendar", calendar, *OF_RACKS)
    assert "made up Mon 2026-03-02 07:00" in " ".join(outcome.out.split())
    early = bathkin(
        "life", "nickel-acid", "--calendar", calendar, *OF_RACKS, "--json", "--start", START
    ).document()
    # The racks stay at their dates: an hour later by the clock of a bath made up at six.
    assert early["loads"][0]["in_date"] == "2026-03-02 07:00"
    assert early["loads"][0]["in_h"] == pytest.approx(1.0)
    assert early["start"] == START


def test_a_make_up_after_the_first_rack_is_refused(bathkin: Command, calendar: str) -> None:
    late = ["life", "nickel-acid", "--calendar", calendar, *OF_RACKS, "--start"]
    outcome = bathkin(*late, "2026-03-02 07:30")
    assert outcome.code == 2
    assert ":3: in = 0.5 h before the make-up" in outcome.err
    assert "2026-03-02 07:30" in outcome.err
    zoned = bathkin(*late, "2026-03-02 06:00+01:00")
    assert zoned.code == 2
    assert "a time zone as in the calendar, 2026-03-02 07:00, or in neither" in zoned.err
    no_date = bathkin(*late, "tomorrow")
    assert no_date.code == 2
    assert "--start = tomorrow: expected a day and time such as 2026-03-02 06:00" in no_date.err


def test_strategies_have_the_date_of_the_first_dump(bathkin: Command, dated: bk.Life) -> None:
    found = bk.compare("nickel-acid", ["dump-and-remake", "bleed-and-feed"], start=START)
    table = found.table()
    assert table["first_dump_date"]["dump-and-remake"] == dated.dump_date
    assert table["first_dump_date"].isna().tolist() == [False, True]
    document = bathkin("compare", "nickel-acid", "--start", START, "--json").document()
    first = document["strategies"][0]
    assert first["first_dump_date"] == "2026-03-17 09:17"
    assert first["first_dump_h"] == pytest.approx(dated.dump.clock_h)
    outcome = bathkin("compare", "nickel-acid", "--start", START, "--quiet")
    assert "2026-03-17" in outcome.out
    assert max(map(len, outcome.out.splitlines())) <= 100
    refused = bathkin("compare", "nickel-acid", "--start", START, "--bleed-for", "turnovers")
    assert refused.code == 2
