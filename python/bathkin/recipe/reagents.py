"""Reagents: what is weighed out, what a mole of it weighs, and the names that say it."""

from __future__ import annotations

from bathkin import _core
from bathkin.recipe.results import Reagent


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
    return _core.built_in_reagents()
