"""The Python reference: every public name, grouped by the room of the package it lives in."""

from __future__ import annotations

import inspect
from pathlib import Path

import bathkin as bk
from markdown import saved

# A room, and what its page is called; in the order a bath works.
ROOMS = {
    "recipe": "Recipes, reagents, substrates",
    "bath": "A bath: solution, rate, load",
    "sweeps": "Sweeps",
    "life": "Life, plan, cost, strategies",
    "ensemble": "Ensembles and global sensitivity",
    "optimise": "Optimisation",
    "tables": "Runs and logs",
    "fit": "Fits and forecasts",
    "tracking": "A bath followed along its log",
    "core": "Flags",
    "errors": "Errors and warnings",
}


def by_room() -> dict[str, list[str]]:
    """The public names of each room; a name of a room without a title is an error."""
    found: dict[str, list[str]] = {room: [] for room in ROOMS}
    for name in bk.__all__:
        module = getattr(getattr(bk, name), "__module__", None)
        if module:
            found[module.split(".")[1]].append(name)
    return found


def entry(name: str) -> str:
    """The directive of a name: a class with its members, or a function."""
    of = getattr(bk, name)
    if not inspect.isclass(of):
        return f".. autofunction:: bathkin.{name}\n"
    return f".. autoclass:: bathkin.{name}\n   :members:\n   :show-inheritance:\n"


def write(folder: Path) -> None:
    """A page per room, functions first, and their table of contents."""
    rooms = by_room()
    for room, names in rooms.items():
        title = ROOMS[room]
        order = sorted(names, key=lambda name: (inspect.isclass(getattr(bk, name)), name.lower()))
        body = "".join(f"\n{name}\n{'-' * len(name)}\n\n{entry(name)}" for name in order)
        saved(folder / f"{room}.rst", f"{title}\n{'=' * len(title)}\n{body}")
    count = sum(map(len, rooms.values()))
    index = "# Python\n\n"
    index += f"`import bathkin as bk` brings these {count} names; they are listed by what they are about.\n\n"
    for room, names in rooms.items():
        links = ", ".join(f"[{name}](#bathkin.{name})" for name in sorted(names, key=str.lower))
        index += f"**{ROOMS[room]}**: {links}\n\n"
    index += "```{toctree}\n:maxdepth: 1\n:hidden:\n\n" + "\n".join(ROOMS) + "\n```\n"
    saved(folder / "index.md", index)
