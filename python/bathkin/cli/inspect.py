"""Commands that look at a recipe: recipes, show, solution."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import click

from bathkin.bath.bath import Bath, make_up
from bathkin.cli.card import HEADING, card
from bathkin.cli.constants import constants_text
from bathkin.cli.options import (
    output_options,
    print_json,
    print_result,
    read_recipe,
    recipe_options,
)
from bathkin.cli.outputs import Command, echo
from bathkin.cli.over_ph import answered, check_together, complexed_rows, over_ph_options
from bathkin.cli.parameters import parameters_text
from bathkin.cli.sensitivities import SENSITIVITIES_HELP, sensitivities_contents, sensitivities_text
from bathkin.cli.solids import PRECIPITATES_AT_HELP, precipitation, solids_contents, solids_text
from bathkin.cli.uncertainty import print_uncertainty, uncertainty_option
from bathkin.core import layout
from bathkin.core.layout import Column, number, spoken
from bathkin.recipe.recipe import Recipe, load_recipe, recipes
from bathkin.reports.documents import document

# Below this a substance is only counted.
_TRACE_MOL_L = 1e-12


@click.command("recipes", cls=Command)
@output_options
def list_recipes(as_json: bool, quiet: bool) -> None:
    """Built-in recipes, and how far each is backed."""
    found = [load_recipe(name) for name in recipes()]
    if as_json:
        keys = ("name", "metal", "reductant", "backing", "title")
        entries = [{key: getattr(recipe, key) for key in keys} for recipe in found]
        print_json(document("recipes", None, [], recipes=entries))
        return
    for recipe in found:
        echo(f"{recipe.name}  ({recipe.metal}, {recipe.reductant})")
        echo(layout.wrapped(recipe.title, 4))
        if not quiet:
            echo(layout.wrapped(f"backing: {recipe.backing}", 4))


@click.command(cls=Command)
@recipe_options
@click.option(
    "--constants",
    is_flag=True,
    help="The formation constants instead, with their widths and their alternatives.",
)
@click.option(
    "--equations",
    is_flag=True,
    help="Half-reactions, the overall reaction and the rate laws instead.",
)
@click.option(
    "--parameters",
    is_flag=True,
    help="The numbers that can be set instead, with units, bounds, defaults and roles.",
)
@click.option(
    "--schema",
    is_flag=True,
    help="The JSON Schema of recipes instead, for editors that complete and check TOML.",
)
@click.option(
    "--quantities",
    is_flag=True,
    help="What can be read off the bath instead: columns, limits, warnings, readings of logs.",
)
@click.option(
    "--notation",
    type=click.Choice(["text", "markdown", "latex"]),
    default="text",
    show_default=True,
    help="How equations are written.",
)
def show(
    recipe: str,
    settings: Sequence[str],
    constants: bool,
    equations: bool,
    parameters: bool,
    schema: bool,
    quantities: bool,
    notation: str,
    as_json: bool,
    quiet: bool,
) -> None:
    """A recipe as one card: every number with its path, whose it is, and its source.

    In the order it is read: what it is, make-up, how it is run, tank and work, replenishers,
    limits, cost, law. "yours" stands behind what the recipe or --set says, "inherited from" behind
    what the recipe stands on says, "invented" behind what nobody measured. The path of a number is
    its section, a point, and its name: operation.temperature_c. With --constants, the formation
    constants of the bath and of its solids: --set constants.set=LABEL puts in use all that have
    this label, --set species.NAME.constant=LABEL one alone. With --equations, its chemistry: half-
    reactions, what they come to together, and the rate laws with their numbers and units. With
    --parameters, every number that can be set, those that the recipe leaves out too; --schema
    prints them as a JSON Schema for editors. With --quantities, what can be read off its bath: each
    name is a column of a life or a log, NAME_min and NAME_max are limits, NAME_above and NAME_below
    conditions of a warning; the name alone limits it from the side it gets worse on.
    """
    if constants + equations + parameters + schema + quantities > 1:
        raise click.UsageError(
            "choose one of --constants, --equations, --parameters, --schema and --quantities"
        )
    of = read_recipe(recipe, settings)
    if schema:
        print_json(of.schema())
        return
    if as_json:
        keys = ("title", "metal", "reductant", "by_product", "backing")
        contents: dict[str, Any] = {key: getattr(of, key) for key in keys}
        contents["disagreements"] = of.disagreements
        if constants:
            contents["constants"] = of.constants()
            contents["solid_constants"] = of.solid_constants()
        elif quantities:
            contents["quantities"] = of.quantities()
        elif equations:
            contents["equations"] = of.equations(notation)
        elif parameters:
            contents["parameters"] = of.parameters()
        else:
            contents["numbers"] = [one for one in of.numbers() if one.path not in HEADING]
        print_json(document("show", of, of.flags, **contents))
        return
    if equations:
        text = str(of.equations(notation))
    elif parameters:
        text = parameters_text(of)
    elif quantities:
        text = quantities_text(of)
    else:
        text = constants_text(of) if constants else card(of)
    print_result(text, of, of.flags, quiet)
    if not quiet:
        echo("\nSources")
        for source in of.cite:
            echo(layout.wrapped(f"- {source}", 2, 4))


def quantities_text(recipe: Recipe) -> str:
    """What can be read off a bath, a paragraph each."""
    lines = [layout.wrapped(f"{recipe.name}: what can be read off the bath", 0, 2)]
    for one in recipe.quantities():
        unit = f", {one.unit}" if one.unit else ""
        worse = "" if one.worse == "neither" else f"; worse {one.worse}"
        error = f" Usual error: {one.usual_error}." if one.usual_error else ""
        lines.append(f"{one.name}  {one.title}{unit}{worse}")
        lines.append(layout.wrapped(f"{one.definition}{error}", 4))
    return "\n".join(lines)


@click.command(cls=Command)
@recipe_options
@over_ph_options
@click.option("--precipitates-at", multiple=True, metavar="SOLID=PH", help=PRECIPITATES_AT_HELP)
@click.option("--sensitivities", is_flag=True, help=SENSITIVITIES_HELP)
@uncertainty_option
def solution(
    recipe: str,
    settings: Sequence[str],
    precipitates_at: Sequence[str],
    sensitivities: bool,
    uncertainty: bool,
    as_json: bool,
    quiet: bool,
    **asked: Any,
) -> None:
    """The fresh bath: pH hot and cold, what is dissolved, what could fall out.

    Make-up, acid or base to reach the pH, ionic strength, buffer capacity, free ions, complexes.

    In its place: with --over-ph the shares of the species over pH, with --titrate a titration, with
    --to-ph the amount of acid or base that sets a pH, with --sensitivities what moves pH and free
    metal, with --uncertainty how wide they are by what is not known. For example

    \b
      bathkin solution nickel-acid --over-ph 2:8 --plot over-ph.png
      bathkin solution nickel-acid --titrate sodium_hydroxide --over-ph 4.8:9
      bathkin solution nickel-acid --to-ph 5.2 --with ammonia
      bathkin solution nickel-acid --sensitivities
    """  # noqa: D301 (the mark keeps lines apart)
    check_together(
        {
            **asked,
            "precipitates_at": precipitates_at or None,
            "sensitivities": sensitivities or None,
            "uncertainty": uncertainty or None,
        }
    )
    if uncertainty:
        print_uncertainty(read_recipe(recipe, settings), "solution", as_json, quiet)
        return
    bath = make_up(read_recipe(recipe, settings))
    if answered(bath, asked, as_json, quiet):
        return
    if sensitivities:
        if as_json:
            contents = sensitivities_contents(bath.sensitivities())
            print_json(document("solution", bath.recipe, bath.flags, **contents))
        else:
            print_result(sensitivities_text(bath), bath.recipe, bath.flags, quiet)
        return
    onsets, warnings = precipitation(bath)
    flags = [*bath.flags, *warnings]
    if as_json:
        contents = {
            "ph": bath.ph,
            "ph_25c": bath.ph_25c,
            "temperature_c": bath.temperature_c,
            "ionic_strength_mol_l": bath.ionic_strength_mol_l,
            "specific_gravity": bath.specific_gravity,
            "buffer_capacity_mol_l": bath.buffer_capacity_mol_l,
            "complexed_fraction": bath.complexed_fraction(),
            "species": bath.species(),
            "totals": bath.totals(),
            "make_up": bath.make_up(),
            "ph_adjustment": bath.ph_adjustment,
            **solids_contents(bath, onsets, precipitates_at),
        }
        print_json(document("solution", bath.recipe, flags, **contents))
        return
    text = solution_text(bath) + solids_text(bath, onsets, precipitates_at)
    print_result(text, bath.recipe, flags, quiet)


def alkali_rows(bath: Bath) -> list[tuple[str, str]]:
    """The free hydroxide of a bath that is controlled by free alkali."""
    free = bath.free_naoh_g_l
    return [] if free is None else [("free hydroxide", f"{number(free, 3)} g/L as NaOH")]


def solution_text(bath: Bath) -> str:
    """Make-up, pH, and what the components are bound as."""
    made = [(spoken(name), f"{number(grams)} g/L") for name, grams in bath.make_up().items()]
    adjustment = bath.ph_adjustment
    if adjustment:
        grams = f"{number(adjustment.g_l)} g/L, to reach the pH"
        made.append((spoken(adjustment.reagent), grams))
    state = [
        ("pH in the bath", f"{bath.ph:.2f} at {number(bath.temperature_c)} degC"),
        ("pH of a cooled sample", f"{bath.ph_25c:.2f} at 25 degC"),
        *alkali_rows(bath),
        ("ionic strength", f"{number(bath.ionic_strength_mol_l, 3)} mol/L"),
        ("specific gravity", f"{bath.specific_gravity:.3f} at 25 degC"),
        ("buffer capacity", f"{number(bath.buffer_capacity_mol_l, 3)} mol/L of base per pH"),
    ]
    state += complexed_rows(bath)
    present = sorted(bath.species().items(), key=lambda pair: -pair[1])
    shown = [(name, amount) for name, amount in present if amount >= _TRACE_MOL_L]
    table = layout.render(
        [
            Column("substance", [spoken(name) for name, _ in shown], left=True),
            Column("mol/L", [f"{amount:.3g}" for _, amount in shown]),
        ],
        indent=2,
    )
    fewer = len(present) - len(shown)
    rest = f"\n  and {fewer} more below {_TRACE_MOL_L:.0e} mol/L" if fewer else ""
    return "\n".join(
        [
            f"fresh bath of {bath.recipe.name}",
            "",
            "Make-up",
            layout.pairs(made),
            "",
            "State",
            layout.pairs(state),
            "",
            "Dissolved (free ions under their own name, complexes numbered by ligands)",
            table + rest,
        ]
    )
