"""What `bathkin solution` answers about another pH."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

import click
import numpy as np

from bathkin.bath.bath import Bath
from bathkin.bath.curves import Curve
from bathkin.bath.distribution import Distribution
from bathkin.bath.grids import grid
from bathkin.bath.titration import Titration
from bathkin.cli.options import print_json, print_result
from bathkin.cli.outputs import check_pictures, output_path, table_path, write_files
from bathkin.core import layout
from bathkin.core.layout import Column, aligned, number, spoken
from bathkin.core.naming import symbol
from bathkin.core.units import to_number
from bathkin.errors import RecipeError
from bathkin.recipe.recipe import Recipe
from bathkin.reports.documents import document

Function = TypeVar("Function", bound=Callable[..., Any])

_STEP = 0.1
_MOST_POINTS = 10_000


def over_ph_options(function: Function) -> Function:
    """--over-ph, --of, --titrate, --to-ph, --with, --temperature-c, --csv and --plot."""
    options = (
        click.option(
            "--over-ph",
            metavar="VALUES",
            help="Shares of the species over pH: low:high, low:high:count, or a list a,b,c.",
        ),
        click.option("--of", metavar="COMPONENT", help="Of which component; without it the metal."),
        click.option(
            "--titrate", metavar="REAGENT", help="Titrate with a reagent to the pHs of --over-ph."
        ),
        click.option("--to-ph", metavar="PH", help="Say how much of a reagent sets this pH."),
        click.option(
            "--with",
            "reagent",
            metavar="REAGENT",
            help="The reagent of --to-ph; without it the one the recipe sets its pH with.",
        ),
        click.option(
            "--temperature-c",
            metavar="VALUE",
            help="Temperature of all three; without it that of the bath.",
        ),
        click.option("--csv", type=table_path, help="Write the curve to this CSV file."),
        click.option(
            "--plot", type=output_path, help="Write its picture to this file (png, pdf, svg)."
        ),
    )
    for option in reversed(options):
        function = option(function)
    return function


def answered(bath: Bath, asked: dict[str, Any], as_json: bool, quiet: bool) -> bool:
    """Answers what was asked about another pH; False when nothing was."""
    text = asked["temperature_c"]
    celsius = None if text is None else to_number("temperature_c", text, "--temperature-c")
    if asked["to_ph"] is not None:
        _amount(bath, asked, celsius, as_json, quiet)
        return True
    if asked["over_ph"] is None:
        return False
    check_pictures(asked["plot"])
    ph, chosen = read_over_ph(asked["over_ph"])
    curve: Curve
    contents: dict[str, Any]
    if asked["titrate"] is not None:
        titration = bath.titration(asked["titrate"], to_ph=ph, temperature_c=celsius)
        curve, printed = titration, titration_text(titration, chosen)
        contents = {"reagent": titration.reagent, "titration": _without(titration)}
    else:
        over_ph = bath.distribution(asked["of"], ph, celsius)
        curve, printed = over_ph, distribution_text(over_ph, chosen)
        contents = {
            "component": over_ph.component,
            "total_mol_l": over_ph.total_mol_l,
            "fractions": over_ph.fractions,
            "over_ph": _without(over_ph, over_ph.fractions),
        }
    if as_json:
        contents |= {
            "saturation_index": curve.saturation_index,
            "saturated_from_ph": {onset.solid: onset.ph for onset in curve.onsets},
            "temperature_c": curve.temperature_c,
            "bath_ph": curve.bath_ph,
        }
        print_json(document("solution", bath.recipe, curve.flags, **contents))
    else:
        print_result(printed, bath.recipe, curve.flags, quiet)
    write_files([(asked["csv"], curve.to_csv), (asked["plot"], curve.plot)], as_json)
    return True


def check_together(asked: dict[str, Any]) -> None:
    """Refuses options without those they need, and options that answer different questions."""
    names = {name: f"--{name.replace('_', '-')}" for name in asked} | {"reagent": "--with"}
    given = {name for name, value in asked.items() if value is not None}
    for name in ("of", "titrate", "csv", "plot"):
        if name in given and "over_ph" not in given:
            raise click.UsageError(f"{names[name]} needs --over-ph, such as --over-ph 2:8")
    if "reagent" in given and "to_ph" not in given:
        raise click.UsageError("--with needs --to-ph, such as --to-ph 5.2")
    if "temperature_c" in given and not given & {"over_ph", "to_ph"}:
        raise click.UsageError(
            "--temperature-c needs --over-ph or --to-ph;"
            " the bath's own temperature is changed with --set operation.temperature_c=VALUE"
        )
    for one, other in (
        ("to_ph", "over_ph"),
        ("of", "titrate"),
        ("precipitates_at", "over_ph"),
        ("precipitates_at", "to_ph"),
        ("precipitates_at", "sensitivities"),
        ("uncertainty", "over_ph"),
        ("uncertainty", "to_ph"),
        ("uncertainty", "precipitates_at"),
        ("uncertainty", "sensitivities"),
        ("sensitivities", "over_ph"),
        ("sensitivities", "to_ph"),
    ):
        if {one, other} <= given:
            raise click.UsageError(f"{names[one]} and {names[other]} do not go together")


def complexed_rows(bath: Bath) -> list[tuple[str, str]]:
    """What is complexed, for the card of a solution."""
    shares = bath.complexed_fraction()
    metal = shares.pop(bath.recipe.metal)
    held = ", ".join(f"{share:.1%} of the {spoken(name)}" for name, share in shares.items())
    rows = [(f"complexed {spoken(bath.recipe.metal)}", f"{metal:.1%}")]
    return rows + ([(f"bound to {spoken(bath.recipe.metal)}", held)] if held else [])


def read_over_ph(text: str) -> tuple[Any, bool]:
    """The pHs of --over-ph, and whether their number was chosen.

    Example:
        >>> from bathkin.cli.over_ph import read_over_ph
        >>> read_over_ph("4:5:3")
        (array([4. , 4.5, 5. ]), True)
        >>> len(read_over_ph("2:8")[0])
        61
    """
    ends = [part.strip() for part in text.split(":")]
    if len(ends) == 1:
        return grid("ph", [part.strip() for part in text.split(",")], "--over-ph"), True
    if len(ends) == 2:
        return grid("ph", (ends[0], ends[1]), "--over-ph", step=_STEP), False
    if len(ends) != 3 or not ends[2].isdecimal() or not 2 <= int(ends[2]) <= _MOST_POINTS:
        expected = f"low:high, low:high:count with a count from 2 to {_MOST_POINTS}, or a,b,c"
        raise RecipeError(f"--over-ph {text}: expected {expected}")
    low, high = (to_number("ph", end, "--over-ph") for end in ends[:2])
    values = np.linspace(low, high, int(ends[2]))
    return np.array([float(f"{value:.12g}") for value in values]), True


def distribution_text(over_ph: Distribution, every_point: bool) -> str:
    """Shares by species, a row per pH."""
    rows = _rows(over_ph, every_point)
    metal = over_ph.recipe.metal
    lead = [Column("pH", [_ph(over_ph.ph[row]) for row in rows])]
    trail = [
        Column(f"free {symbol(metal)}\nmol/L", _cells(over_ph.free_metal_mol_l, rows)),
        Column("base\nmol/L", [f"{over_ph.base_mol_l[row]:+.4f}" for row in rows]),
        Column("buffer\nmol/L pH", _cells(over_ph.buffer_capacity_mol_l, rows)),
        *_indices(over_ph, rows),
    ]
    by_peak = sorted(over_ph.notable(), key=lambda name: -float(over_ph.fractions[name].max()))
    while True:
        # Narrower than a page: what holds least goes into one column with the traces.
        shown = [name for name in over_ph.fractions if name in by_peak]
        columns = [*lead, *(_share(over_ph, name, rows) for name in shown)]
        rest = sum(share for name, share in over_ph.fractions.items() if name not in shown)
        if isinstance(rest, np.ndarray) and rest.max() >= 5e-4:
            columns.append(Column("other", [f"{rest[row]:.3f}" for row in rows]))
        columns += trail
        if sum(column.width + 2 for column in columns) - 2 <= layout.WIDTH or len(by_peak) == 1:
            break
        by_peak.pop()
    total = number(over_ph.total_mol_l, 3)
    component = spoken(over_ph.component)
    title = (
        f"{component} of {over_ph.recipe.name} over pH at {number(over_ph.temperature_c)} degC:"
        f" shares of {total} mol/L"
    )
    notes = (
        f"base: strong base that holds the pH beside what the bath has, negative for acid; the"
        f" bath is at pH {over_ph.bath_ph:.2f}{_about_indices(over_ph)}"
        f"{_thinned(over_ph, every_point)}"
    )
    return f"{title}\n\n{layout.render(columns)}\n{layout.wrapped(notes, 0, 2)}"


def titration_text(titration: Titration, every_point: bool) -> str:
    """Amount, pH and buffer capacity, a row per point."""
    rows = _rows(titration, every_point)
    columns = [
        Column("added\ng/L", _cells(titration.amount_g_l, rows, 4)),
        Column("added\nmol/L", _cells(titration.amount_mol_l, rows, 4)),
        Column("pH", [_ph(titration.ph[row]) for row in rows]),
        Column("buffer\nmol/L pH", _cells(titration.buffer_capacity_mol_l, rows)),
        Column(
            f"free {symbol(titration.recipe.metal)}\nmol/L",
            _cells(titration.free_metal_mol_l, rows),
        ),
        Column("ionic str.\nmol/L", _cells(titration.ionic_strength_mol_l, rows)),
        *_indices(titration, rows),
    ]
    title = (
        f"{titration.recipe.name} titrated with {spoken(titration.reagent)}"
        f" at {number(titration.temperature_c)} degC"
    )
    notes = (
        f"added: the pure reagent per litre of bath, which is at pH {titration.bath_ph:.2f}"
        f"{_about_indices(titration)}{_thinned(titration, every_point)}"
    )
    return f"{title}\n\n{layout.render(columns)}\n{layout.wrapped(notes, 0, 2)}"


def _amount(
    bath: Bath, asked: dict[str, Any], celsius: float | None, as_json: bool, quiet: bool
) -> None:
    """How much of a reagent sets a pH."""
    target = to_number("ph", asked["to_ph"], "--to-ph")
    reagent = asked["reagent"] or _own_reagent(bath.recipe)
    amount = bath.amount_for_ph(reagent, target, celsius)
    own = bath.ph if celsius is None else bath.ph_at(celsius)
    at = bath.temperature_c if celsius is None else celsius
    if as_json:
        contents: dict[str, Any] = {
            "ph": target,
            "bath_ph": own,
            "temperature_c": at,
            "ph_adjustment": amount,
        }
        print_json(document("solution", bath.recipe, bath.flags, **contents))
        return
    litres = bath.recipe.get("tank.volume_l")
    rows = [
        (spoken(reagent), f"{number(amount.g_l)} g/L ({number(amount.mol_l)} mol/L)"),
        ("for the tank", f"{number(amount.g_l * litres / 1000.0)} kg in {number(litres)} L"),
    ]
    title = f"{bath.recipe.name} from pH {own:.2f} to {target:g} at {number(at)} degC"
    print_result(layout.card(title, rows), bath.recipe, bath.flags, quiet)


def _own_reagent(recipe: Recipe) -> str:
    path = "operation.ph_reagent"
    for entry in recipe.numbers():
        if entry.path == path:
            return str(entry.value)
    raise click.UsageError(f"the recipe names no {path}: say --with REAGENT")


def _rows(curve: Curve, every_point: bool) -> Sequence[int]:
    """Points that are printed: all that were asked for, else the first and every half pH."""
    every = range(len(curve.ph))
    if every_point:
        return every
    twice = 2.0 * curve.ph
    halves = [row for row in every if row == 0 or abs(twice[row] - round(twice[row])) < 1e-6]
    few = 3
    return halves if len(halves) >= few else every


def _thinned(curve: Curve, every_point: bool) -> str:
    if len(_rows(curve, every_point)) == len(curve.ph):
        return ""
    return f"; every half pH of {len(curve.ph)} points, which --csv and --json give in full"


def _share(over_ph: Distribution, name: str, rows: Sequence[int]) -> Column:
    words = spoken(name) if name != over_ph.component else f"free {spoken(name)}"
    share = over_ph.fractions[name]
    return Column(words.replace(" ", "\n"), [f"{share[row]:.3f}" for row in rows])


def _indices(curve: Curve, rows: Sequence[int]) -> list[Column]:
    """Saturation indices of the solids that come near it."""
    of = curve.saturation_index
    return [
        Column(f"SI {spoken(name)}".replace(" ", "\n"), [f"{of[name][row]:+.2f}" for row in rows])
        for name in curve.near_saturation()
    ]


def _about_indices(curve: Curve) -> str:
    if not curve.near_saturation():
        return ""
    from_ph = [f"{spoken(onset.solid)} from pH {onset.ph:.2f}" for onset in curve.onsets]
    reached = f", above zero: {', '.join(from_ph)}" if from_ph else ""
    return f"; SI: saturation index{reached}"


def _without(curve: Curve, *of: dict[str, Any]) -> dict[str, Any]:
    """Columns without those of these groups and without the saturation indices."""
    left_out = {name for group in of for name in group}
    left_out |= {f"saturation_index_{solid}" for solid in curve.saturation_index}
    return {name: values for name, values in curve.columns.items() if name not in left_out}


def _cells(values: Any, rows: Sequence[int], digits: int = 3) -> list[str]:
    return aligned([float(values[row]) for row in rows], digits)


def _ph(value: float) -> str:
    return f"{value:.2f}"
