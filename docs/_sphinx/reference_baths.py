"""The built-in baths: what each is, its equations with their numbers, and what is said against it."""

from __future__ import annotations

import re
import warnings
from pathlib import Path

import bathkin as bk
from markdown import cell, saved, table

# What opens and closes a group of LaTeX, in which no line can end.
OPENS, CLOSES = ("{", "\\left"), ("}", "\\right")


def factors(product: str) -> list[str]:
    """The factors of a product, split where no bracket is open."""
    found, depth = [""], 0
    for part in re.split(r"( \\, |\\left|\\right(?!arrow)|[{}])", product):
        depth += (part in OPENS) - (part in CLOSES)
        if part == r" \, " and depth == 0:
            found.append("")
        else:
            found[-1] += part
    return found


def display(formula: str) -> str:
    """A typeset equation; a long one is broken at its arrow, or before its factors."""
    if len(formula) < 250:
        return f"$$\n{formula}\n$$\n\n"
    if r"\rightarrow" in formula:
        left, _, right = formula.partition(r"\rightarrow")
        lines = f"& {left} \\\\\n&\\quad \\rightarrow {right}"
    else:
        left, _, right = formula.partition(" = ")
        first, *rest = factors(right)
        # The value at the reference state carries its unit.
        lines = f"{left} &= " + " \\\\\n&\\quad \\times ".join([first, *rest])
    return f"$$\n\\begin{{aligned}}\n{lines}\n\\end{{aligned}}\n$$\n\n"


def page(recipe: bk.Recipe) -> tuple[str, float]:
    """The page of a recipe, and its fresh rate, um/h."""
    equations = recipe.equations("latex")
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always", bk.BathkinWarning)
        bath = recipe.make_up()
        rate = bath.rate()
    text = f"# {recipe.name}\n\n{cell(recipe.title)}\n\n"
    facts = [
        ("temperature", f"{recipe.get('operation.temperature_c'):g} degC"),
        ("pH in the bath, at 25 degC", f"{bath.ph:.2f}, {bath.ph_at(temperature_c=25):.2f}"),
        ("deposition rate, fresh", f"{rate.deposition_um_h:.2f} um/h"),
        ("backed by", cell(recipe.backing)),
    ]
    text += table(("fresh bath", ""), facts)
    text += "## Half-reactions\n\n"
    for name, formula in equations.half_reactions.items():
        text += f"{cell(name)}:\n\n" + display(formula)
    text += "Together, per mole of metal in the fresh bath:\n\n" + display(equations.overall)
    text += "## Laws\n\n"
    for formula in equations.laws.values():
        text += display(formula)
    if said:
        text += "## Warnings of the fresh bath\n\n"
        text += (
            "".join(f"- {cell(one)}\n" for one in dict.fromkeys(str(one.message) for one in said))
            + "\n"
        )
    if recipe.disagreements:
        text += "## Where published laws disagree\n\n"
        text += "".join(f"- {cell(one)}\n" for one in recipe.disagreements) + "\n"
    text += "## Cautions\n\n" + "".join(f"- {cell(one)}\n" for one in recipe.cautions) + "\n"
    text += f"## The recipe\n\n```toml\n{recipe.text}\n```\n"
    return text, rate.deposition_um_h


def write(folder: Path) -> None:
    """A page for each recipe, and their table."""
    rows = []
    for name in bk.recipes():
        recipe = bk.load_recipe(name)
        text, um_h = page(recipe)
        saved(folder / f"{name}.md", text)
        rows.append(
            (f"[{name}]({name}.md)", cell(recipe.title), f"{um_h:.2g}", cell(recipe.backing))
        )
    text = "# Built-in baths\n\nNone has a complete published rate equation that is credible; each says how far it is backed.\n\n"
    text += table(("recipe", "bath", "fresh rate, um/h", "backed by"), rows)
    text += "```{toctree}\n:hidden:\n\n" + "\n".join(bk.recipes()) + "\n```\n"
    saved(folder / "index.md", text)
