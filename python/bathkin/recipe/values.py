"""Values of a recipe: what is known of each, and how a text given for one is read."""

from __future__ import annotations

from collections.abc import Sequence

from bathkin import _core
from bathkin.core.arguments import truth
from bathkin.core.numbers import is_truth, shown
from bathkin.core.units import to_number, unit_of
from bathkin.errors import RecipeError

Value = float | str | bool


def read_value(path: str, value: object, current: object, by: str) -> Value:
    """A value given for a path: a text, true/false, or a number in any form.

    Raises:
        RecipeError: For anything else, or several at once.
    """
    if isinstance(value, str):
        return from_text(path, value, current, by)
    if isinstance(value, bool) or (is_truth(value) and getattr(value, "ndim", 0) == 0):
        return truth(path, value)
    return to_number(path, value, by)  # type: ignore[arg-type]


# What stands for a number that is left out.
OFF = "off"


def from_text(path: str, text: str, current: object, by: str) -> Value:
    """A text given for a path, as the type that path holds."""
    if isinstance(current, (str, list)) or text.strip() == OFF:
        return text.strip()
    if isinstance(current, bool):
        return _truth(text, text)
    if current is not None or unit_of(path) is not None:
        return to_number(path, text, by)
    try:
        return float(text)
    except ValueError:
        return _truth(text, text)


def with_values(
    core: _core.Recipe, changes: Sequence[tuple[str, Value | None, str]]
) -> _core.Recipe:
    """A recipe, not checked yet, with changes (path, value, by whom)."""
    for path, value, by in changes:
        if not isinstance(path, str):
            raise RecipeError(f"{by}: {shown(path)}: expected a path, or paths with their values")
        if value is None:
            raise RecipeError(f"{by}: {path}: expected a value")
        core = core.with_value(path, read_value(path, value, core.value(path), by), by)
    return core


def _truth(text: str, otherwise: Value) -> Value:
    return {"true": True, "false": False}.get(text.strip().lower(), otherwise)
