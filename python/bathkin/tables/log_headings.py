"""Headings of bath logs: when, what was read, what was plated, what went in and out."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence

from bathkin.errors import DataError
from bathkin.tables import headings
from bathkin.tables.headings import Heading, Stem
from bathkin.tables.problems import Problems

_STAMPS = frozenset({"timestamp", "date", "datetime", "date_time", "date/time", "when"})
_TURNOVERS = frozenset({"turnovers", "turnover", "metal_turnovers", "mto", "mtos"})
_CALIBRATED = frozenset({"electrode_calibrated", "ph_calibrated", "calibrated", "ph_calibration"})
# When the sample of the readings of a row was taken, where they came in later.
_SAMPLED = frozenset({"sampled", "sampled_at", "sample_time", "sample_taken", "sampled_h"})
# How people write that a column has times of the day.
_CLOCKS = frozenset({"", "hh:mm", "h:mm", "hh:mm:ss"})
_WORDS = headings.WORDS | {
    *("analyst", "shift", "by", "initials", "part", "parts", "part_no", "rack", "rack_no"),
    *("job", "job_no", "order", "order_no", "customer", "batch"),
}
# When a rack went in and came out, by the clock on the wall or as the times of the rows.
_HUNG = {
    **dict.fromkeys(("in", "rack_in", "in_at", "time_in", "rack_in_h"), "rack_in_h"),
    **dict.fromkeys(("out", "rack_out", "out_at", "time_out", "rack_out_h"), "rack_out_h"),
}
_STEMS = (
    *headings.OF_LOGS,
    Stem(("time", "elapsed", "elapsed_time", "t"), headings.TIME_UNITS, "time_h", kind="time"),
    Stem(
        ("plating", "plating_time", "time_in_tank", "immersion", "dwell"),
        headings.TIME_UNITS,
        "plating_min",
        kind="interval",
    ),
    Stem(("age", "bath_age", "age_of_bath"), headings.TIME_UNITS, "age_h", kind="age"),
    Stem(
        ("area_in_tank", "area_in_the_tank", "mean_area_in_tank", "mean_area"),
        headings.AREA_UNITS,
        "area_in_tank_dm2",
        kind="interval",
    ),
    Stem(
        ("area", "surface", "surface_area", "plated_area", "area_plated"),
        headings.AREA_UNITS,
        "area_dm2",
        kind="interval",
    ),
    Stem(("removed", "bath_removed", "taken_out"), headings.VOLUME_UNITS, "removed_l", kind="out"),
)
_COLD_PH = re.compile(r"ph_?(at_?|@_?)?25(_?(deg)?_?c)?")
# Ni % of set point, nickel (% activity), % activity, activity (%), nickel_pct_of_set_point.
_SET_POINT = re.compile(
    r"(.*?)_?(?:%|pct|percent|per_cent)_?(?:of_?)?(?:the_?)?"
    r"(?:set_?point|activity|strength|nominal)"
)
# What a heading says beside the name of the solution that was added.
_ADDITION = re.compile(r"(?:^|_)(?:additions?|added|add|replenishers?|of)(?=_|$)")


def log_heading(place: str, text: str) -> Heading:
    """Name, unit and kind of a column of a log from its heading.

    The kind is `stamp`, `clock`, `time`, `reading`, `sigma`, `interval` (what happened since the
    row before), `hung` (when a rack went in or came out), `in`, `out`, `age`, `mark` (yes or
    nothing), `sampled`, or empty for settings and words.

    Raises:
        DataError: For a quantity without its unit, or with one that is not known.

    Example:
        >>> from bathkin.tables.log_headings import log_heading
        >>> log_heading("log.csv", "Metal addition (mL)")[1:3]
        ('metal_l', 'mL')
        >>> log_heading("log.csv", "pH (25 degC)").name
        'ph_25c'
    """
    name, unit = headings.named(text)
    if not name or name in _WORDS:
        return Heading(text, "", None)
    if name in _STAMPS:
        return Heading(text, "time_h", None, kind="stamp")
    if name in _TURNOVERS:
        return Heading(text, "turnovers", None, kind="age")
    if name in _CALIBRATED:
        return Heading(text, "electrode_calibrated", None, kind="mark")
    if name in _SAMPLED:
        return Heading(text, "sampled", None, kind="sampled")
    if name in _HUNG and unit.lower() in {*_CLOCKS, "h"}:
        return Heading(text, _HUNG[name], None, kind="hung")
    if name == "time" and unit.lower() in _CLOCKS:
        return Heading(text, "time_h", None, kind="clock")
    if re.match(r"sigma(_|$)", name):
        return _sigma(place, text)
    if name in {"hours", "minutes", "days"} and not unit:
        return log_heading(place, f"time_{name}")._replace(text=text)
    of_stem = headings.of_stem(place, text, _STEMS)
    if of_stem is not None:
        return of_stem
    share = _of_set_point(name, unit)
    if share is not None:
        of = share or "metal"
        assumed = "" if share else "per cent of the set-point of the metal"
        name = f"{of}_pct_of_set_point"
        return Heading(text, name, None, kind="reading", assumed=assumed)
    if name.startswith("below_"):
        return headings.of_content(place, text)._replace(kind="limit")
    volume = headings.of_volume(text)
    if volume is not None:
        return _addition(place, text, volume)
    if name.startswith("ph"):
        return _ph(place, text, name, unit)
    if _ADDITION.search(name) and re.search(r"(?:^|_)add", name) and not unit:
        readings = ["metal_ml", "metal_l", "metal_gal", "metal_ml_l"]
        headings.refuse_unit(place, text, unit, readings)
    return headings.of_content(place, text)._replace(kind="reading")


def mapped(columns: Mapping[str, str]) -> Callable[[str, str], Heading]:
    """How headings are read where some of them are read as others.

    A heading of the map counts in whatever letters and spaces it is written. One that is read as
    nothing is a column of words.

    Example:
        >>> from bathkin.tables.log_headings import mapped
        >>> read = mapped({"Ni %": "nickel_pct_of_set_point", "Tank": ""})
        >>> read("log.csv", "ni  %").name, read("log.csv", "Tank").name
        ('nickel_pct_of_set_point', '')
    """
    known = {_as_written(text): read_as for text, read_as in columns.items()}

    def judge(place: str, text: str) -> Heading:
        read_as = known.get(_as_written(text))
        if read_as is None:
            return log_heading(place, text)
        if not read_as.strip():
            return Heading(text, "", None)
        assumed = f"{read_as}, as [log.columns] says"
        return log_heading(place, headings.bracketed(read_as))._replace(text=text, assumed=assumed)

    return judge


def _as_written(text: str) -> str:
    return " ".join(headings.bracketed(text).lower().split())


def minutes_of_work(heads: Sequence[Heading]) -> list[Heading]:
    """Bare `minutes` beside an area are how long it plated, where another column says when.

    Example:
        >>> from bathkin.tables.log_headings import log_heading, minutes_of_work
        >>> heads = [log_heading("log.csv", text) for text in ("when", "area_dm2", "minutes")]
        >>> [head.name for head in minutes_of_work(heads)]
        ['time_h', 'area_dm2', 'plating_min']
    """
    of_work = {"area_dm2", "rack_in_h", "rack_out_h"} & {head.name for head in heads}
    saying = [head for head in heads if head.kind in {"time", "stamp"}]
    bare = [head for head in saying if headings.named(head.text)[0] in {"minutes", "min"}]
    if not of_work or len(bare) != 1 or len(saying) != 2:
        return list(heads)
    work = Heading("", "plating_min", "min", kind="interval", assumed="how long the area plated")
    return [work._replace(text=head.text) if head is bare[0] else head for head in heads]


def sigmas_of_readings(heads: Sequence[Heading], problems: Problems) -> list[Heading]:
    """Every sigma with the name and unit of its reading; one without a reading is a problem."""
    readings = [head for head in heads if head.kind == "reading"]
    found = []
    for head in heads:
        if head.kind != "sigma":
            found.append(head)
            continue
        like = Heading(head.text, "", None, kind=headings.UNREAD)
        with problems.gathered():
            like = _like_its_reading(problems.place, head, readings)
        found.append(like)
    return found


def _like_its_reading(place: str, head: Heading, readings: Sequence[Heading]) -> Heading:
    of = head.name.removeprefix("sigma_")
    # A sigma without a unit of its own has that of its reading.
    like = [one for one in readings if one.name == of] or [
        one for one in readings if head.unit is None and headings.named(one.text)[0] == of
    ]
    if len(like) != 1:
        there = ", ".join(f"sigma_{one.name}" for one in readings) or "a column it belongs to"
        message = f"{place}: column {head.text}: expected sigma of a reading: {there}"
        raise DataError(message, column=head.text)
    name = f"sigma_{like[0].name}"
    if like[0].name != of:
        assumed = f"in the unit of {like[0].text}"
        head = head._replace(unit=like[0].unit, assumed=assumed)
    return head._replace(name=name)


def _of_set_point(name: str, unit: str) -> str | None:
    """The substance a share of the set-point is of, empty where it has no name; None for others."""
    plain = re.sub(r"[\s\-]+", "_", unit.lower())
    for text in (f"{name}_{plain}".strip("_"), f"{plain}_{name}".strip("_")):
        found = _SET_POINT.fullmatch(text)
        if found:
            return (found[1] or "").strip("_")
    return None


def _sigma(place: str, text: str) -> Heading:
    rest = re.sub(r"(?i)sigma[\s_\-]*", "", text, count=1)
    of = log_heading(place, rest)
    if of.name == "temperature_c":
        message = f"{place}: column {text}: the temperature is set, not fitted: it takes no sigma"
        raise DataError(message, column=text)
    return Heading(text, f"sigma_{of.name}", of.unit, kind="sigma")


def _ph(place: str, text: str, name: str, unit: str) -> Heading:
    plain = re.sub(r"[\s\u00b0]+", "", unit.lower())
    if _COLD_PH.fullmatch(f"{name}_{plain}".strip("_").replace("\u00b0", "")):
        return Heading(text, "ph_25c", None, kind="reading")
    if unit and name == "ph":
        message = f"{place}: column {text}: expected ph in the bath, or ph_25c for a cooled sample"
        raise DataError(message, column=text)
    return headings.of_content(place, text)._replace(kind="reading")


def _addition(place: str, text: str, volume: Heading) -> Heading:
    ending = "_ml_l" if volume.name.endswith("_ml_l") else "_l"
    solution = _ADDITION.sub("", volume.name.removesuffix(ending)).strip("_")
    if not solution:
        message = f"{place}: column {text}: expected the solution that was added, such as metal_ml"
        raise DataError(message, column=text)
    return volume._replace(name=solution + ending, kind="in")
