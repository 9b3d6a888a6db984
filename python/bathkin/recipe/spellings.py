"""Substances and amounts as people write them, to the names and endings of paths."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from bathkin.core.units import to_number
from bathkin.errors import RecipeError
from bathkin.recipe.results import Reagent

# What may stand for a substance, the first that fits.
_SPELT = ("name", "title", "formula")
_MOLAR = {"mol/L", "mol/l", "M", "mM", "mmol/L", "mmol/l"}


class Amount(NamedTuple):
    """An amount per litre.

    Attributes:
        value: Number in that unit.
        ending: How names end in the unit.
    """

    value: float
    ending: str


def plain_name(text: str) -> str:
    """A name as paths write it: small letters, parted by underscores.

    Example:
        >>> from bathkin.recipe.spellings import plain_name
        >>> plain_name("Nickel sulfate hexahydrate"), plain_name("NiSO4.6H2O")
        ('nickel_sulfate_hexahydrate', 'niso4_6h2o')
    """
    text = re.sub(r"sulph", "sulf", text.strip().lower())
    return re.sub(r"[^a-z0-9]+", "_", text).strip("_")


def substance_named(text: str, known: Iterable[Reagent]) -> str | None:
    """The substance that a name, a title or a formula means; None for any other text."""
    wanted = plain_name(text)
    listed = list(known)
    spelt = [{plain_name(getattr(one, of)): one.name for one in listed} for of in _SPELT]
    return next((names[wanted] for names in spelt if wanted in names), None)


def amount_of(text: str, by: str) -> Amount:
    """Grams or moles per litre, from a text with its unit.

    Raises:
        RecipeError: For a text without a unit, or with one of another kind.

    Example:
        >>> from bathkin.recipe.spellings import amount_of
        >>> amount_of("27 g/L", "make-up"), amount_of("2 mM", "make-up")
        (Amount(value=27.0, ending='g_l'), Amount(value=0.002, ending='mol_l'))
    """
    unit = re.sub(r"^[\d.eE+\-\s]+", "", text.strip())
    if not unit:
        raise RecipeError(f"{by}: {text}: expected an amount with its unit, such as {text} g/L")
    if unit in {"M", "mM"}:
        text = text.replace("mM", "mmol/L").replace("M", "mol/L")
    ending = "mol_l" if unit in _MOLAR else "g_l"
    return Amount(to_number(f"amount_{ending}", text, by), ending)
