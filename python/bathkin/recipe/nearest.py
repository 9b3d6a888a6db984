"""The built-in recipe that is nearest to a bath."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from functools import lru_cache
from typing import NamedTuple

from bathkin.errors import RecipeError
from bathkin.recipe.recipe import Recipe, load_recipe, recipes
from bathkin.recipe.results import Reagent
from bathkin.recipe.values import OFF, Value

# Words for reductants, beside their names: what they leave in the deposit, what they are bought as.
_REDUCTANTS = {
    "hypophosphite": ("hypophosphite", "phosphorus", "ni-p", "co-p", "pd-p"),
    "dimethylamine_borane": ("dimethylamine borane", "dimethylamine", "dmab", "boron", "ni-b"),
    "borohydride": ("borohydride",),
    "methylene_glycol": ("formaldehyde", "formalin", "methylene glycol"),
    "tartrate": ("tartrate", "rochelle"),
}
_SYMBOLS = {
    "ni": "nickel",
    "cu": "copper",
    "co": "cobalt",
    "pd": "palladium",
    "au": "gold",
    "ag": "silver",
}
# How far a bath whose make-up sets its pH is from one that is brought to a pH.
_PH_RANGE = 14.0
# What never tells baths apart.
_COMMON = {"proton", "water", "sodium", "potassium", "sulfate", "chloride"}


class Nearest(NamedTuple):
    """A built-in recipe.

    Attributes:
        recipe: The recipe.
        why: What was compared.
    """

    recipe: Recipe
    why: str


def of_metal(text: str) -> list[Recipe]:
    """The built-in recipes of a metal and a reductant in words, or the one of that name.

    Raises:
        RecipeError: For another metal or reductant, with those there are.

    Example:
        >>> from bathkin.recipe.nearest import of_metal
        >>> [recipe.name for recipe in of_metal("Ni-B")]
        ['nickel-boron']
    """
    words = text.strip().lower()
    known = built_in()
    if words in {recipe.name for recipe in known}:
        return [recipe for recipe in known if recipe.name == words]
    metals = {recipe.metal for recipe in known}
    symbols = re.split(r"[^a-z]+", words)
    named = [one for one in metals if one in words]
    named = named or [_SYMBOLS[one] for one in symbols if one in _SYMBOLS]
    with_metal = [recipe for recipe in known if recipe.metal in named[:1]]
    wanted = {name for name, said in _REDUCTANTS.items() if any(word in words for word in said)}
    found = [one for one in with_metal if not wanted or one.reductant in wanted]
    if not found:
        pairs = sorted({f"{one.metal}, {_REDUCTANTS[one.reductant][0]}" for one in known})
        raise RecipeError(f"metal: {text}: expected one of: {'; '.join(pairs)}")
    return found


def nearest(candidates: Sequence[Recipe], make_up: Collection[str], ph: Value) -> Nearest:
    """Of some recipes the nearest: fewest components that only one has, then the nearest pH.

    Args:
        candidates: Recipes of one metal.
        make_up: Paths of what is weighed out.
        ph: The pH, or "off" where the make-up sets it.
    """

    def distance(recipe: Recipe) -> tuple[int, float]:
        known = recipe.reagents()
        values = {entry.path: entry.value for entry in recipe.numbers() if entry.value != OFF}
        theirs = {path for path in values if path.startswith("make_up.")}
        apart = _components(make_up, known) ^ _components(theirs, known)
        its_ph = values.get("operation.ph", OFF)
        if isinstance(ph, float) and isinstance(its_ph, float):
            return len(apart), abs(its_ph - ph)
        return len(apart), 0.0 if its_ph == ph else _PH_RANGE

    found = min(candidates, key=distance)
    apart, _ = distance(found)
    if len(candidates) == 1:
        return Nearest(found, "the only such built-in recipe")
    of = f"nearest of {len(candidates)} such built-in recipes"
    return Nearest(found, f"{of} by components ({apart} differ), then pH")


@lru_cache(maxsize=1)
def built_in() -> tuple[Recipe, ...]:
    """The built-in recipes."""
    return tuple(load_recipe(name) for name in recipes())


def _components(paths: Collection[str], known: Sequence[Reagent]) -> set[str]:
    """The components that a make-up brings and that tell baths apart."""
    gives = {one.name: set(one.gives) or {one.name} for one in known}
    names = (re.sub(r"_(g|mg|mol|mmol)_l$", "", path.removeprefix("make_up.")) for path in paths)
    return set().union(*(gives.get(name, {name}) for name in names)) - _COMMON
