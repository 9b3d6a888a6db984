"""Headings of tables as people write them, to names that end with their unit."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import NamedTuple, NoReturn

from bathkin import _core
from bathkin.core.units import unit_of
from bathkin.errors import DataError
from bathkin.tables.problems import Problems

# Kind of a heading that could not be read.
UNREAD = "unread"
WORDS = frozenset(_core.heading_words())


class Heading(NamedTuple):
    """What a column is.

    Attributes:
        text: As written.
        name: Name in the table; empty for a column of words.
        unit: Unit of its cells where they are to be converted, or None.
        like: Name whose unit the numbers get where it is not their own.
        kind: What its numbers are to the table; `reading` for what may be below detection.
        assumed: What was taken for the heading where it does not say, or empty.
    """

    text: str
    name: str
    unit: str | None
    like: str = ""
    kind: str = ""
    assumed: str = ""

    @property
    def target(self) -> str:
        """The name that ends with the unit of the numbers."""
        return self.like or self.name


class Stem(NamedTuple):
    """A quantity whose heading needs a unit.

    Attributes:
        spellings: What people call it; the first one is the name in messages.
        units: Endings of headings, and the units as the unit library reads them; none of a pure
            number.
        name: Name in the table.
        kind: What its numbers are to the table.
    """

    spellings: tuple[str, ...]
    units: dict[str, str]
    name: str
    kind: str = ""


TIME_UNITS = {
    "s": "s",
    "min": "min",
    "minutes": "min",
    "h": "h",
    "hr": "h",
    "d": "day",
    "days": "day",
}
MASS_UNITS = {"mg": "mg", "g": "g", "ug": "ug"}
THICKNESS_UNITS = {"um": "um", "nm": "nm", "mm": "mm", "mil": "mil", "in": "in"}
AREA_UNITS = {"cm2": "cm2", "dm2": "dm2", "m2": "m2", "mm2": "mm2", "in2": "in2", "ft2": "ft2"}
TEMPERATURE_UNITS = {
    "c": "degC",
    "k": "K",
    "f": "degF",
    "degc": "degC",
    "degk": "K",
    "degf": "degF",
}
RATE_UNITS = {
    "um_h": "um/h",
    "um_min": "um/min",
    "nm_min": "nm/min",
    "nm_s": "nm/s",
    "mil_h": "mil/h",
    "in_h": "in/h",
    "mm_h": "mm/h",
}
VOLUME_UNITS = {"l": "L", "ml": "mL", "gal": "gal", "qt": "quart", "m3": "m3"}
# What people write a reading of this unit in; a reading of another unit has that one.
_ENDINGS = {
    "": {},
    "degC": TEMPERATURE_UNITS,
    "um/h": RATE_UNITS,
    "um": THICKNESS_UNITS,
    "mg": MASS_UNITS,
    "L": VOLUME_UNITS,
}
# Units of contents in brackets, and how a name ends for them.
_CONTENTS = {
    "g/l": ("_g_l", "g/L"),
    "gpl": ("_g_l", "g/L"),
    "oz/gal": ("_g_l", "oz/gal"),
    "lb/gal": ("_g_l", "lb/gal"),
    "mg/l": ("_mg_l", "mg/L"),
    "ppm": ("_mg_l", "mg/L"),
    "mol/l": ("_mol_l", "mol/L"),
    "m": ("_mol_l", "mol/L"),
    "mmol/l": ("_mol_l", "mmol/L"),
}
_SHARES = {"%", "wt%", "wt.%", "wtpct", "wt_pct", "pct"}
_VOLUMES = {
    "l": ("_l", "L"),
    "ml": ("_l", "mL"),
    "gal": ("_l", "gal"),
    "qt": ("_l", "quart"),
    "ml/l": ("_ml_l", "mL/L"),
}
# A content or a load per volume is no volume: nickel_g_l, metal_ml_gal.
_PER_VOLUME = re.compile(r"_(k?g|mg|m?mol|dm2|m2|ft2|oz|lb)_(l|gal)$|_ml_gal$")


def named(text: str) -> tuple[str, str]:
    """The words of a heading as a name, and the unit in its brackets; LaTeX marks go.

    Example:
        >>> from bathkin.tables.headings import named
        >>> named("Duration of coating (h)"), named(r"$K_r$ [mol/L/s]")
        (('duration_of_coating', 'h'), ('k_r', 'mol/L/s'))
    """
    return _core.named_heading(text)


def judged(
    header: Sequence[str], judge: Callable[[str, str], Heading], problems: Problems
) -> list[Heading]:
    """Every heading of a table, in order; a quantity over its unit (`T/K`) counts as `T [K]`.

    What cannot be read is a problem, and a heading without a name.
    """
    heads = []
    for text in header:
        head = Heading(text, "", None, kind=UNREAD)
        with problems.gathered():
            refuse_transformed(problems.place, text)
            head = judge(problems.place, bracketed(text))._replace(text=text)
        heads.append(head)
    return heads


def bracketed(text: str) -> str:
    """A heading with its unit in brackets, where it stands behind a slash or a space.

    Example:
        >>> from bathkin.tables.headings import bracketed
        >>> bracketed("T/K"), bracketed("nickel g/L"), bracketed("Date/Time")
        ('T [K]', 'nickel [g/L]', 'Date/Time')
    """
    words, _, last = text.strip().rpartition(" ")
    if words and "/" in last and _is_unit(last.strip("()[]")):
        return f"{words} [{last.strip('()[]')}]"
    of, slash, unit = text.strip().partition("/")
    unit = re.sub(r"^\s*\((.*)\)\s*$", r"\1", unit).strip()
    return f"{of.strip()} [{unit}]" if slash and of.strip() and _is_unit(unit) else text


def _is_unit(text: str) -> bool:
    plain = text.lower().replace(" ", "")
    known = {ending for units in (TIME_UNITS, AREA_UNITS, *_ENDINGS.values()) for ending in units}
    return plain in _CONTENTS or plain in _VOLUMES or plain_unit(text) in known


_RECIPROCAL = re.compile(r"(?:1|1000|1e3|10\^?3|10\u00b3)\s*K?\s*/\s*T\b|T\s*\^?\s*-1\b")
_LOGARITHM = re.compile(r"(?:ln|lg|log(?:_?10|_?e)?)[\s_(]", re.IGNORECASE)
_PER_MASS = re.compile(r"(?:dm2|cm2|m2|ft2|in2)_(?:lb|kg|g)|lbs?|kg")


def refuse_transformed(place: str, text: str) -> None:
    """Refuses logarithms, reciprocal temperatures and masses of parts, with what to give instead.

    Raises:
        DataError: For one of these.
    """
    plain = re.sub(r"\\[a-zA-Z]*|[${}]", lambda mark: mark[0].removeprefix("\\").strip("${}"), text)
    name, unit = named(text)
    expected = ""
    if _RECIPROCAL.match(plain.strip()):
        expected = "a reciprocal temperature: expected temperature_k, temperature_c or _f"
    elif _LOGARITHM.match(plain.strip()):
        expected = "a logarithm: expected the number itself, a rate such as deposition_um_h"
    elif _PER_MASS.fullmatch(plain_unit(unit)) or name in {"mass_lb", "mass_kg", "area_ft2_lb"}:
        expected = (
            "masses of parts belong in a calendar of racks (mass_lb with area_ft2_lb, mass_kg with"
            " area_dm2_kg): expected the area, such as area_dm2"
        )
    if expected:
        raise DataError(f"{place}: column {text}: {expected}", column=text)


def of_stem(place: str, text: str, stems: Sequence[Stem]) -> Heading | None:
    """The heading of a quantity that needs a unit; None where it is none of the stems.

    Where two of them share a spelling, such as t, the unit decides.

    Raises:
        DataError: For a quantity without its unit, or with one that is not known.
    """
    name, unit = named(text)
    found: list[tuple[Stem, str]] = []
    for stem in stems:
        for spelling in stem.spellings:
            ending = name.removeprefix(f"{spelling}_")
            if name == spelling:
                found.append((stem, unit))
            elif ending != name and plain_unit(ending) in stem.units:
                found.append((stem, unit or ending))
    for stem, written in found:
        if not stem.units:
            assumed = f"{stem.spellings[0].replace('_', ' ')} as it stands" if written else ""
            return Heading(text, stem.name, None, kind=stem.kind, assumed=assumed)
        if plain_unit(written) in stem.units:
            return Heading(text, stem.name, stem.units[plain_unit(written)], kind=stem.kind)
    if not found:
        return None
    stem, written = found[0]
    # One ending for each unit, the first one.
    endings = {unit: ending for ending, unit in reversed(stem.units.items())}
    readings = [f"{stem.spellings[0]}_{ending}" for ending in reversed(endings.values())]
    refuse_unit(place, text, written, readings)


def of_content(place: str, text: str) -> Heading:
    """The heading of what a bath holds, or of any other name, with its unit in its name.

    Raises:
        DataError: For a unit in brackets that is not known.

    Example:
        >>> from bathkin.tables.headings import of_content
        >>> of_content("log.csv", "Nickel (oz/gal)")[1:3], of_content("log.csv", "zinc_ppm")[1:3]
        (('nickel_g_l', 'oz/gal'), ('zinc_mg_l', 'mg/L'))
        >>> of_content("log.csv", "orthophosphite (g/L as HPO3)").name
        'orthophosphite_g_l_as_hpo3'
    """
    name, unit = named(text)
    if unit and unit_of(name) is not None:
        return Heading(text, name, unit)
    # Small letters make a millimetre of it.
    if unit == "mM" or (not unit and re.search(r"[_ ]mM$", text.strip())):
        return Heading(text, f"{name.removesuffix('_mm')}_mol_l", "mmol/L")
    if not unit:
        for ending, (end, known) in _CONTENTS.items():
            suffix = "_" + ending.replace("/", "_")
            if len(ending) > 1 and name.endswith(suffix) and suffix != end:
                return Heading(text, name.removesuffix(suffix) + end, known)
        return Heading(text, name, None)
    inside = re.fullmatch(r"(\S+)\s+as\s+(\w+)", unit.strip(), re.IGNORECASE)
    if inside:
        # (g/L as HPO3)
        plain_text = f"{name}_as_{inside[2].lower()} ({inside[1]})"
        return of_content(place, plain_text)._replace(text=text)
    plain = unit.lower().replace(" ", "")
    if plain in _SHARES:
        assumed = "weight per cent of the deposit" if plain in {"%", "pct"} else ""
        return Heading(text, f"{name}_wt_pct", None, assumed=assumed)
    end, known = {**_CONTENTS, **_VOLUMES}.get(plain, ("", ""))
    of, weighed, form = name.partition("_as_")
    if end in {"_g_l", "_mg_l"} and weighed:
        return Heading(text, f"{of}{end}_as_{form}", known)
    if not end:
        message = f"{place}: column {text}: expected a unit such as g/L, mol/L or oz/gal"
        raise DataError(message, column=text)
    return Heading(text, name + end, known)


def of_volume(text: str) -> Heading | None:
    """The heading of a volume, or of one per volume, with its unit; None for anything else.

    Example:
        >>> from bathkin.tables.headings import of_volume
        >>> of_volume("metal_gal")[1:3], of_volume("water (mL)")[1:3], of_volume("nickel_g_l")
        (('metal_l', 'gal'), ('water_l', 'mL'), None)
    """
    name, unit = named(text)
    if unit:
        end, known = _VOLUMES.get(unit.lower().replace(" ", ""), ("", ""))
        wanted = unit_of(name)
        if end and wanted is not None:
            return Heading(text, name, known) if wanted[0] in {"L", "mL/L"} else None
        return Heading(text, name + end, known) if end else None
    if _PER_VOLUME.search(name):
        return None
    # The longest first: an addition in mL/L ends with _l, too.
    for ending in ("ml/l", "ml", "gal", "qt", "l"):
        suffix = "_" + ending.replace("/", "_")
        if name.endswith(suffix):
            end, known = _VOLUMES[ending]
            return Heading(text, name.removesuffix(suffix) + end, known if suffix != end else None)
    return None


def refuse_unit(place: str, text: str, unit: str, readings: Sequence[str]) -> NoReturn:
    """Refuses a heading whose unit is missing or not known.

    Raises:
        DataError: Always.
    """
    what = f"the unit '{unit}' is not known" if unit else "it has no unit"
    message = f"{place}: column {text}: {what}: expected one of {', '.join(readings[:6])}"
    raise DataError(message, column=text)


def once(heads: Sequence[Heading], problems: Problems) -> list[Heading]:
    """The headings, where two are of one name the later one as one that cannot be read."""
    seen: dict[str, str] = {}
    found = []
    for head in heads:
        name = head.name or head.text
        if name in seen and head.kind != UNREAD:
            message = f"{problems.place}: the columns {seen[name]} and {head.text} are both {name}"
            with problems.gathered():
                raise DataError(message, column=head.text)
            head = Heading(head.text, "", None, kind=UNREAD)
        seen.setdefault(name, head.text)
        found.append(head)
    return found


def plain_unit(unit: str) -> str:
    """A unit as headings end in it.

    Example:
        >>> from bathkin.tables.headings import plain_unit
        >>> plain_unit("microns/hr"), plain_unit("\u00b0C")
        ('um_h', 'c')
    """
    # The degree sign alone, the letter o people take for it, and one letter for both: 20 \u2103.
    plain = unit.lower().replace("\u00b0", "").replace("\u00ba", "")
    plain = plain.replace("\u2103", "c").replace("\u2109", "f")
    plain = plain.replace("\u00b5", "u").replace("\u03bc", "u")
    plain = plain.replace("\u00b2", "2").replace("^", "").replace("deg ", "deg")
    plain = plain.replace("celsius", "c").replace("fahrenheit", "f").replace("kelvin", "k")
    plain = re.sub(r"hours?", "h", plain.replace("/", "_").replace(" ", ""))
    plain = re.sub(r"^microns?", "um", plain)
    return re.sub(r"_hr?$", "_h", plain)


def _stem(name: str, unit: str, spellings: Sequence[str]) -> Stem:
    # The temperature of a log or a run is set, not measured.
    kind = "" if name == "temperature_c" else "reading"
    return Stem(tuple(spellings), _ENDINGS.get(unit, {plain_unit(unit): unit}), name, kind)


_READINGS = _core.reading_headings()
# Readings of the dictionary by what people call them in logs, and in tables of coupons.
OF_LOGS = tuple(_stem(name, unit, spelled) for name, unit, spelled, _ in _READINGS if spelled)
TEMPERATURE = next(stem for stem in OF_LOGS if stem.name == "temperature_c")
OF_COUPONS = (
    TEMPERATURE,
    *(_stem(name, unit, spelled) for name, unit, _, spelled in _READINGS if spelled),
)
