"""Keys of recipes and readings of baths, from the dictionaries of all built-in recipes."""

from __future__ import annotations

import json
from pathlib import Path

import bathkin as bk
from markdown import cell, code, saved, table

KEYS = """\
# Keys of recipes

Every number of a recipe has a path with its unit in the name. The same path stands in the file (section, point, name), overrides it (`recipe.set`,
`--set`), varies it (`bk.sweep`, `--vary`) and names it in messages. The tables hold what the {count} built-in recipes know; what one recipe knows, with
its values and sources, is printed by `bathkin show RECIPE --parameters`. A default stands where a recipe says nothing; a number without one has to be
given, or its law is off.

Editors complete and check these keys by the {{download}}`JSON Schema <recipe.schema.json>`, which `bathkin show RECIPE --schema` prints.

"""

READINGS = """\
# Readings

What can be read off a bath, from the dictionary of quantities of the {count} built-in recipes. A name is a column of a life or a log; `NAME_min` and
`NAME_max` are limits; `NAME_above` and `NAME_below` are conditions of a warning. The name alone limits a reading from the side it gets worse on.
Readings of a substance are there in recipes that hold it.

"""


def keys(folder: Path) -> None:
    """A table per section of a recipe."""
    found: dict[str, tuple[bk.recipe.results.Parameter, list[str]]] = {}
    for name in bk.recipes():
        for one in bk.load_recipe(name).parameters():
            found.setdefault(one.path, (one, []))[1].append(name)
    sections: dict[str, list[tuple[str, ...]]] = {}
    for path, (one, names) in sorted(found.items()):
        where = "all" if len(names) == len(bk.recipes()) else ", ".join(names)
        row = (
            code(path),
            cell(one.unit),
            cell(one.bounds),
            cell(one.default),
            cell(one.text),
            cell(where),
        )
        sections.setdefault(path.split(".")[0], []).append(row)
    text = KEYS.format(count=len(bk.recipes()))
    headings = ("path", "unit", "bounds", "default", "what it is", "known to")
    for section, rows in sections.items():
        text += f"## {section}\n\n" + table(headings, rows, filtered=True)
    saved(folder / "keys.md", text)


def readings(folder: Path) -> None:
    """One table of all readings."""
    found: dict[str, bk.recipe.results.Quantity] = {}
    for name in bk.recipes():
        for one in bk.load_recipe(name).quantities():
            found.setdefault(one.name, one)
    rows = [
        (
            code(one.name),
            cell(one.title),
            cell(one.unit),
            cell(one.worse),
            cell(one.definition),
            cell(one.usual_error),
        )
        for one in found.values()
    ]
    headings = ("name", "title", "unit", "worse", "what it is", "usual error of a reading")
    text = READINGS.format(count=len(bk.recipes())) + table(headings, rows, filtered=True)
    saved(folder / "readings.md", text)


def reagents(folder: Path) -> None:
    """One table of what can be weighed out, and of what it gives."""
    rows = []
    for one in bk.reagents():
        gives = ", ".join(f"{moles:g} {name}" for name, moles in one.gives.items())
        spellings = ", ".join(code(name) for name in one.spellings)
        rows.append(
            (
                code(one.name),
                cell(one.formula),
                f"{one.molar_mass_g_mol:.3f}",
                cell(gives),
                spellings,
            )
        )
    text = "# Reagents\n\nNames, molar masses and accepted spellings, as `bathkin reagents` lists them.\n\n"
    headings = ("name", "formula", "g/mol", "a mole gives, mol", "spellings with a unit")
    saved(folder / "reagents.md", text + table(headings, rows, filtered=True))


def write(folder: Path) -> None:
    """The pages of recipes."""
    keys(folder)
    readings(folder)
    reagents(folder)
    schema = bk.load_recipe("nickel-acid").schema()
    text = schema if isinstance(schema, str) else json.dumps(schema, indent=2)
    saved(folder / "recipe.schema.json", text)
