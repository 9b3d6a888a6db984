"""An estimated number."""

from __future__ import annotations

from bathkin.core.records import Record


class Estimate(Record):
    """An estimate with its uncertainty.

    Attributes:
        path: Name with unit.
        value: Value.
        standard_error: Standard error, or None without a degree of freedom.
        interval95: 95 % interval (low, high), or None.
        status: `ok`, or why there is no uncertainty.
    """

    _title = "Estimate"

    path: str
    value: float
    standard_error: float | None
    interval95: list[float] | None
    status: str
