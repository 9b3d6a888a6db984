"""The sheet of a shift: what to add and when, pumped lines, water, racks, and room to sign."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from bathkin.core import layout
from bathkin.core.layout import Column, number
from bathkin.core.naming import symbol
from bathkin.reports.measures import ML_PER_L, measured

if TYPE_CHECKING:
    from bathkin.life.results import Plan, PlannedAddition
    from bathkin.recipe.document import RecipeDocument

# A volume below this is none, L.
_NOTHING_L = 1e-6
_TO_SIGN = "______"
_PARTS = ("start", "middle", "end")


@dataclass(frozen=True)
class Shift:
    """A shift to put on paper.

    Attributes:
        name: Which bath.
        recipe: Its recipe.
        plan: What to add.
        unit: `L` or `gal`.
        start: When it begins; None: start, middle and end in place of times.
        known: Where the bath at the start is known from.
    """

    name: str
    recipe: RecipeDocument
    plan: Plan
    unit: str = "L"
    start: datetime | None = None
    known: str = ""

    def title(self) -> str:
        """Which bath and when."""
        hours = number(self.plan.shift_h)
        if self.start is None:
            return f"shift sheet of {self.name}: {hours} h"
        end = self.start + timedelta(hours=self.plan.shift_h)
        until = f"{end:%H:%M}" if end.date() == self.start.date() else f"{end:%Y-%m-%d %H:%M}"
        return f"shift sheet of {self.name}: {self.start:%Y-%m-%d %H:%M} to {until}"

    def bath(self) -> str:
        """The bath at the start."""
        state, of = self.plan.start, self.recipe
        return (
            f"at the start{self.known}: {of.metal} {state.metal_g_l:.2f} g/L,"
            f" {of.reductant} {state.reductant_mol_l:.3f} mol/L, pH {state.ph:.2f},"
            f" {state.turnovers:.2f} turnovers"
        )

    def end(self) -> str:
        """The bath at the end."""
        state, of = self.plan.end, self.recipe
        return (
            f"expected at the end: {of.metal} {state.metal_g_l:.2f} g/L, {of.reductant}"
            f" {state.reductant_mol_l:.3f} mol/L, pH {state.ph:.2f}"
        )

    def at(self, hours: float) -> str:
        """A moment of it."""
        if self.start is not None:
            return f"{self.start + timedelta(hours=hours):%H:%M}"
        third = min(int(3.0 * hours / self.plan.shift_h), 2)
        return f"{_PARTS[third]}, {hours:.1f} h"

    def volume(self, volume_ml: float) -> str:
        """A volume in its unit, as fine as its measure."""
        return measured(volume_ml, self.unit, self.plan.round_ml)

    def doses(self) -> list[PlannedAddition]:
        """What is added by hand."""
        return [one for one in self.plan.additions if not self.flows(one)]

    def flows(self, one: PlannedAddition) -> bool:
        """Whether it runs in over the shift: pumped, or carried in with the work."""
        return one.pump_ml_h is not None or one.reason == "carried in with the work"


DOSES = ("at", "add", "amount", "before", "after", "pH", "why", "done by")


def dose_rows(shift: Shift, to_sign: str = "") -> list[list[str]]:
    """The doses: when, what, how much, metal before and after, pH after, why, room to sign."""
    return [
        [
            shift.at(one.at_h),
            one.replenisher,
            shift.volume(one.volume_ml),
            f"{one.before.metal_g_l:.2f}",
            f"{one.after.metal_g_l:.2f}",
            f"{one.after.ph:.2f}",
            one.reason,
            to_sign,
        ]
        for one in shift.doses()
    ]


PUMPS = ("pump", "set to", "in the shift", "checked")


def pump_rows(shift: Shift, to_sign: str = "") -> list[list[str]]:
    """The pumped lines: mL/h while work is in the tank, and what they take."""
    return [
        [
            one.replenisher,
            f"{number(one.pump_ml_h, 3)} mL/h",
            measured(one.volume_ml, shift.unit),
            to_sign,
        ]
        for one in shift.plan.additions
        if one.pump_ml_h is not None
    ]


def total_rows(shift: Shift) -> list[list[str]]:
    """What the shift takes of each solution."""
    return [[total.replenisher, shift.volume(total.volume_ml)] for total in shift.plan.totals]


def water_text(shift: Shift) -> str:
    """Level and water."""
    plan, unit = shift.plan, shift.unit
    told = plan.volumes

    def litres(volume_l: float) -> str:
        return measured(ML_PER_L * volume_l, unit)

    losses = {
        "evaporation": told.evaporated_l,
        "drag-out": told.dragged_out_l,
        "bleed": told.bled_l,
        "overflow": told.overflowed_l,
    }
    lost = ", ".join(
        f"{name} {litres(value)}" for name, value in losses.items() if value > _NOTHING_L
    )
    start, end = (litres(state.volume_l) for state in (plan.start, plan.end))
    level = f"level: {start} at the start, {end} at the end"
    if told.water_l > _NOTHING_L:
        level += f"; water to hold it: {litres(told.water_l)}"
    elif told.water_l < -_NOTHING_L:
        level += f"; to hold it, {litres(-told.water_l)} of what is added has to evaporate"
    missing = told.working_l - plan.end.volume_l
    if missing > 1e-3 * told.working_l:
        level += f"; fill up with {litres(missing)} of water to {litres(told.working_l)}"
    return f"{level} ({lost})" if lost else level


RACKS = ("in", "out", "rack", "min", "dm2", "done by")


def rack_rows(shift: Shift, to_sign: str = "") -> list[list[str]]:
    """The racks due, with their minutes."""
    return [
        [
            _rack_at(shift, one.at_h),
            _rack_at(shift, one.at_h + one.minutes / 60.0),
            f"{one.rack} ({one.substrate})" if one.substrate else one.rack,
            f"{one.minutes:.0f}",
            number(one.area_dm2, 3),
            to_sign,
        ]
        for one in shift.plan.racks
    ]


def _rack_at(shift: Shift, hours: float) -> str:
    if shift.start is not None:
        return f"{shift.start + timedelta(hours=hours):%H:%M}"
    minutes = round(60.0 * hours)
    return f"+{minutes // 60}:{minutes % 60:02d}"


def measure_text(shift: Shift) -> str:
    """To what doses are rounded, and what that does."""
    plan = shift.plan
    if plan.round_ml is None or not plan.additions:
        return ""
    exact, step = plan.end_exact, measured(plan.round_ml, shift.unit, plan.round_ml)
    return (
        f"doses in steps of {step}; exact ones would leave {exact.metal_g_l:.2f} g/L and"
        f" pH {exact.ph:.2f}"
    )


def shift_text(shift: Shift) -> str:
    """The sheet for a terminal or a plain printer."""
    plan = shift.plan
    parts = [
        "\n".join(layout.wrapped(line, 0, 2) for line in (shift.title(), shift.bath())),
        _table(DOSES, dose_rows(shift, _TO_SIGN), (0, 1, 6, 7), _heads(shift)),
        _table(PUMPS, pump_rows(shift, _TO_SIGN), (0, 3)),
        _table(("in the shift", "amount"), total_rows(shift), (0,)),
        _table(RACKS, rack_rows(shift, _TO_SIGN), (2, 5)),
        "\n".join(
            layout.wrapped(line, 0, 2)
            for line in (water_text(shift), shift.end(), measure_text(shift))
            if line
        ),
        "\n".join(layout.wrapped(note, 0, 2) for note in plan.notes),
        "made up by ____________________   date ____________   checked by ____________________",
    ]
    return "\n\n".join(filter(None, parts))


def _heads(shift: Shift) -> dict[str, str]:
    metal = symbol(shift.recipe.metal)
    return {
        "before": f"{metal}, g/L\nbefore",
        "after": f"{metal}, g/L\nafter",
        "pH": "pH\nafter",
    }


def dose_heads(shift: Shift) -> list[str]:
    """Headings of the doses, for a page."""
    heads = _heads(shift)
    return [heads.get(name, name).replace("\n", " ") for name in DOSES]


def _table(
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    left: Sequence[int],
    named: dict[str, str] | None = None,
) -> str:
    if not rows:
        return ""
    names = named or {}
    return layout.render(
        [
            Column(names.get(head, head), [row[at] for row in rows], left=at in left)
            for at, head in enumerate(heads)
        ]
    )
