"""Writes database_constants.csv: what PHREEQC's databases say of the constants here.

Usage: python database_constants.py FOLDER, with minteq.v4.dat, sit.dat, llnl.dat, phreeqc.dat and
wateq4f.dat of PHREEQC 3 as the U.S. Geological Survey publishes them (read at commit ac84cad4 of
its library). A record may begin with a minus sign (`- H+ + Pd+2 + H2O = Pd(OH)+`). Every species
whose source names a database for its log K is looked up by its composition over master species,
and written as the formation constant from the components used here.
"""

from __future__ import annotations

import csv
import math
import re
import sys
from pathlib import Path

import tomllib

HERE = Path(__file__).parent
DATA = HERE.parent.parent / "crates/bathkin/data"
METALS = {"nickel": "Ni+2", "copper": "Cu+2", "cobalt": "Co+2", "silver": "Ag+"}
COMMON = {
    **METALS,
    "palladium": "Pd+2",
    "proton": "H+",
    "water": "H2O",
    "sulfate": "SO4-2",
    "chloride": "Cl-",
    "fluoride": "F-",
    "carbonate": "CO3-2",
    "phosphate": "PO4-3",
    "ammonia": "NH3",
    "thiosulfate": "S2O3-2",
}
ORGANIC = {
    "minteq.v4.dat": {
        "citrate": "Citrate-3",
        "acetate": "Acetate-",
        "glycinate": "Glycine-",
        "edta": "Edta-4",
        "ethylenediamine": "Ethylenediamine",
        "tartrate": "Tartarate-2",
        "propionate": "Propionate-",
        "formate": "Formate-",
        "cyanide": "Cyanide-",
    },
    "sit.dat": {"citrate": "Cit-3", "acetate": "Acetate-", "edta": "Edta-4"},
    "llnl.dat": {},
    "phreeqc.dat": {},
    "wateq4f.dat": {},
}
Parts = dict[str, float]
# log K and enthalpy, kJ/mol; NaN where none is stated. In minteq.v4.dat zero means unknown.
Numbers = tuple[float, float]
UNKNOWN = math.nan
KJ = {"kcal": 4.184, "kcal/mol": 4.184}


def terms(side: str) -> list[tuple[float, str]]:
    """Coefficients and names of one side of a reaction."""
    found, sign, count = [], 1.0, 1.0
    for word in side.split():
        if word in "+-":
            sign = -1.0 if word == "-" else 1.0
            continue
        number = re.match(r"^(\d*\.?\d+)(.*)$", word)
        if number and not number[2]:
            count = float(number[1])
            continue
        if number:
            count, word = float(number[1]), number[2]
        found.append((sign * count, word))
        sign = count = 1.0
    return found


def records(path: Path) -> dict[str, tuple[Numbers, Parts]]:
    """Numbers and composition of every dissolved species, the last record standing."""
    found: dict[str, tuple[Numbers, Parts]] = {}
    dissolved, name = False, ""
    for raw in path.read_text(errors="replace").splitlines():
        words = raw.split("#")[0].split(";")[0].split()
        if not words:
            continue
        key = words[0].lower().lstrip("-")
        if re.fullmatch(r"[A-Z_]{4,}", words[0]):
            dissolved = words[0] == "SOLUTION_SPECIES"
        elif dissolved and "=" in words:
            left, right = (terms(side) for side in " ".join(words).split("=", 1))
            (per, name), rest = right[0], right[1:]
            parts: Parts = {}
            for count, of in left + [(-count, of) for count, of in rest]:
                parts[of] = parts.get(of, 0.0) + count / per
            found[name] = ((0.0, UNKNOWN), parts)
        elif dissolved and name and key in ("log_k", "logk", "delta_h") and len(words) > 1:
            try:
                number = float(words[1])
            except ValueError:
                continue
            (log_k, enthalpy), parts = found[name]
            if key == "delta_h":
                enthalpy = (
                    number * KJ.get(words[2].lower() if len(words) > 2 else "", 1.0) or UNKNOWN
                )
            else:
                log_k = number
            found[name] = ((log_k, enthalpy), parts)
    return found


def resolved(known: dict[str, tuple[Numbers, Parts]], name: str) -> tuple[Numbers, Parts]:
    """Numbers and composition over master species."""
    if name not in known or list(known[name][1]) == [name]:
        return (0.0, 0.0), {name: 1.0}
    (log_k, enthalpy), parts = known[name]
    over: Parts = {}
    for of, count in parts.items():
        deeper, inner = resolved(known, of)
        log_k += count * deeper[0]
        enthalpy += count * deeper[1]
        for master, number in inner.items():
            over[master] = over.get(master, 0.0) + count * number
    return (log_k, enthalpy), {of: number for of, number in over.items() if abs(number) > 1e-9}


def alike(one: Parts, other: Parts) -> bool:
    """The same composition."""
    return all(abs(one.get(of, 0.0) - other.get(of, 0.0)) < 1e-6 for of in {*one, *other})


def main() -> None:
    """Writes the file."""
    folder = Path(sys.argv[1])
    known = {database: records(folder / database) for database in ORGANIC}
    formed = {database: {name: resolved(of, name) for name in of} for database, of in known.items()}
    rows = []
    for file in sorted(DATA.glob("species_*.toml")):
        for species, table in tomllib.loads(file.read_text())["species"].items():
            sources = {"default": table, **table.get("alternatives", {})}
            for label, constant in sources.items():
                of_log_k = re.split(r"; enthalpy|enthalpy:", constant.get("source", ""))[0]
                for database in (name for name in ORGANIC if name in of_log_k):
                    names = {**COMMON, **ORGANIC[database]}
                    if not set(table["forms_from"]) <= set(names):
                        continue
                    want: Parts = {}
                    base = [0.0, 0.0]
                    for component, count in table["forms_from"].items():
                        numbers, parts = resolved(known[database], names[component])
                        base = [sum_ + count * of for sum_, of in zip(base, numbers, strict=True)]
                        for master, number in parts.items():
                            want[master] = want.get(master, 0.0) + count * number
                    own = "enthalpy" not in constant["source"]
                    own &= isinstance(constant.get("enthalpy_kj_mol"), int | float)
                    for name, ((log_k, enthalpy), parts) in formed[database].items():
                        if alike(parts, want):
                            found = [log_k - base[0], enthalpy - base[1] if own else UNKNOWN]
                            cells = ["" if math.isnan(of) else f"{of:.4f}" for of in found]
                            rows.append([species, label, database, name, *cells])
    with (HERE / "database_constants.csv").open("w", newline="") as out:
        out.write(
            "# Formation constants at 25 C from the components used here, as in the databases.\n"
        )
        out.write("# Producer: database_constants.py, which names the databases.\n")
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(
            ["species", "label", "database", "name_there", "log_k_25c", "enthalpy_kj_mol"]
        )
        writer.writerows(rows)
    print(len(rows), "rows")


if __name__ == "__main__":
    main()
