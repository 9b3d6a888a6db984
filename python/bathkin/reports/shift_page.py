"""The sheet of a shift as a page to hand out and sign."""

from __future__ import annotations

from bathkin.reports.page import Block, Grid, Items, Page, Sign, Words
from bathkin.reports.shift import (
    PUMPS,
    RACKS,
    Shift,
    dose_heads,
    dose_rows,
    measure_text,
    pump_rows,
    rack_rows,
    total_rows,
    water_text,
)


def shift_page(shift: Shift) -> Page:
    """Doses, pumps, totals, racks and water, with room to sign."""
    blocks: list[Block] = []
    doses, pumps, racks = dose_rows(shift), pump_rows(shift), rack_rows(shift)
    if doses:
        blocks.append(Grid("Add", dose_heads(shift), doses, (0, 1, 6), (7,)))
    if pumps:
        blocks.append(Grid("Pumps", PUMPS, pumps, (0,), (3,)))
    if shift.plan.totals:
        blocks.append(Grid("The shift takes", ("", "amount"), total_rows(shift)))
    if racks:
        blocks.append(Grid("Racks", RACKS, racks, (0, 1, 2), (5,)))
    lines = [water_text(shift), shift.end(), measure_text(shift)]
    blocks += [Words(text) for text in lines if text]
    if shift.plan.notes:
        blocks.append(Items("Notes", shift.plan.notes))
    blocks.append(Sign(("made up by", "date", "checked by")))
    cautions = shift.recipe.cautions[:1]
    blocks += [Words(text, "small") for text in cautions]
    date = None if shift.start is None else f"{shift.start:%Y-%m-%d %H:%M}"
    return Page(shift.title(), shift.bath(), blocks, date)
