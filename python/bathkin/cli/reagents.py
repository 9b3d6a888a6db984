"""`bathkin reagents`: what a bath is weighed out of, and the names that say it."""

from __future__ import annotations

from collections.abc import Sequence

import click

from bathkin.cli.options import output_options, print_json
from bathkin.cli.outputs import Command, echo
from bathkin.core import layout
from bathkin.core.layout import Column
from bathkin.errors import UnknownNameError
from bathkin.recipe.reagents import reagents
from bathkin.recipe.recipe import load_recipe
from bathkin.recipe.results import Reagent
from bathkin.reports.documents import document

_RULE = (
    "A name ends in its unit: _g_l, _mg_l, _mol_l, _mmol_l or _mM. The same names hold in recipes,"
    " --set, --now, logs, runs and limits. Grams of an ion that is sold as a salt need the salt, or"
    " what it is weighed as: orthophosphite_g_l_as_na2hpo3."
)


@click.command("reagents", cls=Command)
@click.argument("word", required=False)
@click.option("--recipe", help="Those of this recipe, with what it adds or changes.")
@output_options
def list_reagents(word: str | None, recipe: str | None, as_json: bool, quiet: bool) -> None:
    """Reagents and components: molar masses, and the names that say them.

    With WORD, those that have it in their name, their formula or what they are bought for.
    """
    of = load_recipe(recipe) if recipe else None
    known = of.reagents() if of else reagents()
    found = [one for one in known if word is None or _has(one, word)]
    if not found:
        names = [one.name for one in known]
        message = f"no reagent or component has '{word}' in its name or formula"
        raise UnknownNameError(message, name=str(word), valid=names)
    if as_json:
        listed = found
        print_json(document("reagents", of, of.flags if of else [], reagents=listed))
        return
    for title, are_components in (("Reagents", False), ("Components", True)):
        members = [one for one in found if one.is_component is are_components]
        if members:
            echo(f"{title}\n{_table(members)}\n")
    if not quiet:
        echo(layout.wrapped(_RULE))


def _has(one: Reagent, word: str) -> bool:
    texts = (one.name, one.title, one.formula, one.bought_for or "")
    return any(word.lower() in text.lower() for text in texts)


def _table(members: Sequence[Reagent]) -> str:
    return layout.render(
        [
            Column("name", [one.name for one in members], left=True),
            Column("formula", [one.formula for one in members], left=True),
            Column("g/mol", [f"{one.molar_mass_g_mol:.3f}" for one in members]),
            Column("also", [_also(one) for one in members], left=True),
        ],
        indent=2,
    )


def _also(one: Reagent) -> str:
    """What it is weighed as, or what it is bought for."""
    forms = [text.split("_as_")[1] for text in one.spellings if "_as_" in text]
    if not one.is_component:
        return f"{one.bought_for}_g_l_as_{forms[0]}" if forms else ""
    itself = any(text.endswith("_g_l") for text in one.spellings)
    shown = ", ".join(forms[:3]) + (" ..." if len(forms) > 3 else "")
    return f"{one.name}_g_l" if itself else f"_as_ {shown}"
