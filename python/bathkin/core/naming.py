"""Short headings for columns, by the names the core uses."""

from __future__ import annotations

_SYMBOLS = {
    "nickel": "Ni",
    "copper": "Cu",
    "cobalt": "Co",
    "gold": "Au",
    "silver": "Ag",
    "palladium": "Pd",
    "phosphorus": "P",
    "boron": "B",
    "sodium": "Na",
    "potassium": "K",
    "ammonia": "NH3",
    "sulfate": "SO4",
    "carbonate": "CO3",
    "chloride": "Cl",
    "sodium_hydroxide": "NaOH",
    "potassium_hydroxide": "KOH",
    "sulfuric_acid": "H2SO4",
    "hydrochloric_acid": "HCl",
}
_BROKEN = {
    "hypophosphite": "hypo-\nphos-\nphite",
    "orthophosphite": "ortho-\nphos-\nphite",
    "methylene_glycol": "HCHO\nas glycol",
}
# A name's ending and how the unit is written.
_UNITS = {
    "_wt_pct_min": "wt% (lowest)",
    "_wt_pct_max": "wt% (highest)",
    "_wt_pct": "wt%",
    "_mol_l_min": "mol/L (lowest)",
    "_mol_l_max": "mol/L (highest)",
    "_mol_l": "mol/L",
    "_g_l": "g/L",
    "_um_h": "um/h",
}


def symbol(name: str) -> str:
    """Chemical symbol of a name, or its words."""
    return _SYMBOLS.get(name, name.replace("_", " "))


def broken(name: str) -> str:
    """A name over several short lines, for a heading."""
    return _BROKEN.get(name) or symbol(name).replace(" ", "\n")


def limit_words(name: str, metal: str) -> tuple[str, str]:
    """A limit's name in words, and its unit.

    Example:
        >>> from bathkin.core.naming import limit_words
        >>> limit_words("orthophosphite_mol_l", "nickel")
        ('orthophosphite', 'mol/L')
    """
    substrate, dot, own = name.rpartition(".")
    if dot:
        words, unit = limit_words(own, metal)
        return f"{words} on {substrate.replace('_', ' ')}", unit
    if name == "turnovers":
        return "metal turnovers", "turnovers"
    if name == "clock_h":
        return "time", "h"
    if name == "area_m2":
        return "area plated", "m2"
    if name == "ph_min":
        return "pH (lowest)", ""
    if name == "deposition_um_h":
        return "deposition rate", "um/h"
    if name == "metal_g_l":
        return metal, "g/L"
    if name.startswith("saturation_index_"):
        return f"clouding with {name.removeprefix('saturation_index_').replace('_', ' ')}", "SI"
    for ending, unit in _UNITS.items():
        if name.endswith(ending):
            words = name.removesuffix(ending).replace("_", " ")
            if unit.endswith(")"):
                unit, _, which = unit.partition(" ")
                words = f"{words} {which}"
            return words, unit
    return name.replace("_", " "), ""
