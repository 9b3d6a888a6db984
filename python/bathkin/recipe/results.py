"""Results as the core hands them over. Written by `make results`: change the structs in Rust."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bathkin.core.result import Result


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Heading(Result):
    """What a recipe says about itself.

    Attributes:
        name: Name.
        title: A line on what it is.
        metal: The metal, as a component.
        reductant: The reductant, as a component.
        by_product: The by-product, as a component.
        backing: How far it is backed by published data.
        disagreements: Where published laws and numbers of such baths disagree, each a sentence
            with its sources.
        cautions: Cautions.
        cite: What to cite.
    """

    name: str
    title: str
    metal: str
    reductant: str
    by_product: str
    backing: str
    disagreements: list[str]
    cautions: list[str]
    cite: list[str]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Entry(Result):
    """A value of a recipe.

    Attributes:
        path: Dotted path, with the unit at its end.
        value: Number, string, true/false or list of strings.
        source: Where it comes from.
        kind: How far it is backed. One of `published`, `standard`, `common-practice`,
            `from-memory`, `fitted`, `computed`, `estimated`, `read-untraceable`, `invented`,
            `user`.
        range: Range the author vouches for.
        place: File and line, or what set it.
    """

    path: str
    value: Any
    source: str | None
    kind: str | None
    range: tuple[float, float] | None
    place: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class SpeciesConstant(Result):
    """A species of a bath with the constant in use and the others there are for it.

    Attributes:
        name: Name, as used in recipes.
        formula: Formula with charge.
        forms_from: (component, coefficient) of the formation reaction.
        group: What its constants are switched together with.
        constant: The constant in use.
        alternatives: The others; `species.NAME.constant = "LABEL"` (`solids.NAME.constant`)
            chooses one.
    """

    name: str
    formula: str
    forms_from: dict[str, float]
    group: str | None
    constant: Constant
    alternatives: list[Constant]


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Constant(Result):
    """A formation constant with what is known about it.

    Attributes:
        label: Label a recipe chooses it by.
        log_k_25c: log10 K at 25 degC and infinite dilution, molal.
        log_k_uncertainty: One standard deviation of log10 K.
        log_k_class: What that rests on: stated with the constant, or its class. One of `stated`,
            `standard`, `measured`, `database`, `analogy`, `recalled`, `assumed`.
        enthalpy_kj_mol: Enthalpy of formation from the components, kJ/mol; none for the law of
            water.
        enthalpy_uncertainty_kj_mol: One standard deviation of the enthalpy, kJ/mol; none for the
            law of water.
        enthalpy_class: What that rests on. One of `stated`, `standard`, `measured`, `database`,
            `analogy`, `recalled`, `assumed`.
        enthalpy_source: Where the enthalpy comes from, where it has a source of its own, or that
            it is missing and counts as zero.
        enthalpy_kind: How far the enthalpy is backed, where it has a source of its own. One of
            `published`, `standard`, `common-practice`, `from-memory`, `fitted`, `computed`,
            `estimated`, `read-untraceable`, `invented`, `user`.
        heat_capacity_j_mol_k: Heat capacity of that reaction, J/(mol K); none for the law of
            water.
        source: Where it comes from.
        kind: How far it is backed. One of `published`, `standard`, `common-practice`,
            `from-memory`, `fitted`, `computed`, `estimated`, `read-untraceable`, `invented`,
            `user`.
        note: Traps, and why this value rather than another.
    """

    label: str
    log_k_25c: float
    log_k_uncertainty: float
    log_k_class: str
    enthalpy_kj_mol: float | None
    enthalpy_uncertainty_kj_mol: float | None
    enthalpy_class: str | None
    enthalpy_source: str | None
    enthalpy_kind: str | None
    heat_capacity_j_mol_k: float | None
    source: str
    kind: str
    note: str | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Substrate(Result):
    """A substrate in one family of baths.

    Attributes:
        name: Name, as in `work.substrate`.
        title: What it is.
        material: What the part is made of: a cap of this binds all of its substrates.
        family: Metal and reductant of the baths it holds for, `nickel_hypophosphite`.
        behaviour: How it behaves bare. One of `starts_by_itself`, `needs_contact`, `needs_strike`,
            `poison`, `needs_seeding`.
        practice: What practice does about it.
        caution: What can go wrong.
        starts: How deposition starts after each activation that makes it start.
        source: Reference or explanation.
        kind: How far it is backed. One of `published`, `standard`, `common-practice`,
            `from-memory`, `fitted`, `computed`, `estimated`, `read-untraceable`, `invented`,
            `user`.
    """

    name: str
    title: str
    material: str
    family: str
    behaviour: str
    practice: str
    caution: str | None
    starts: list[Start]
    source: str
    kind: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Start(Result):
    """How deposition starts on a substrate after an activation.

    Attributes:
        activation: The activation. One of `none`, `contact`, `nickel_strike`, `copper_strike`,
            `palladium`.
        start_fraction: theta_0.
        nucleation_1_s: k_n, 1/s.
        spreading_1_s: k_s, 1/s.
        reference_deposition_um_h: Growth on covered surface at which the constants hold, um/h.
        induction_s: Induction time there, s.
        range_s: Its range in practice, s.
    """

    activation: str
    start_fraction: float
    nucleation_1_s: float
    spreading_1_s: float
    reference_deposition_um_h: float
    induction_s: float
    range_s: tuple[float, float] | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Reagent(Result):
    """Something weighed or poured into a bath, or a component that analyses are of.

    Attributes:
        name: Name, a salt with its water of crystallisation.
        title: Name for people.
        formula: Formula, with its charge.
        molar_mass_g_mol: Molar mass, g/mol.
        gives: Moles of each component that a mole brings; empty for a component.
        bought_for: The component an analysis by its name means, or none where it may mean several.
        spellings: Names with a unit that say it in recipes, `--set`, `--now`, logs, runs, limits.
        is_component: Whether it is a component, an ion or a molecule in the bath.
    """

    name: str
    title: str
    formula: str
    molar_mass_g_mol: float
    gives: dict[str, float]
    bought_for: str | None
    spellings: list[str]
    is_component: bool


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Equations(Result):
    """The chemistry of a recipe in one notation.

    Attributes:
        notation: `text`, `markdown` or `latex`. One of `text`, `markdown`, `latex`.
        half_reactions: Half-reactions on the surface, each as the recipe writes it.
        overall: All of them together per mole of metal, at the rates of the fresh bath.
        bulk_reactions: Reactions of the liquid.
        laws: Laws of the rates, with their numbers and units.
        apparent_energy: The activation energy the bath shows as it is run, and the one its card
            states; empty where its temperature has no range.
        letters: What the letters are.
    """

    notation: str
    half_reactions: dict[str, str]
    overall: str
    bulk_reactions: dict[str, str]
    laws: dict[str, str]
    apparent_energy: str
    letters: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ApparentEnergy(Result):
    """E = R ln(r2/r1)/(1/T1 - 1/T2), between the ends of a recipe's temperatures.

    Attributes:
        stated_kj_mol: What the card states, kJ/mol.
        as_run_kj_mol: E, kJ/mol.
        low_c: T1, degC.
        high_c: T2, degC.
        held: What stays the same between the two.
    """

    stated_kj_mol: float | None
    as_run_kj_mol: float
    low_c: float
    high_c: float
    held: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Parameter(Result):
    """A number of a recipe that can be set.

    Attributes:
        path: Dotted path, with the unit at its end.
        value: Value, or none where the recipe leaves it out.
        unit: Unit, empty for a number without one.
        default: What stands for it where it is left out.
        bounds: What it may be, in words.
        least: Least value.
        greatest: Greatest value.
        scale: How fits move it: `log` or `linear`. One of `log`, `linear`.
        role: What it is to the bath: `law`, `constant`, `make_up`, `operation`, `price`, ... One
            of `format`, `constant`, `substrate`, `make_up`, `solution`, `stoichiometry`,
            `operation`, `law`, `reference`, `law_of_liquid`, `gas_exchange`, `tank`, `work`,
            `limit`, `price`, `computation`, `warning`, `fit_record`.
        range: Range the author vouches for.
        source: Where the value comes from.
        kind: How far it is backed. One of `published`, `standard`, `common-practice`,
            `from-memory`, `fitted`, `computed`, `estimated`, `read-untraceable`, `invented`,
            `user`.
        text: What it is called.
    """

    path: str
    value: float | None
    unit: str
    default: float | None
    bounds: str
    least: float | None
    greatest: float | None
    scale: str
    role: str
    range: tuple[float, float] | None
    source: str | None
    kind: str | None
    text: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class SolverSettings(Result):
    """How a life is computed.

    Attributes:
        longest_clock_h: Clock time at which to give up waiting for a limit, h.
        relative_tolerance: Relative tolerance of the integration.
        event_time_tolerance_s: Time to which events are located, s.
        max_steps: Most steps between two stops, accepted or not.
    """

    longest_clock_h: float
    relative_tolerance: float
    event_time_tolerance_s: float
    max_steps: int


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Quantity(Result):
    """A quantity of a bath in words.

    Attributes:
        name: Name with unit.
        title: Words for it.
        symbol: Symbol.
        unit: Unit; empty for a pure number.
        worse: `rising`, `falling` or `neither`.
        usual_error: Error of its analysis, with its source.
        column: Whether a life shows it as a column.
        definition: One sentence that says what it is.
    """

    name: str
    title: str
    symbol: str
    unit: str
    worse: str
    usual_error: str
    column: bool
    definition: str
