"""A limit in the words of its user, to the key of `[limits]` that says it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from bathkin.core.units import to_number
from bathkin.errors import RecipeError
from bathkin.recipe.recipe import Recipe
from bathkin.recipe.spellings import amount_of, plain_name, substance_named

EXAMPLES = (
    "150 g/L orthophosphite as HPO3; 8 turnovers; 60 % of the fresh rate;"
    " 8 wt% phosphorus at least; pH 4.4 at least; specific gravity 1.25; 2000 h"
)

_LEAST = re.compile(r"\b(at least|at the least|minimum|min|lowest|not below|no less than|>=)\b|>=")
_MOST = re.compile(r"\b(at most|at the most|maximum|max|highest|not above|no more than|<=)\b|<=")
_NUMBER = r"(?P<number>[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)"
_UNIT = (
    r"(?P<unit>wt ?%|% ?(?:by weight)?|[a-zA-Z\u00b5]+(?:\^?[23])?/(?:[a-zA-Z]+)(?:\^?[23])?|"
    r"mM|M|h|hours?|days?|weeks?|months?|m2|dm2|ft2|MTOs?|mtos?|turnovers?)(?![\w/])"
)
_AMOUNT = re.compile(rf"{_NUMBER}\s*(?:{_UNIT})?")
_FILLERS = re.compile(
    r"\b(of|the|dump|is|in|bath|limit|a|an|on|after|about|content|clock|age|end)\b|[=:,()]"
)
# What a shop calls the quantities, beside their titles.
_CALLED = {
    "mto": "turnovers",
    "mtos": "turnovers",
    "turnover": "turnovers",
    "metal turnovers": "turnovers",
    "rate": "deposition_um_h",
    "plating rate": "deposition_um_h",
    "deposition rate": "deposition_um_h",
    "density": "specific_gravity",
    "sg": "specific_gravity",
    "gravity": "specific_gravity",
    "area": "area_m2",
    "area plated": "area_m2",
    "plated": "area_m2",
    "ph": "ph",
}
_SHARES = {
    "rate": "deposition_pct_of_fresh",
    "ionic strength": "ionic_strength_pct_of_fresh",
    "metal": "metal_pct_of_set_point",
    "reductant": "reductant_pct_of_set_point",
}
_AREAS = {"m2", "dm2", "ft2"}
_SPANS = {"hour", "hours", "h", "day", "days", "week", "weeks", "month", "months"}


class LimitKey(NamedTuple):
    """A key of `[limits]` with its number."""

    key: str
    value: float


def limit_key(text: str, recipe: Recipe) -> LimitKey:
    """The key and the number that a limit in words means.

    Args:
        text: Such as "150 g/L orthophosphite as HPO3", "8 turnovers", "60 % of the fresh rate".
        recipe: The bath it limits; what the key means there is checked.

    Raises:
        RecipeError: For words that say no limit of this bath, with examples.

    Example:
        >>> import bathkin as bk
        >>> from bathkin.recipe.limit_words import limit_key
        >>> limit_key("8 wt% phosphorus at least", bk.load_recipe("nickel-acid"))
        LimitKey(key='phosphorus_wt_pct_min', value=8.0)
    """
    found = _read(text, recipe)
    if found is None:
        known = ", ".join(one.title for one in recipe.quantities() if one.worse != "neither")
        raise RecipeError(
            f"limits: {text}: expected a number with its unit and what it limits, such as"
            f" {EXAMPLES}; this bath has {known}, and its substances"
        )
    path = f"limits.{found.key}"
    try:
        recipe.set(path, found.value)
    except (RecipeError, KeyError) as error:
        why = str(error).removeprefix(f"set: {path} = ").removeprefix("set: ")
        raise RecipeError(f"limits: {text}: read as {path} = {found.value:g}: {why}") from error
    return found


def _read(text: str, recipe: Recipe) -> LimitKey | None:
    words = text.strip()
    ending = "_min" if _LEAST.search(words) else "_max" if _MOST.search(words) else ""
    words = _MOST.sub(" ", _LEAST.sub(" ", words))
    form = re.search(r"\bas\s+([A-Za-z0-9]+)", words)
    bare = words[: form.start()] + words[form.end() :] if form else words
    match = _AMOUNT.search(bare)
    if match is None:
        return None
    number, unit = match["number"], (match["unit"] or "").strip()
    about = " ".join(_FILLERS.sub(" ", bare[: match.start()] + " " + bare[match.end() :]).split())
    about = about.lower()
    if unit.lower().rstrip("s") in {"mto", "turnover"}:
        return LimitKey(f"turnovers{ending}", float(number))
    if unit.startswith("%") and (share := _share(about, recipe)):
        return LimitKey(share, float(number))
    if unit.lower() in _SPANS and not about:
        return LimitKey(
            f"clock_h{ending}", to_number("limits.clock_h", f"{number} {unit}", "limits")
        )
    if unit.lower() in _AREAS and about in {"", "plated", "area"}:
        return LimitKey(
            f"area_m2{ending}", to_number("limits.area_m2", f"{number} {unit}", "limits")
        )
    substance = substance_named(about, recipe.reagents())
    told = amount_of(f"{number} {unit}", "limits") if substance and unit else None
    if substance and told:
        name = f"{substance}_{told.ending}" + (f"_as_{plain_name(form[1])}" if form else "")
        return LimitKey(f"{name}{ending}", told.value)
    quantity = _quantity(about, recipe, unit)
    if quantity is None:
        return None
    worse = {one.name: one.worse for one in recipe.quantities()}[quantity]
    # A specification of the deposit has two sides: the bare name of a quantity has none there.
    if worse == "neither" and not ending:
        raise RecipeError(
            f"limits: {text}: expected '{text} at least' or '{text} at most': either may end a bath"
        )
    plain = number if unit in {"", "%", "wt%", "wt %"} else f"{number} {unit}"
    return LimitKey(f"{quantity}{ending}", to_number(f"limits.{quantity}", plain, "limits"))


def _share(about: str, recipe: Recipe) -> str | None:
    """The key of a limit in per cent of the fresh bath or of the set-point."""
    if not re.search(r"\b(fresh|new|set-?point|set point|start|original|initial)\b", about):
        return None
    for words, key in _SHARES.items():
        named = {"metal": recipe.metal, "reductant": recipe.reductant}.get(words, words)
        if words in about or named.replace("_", " ") in about:
            return key
    return None


def _quantity(about: str, recipe: Recipe, unit: str) -> str | None:
    """The quantity that words name, by a word of the trade or by its title."""
    known = {one.name: one for one in recipe.quantities()}
    named = _CALLED.get(about)
    if named in known:
        return named
    if about == (recipe.alloy or "").lower() and recipe.alloy_column:
        return recipe.alloy_column
    titled = [one for one in known.values() if about in {one.title.lower(), one.name}]
    if len(titled) > 1:
        titled = [one for one in titled if one.unit == unit] or titled
    return titled[0].name if titled else None


def spread(texts: Iterable[str]) -> list[str]:
    """Several answers in one: parted by semicolons or lines."""
    parts = (part.strip() for text in texts for part in re.split(r"[;\n]", text))
    return [part for part in parts if part]
