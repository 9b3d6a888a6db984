"""When each limit of a life is reached."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bathkin import _core
from bathkin.core.arguments import truth
from bathkin.core.dates import with_dates

if TYPE_CHECKING:
    import pandas as pd

    from bathkin.life.record import LifeRecord
    from bathkin.life.results import Outlook


def outlook_rows(life: LifeRecord, past_limits: bool) -> list[Outlook]:
    """When each limit is reached, a record per limit."""
    return _core.life_outlook(life.recipe._core, life._core, truth("past_limits", past_limits))


def outlook(life: LifeRecord, past_limits: bool) -> pd.DataFrame:
    """When each limit is reached, as a table."""
    import pandas as pd

    found = []
    for one in outlook_rows(life, past_limits):
        row = one.to_dict()
        moment = row.pop("reached") or dict.fromkeys(("turnovers", "clock_h", "area_m2"))
        found.append({**row, **moment})
    table: pd.DataFrame = pd.DataFrame(found)
    when = ["turnovers", "clock_h", "area_m2"]
    table[when] = table[when].astype(float)
    return with_dates(table, life.start, date="clock_h")
