"""When each limit of a life is reached."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from bathkin import _core
from bathkin.core.arguments import truth

if TYPE_CHECKING:
    import pandas as pd

    from bathkin.life.record import LifeRecord


def outlook_rows(life: LifeRecord, past_limits: bool) -> list[dict[str, Any]]:
    """When each limit is reached, a dictionary per limit."""
    found = _core.life_outlook(life.recipe._core, life._core, truth("past_limits", past_limits))
    rows: list[dict[str, Any]] = json.loads(found)
    return rows


def outlook(life: LifeRecord, past_limits: bool) -> pd.DataFrame:
    """When each limit is reached, as a table."""
    import pandas as pd

    rows = []
    for row in outlook_rows(life, past_limits):
        moment = row.pop("reached") or dict.fromkeys(("turnovers", "clock_h", "area_m2"))
        rows.append({**row, **moment})
    table: pd.DataFrame = pd.DataFrame(rows)
    when = ["turnovers", "clock_h", "area_m2"]
    table[when] = table[when].astype(float)
    return table
