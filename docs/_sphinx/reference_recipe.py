"""Keys of recipes and readings of baths, from the dictionaries of all built-in recipes."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

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


def general(one: Any) -> tuple[str, str]:
    """Path and meaning of a key; those of each species and solid stand once, as NAME."""
    parts = one.path.split(".")
    if parts[0] not in ("species", "solid") or len(parts) < 3:
        return one.path, one.text
    text = one.text.replace(parts[1].replace("_", " "), "NAME")
    if parts[2] == "forms_from":
        parts[3] = "COMPONENT"
        text = "how many of a component a species is formed from, negative where it is given off"
    return ".".join([parts[0], "NAME", *parts[2:]]), text


def keys(folder: Path) -> None:
    """A table per section of a recipe."""
    found: dict[str, tuple[bk.recipe.results.Parameter, str, dict[str, None]]] = {}
    for name in bk.recipes():
        for one in bk.load_recipe(name).parameters():
            path, text = general(one)
            found.setdefault(path, (one, text, {}))[2][name] = None
    sections: dict[str, list[tuple[str, ...]]] = {}
    for path, (one, text, names) in sorted(found.items()):
        known = len(names)
        where = "all" if known == len(bk.recipes()) else ", ".join(names)
        bounds = ", ".join(filter(None, [cell(one.unit), cell(one.bounds)]))
        row = (
            code(path),
            bounds,
            cell(one.default),
            cell(text),
            where if known < 4 else where if where == "all" else f"{known} recipes",
        )
        sections.setdefault(path.split(".")[0], []).append(row)
    text = KEYS.format(count=len(bk.recipes()))
    headings = ("path", "unit, bounds", "default", "what it is", "known to")
    for section, rows in sections.items():
        text += f"## {section}\n\n" + table(headings, rows, filtered=len(rows) > 8)
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
            ", ".join(filter(None, [cell(one.title), cell(one.unit)])),
            cell(one.worse),
            cell(one.definition),
            cell(one.usual_error),
        )
        for one in found.values()
    ]
    headings = ("name", "title, unit", "worse", "what it is", "usual error of a reading")
    text = READINGS.format(count=len(bk.recipes())) + table(headings, rows, filtered=True)
    saved(folder / "readings.md", text)


def reagents(folder: Path) -> None:
    """One table of what can be weighed out, and of what it gives."""
    rows = []
    for one in bk.reagents():
        gives = ", ".join(f"{moles:g} {name}" for name, moles in one.gives.items())
        spellings = ", ".join(code(name) for name in one.spellings)
        name = f"{code(one.name)} {cell(one.formula)}"
        rows.append((name, f"{one.molar_mass_g_mol:.3f}", cell(gives), spellings))
    text = "# Reagents\n\nNames, molar masses and accepted spellings, as `bathkin reagents` lists them.\n\n"
    headings = ("name, formula", "g/mol", "a mole gives, mol", "spellings with a unit")
    saved(folder / "reagents.md", text + table(headings, rows, filtered=True))


def write(folder: Path) -> None:
    """The pages of recipes."""
    keys(folder)
    readings(folder)
    reagents(folder)
    schema = bk.load_recipe("nickel-acid").schema()
    text = schema if isinstance(schema, str) else json.dumps(schema, indent=2)
    saved(folder / "recipe.schema.json", text)
