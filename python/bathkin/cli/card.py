"""The card of a bath: every number in reading order, with whose it is and where it comes from."""

from __future__ import annotations

from collections.abc import Sequence

from bathkin.core import layout
from bathkin.core.layout import number
from bathkin.recipe.recipe import Recipe
from bathkin.recipe.results import Entry

HEADING = (
    "format",
    "name",
    "title",
    "metal",
    "reductant",
    "by_product",
    "backing",
    "disagreements",
    "cautions",
    "cite",
)
# Chapters with the tables of each; what is in none of them is law and chemistry.
_CHAPTERS = {
    "Make-up": ("make_up", "role"),
    "How it is run": ("operation", "ph_control", "replenishment", "event"),
    "Tank and work": ("tank", "drag_in", "work", "load", "gas_exchange"),
    "Replenishers": ("replenisher",),
    "Limits and warnings": ("limits", "warning", "alarms", "life", "log"),
    "Cost": ("cost",),
}
_REST = "Law and chemistry"
# Tables whose children are sections of their own.
_NESTED = frozenset(
    {"half_reaction", "bulk_reaction", "replenisher", "load", "solids", "gas_exchange", "warning"}
)
# A value that does not stand in a column of values.
_LONG = 30


def card(recipe: Recipe) -> str:
    """A recipe chapter by chapter, a section a table."""
    base = next((e.value for e in recipe.numbers() if e.path == "base"), None)
    on = [f"on {base}: what is inherited holds as it stands there"] if base else []
    lines = [
        layout.wrapped(f"{recipe.name}: {recipe.title}", 0, 2),
        *(layout.wrapped(line, 2, 4) for line in on),
        layout.wrapped(f"backing: {recipe.backing}", 2, 4),
        *(layout.wrapped(f"published laws disagree: {one}", 2, 4) for one in recipe.disagreements),
    ]
    entries = [one for one in recipe.numbers() if one.path not in (*HEADING, "base")]
    sections: dict[str, list[Entry]] = {}
    for entry in entries:
        sections.setdefault(section_of(entry.path), []).append(entry)
    chapters: dict[str, list[str]] = {title: [] for title in (*_CHAPTERS, _REST)}
    for section in sections:
        table = section.partition(".")[0]
        mine = (title for title, tables in _CHAPTERS.items() if table in tables)
        chapters[next(mine, _REST)].append(section)
    for title, tables in _CHAPTERS.items():
        chapters[title].sort(key=lambda section: tables.index(section.partition(".")[0]))
    for title, names in chapters.items():
        for at, section in enumerate(names):
            heading = f"{title}\n" if at == 0 else ""
            lines += [
                "",
                f"{heading}[{section}]",
                *section_lines(recipe, section, sections[section]),
            ]
    return "\n".join(lines)


def section_of(path: str) -> str:
    """Section of a path: two words for a half-reaction, a replenisher or a solid, else one."""
    first, _, rest = path.partition(".")
    return f"{first}.{rest.partition('.')[0]}" if first in _NESTED else first


def section_lines(recipe: Recipe, section: str, entries: Sequence[Entry]) -> list[str]:
    """Name, value, range and source of each value, the source broken into lines."""
    names = [entry.path.removeprefix(f"{section}.") for entry in entries]
    values = [value_text(entry.value) for entry in entries]
    ranges = [
        f"{number(entry.range[0])} to {number(entry.range[1])}" if entry.range else ""
        for entry in entries
    ]
    abouts = [about(recipe, entry) for entry in entries]
    # A word without a source may run on; it does not widen the column of numbers.
    short = [value for value in values if len(value) <= _LONG] or [""]
    beside = [value for value, text in zip(values, abouts, strict=True) if text and value in short]
    beside = beside or short
    widths = [max(map(len, column)) for column in (names, beside, ranges)]
    lines = []
    for name, value, span, text in zip(names, values, ranges, abouts, strict=True):
        name = f"  {name:{widths[0]}}  "
        if len(value) > _LONG:
            # A sentence, and below it where it comes from.
            lines.append(layout.wrapped(f"{name}{value}", 0, len(name)))
            lines += [layout.wrapped(text, len(name), len(name))] if text else []
            continue
        start = f"{name}{value:>{widths[1]}}"
        start += f"  {span:{widths[2]}}" if widths[2] and text else ""
        lines.append(layout.wrapped(f"{start}  {text}", 0, len(start) + 2).rstrip())
    return lines


def about(recipe: Recipe, entry: Entry) -> str:
    """Whose a value is, and where it comes from."""
    if entry.kind == "user":
        return f"yours, {entry.source}"
    source = ": ".join(text for text in (entry.kind, entry.source) if text)
    origin = entry.place.rpartition(":")[0]
    if origin == recipe.file:
        whose = "" if recipe.is_built_in() else "yours"
    else:
        whose = f"inherited from {origin}" if origin else ""
    return ", ".join(text for text in (whose, source) if text)


def value_text(value: object) -> str:
    """A value of a recipe."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return number(value, 6)
    return ", ".join(value) if isinstance(value, list) else str(value)
