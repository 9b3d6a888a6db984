"""Options of fits, from text."""

from __future__ import annotations

from bathkin.errors import DataError
from bathkin.units import to_number


def bound(text: str) -> tuple[str, tuple[float | None, float | None]]:
    """A bound from PATH=LOW:HIGH.

    Raises:
        DataError: For anything else.

    Example:
        >>> from bathkin.cli.fit_options import bound
        >>> bound("deposition.ph_order=0:1"), bound("tank.volume_l=:400")
        (('deposition.ph_order', (0.0, 1.0)), ('tank.volume_l', (None, 400.0)))
    """
    path, ends = _parts("--bound", text, "PATH=LOW:HIGH, either end may be empty")
    low, colon, high = ends.partition(":")
    if not colon:
        raise DataError(f"--bound {text}: expected PATH=LOW:HIGH, either end may be empty")
    numbers = [
        to_number(path, end.strip(), "--bound") if end.strip() else None for end in (low, high)
    ]
    return path, (numbers[0], numbers[1])


def tied(text: str) -> tuple[str, str | tuple[str, float]]:
    """A tie from PATH=OTHER or PATH=OTHER*FACTOR.

    Raises:
        DataError: For anything else.

    Example:
        >>> from bathkin.cli.fit_options import tied
        >>> tied("a.x=b.x"), tied("a.x=b.x*2")
        (('a.x', 'b.x'), ('a.x', ('b.x', 2.0)))
    """
    expected = "PATH=OTHER or PATH=OTHER*FACTOR"
    path, to = _parts("--tie", text, expected)
    other, times, factor = to.partition("*")
    if not times:
        return path, other
    return path, (other.strip(), _number("--tie", text, factor, expected))


def parted(text: str) -> tuple[str, str]:
    """A path and the column that parts it, from PATH=COLUMN.

    Raises:
        DataError: For anything else.
    """
    return _parts("--per", text, "PATH=COLUMN")


def column_errors(text: str) -> tuple[str, tuple[str | float, ...]]:
    """Errors of a column from COLUMN=MODEL:SIZE.

    Raises:
        DataError: For anything else.

    Example:
        >>> from bathkin.cli.fit_options import column_errors
        >>> column_errors("nickel_g_l=mixed:0.05:0.02")
        ('nickel_g_l', ('mixed', 0.05, 0.02))
    """
    expected = "COLUMN=relative:0.02, absolute:SIZE or mixed:SIZE:0.02"
    column, said = _parts("--error", text, expected)
    model, *sizes = said.split(":")
    return column, (model.strip(), *(_number("--error", text, size, expected) for size in sizes))


def _end(path: str, text: str) -> float | None:
    return to_number(path, text.strip(), "--bound") if text.strip() else None


def _parts(option: str, text: str, expected: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not name.strip() or not value.strip():
        raise DataError(f"{option} {text}: expected {expected}")
    return name.strip(), value.strip()


def _number(option: str, text: str, number: str, expected: str) -> float:
    try:
        return float(number)
    except ValueError as error:
        raise DataError(f"{option} {text}: expected {expected}") from error
