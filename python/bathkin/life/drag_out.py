"""Drag-out from the use of a salt."""

from __future__ import annotations

from bathkin import _core
from bathkin.core.arguments import truth
from bathkin.core.units import to_number


def drag_out_from_use_l(
    *, added_g: float | str, held_g_l: float | str, consumed_by_reaction: bool = False
) -> float:
    """Bath carried out over a time, from what was added of a salt that nothing uses up.

    Bleed, leaks and overflow are in it: whatever takes bath along.

    Args:
        added_g: What was added over the time, g, or a text with a unit ("1000 lb").
        held_g_l: Concentration it was held at, g/L, or a text with a unit ("20 oz/gal").
        consumed_by_reaction: True for a salt that plating or another reaction uses up.

    Returns:
        Bath carried out, L.

    Raises:
        RecipeError: For a salt that a reaction consumes, a value that is not above zero, a wrong
            unit.

    Example:
        >>> import bathkin as bk
        >>> litres = bk.drag_out_from_use_l(added_g="1000 lb", held_g_l="20 oz/gal")
        >>> round(litres / 3.785411784, 3)  # gal
        800.0
    """
    caller = "drag_out_from_use_l"
    added, held = to_number("added_g", added_g, caller), to_number("held_g_l", held_g_l, caller)
    consumed = truth("consumed_by_reaction", consumed_by_reaction)
    return _core.drag_out_from_use_l(added, held, consumed)
