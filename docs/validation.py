"""Holds the built-in recipes against what is published; writes validation.md and validation.png.

Run: python docs/validation.py (make validation)

Every row of shared/reference/published_rates.csv is one run of the library; here its answers are
only compared. Rows that a recipe was made from are regression tests; the score counts the others.
"""

from __future__ import annotations

import math
import sys
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import bathkin as bk
import numpy as np
import pandas as pd

ROOT = Path(__file__).resolve().parents[1]
PUBLISHED = ROOT / "shared" / "reference" / "published_rates.csv"
PAGE, PICTURE = ROOT / "docs" / "validation.md", ROOT / "docs" / "validation.png"
SIGNS = ("rises", "falls")


@dataclass(frozen=True)
class Outcome:
    """One published row against one recipe.

    Attributes:
        row: The row as published.
        recipe: Name of the recipe.
        computed: Its value in the unit of the row; NaN where it has none.
        against: What the value is judged by: a ratio, or a relative change.
        right: Whether it meets its target; None where the row has none.
        trouble: Why there is no value; empty where there is one.
    """

    row: Any
    recipe: str
    computed: float
    against: float
    right: bool | None
    trouble: str = ""


def settings_of(text: str) -> dict[str, Any]:
    """`path=value; path=value` as settings; a range `from:to:points` as an array."""
    found: dict[str, Any] = {}
    for part in filter(None, (one.strip() for one in text.split(";"))):
        path, _, value = part.partition("=")
        if ":" in value:
            low, high, points = value.split(":")
            found[path] = np.linspace(float(low), float(high), int(points))
        else:
            try:
                found[path] = float(value)
            except ValueError:
                found[path] = value
    return found


def answer(recipe: bk.Recipe, quantity: str, settings: dict[str, Any]) -> float:
    """The quantity of the fresh bath, as the library gives it."""
    changed = recipe.set(settings) if settings else recipe
    if quantity == "apparent_energy":
        energy = changed.apparent_activation_energy()
        return math.nan if energy is None else energy.as_run_kj_mol
    name, _, of = quantity.partition(".")
    value = getattr(changed.make_up().rate(), name)
    return float(value[of] if of else value)


def along(recipe: bk.Recipe, quantity: str, settings: dict[str, Any]) -> tuple[Any, Any]:
    """The varied values, and the quantity at each; `ph_drop` is from the bath to the surface."""
    varied = {path: value for path, value in settings.items() if isinstance(value, np.ndarray)}
    held = {path: value for path, value in settings.items() if path not in varied}
    ((path, values),) = varied.items()
    table = bk.sweep(recipe.set(held) if held else recipe, {path: values})
    column = table["ph"] - table["surface_ph"] if quantity == "ph_drop" else table[quantity]
    return values, column.to_numpy()


def judge(row: Any, name: str) -> Outcome:
    """One row on one recipe."""
    try:
        recipe, settings = bk.load_recipe(name), settings_of(row.settings)
        if row.check == "peak":
            values, column = along(recipe, row.quantity, settings)
            at = int(np.nanargmax(column))
            inside = 0 < at < len(values) - 1
            right = inside and row.low <= values[at] <= row.high
            trouble = "" if inside else "no maximum inside"
            return Outcome(row, name, float(values[at]), math.nan, right, trouble)
        if row.check == "largest":
            computed = float(np.nanmax(along(recipe, row.quantity, settings)[1]))
        else:
            computed = answer(recipe, row.quantity, settings)
        if row.check in (*SIGNS, "corner"):
            ratio = computed / answer(recipe, row.quantity, settings_of(row.against))
            if row.check == "corner":
                right = max(ratio, 1.0 / ratio) <= row.tolerance
                return Outcome(row, name, computed, ratio, right)
            change = ratio - 1.0
            right = (change if row.check == "rises" else -change) > row.tolerance
            return Outcome(row, name, computed, change, right)
    except bk.BathkinError as error:
        return Outcome(row, name, math.nan, math.nan, False, str(error))
    ratio = computed / (0.5 * (row.low + row.high))
    if row.check == "shown":
        return Outcome(row, name, computed, ratio, None)
    if row.check == "ratio":
        return Outcome(row, name, computed, ratio, max(ratio, 1.0 / ratio) <= 1.0 + row.tolerance)
    near = row.low - row.tolerance <= computed <= row.high + row.tolerance
    return Outcome(row, name, computed, ratio, near)


def outcomes() -> list[Outcome]:
    """Every row on every recipe it names, in the order of the file."""
    published = pd.read_csv(PUBLISHED, comment="#", dtype={"id": str}).fillna(
        {"settings": "", "against": "", "note": "", "unit": ""}
    )
    with warnings.catch_warnings():
        # Warnings are with each recipe; here compositions run far from where they were made.
        warnings.simplefilter("ignore", bk.BathkinWarning)
        return [
            judge(row, name.strip())
            for row in published.itertuples(index=False)
            for name in row.recipes.split("|")
        ]


def verdicts(found: list[Outcome], used: bool) -> dict[str, bool]:
    """Rows with a target by id: right where one of their recipes is."""
    right: dict[str, bool] = {}
    for one in found:
        if one.right is not None and (one.row.used == "yes") == used:
            right[one.row.id] = right.get(one.row.id, False) or bool(one.right)
    return right


@dataclass(frozen=True)
class LeftOut:
    """A handbook bath that the fit of nickel-acid was run without.

    Attributes:
        row: Its row.
        wanted_um_h: Middle of what is published.
        with_it_um_h: Its rate by the fit to all targets.
        without_it_um_h: Its rate by the fit to all but this one.
    """

    row: str
    wanted_um_h: float
    with_it_um_h: float
    without_it_um_h: float


def left_out() -> list[LeftOut]:
    """The fit of nickel-acid with and without each handbook bath."""
    sys.path.insert(0, str(PUBLISHED.parent))
    from nickel_laws import fit

    def rate(one: Any, name: str) -> tuple[float, float]:
        (target,) = [target for target in one.targets if target.name.startswith(name)]
        return target.value, target.of(one.recipe.set(one.found))

    found = []
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", bk.BathkinWarning)
        whole = fit("acid")
        for row in ("1", "8"):
            name = f"handbook-{row}"
            wanted, fitted = rate(whole, name)
            found.append(LeftOut(row, wanted, fitted, rate(fit("acid", (name,)), name)[1]))
    return found


def score(found: list[Outcome]) -> str:
    """The sentence that counts."""
    fresh, used = verdicts(found, used=False), verdicts(found, used=True)
    return (
        f"Of {len(fresh)} published rows with a target that no recipe was made from, "
        f"{sum(fresh.values())} come out right; of {len(used)} that recipes were made from, "
        f"{sum(used.values())}."
    )


def main() -> None:
    """Writes the page and the picture, prints the page."""
    from bathkin.plots.picture import save
    from validation_page import page, picture

    found = outcomes()
    text = page(found, left_out())
    PAGE.write_text(text, encoding="utf-8")
    save(picture(found), PICTURE)
    print(text)
    wrong = [row for used in (False, True) for row, ok in verdicts(found, used).items() if not ok]
    if wrong:
        print(f"wrong: {', '.join(wrong)}", file=sys.stderr)


if __name__ == "__main__":
    main()
