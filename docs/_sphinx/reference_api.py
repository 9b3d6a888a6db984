"""The Python reference: every public name, grouped by the room of the package it lives in.

Below the names of a room stand the records that its results hold.
"""

from __future__ import annotations

import inspect
from pathlib import Path

import bathkin as bk
from bathkin.core.result import CLASSES, Result
from markdown import code, saved, table

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


# Words of signatures that stand for several types.
WORDS = {
    "Progress": "`True` for a bar after a second, a function that is called with what is done, or `None`",
    "Readable": "runs or a log as they were read, the path of a file, or a pandas DataFrame",
    "Source": "the path of a file (text or workbook), or a pandas DataFrame",
    "Paths": "the path of a file, as a string or a `Path`",
    "Vary": "by path, the bounds `(low, high)` of a number that an optimisation may choose",
    "Draws": "by path, a spread such as `normal(4.8, 0.05)`, a list of values, or a table with a column for each path",
    "Bounds": "by path, `(low, high)`, `None` where there is none",
    "Starts": "by path, where the search starts, a number or a text with a unit",
    "Ties": "by path, the path it follows, or `(path, factor)`",
    "Priors": 'by path, `(mean, standard deviation)`, or `"recipe"`',
    "Errors": 'by column, `(model, size)`: `("relative", 0.02)`, `("absolute", 0.1)`, `("mixed", 0.1, 0.02)`',
    "Candidates": "by column, the settings to choose from (all are combined), or a list of settings",
    "CandidateModels": "by name of a model, the free paths, or arguments of `fit`",
}


def by_room() -> dict[str, list[str]]:
    """The public names of each room; a name of a room without a title is an error."""
    found: dict[str, list[str]] = {room: [] for room in ROOMS}
    for name in bk.__all__:
        module = getattr(getattr(bk, name), "__module__", None)
        if module:
            found[module.split(".")[1]].append(name)
    return found


def records(room: str) -> list[str]:
    """Where the records of a room's results live, in the order of their names."""
    of = [
        f"{record.__module__}.{name}"
        for name, record in CLASSES.items()
        if record.__module__.split(".")[1] == room and name not in bk.__all__
    ]
    return sorted(one for one in of if not one.endswith("Base"))


def entry(name: str) -> str:
    """The directive of a name: a class with its members, or a function."""
    of = getattr(bk, name)
    if not inspect.isclass(of):
        return f".. autofunction:: bathkin.{name}\n"
    # What a result derives from says nothing to who reads it; what an error is caught by does.
    bases = "" if issubclass(of, Result) else "   :show-inheritance:\n"
    return f".. autoclass:: bathkin.{name}\n   :members:\n{bases}"


def write(folder: Path) -> None:
    """A page per room, functions first, and their table of contents."""
    rooms = by_room()
    for room, names in rooms.items():
        title = ROOMS[room]
        order = sorted(names, key=lambda name: (inspect.isclass(getattr(bk, name)), name.lower()))
        body = "".join(f"\n{name}\n{'-' * len(name)}\n\n{entry(name)}" for name in order)
        parts = records(room)
        if parts:
            heading = "Records of its results"
            body += f"\n{heading}\n{'-' * len(heading)}\n\n"
            body += "".join(f".. autoclass:: {one}\n   :members:\n\n" for one in parts)
        saved(folder / f"{room}.rst", f"{title}\n{'=' * len(title)}\n{body}")
    count = sum(map(len, rooms.values()))
    index = "# Python\n\n"
    index += f"`import bathkin as bk` brings these {count} names; they are listed by what they are about.\n\n"
    for room, names in rooms.items():
        links = ", ".join(f"[{name}](#bathkin.{name})" for name in sorted(names, key=str.lower))
        index += f"**{ROOMS[room]}**: {links}\n\n"
    index += "## Words in signatures\n\n"
    index += table(("word", "what is taken"), [(code(word), what) for word, what in WORDS.items()])
    index += "```{toctree}\n:maxdepth: 1\n:hidden:\n\n" + "\n".join(ROOMS) + "\n```\n"
    saved(folder / "index.md", index)
