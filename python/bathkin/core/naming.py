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


def symbol(name: str) -> str:
    """Chemical symbol of a name, or its words."""
    return _SYMBOLS.get(name, name.replace("_", " "))


def broken(name: str) -> str:
    """A name over several short lines, for a heading."""
    return _BROKEN.get(name) or symbol(name).replace(" ", "\n")
