"""Fits the numbers of the nickel cards' rate laws to targets; prints what became of each target.

Run: python shared/reference/nickel_laws.py acid [--without handbook-1 | --without handbook-8]
     python shared/reference/nickel_laws.py film
     python shared/reference/nickel_laws.py alkaline

`--write` puts the numbers found, three digits of each, into the card (and those of acid into
nickel-textbook, which has the same law); the reference state is that of the make-up by the
constants in use, so a changed constant asks for it.

The law itself is the card's: every rate comes from the library. Targets are common practice of the
trade, places of maxima and signs read in abstracts, and two handbook baths; none is a measured
series, so the numbers found are invented and the standard errors below come from the tolerances put
on the targets, which stand in nickel_targets.py with what is held and why.
"""

from __future__ import annotations

import argparse
import re
import warnings
from dataclasses import dataclass
from pathlib import Path

import bathkin as bk
import numpy as np
from nickel_targets import ACETIC, FITS, LACTIC, Settings, Target
from scipy.optimize import least_squares

CARDS = Path(__file__).parents[2] / "crates/bathkin/data/recipes"


def references(recipe: bk.Recipe) -> Settings:
    """The reference state of a card, from its make-up: the paths of the card that name it."""
    bath = recipe.make_up()
    species, totals = bath.species(), bath.totals()
    paths = [entry.path for entry in recipe.numbers()]
    free_form = {f"{entry.path}" for entry in recipe.numbers() if entry.value == "free"}
    found: Settings = {}
    for path in paths:
        *table, last = path.split(".")
        if not table or table[0] not in ("deposition", "phosphorus"):
            continue
        if table[-1] == "reference_free_mol_l":
            found[path] = species[last]
        elif table[-1] == "reference_mol_l":
            found[path] = totals.get(last, species[last])
        elif last == "reference_mol_l" and table[1:2] == ["ionic_strength"]:
            found[path] = bath.ionic_strength_mol_l
        elif last == "reference_mol_l":
            name = table[-1]
            free = (
                table[1] == "saturation"
                or name not in totals
                or ".".join([*table, "basis"]) in free_form
            )
            found[path] = species[name] if free else totals[name]
    return {path: float(f"{value:.4g}") for path, value in found.items()}


def write(card: str, values: Settings) -> None:
    """Puts numbers into a card, at the lines that hold them."""
    path = CARDS / f"{card}.toml"
    table, lines = "", []
    for line in path.read_text().splitlines():
        if head := re.match(r"\[([^\]]+)\]", line):
            table = head[1]
        key = re.match(r"(\w+) = ", line)
        if key and (value := values.get(f"{table}.{key[1]}")) is not None:
            line = re.sub(
                r"= (\{ value = )?[-+.\de]+",
                lambda found: f"= {found[1] or ''}{value:g}",
                line,
                count=1,
            )
        lines.append(line)
    path.write_text("\n".join(lines) + "\n")


@dataclass(frozen=True)
class Fitted:
    """A fit of a card.

    Attributes:
        card: Name of the card.
        recipe: The card with the reference state of its make-up.
        reference: That state, path to value.
        found: What was free, path to value.
        errors: Their standard errors, from the tolerances of the targets.
        used: The targets it was fitted to.
        targets: Those and the ones left out.
    """

    card: str
    recipe: bk.Recipe
    reference: Settings
    found: Settings
    errors: Settings
    used: list[Target]
    targets: list[Target]


def fit(name: str, without: tuple[str, ...] = ()) -> Fitted:
    """Fits a card to its targets, but for those whose names start with one of `without`."""
    card, at_reference, targets, free = FITS[name]
    made_up = references(bk.load_recipe(at_reference))
    recipe = bk.load_recipe(card).set(made_up)
    if name == "film":
        recipe = recipe.set({LACTIC: 27.0, ACETIC: 12.0})
    used = [target for target in targets if not target.name.startswith(without or ("\0",))]
    paths, rows = list(free), np.array(list(free.values()))
    start, scale, low, high = rows.T

    def at(x: np.ndarray) -> bk.Recipe:
        return recipe.set(dict(zip(paths, (x * scale).tolist(), strict=True)))

    def off(x: np.ndarray) -> np.ndarray:
        there = at(x)
        pulls = [(target.of(there) - target.value) / target.tolerance for target in used]
        # A hundredth of a scale: what no target decides stays where it started.
        return np.array([*pulls, *((x - start / scale) * 1e-2)])

    fitted = least_squares(
        off, start / scale, bounds=(low / scale, high / scale), diff_step=1e-3, xtol=1e-6
    )
    curvature = fitted.jac.T @ fitted.jac
    errors = np.sqrt(np.diag(np.linalg.inv(curvature))) * scale
    found = dict(zip(paths, (fitted.x * scale).tolist(), strict=True))
    known = dict(zip(paths, errors.tolist(), strict=True))
    return Fitted(card, recipe, made_up, found, known, used, targets)


def main() -> None:
    """Fits one card."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("fit", choices=FITS)
    parser.add_argument(
        "--without", action="append", default=[], help="start of the name of a target left out"
    )
    parser.add_argument("--write", action="store_true", help="put the numbers into the card")
    asked = parser.parse_args()
    warnings.simplefilter("ignore")
    one = fit(asked.fit, tuple(asked.without))
    for path, value in one.reference.items():
        print(f"{path} = {value:.4g}")
    for path, value in one.found.items():
        print(f"{path} = {value:.4g}   # +- {one.errors[path]:.2g} from the tolerances")
    there = one.recipe.set(one.found)
    if asked.write:
        rounded = {path: float(f"{value:.3g}") for path, value in one.found.items()}
        there = one.recipe.set(rounded)
        for name in [one.card, "nickel-textbook"] if asked.fit == "acid" else [one.card]:
            write(name, {**one.reference, **rounded})
    for target in one.targets:
        value = target.of(there)
        said = "" if target in one.used else "   left out"
        pull = (value - target.value) / target.tolerance
        print(f"{target.name:46s} {value:9.4f}  wanted {target.value:8.4f}  pull {pull:6.2f}{said}")


if __name__ == "__main__":
    main()
