"""How wide an answer is by what is not known: `--uncertainty` of solution, rate and life."""

from __future__ import annotations

from collections.abc import Sequence

import click

from bathkin.cli.options import Function, print_json, print_result, shows_progress
from bathkin.core import layout
from bathkin.core.layout import Column
from bathkin.ensemble.call import ensemble
from bathkin.ensemble.ensemble import Ensemble
from bathkin.recipe.recipe import Recipe
from bathkin.reports.documents import document

# Members, points of a Sobol sequence: a life takes far longer than a fresh bath.
_MEMBERS = {"solution": 512, "rate": 1024, "life": 256}
_SHOWN = 10
_NOTE = (
    "drawn are formation constants and enthalpies by their standard deviations, stated or by class,"
    " and the numbers of laws that have a range, as plus and minus two of them (bathkin show"
    " RECIPE --constants); work, analyses and prices are held; the share of a number is its squared"
    " rank correlation"
)


def uncertainty_option(function: Function) -> Function:
    """--uncertainty."""
    return click.option(
        "--uncertainty",
        is_flag=True,
        help="In its place: how wide the answer is by what is not known of constants and laws, and"
        " which numbers make the width.",
    )(function)


def print_uncertainty(recipe: Recipe, command: str, as_json: bool, quiet: bool) -> None:
    """Bands of what a command tells, and the ten numbers that make most of each."""
    outputs = _outputs(recipe, command)
    draws = recipe.widths(solids=command == "solution")
    found = ensemble(
        recipe,
        draws,
        outputs,
        members=_MEMBERS[command],
        sampling="sobol",
        progress=shows_progress(as_json, quiet),
    )
    flags = [*recipe.flags, *found.flags]
    numbers = [one.output for one in found.statistics]
    if as_json:
        drivers = {
            name: found.drivers(name, _SHOWN).reset_index().to_dict(orient="records")
            for name in numbers
        }
        contents = {**found.to_dict(), "drivers": drivers}
        depends_on = {"seed": found.seed}
        print_json(document(command, recipe, flags, depends_on=depends_on, uncertainty=contents))
        return
    texts = [found.summary(), *(_drivers(found, name) for name in numbers)]
    print_result("\n\n".join([*texts, layout.wrapped(_NOTE, 0, 2)]), recipe, flags, quiet)


def _drivers(found: Ensemble, output: str) -> str:
    """The numbers that make most of the width of an output."""
    table = found.drivers(output, _SHOWN)
    return layout.render(
        [
            Column(f"{output}: width by", [str(path) for path in table.index], left=True),
            Column("share", [f"{100.0 * share:.0f} %" for share in table["share"]]),
            Column("correlation", [f"{one:+.2f}" for one in table["rank_correlation"]]),
        ]
    )


def _outputs(recipe: Recipe, command: str) -> Sequence[str]:
    alloy = [] if recipe.alloy_column is None else [recipe.alloy_column]
    if command == "solution":
        names = [one.name for one in recipe.quantities()]
        solids = [name for name in names if name.startswith("saturation_index_")]
        read = ["ph_25c", "free_metal_mol_l", "ionic_strength_mol_l", *solids]
        return [f"make_up.{name}" for name in read]
    if command == "rate":
        return [f"make_up.{name}" for name in ("deposition_um_h", *alloy)]
    end = [f"end.{name}" for name in ("deposition_um_h", *alloy)]
    return ["dump.plating_h", "dump.turnovers", "dump.area_m2", *end, "dump.limit"]
