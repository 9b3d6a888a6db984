"""Results as the core hands them over. Written by `make results`: change the structs in Rust."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray

from bathkin.core.result import Result
from bathkin.core.results import Flag


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Life(Result):
    """The life of a bath.

    Attributes:
        verdict: What ended it.
        limits: Where every limit stands at the end.
        solids: How far each solid went towards falling out.
        film: What the film before the surface came to; none without a film.
        surface: What the surface came to beyond what is believed.
        stress: Which way the stress of the deposit tends; none where nothing is known of it.
        ledger: Every addition.
        loads: Every rack that came out, in order (racks on a calendar only).
        events: Declared events, in order.
        balance: The mass balance.
        reductant_feed: Reductant fed against reductant used.
        hydrogen_l: Hydrogen evolved over the life, L at 25 degC and 1 atm.
        effort: SolverStatistics.
    """

    verdict: Dump
    limits: list[Limit]
    solids: list[SolidStatus]
    film: FilmStatus | None
    surface: SurfaceStatus
    stress: StressStatus | None
    ledger: list[Addition]
    loads: list[LoadRecord]
    events: list[EventRecord]
    balance: Balance
    reductant_feed: ReductantFeed
    hydrogen_l: float
    effort: SolverStatistics


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Dump(Result):
    """What ended the life, and when.

    Attributes:
        limit: Name of the first limit reached; `none` when the time ran out first.
        clock_h: Clock time since make-up, h.
        plating_h: Time with work in the tank, h.
        turnovers: Metal turnovers by metal replenished.
        turnovers_plated: Metal turnovers by metal plated.
        area_m2: Area plated, m2.
    """

    limit: str
    clock_h: float
    plating_h: float
    turnovers: float
    turnovers_plated: float
    area_m2: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Limit(Result):
    """Where a limit stands at the end of a life.

    Attributes:
        name: Name with unit.
        path: Path it was set by.
        substrate: The substrate it holds for; none: whatever is plated.
        bound: The bound.
        value: The reading.
        margin: Distance left, in the unit of the name; zero or below when reached.
        used_pct: Share of the way from the fresh bath to the bound, %; of a saturation index, the
            activity product over the one at the bound.
        as_given: The same in the words and the unit it was set in.
    """

    name: str
    path: str
    substrate: str | None
    bound: float
    value: float
    margin: float
    used_pct: float
    as_given: GivenLimit


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class GivenLimit(Result):
    """A limit in the words and the unit it was set in.

    Attributes:
        words: What is limited.
        unit: Unit; empty for a pure number.
        bound: The bound in that unit.
        value: The reading in that unit, where one is at hand.
    """

    words: str
    unit: str
    bound: float
    value: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class SolidStatus(Result):
    """How far a solid went towards falling out over a life, seen at every stop.

    Attributes:
        name: Name of the solid.
        title: Name for people.
        largest_saturation_index: Largest saturation index.
        largest_at_h: Clock time of the largest, h.
        oversaturated_from_h: Clock time of the first stop at which the bath was oversaturated, h;
            `None` while it stayed clear.
    """

    name: str
    title: str
    largest_saturation_index: float
    largest_at_h: float
    oversaturated_from_h: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class FilmStatus(Result):
    """What was seen of the surface behind a film, at every stop.

    Clock times are those of the first stop, h.

    Attributes:
        largest_ph_drop: Largest fall of the pH from bath to surface.
        largest_at_h: Clock time of the largest, h.
        starved_from_h: The film could not bring what the law asked for, from here on.
        acid_from_h: The film could not bring the alkalinity used: an acid surface in an alkaline
            bath, from here on.
        several_from_h: Several steady states, from here on.
        most_steady_states: The most steady states at one stop.
    """

    largest_ph_drop: float
    largest_at_h: float
    starved_from_h: float | None
    acid_from_h: float | None
    several_from_h: float | None
    most_steady_states: int


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class SurfaceStatus(Result):
    """What was seen of the covered surface at every stop with work in the tank.

    Clock times are those of the first stop, h.

    Attributes:
        fastest_um_h: Fastest deposition as the bath stood, um/h.
        fastest_at_h: Clock time of the fastest, h.
        slowest_at_set_points_um_h: Slowest deposition with metal and pH at their set-points, um/h.
        slowest_at_h: Clock time of the slowest, h.
        richest_alloy_wt_pct: Most of the alloying element in what was deposited, wt%; zero of a
            pure metal.
        richest_at_h: Clock time of the most, h.
        hydrogen_taken_up_from_h: Hydrogen is taken up and not given off, from here on.
        no_potential_from_h: The partial currents cancelled nowhere, so that nothing plated, from
            here on.
        held_orders: Negative orders read at the lower end of their range, each as it was first
            seen, and since when, h.
    """

    fastest_um_h: float
    fastest_at_h: float
    slowest_at_set_points_um_h: float
    slowest_at_h: float
    richest_alloy_wt_pct: float
    richest_at_h: float
    hydrogen_taken_up_from_h: float | None
    no_potential_from_h: float | None
    held_orders: list[tuple[HeldOrder, float]]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class HeldOrder(Result):
    """A negative order below its range: the law is read where the range ends.

    Attributes:
        reaction: The half-reaction or the reaction of the liquid whose law it is.
        substance: What it follows.
        mol_l: How much of it there is, mol/L.
        held_at_mol_l: How much the law reads, mol/L.
    """

    reaction: str
    substance: str
    mol_l: float
    held_at_mol_l: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class StressStatus(Result):
    """The tendency of a fresh bath and of the bath at the end of its life.

    Attributes:
        fresh: From the fresh bath.
        end: At the end.
    """

    fresh: StressTendency
    end: StressTendency


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class StressTendency(Result):
    """Which way the stress tends, with the evidence for it.

    Attributes:
        tendency: In words: compressive, neutral, tensile and what lies between.
        evidence: Where that comes from.
    """

    tendency: str
    evidence: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Addition(Result):
    """One addition.

    Attributes:
        clock_h: Clock time, h; of what a pump fed since its last line, that of the line.
        turnovers: Turnovers by metal replenished, with this addition in.
        replenisher: Which replenisher.
        volume_ml: Volume, mL.
        dose: The same in the unit of the solution.
        dose_unit: That unit: `ml_l`, `pct_of_make_up` or `g_l`, each for the make-up volume.
        reason: Why.
    """

    clock_h: float
    turnovers: float
    replenisher: str
    volume_ml: float
    dose: float
    dose_unit: str
    reason: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class LoadRecord(Result):
    """A rack that has been in the tank.

    Attributes:
        name: Name.
        substrate: What it is made of, when the calendar says.
        in_h: Clock time of going in, h.
        out_h: Clock time of coming out, h.
        area_dm2: Area, dm2.
        thickness_um: Mean thickness, um.
        alloy_wt_pct: Alloying element in it, wt%; zero of a pure metal.
        mass_g: Mass of the deposit, g.
        weighed_g: What it gained on a balance, g, when the calendar says.
    """

    name: str
    substrate: str | None
    in_h: float
    out_h: float
    area_dm2: float
    thickness_um: float
    alloy_wt_pct: float
    mass_g: float
    weighed_g: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class EventRecord(Result):
    """A declared event that took place.

    Attributes:
        clock_h: Clock time, h.
        turnovers: Turnovers by metal replenished.
        event: Name of the event.
        what: What was done.
        doubtful_after: True when what was added is not on the list of the bath: results after it
            are doubtful.
    """

    clock_h: float
    turnovers: float
    event: str
    what: str
    doubtful_after: bool


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Balance(Result):
    """The mass balance of a run.

    Attributes:
        max_relative_residual: Largest relative residual of any element or the charge at any stop.
        worst: What it was of.
        allowed: Largest residual allowed.
    """

    max_relative_residual: float
    worst: str
    allowed: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ReductantFeed(Result):
    """How the reductant was fed against what was used.

    Attributes:
        fed_per_metal_mol: Moles added per mole of metal added over the life.
        used_per_metal_mol: Moles used per mole of metal plated over the life.
        set_point_mol_l: Set-point, mol/L.
        end_mol_l: At the end, mol/L.
    """

    fed_per_metal_mol: float
    used_per_metal_mol: float
    set_point_mol_l: float
    end_mol_l: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class SolverStatistics(Result):
    """How much work the computation was.

    Attributes:
        right_hand_sides: Right-hand sides evaluated.
        stops: Stops: doses, corrections, loads, rows, the end.
    """

    right_hand_sides: int
    stops: int


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class LifeCost(Result):
    """What a life has cost.

    Attributes:
        currency: Currency of every price.
        cost: Cost of the life, dumped at its end.
        deposit_um_dm2: Thickness times area plated, um dm2.
        cost_per_um_dm2: Cost per um dm2.
        parts: Parts of the cost.
        waste: Waste.
        optimum: Where dumping is cheapest; `None` when the cost per work still falls where the
            computation ended.
        limit_reached: Whether a limit ended the life, and not the end of the run.
        optimum_beyond_first_limit: Whether that is beyond the first limit: then the limit comes
            first.
        looked_to_turnovers: Turnovers up to which the optimum was looked for.
        curve: Cost if dumped at each row of the table.
        past_first_limit: The same past the first limit, where it was looked at.
    """

    currency: str
    cost: float
    deposit_um_dm2: float
    cost_per_um_dm2: float
    parts: CostParts
    waste: Waste
    optimum: Optimum | None
    limit_reached: bool
    optimum_beyond_first_limit: bool
    looked_to_turnovers: float
    curve: list[CostPoint]
    past_first_limit: list[CostPoint]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class CostParts(Result):
    """Parts of a cost.

    Attributes:
        make_up: Fresh bath.
        replenishers: What was fed.
        energy: Heat.
        waste: Waste.
        line: Line time while plating.
        dump: Labour and standing line of the dump.
    """

    make_up: float
    replenishers: float
    energy: float
    waste: float
    line: float
    dump: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Waste(Result):
    """Waste of a bath.

    Attributes:
        volume_l: Volume: the bath, and what was bled and dragged out, L.
        metal_g: Metal in it, g.
    """

    volume_l: float
    metal_g: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Optimum(Result):
    """Where dumping is cheapest.

    Attributes:
        turnovers: Turnovers by metal replenished.
        turnovers_plated: Turnovers by metal plated.
        clock_h: Clock time, h.
        cost_per_um_dm2: Cost per um dm2 there.
    """

    turnovers: float
    turnovers_plated: float
    clock_h: float
    cost_per_um_dm2: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class CostPoint(Result):
    """What a bath has cost if it is dumped here.

    Attributes:
        turnovers: Turnovers by metal replenished.
        turnovers_plated: Turnovers by metal plated.
        clock_h: Clock time, h.
        deposit_um_dm2: Thickness times area plated, um dm2.
        parts: Parts of the cost.
        cost: Their sum.
        cost_per_um_dm2: Cost per um dm2; infinite while nothing is plated.
        waste: Waste.
    """

    turnovers: float
    turnovers_plated: float
    clock_h: float
    deposit_um_dm2: float
    parts: CostParts
    cost: float
    cost_per_um_dm2: float
    waste: Waste


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Outlook(Result):
    """When a limit is reached.

    Attributes:
        name: Name of the limit.
        path: Path it was set by.
        substrate: The substrate it holds for; none: whatever is plated.
        applies: Whether it ends this life: false for a cap of other work.
        bound: The bound.
        as_given: The same in the words and the unit it was set in.
        reached: When it is reached; `None` when the table ends before.
        looked_to_turnovers: Turnovers up to which it was looked for.
        looked_to_h: Clock time of those, h.
        past_first_limit: Whether that is after the life ended.
    """

    name: str
    path: str
    substrate: str | None
    applies: bool
    bound: float
    as_given: GivenLimit
    reached: LimitCrossing | None
    looked_to_turnovers: float
    looked_to_h: float
    past_first_limit: bool


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class LimitCrossing(Result):
    """A moment of a life, between two rows of its table.

    Attributes:
        turnovers: Turnovers by metal replenished.
        clock_h: Clock time, h.
        area_m2: Area plated, m2.
    """

    turnovers: float
    clock_h: float
    area_m2: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Plan(Result):
    """A dosing plan.

    Attributes:
        shift_h: Length of the shift, h.
        round_ml: Smallest step of the measure, mL.
        start: The bath at the start of the shift.
        end: At its end, as planned.
        end_exact: At its end, if nothing were rounded.
        additions: What to add, in order.
        totals: What the shift takes of each solution.
        volumes: Water, and what leaves the tank.
        racks: Racks of a calendar that go in during the shift, or are in the tank at its start.
        notes: What has to be known with it; an empty plan says why.
        flags: Warnings.
    """

    shift_h: float
    round_ml: float | None
    start: ShiftState
    end: ShiftState
    end_exact: ShiftState
    additions: list[PlannedAddition]
    totals: list[ShiftTotal]
    volumes: ShiftVolumes
    racks: list[ShiftRack]
    notes: list[str]
    flags: list[Flag]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ShiftState(Result):
    """What a plan tells of the bath at a moment.

    Attributes:
        metal_g_l: Metal, g/L.
        reductant_mol_l: Reductant, mol/L.
        ph: pH as the operator reads it.
        volume_l: Volume, L.
        turnovers: Turnovers by metal replenished.
    """

    metal_g_l: float
    reductant_mol_l: float
    ph: float
    volume_l: float
    turnovers: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class PlannedAddition(Result):
    """An addition to come.

    Attributes:
        at_h: Hours from the start of the shift.
        replenisher: Which solution.
        exact_ml: Volume without rounding, mL.
        volume_ml: Volume to add, mL.
        dose: The same in the unit of the solution.
        dose_unit: That unit.
        pump_ml_h: Of what a pump feeds, the rate while work is in the tank, mL/h.
        reason: Why.
        before: The bath before it; for what a pump feeds, at the start of the shift.
        after: The bath after it; for what a pump feeds, at the end of the shift.
    """

    at_h: float
    replenisher: str
    exact_ml: float
    volume_ml: float
    dose: float
    dose_unit: str
    pump_ml_h: float | None
    reason: str
    before: ShiftState
    after: ShiftState


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ShiftTotal(Result):
    """What a shift takes of a solution.

    Attributes:
        replenisher: Which solution.
        exact_ml: Volume without rounding, mL.
        volume_ml: Volume with it, mL.
    """

    replenisher: str
    exact_ml: float
    volume_ml: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ShiftVolumes(Result):
    """Volumes of a shift as planned.

    Attributes:
        working_l: Working volume of the recipe, L.
        water_l: Water made up, L; below zero at a held level that water had to leave.
        evaporated_l: Evaporated, L.
        dragged_out_l: Carried out with the work, L.
        bled_l: Bled off or taken out, L.
        overflowed_l: Gone over the brim, L.
    """

    working_l: float
    water_l: float
    evaporated_l: float
    dragged_out_l: float
    bled_l: float
    overflowed_l: float


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ShiftRack(Result):
    """A rack of a shift.

    Attributes:
        at_h: Hours from the start of the shift at which it goes in; 0 for one that is in the tank
            then.
        rack: Its name.
        minutes: Time it stays from then, min.
        area_dm2: Its area, dm2.
        substrate: What it is made of, where the calendar says.
    """

    at_h: float
    rack: str
    minutes: float
    area_dm2: float
    substrate: str | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class LifeSensitivity(Result):
    """How a life answers to the numbers of its recipe.

    Attributes:
        base: The life as the recipe has it.
        base_cost_per_um_dm2: What it costs per um dm2, with the part of a dose that it owes at its
            end; none without prices.
        currency: Currency of the cost; none without prices.
        step: Relative step to both sides.
        by: What the rows are ranked by. One of `area`, `money`, `hours`.
        rows: A row per number, the one whose shop's step moves most first.
        skipped: Numbers left out, and why.
    """

    base: Dump
    base_cost_per_um_dm2: float | None
    currency: str | None
    step: float
    by: str
    rows: list[Sensitivity]
    skipped: dict[str, str]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Sensitivity(Result):
    """How the dump answers to one number.

    Attributes:
        path: Path of the number.
        value: Its value in the recipe.
        ran_at: Values the life was run at, low and high; one of them the recipe's own where the
            other side failed.
        turnovers: d ln(turnovers) / d ln(value), turnovers by metal plated, which doses do not
            round.
        plating_h: d ln(plating hours) / d ln(value).
        clock_h: d ln(clock hours) / d ln(value); nights and weekends make it jump.
        area_m2: d ln(area plated) / d ln(value).
        cost_per_um_dm2: d ln(cost per um dm2) / d ln(value), without the steps of single doses;
            none without prices.
        shop_step: The step of a shop for its unit, such as 0.1 of a pH or 1 degC; 1 % of it where
            it has no unit that shops set.
        shop_step_is: That step in words: `0.1 pH`.
        area_m2_per_step: What the shop's step more does to the area plated, m2, to first order.
        plating_h_per_step: The same to the plating hours, h.
        cost_per_um_dm2_per_step: The same to the cost per um dm2, in the currency; none without
            prices.
        limits: The limit that ends the life on the low and on the high side.
        limit_changes: Whether the first limit is another one somewhere within the step: then the
            slope is that of a corner.
    """

    path: str
    value: float
    ran_at: tuple[float, float]
    turnovers: float
    plating_h: float
    clock_h: float
    area_m2: float
    cost_per_um_dm2: float | None
    shop_step: float
    shop_step_is: str
    area_m2_per_step: float
    plating_h_per_step: float
    cost_per_um_dm2_per_step: float | None
    limits: tuple[str, str]
    limit_changes: bool


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class BleedForLimit(Result):
    """The bleed a limit needs.

    Attributes:
        limit: Name of the limit.
        bound: Its bound.
        as_given: The same in the words and the unit it was set in.
        bleed_per_turnover: Least part of the bath to bleed off per turnover of plated metal.
        closed_form: The same by the closed form, where the limit is on the by-product.
        steady: Where that bleed ends.
    """

    limit: str
    bound: float
    as_given: GivenLimit
    bleed_per_turnover: float
    closed_form: float | None
    steady: SteadyBleed


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class SteadyBleed(Result):
    """Where a steady bleed ends.

    Attributes:
        bleed_per_turnover: Part of the bath bled off per turnover of plated metal.
        turnovers: Turnovers that were simulated to see it.
        levels: Level of every column that settles, by the column's name.
        by_product_closed_form_mol_l: By-product by the closed form m/b with what the fresh bath
            makes, mol/L.
        warnings: What the bleed washes out for good, in sentences.
    """

    bleed_per_turnover: float
    turnovers: float
    levels: dict[str, float]
    by_product_closed_form_mol_l: float
    warnings: list[str]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class StrategyResult(Result):
    """What a strategy does over the horizon.

    Attributes:
        name: Name.
        settings: What it set, as text.
        baths: Baths used up over the horizon, with the part of the last; one that outlives the
            horizon counts one.
        ends_by: How one bath ended; `horizon` when it did not.
        bath: One bath: when it ended.
        clock_h: Clock time, h, without the line standing.
        downtime_h: The line standing at dumps, h.
        area_m2: Area plated, m2.
        deposit_um_dm2: Thickness times area plated, um dm2.
        waste: Waste.
        waste_ml_per_um_dm2: Waste per work done, mL per um dm2.
        cost_per_um_dm2: Cost per um dm2, when the recipe has prices.
        cost: Parts of the cost over the horizon.
        by_product_end_mol_l: By-product at the end of a bath, mol/L.
        deposition_end_um_h: Deposition rate at the end of a bath, um/h.
        deposition_mean_um_h: Mean deposition rate over plating hours, um/h.
        alloy_end_wt_pct: Alloying element, wt%, at the end of a bath; none for a pure metal.
        steady: Whether the by-product has settled at the end: less than 0.5 % gained in the last
            turnover.
        flags: Warnings that go with its life beside those of the recipe.
        columns: Columns of one bath: turnovers, hours, levels.
    """

    _ARRAYS: ClassVar = frozenset({"columns"})

    name: str
    settings: dict[str, str]
    baths: float
    ends_by: str
    bath: Dump
    clock_h: float
    downtime_h: float
    area_m2: float
    deposit_um_dm2: float
    waste: Waste
    waste_ml_per_um_dm2: float
    cost_per_um_dm2: float | None
    cost: CostParts | None
    by_product_end_mol_l: float
    deposition_end_um_h: float
    deposition_mean_um_h: float
    alloy_end_wt_pct: float | None
    steady: bool
    flags: list[Flag]
    columns: dict[str, NDArray[np.float64]]
