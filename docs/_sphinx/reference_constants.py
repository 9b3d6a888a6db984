"""Formation constants and solubility products with sources and widths."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import bathkin as bk
from markdown import cell, code, saved, table

HEAD = """\
# Constants

Formation constants from the components, at 25 degC and infinite dilution (molal), of all species and solids that the built-in recipes hold, {count} rows.
The width is one standard deviation: stated by the source, or by its class (measured 0.05 in log K, database 0.2, analogy 0.3, recalled 0.5). Where
sources differ the other value stands below the one in use: `--set species.NAME.constant=LABEL` chooses it, `--set constants.set=LABEL` all of a label. The
law over temperature is on the page [the solution](../../how-it-works/solution.md).

Kinds of sources: published (full reference), standard, computed, fitted, common-practice (no source), estimated (by analogy, which is named),
from-memory, read-untraceable (no author, title or year), invented.

"""


def formation(one: Any) -> str:
    """The components of a reaction with their coefficients, what is given off with a minus."""
    text = ""
    for name, count in one.forms_from.items():
        sign = " - " if count < 0 else " + " if text else ""
        text += f"{sign}{name}" if abs(count) == 1 else f"{sign}{abs(count):g} {name}"
    return text.strip()


def rows(one: Any) -> list[tuple[str, ...]]:
    """A row for the constant in use and one for each alternative."""
    found = []
    for constant in [one.constant, *one.alternatives]:
        log_k = "" if constant.log_k_25c is None else f"{constant.log_k_25c:.3f}"
        if constant.log_k_uncertainty:
            log_k += f" ± {constant.log_k_uncertainty:g} ({constant.log_k_class})"
        enthalpy = cell(constant.enthalpy_kj_mol)
        if constant.enthalpy_uncertainty_kj_mol:
            enthalpy += f" ± {constant.enthalpy_uncertainty_kj_mol:g} ({constant.enthalpy_class})"
        if constant.heat_capacity_j_mol_k:
            enthalpy += f"; {constant.heat_capacity_j_mol_k:g}"
        source = f"{constant.kind}: {constant.source}"
        if constant.note:
            source += f". {constant.note}"
        found.append(
            (
                f"{code(one.name)} {cell(one.formula)}",
                cell(formation(one)),
                log_k,
                enthalpy,
                f"{code(constant.label)} {cell(source)}",
            )
        )
    return found


def write(folder: Path) -> None:
    """One page, dissolved species and solids apart."""
    species: dict[str, Any] = {}
    solids: dict[str, Any] = {}
    for name in bk.recipes():
        recipe = bk.load_recipe(name)
        species |= {one.name: one for one in recipe.constants()}
        solids |= {one.name: one for one in recipe.solid_constants()}
    headings = (
        "species",
        "forms from",
        "log K ± width",
        "enthalpy, kJ/mol; heat capacity, J/(mol K)",
        "label, source, notes",
    )
    dissolved = [row for one in species.values() for row in rows(one)]
    solid = [row for one in solids.values() for row in rows(one)]
    text = HEAD.format(count=len(dissolved) + len(solid))
    text += "## Dissolved species\n\n" + table(headings, dissolved, filtered=True)
    text += "## Solids\n\nAs formation of the solid: log K = -log Ksp.\n\n" + table(
        headings, solid, filtered=True
    )
    saved(folder / "index.md", text)
