"""Numbers that a fit held, as a table."""

from __future__ import annotations

from bathkin.core import layout
from bathkin.fit import results

# Held numbers that a summary lists, and the part of an hour that counts.
_HELD_SHOWN = 8
_HELD_LEAST_H = 0.05


def held_text(held: list[results.HeldNumber]) -> str:
    """Numbers that were held, with what 10 % more of each does."""
    moving = [one for one in held if one.moved is None or abs(one.moved) >= _HELD_LEAST_H]
    shown = moving[:_HELD_SHOWN]
    if not shown:
        return ""
    ranges = [one.range for one in shown]
    table = layout.render(
        [
            layout.Column("held, in no spread", [one.path for one in shown], left=True),
            layout.Column("value", [layout.number(one.value) for one in shown]),
            layout.Column("kind", [one.kind or "-" for one in shown], left=True),
            layout.Column(
                "range",
                ["-" if ends is None else f"{ends[0]:g} to {ends[1]:g}" for ends in ranges],
                left=True,
            ),
            layout.Column(
                "10 % more, h",
                ["no dump" if one.moved is None else f"{one.moved:+.1f}" for one in shown],
            ),
        ]
    )
    more = len(held) - len(shown)
    rest = f"{more} more move it by less: held_numbers has them" if more else ""
    return "\n".join(filter(None, [table, rest]))
