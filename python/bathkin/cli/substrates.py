"""`bathkin substrates`: what starts by itself, and what makes the others start."""

from __future__ import annotations

from itertools import groupby

import click

from bathkin.cli.options import output_options, print_json
from bathkin.cli.outputs import Command, echo
from bathkin.core import layout
from bathkin.core.layout import number, spoken
from bathkin.recipe.recipe import load_recipe
from bathkin.recipe.results import Start, Substrate
from bathkin.recipe.substrates import substrates
from bathkin.reports.documents import document

_NOTICE = (
    "Common practice and shop memory: induction times are orders of magnitude. Plate a test piece,"
    " and set your own with substrates.NAME.FAMILY.ACTIVATION.induction_s."
)


@click.command("substrates", cls=Command)
@click.argument("recipe", required=False)
@output_options
def list_substrates(recipe: str | None, as_json: bool, quiet: bool) -> None:
    """Substrates: which start by themselves, and what starts the others.

    With RECIPE, those of its metal and reductant, with what the recipe adds or changes; without,
    the built-in ones of every metal and reductant.
    """
    of = load_recipe(recipe) if recipe else None
    found = of.substrates() if of else substrates()
    if as_json:
        listed = found
        print_json(document("substrates", of, of.flags if of else [], substrates=listed))
        return
    by_family = sorted(found, key=lambda substrate: substrate.family)
    blocks = []
    for family, members in groupby(by_family, lambda substrate: substrate.family):
        lines = [f"{spoken(family)} baths"]
        for substrate in members:
            lines += ["", *substrate_lines(substrate, quiet)]
        blocks.append("\n".join(lines))
    echo("\n\n".join(blocks))
    if not quiet:
        echo()
        echo(layout.wrapped(_NOTICE))


def substrate_lines(substrate: Substrate, quiet: bool) -> list[str]:
    """A substrate: behaviour, starts, practice, caution, source."""
    rows = [(f"{start.activation}", start_text(start)) for start in substrate.starts]
    if substrate.material != substrate.name:
        rows.append(("material", f"{spoken(substrate.material)}, whose caps bind it"))
    rows.append(("practice", substrate.practice))
    if substrate.caution and not quiet:
        rows.append(("caution", substrate.caution))
    if not quiet:
        rows.append(("source", f"{substrate.kind}: {substrate.source}"))
    heading = f"  {substrate.name}  ({spoken(substrate.behaviour)})"
    if substrate.title != substrate.name:
        heading += f"  {substrate.title}"
    return [layout.wrapped(heading, 0, 4), layout.pairs(rows, 4)]


def start_text(start: Start) -> str:
    """How late deposition starts."""
    if start.induction_s == 0.0:
        when = "starts at once"
    else:
        when = f"starts after {number(start.induction_s, 3)} s"
    if start.range_s is None:
        return when
    low, high = (number(bound, 3) for bound in start.range_s)
    return f"{when} (practice {low} to {high} s)"
