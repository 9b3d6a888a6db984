"""Reagents: what is weighed out, what a mole of it weighs, and the names that say it."""

from __future__ import annotations

import json
from typing import Any, NamedTuple

from bathkin import _core


class Reagent(NamedTuple):
    """Something weighed or poured into a bath, or a component that analyses are of.

    Attributes:
        name: Name, a salt with its water of crystallisation.
        title: Name for people.
        formula: Formula, with its charge.
        molar_mass_g_mol: Molar mass, g/mol.
        gives: Moles of each component that a mole brings; empty for a component.
        bought_for: The component an analysis by its name means, or None where it may mean several.
        spellings: Names with a unit that say it in recipes, `--set`, `--now`, logs, runs, limits.
        is_component: Whether it is a component, an ion or a molecule in the bath.
    """

    name: str
    title: str
    formula: str
    molar_mass_g_mol: float
    gives: dict[str, float]
    bought_for: str | None
    spellings: list[str]
    is_component: bool

    def as_dict(self) -> dict[str, Any]:
        """Plain values."""
        return self._asdict()


def reagents() -> list[Reagent]:
    """The built-in reagents and components; `Recipe.reagents` has those of one recipe.

    Grams of an ion that is sold as a salt need the salt by its name, mol/L (mmol/L, mM), or what
    it is weighed as: `orthophosphite_g_l_as_na2hpo3`. An element, or a molecule that is sold under
    its name, is weighed as itself: `nickel_g_l`, `thiourea_mg_l`.

    Example:
        >>> import bathkin as bk
        >>> known = {one.name: one for one in bk.reagents()}
        >>> salt = known["sodium_hypophosphite_monohydrate"]
        >>> round(salt.molar_mass_g_mol, 2), salt.bought_for
        (105.99, 'hypophosphite')
        >>> known["orthophosphite"].spellings[:3]
        ['orthophosphite_mol_l', 'orthophosphite_mmol_l', 'orthophosphite_g_l_as_hpo3']
    """
    return read_reagents(_core.built_in_reagents())


def read_reagents(text: str) -> list[Reagent]:
    """Reagents and components from the core's document."""
    document = json.loads(text)
    keys = ("name", "title", "formula", "molar_mass_g_mol", "spellings")
    found = [
        Reagent(
            **{key: one[key] for key in keys},
            gives=one["gives"],
            bought_for=one["bought_for"],
            is_component=False,
        )
        for one in document["reagents"]
    ]
    found += [
        Reagent(
            **{key: one[key] for key in keys}, gives={}, bought_for=one["name"], is_component=True
        )
        for one in document["components"]
    ]
    return found
