"""What of a log can be used but is hard to believe."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from statistics import median

from bathkin.core import layout
from bathkin.tables.headings import Heading
from bathkin.tables.sheets import Assumption
from bathkin.tables.times import When

# A reading this many times the median of its column, or a fraction as small, is doubted.
_FAR = 20.0
_ENOUGH_READINGS = 5
# What an effect begins with where the cell is hard to believe.
_DOUBTFUL = "doubtful: "


def doubts_of(report: Sequence[Assumption], rows: Sequence[int]) -> list[str]:
    """What of some rows is hard to believe, each with row, heading and what stands there.

    Example:
        >>> from bathkin.tables.doubts import doubts_of
        >>> from bathkin.tables.sheets import Assumption
        >>> doubts_of([Assumption(3, "pH", "0.1", "it stands", "doubtful: too low")], [1, 2, 3])
        ['row 3, pH = 0.1: too low']
    """
    return [
        f"row {one.row}, {one.column} = {one.raw}: {one.effect.removeprefix(_DOUBTFUL)}"
        for one in report
        if one.effect.startswith(_DOUBTFUL) and one.row in rows
    ]


def tell_of_far_readings(
    head: Heading, column: list[str], values: list[float | None], report: list[Assumption]
) -> None:
    """Tells of readings far from the median of their column; zeros may be true."""
    known = [value for value in values if value is not None]
    if head.kind != "reading" or len(known) < _ENOUGH_READINGS:
        return
    middle = median(known)
    for row, (cell, value) in enumerate(zip(column, values, strict=True), start=1):
        if value and middle > 0.0 and not middle / _FAR < value < middle * _FAR:
            effect = f"{_DOUBTFUL}the median of the column is {layout.number(middle)}"
            report.append(Assumption(row, head.text, cell, "it stands", effect))


def tell_of_the_future(
    said: When, moments: Sequence[datetime | None], report: list[Assumption]
) -> None:
    """Tells of the first row that lies more than a day ahead; clocks differ, so it stands."""
    for row, (cell, moment) in enumerate(zip(said.cells, moments, strict=True), start=1):
        now = datetime.now(None if moment is None else moment.tzinfo)
        if moment is not None and moment > now + timedelta(days=1):
            effect = f"{_DOUBTFUL}the row lies in the future, now it is {now:%Y-%m-%d %H:%M}"
            report.append(Assumption(row, said.text, cell, "it stands", effect))
            return
