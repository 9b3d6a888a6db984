"""A followed bath on one page, for the wall."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bathkin.core.flags import is_standing
from bathkin.core.layout import number
from bathkin.reports.page import Block, Grid, Items, Page, Words, image
from bathkin.reports.track import (
    STANDING,
    STANDING_LEFT,
    bath_name,
    corrector_lines,
    dump_rows,
    findings_lines,
    first_limits,
    next_analysis,
    past,
    standing_rows,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from bathkin.life.results import Plan
    from bathkin.tracking.record import TrackRecord

_MOST_FINDINGS = 6


def track_page(track: TrackRecord, plan: Plan, picture: Figure) -> Page:
    """Alarms, the date with its band, standing, findings, next shift and picture."""
    found, looks = findings_lines(track)
    alarms = [alarm.text for alarm in track.alarms]
    blocks: list[Block] = [Items("Alarms", alarms, "alarm")] if alarms else []
    blocks.append(Grid("Must be dumped", ("", "P10", "P50", "P90"), dump_rows(track)))
    blocks.append(Words("; ".join([first_limits(track), *past(track)])))
    blocks.append(Grid("The bath now", STANDING, standing_rows(track), STANDING_LEFT))
    for title, lines in (("Findings in the log", found), ("Worth a look", looks)):
        if lines:
            more = len(lines) - _MOST_FINDINGS
            told = [*lines[:_MOST_FINDINGS], *([f"and {more} more"] if more > 0 else [])]
            blocks.append(Items(title, told))
    if took := corrector_lines(track):
        blocks.append(Items("pH corrector", took))
    doubts = [str(flag) for flag in track.flags if not is_standing(flag)]
    if doubts:
        blocks.append(Items("Warnings", doubts))
    blocks.append(_next_shift(plan))
    blocks.append(image("metal, by-product and the share of members that have ended", picture))
    small = [
        "P10, P90: with a probability of 10 % it is below P10, with 10 % above P90",
        next_analysis(track),
        *track.cautions[:1],
    ]
    blocks.append(Words("; ".join(text for text in small if text), "small"))
    title = f"{bath_name(track)}: {track.now or f'{number(track.now_h)} h after the first row'}"
    subtitle = f"row {track.rows[-1].row} of {track.log.file}; {track.recipe.title}"
    return Page(title, subtitle, blocks, track.now)


def _next_shift(plan: Plan) -> Block:
    title = f"The next {number(plan.shift_h)} h take"
    if not plan.totals:
        return Items(title, plan.notes)
    rows = [
        [total.replenisher, f"{number(total.volume_ml / 1000.0, 3)} L"] for total in plan.totals
    ]
    return Grid(title, ("", "amount"), rows)
