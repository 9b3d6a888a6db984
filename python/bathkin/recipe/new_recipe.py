"""A recipe from ten answers: the nearest built-in one below it, and who says each line."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from pathlib import Path

from bathkin import _core
from bathkin.core import files
from bathkin.errors import RecipeError
from bathkin.recipe.answers import Answers
from bathkin.recipe.questions import KEYS, QUESTIONS
from bathkin.recipe.recipe import Recipe
from bathkin.recipe.results import Entry
from bathkin.recipe.values import OFF, Value

# What a shop changes; the rest is the law and its chemistry.
_OF_SHOP = (
    *("operation", "make_up", "tank", "work", "replenisher", "replenishment", "ph_control"),
    *("limits", "cost"),
)
_UNNAMED = "my-bath"


def new_recipe(
    answers: Mapping[str, str | Sequence[str]], path: str | os.PathLike[str] | None = None
) -> Recipe:
    """A recipe from ten answers, on the nearest built-in recipe.

    Each line of its text says whether it is the user's, with the answer, or inherited, and from
    where; inherited lines stand there as comments.

    Args:
        answers: By key: `metal`, `volume`, `make_up`, `ph`, `ph_reagent`, `temperature`, `loading`,
            `shifts`, `limits`, `prices`, each a text with its units, or several. The first four
            and `temperature` are needed.
        path: A new file to write it to; without, it is only returned (`.text` is its document).

    Returns:
        The recipe.

    Raises:
        RecipeError: For an answer that is missing or cannot be understood, and for a file that is
            there already.
        UnknownNameError: For a key or a substance nobody knows.

    Example:
        >>> import bathkin as bk
        >>> recipe = bk.new_recipe({
        ...     "metal": "nickel, hypophosphite",
        ...     "volume": "400 L",
        ...     "make_up": [
        ...         "nickel sulfate hexahydrate = 27 g/L",
        ...         "sodium hypophosphite monohydrate = 28 g/L",
        ...         "lactic acid = 30 g/L",
        ...     ],
        ...     "ph": "4.8 hot",
        ...     "temperature": "190 degF",
        ...     "limits": ["120 g/L orthophosphite as HPO3", "8 turnovers"],
        ... })
        >>> recipe.get("limits.orthophosphite_g_l_as_hpo3")
        120.0
    """
    place = None if path is None else Path(path)
    refuse_existing(place)
    unknown = [key for key in answers if key not in KEYS]
    if unknown:
        expected = f"expected {', '.join(KEYS)}"
        raise RecipeError(f"new_recipe: {unknown[0]} is no question: {expected}")
    given = {key: [text] if isinstance(text, str) else list(text) for key, text in answers.items()}
    missing = [one for one in QUESTIONS if one.needed and not given.get(one.key)]
    if missing:
        wanted = "; ".join(f"{one.key} (such as '{one.example}')" for one in missing)
        raise RecipeError(f"new_recipe: not answered: {wanted}")
    taken = Answers(folder_of(place))
    for key in KEYS:
        if given.get(key):
            taken.take(key, given[key])
    return written_recipe(taken, place)


def refuse_existing(place: Path | None) -> None:
    """Refuses to write over a file.

    Raises:
        RecipeError: When something is there.
    """
    if place is not None and (place.exists() or place.is_symlink()):
        raise RecipeError(f"{place}: that file is there: expected a new one")


def folder_of(place: Path | None) -> Path:
    """The folder that files a recipe names are looked for in."""
    return Path() if place is None else place.parent


def written_recipe(answers: Answers, place: Path | None) -> Recipe:
    """The recipe of all answers, checked, and written where a place is given.

    Raises:
        RecipeError: For answers that do not go together, and for a file that is there.
        OSError: For a place that cannot be written.
    """
    name = _UNNAMED if place is None else place.stem
    text = text_of(answers, name)
    file = str(folder_of(place) / f"{name}.toml") if place is None else str(place)
    recipe = Recipe(_core.Recipe(file, text))
    # That the pH can be reached with the named reagent shows when it is weighed out.
    recipe.make_up()
    refuse_existing(place)
    if place is not None:
        files.write(place, text.encode())
    return recipe


def text_of(answers: Answers, name: str) -> str:
    """The recipe as a document."""
    base, lines = answers.base, dict(answers.lines)
    inherited = [one for one in base.numbers() if one.path.split(".")[0] in _OF_SHOP]
    values: dict[str, tuple[Value, str]] = {
        path: (line.value, f'yours: "{line.answer}"') for path, line in lines.items()
    }
    answered = {path.split(".")[0] for path in lines}
    left_out = {path for path, value in answers.own_make_up().items() if value == OFF}
    for entry in inherited:
        section = entry.path.split(".")[0]
        # A price in another money, or of a bath that was invented, is none of the user's.
        its_whole = section == "limits" or (
            section == "cost" and "_per_" in entry.path and "downtime" not in entry.path
        )
        goes = entry.path in left_out or (section in answered and its_whole)
        if goes and entry.path not in values and entry.value != OFF:
            what = {"make_up": "make-up", "cost": "prices"}.get(section, section)
            was = _shown(entry.value)
            values[entry.path] = (OFF, f"not in your {what}; {_place(entry)} has {was}")
    kept = [one for one in inherited if one.path not in values and one.value != OFF]
    others = sum(isinstance(one.value, float) for one in base.numbers()) - sum(
        isinstance(one.value, float) for one in inherited
    )
    parts = [
        _head(answers, name),
        *(_section(section, values, kept) for section in _OF_SHOP),
        f"# The rate law, its chemistry and what the deposit is: {others} numbers inherited from"
        f"\n# {base.name} ({base.backing}).\n"
        f"# bathkin show {name}.toml lists each with its source.\n",
    ]
    return "\n".join(part for part in parts if part)


def _head(answers: Answers, name: str) -> str:
    base = answers.base
    return (
        f"# Made by bathkin {_core.VERSION} from the answers of its user.\n"
        '# "yours" stands behind what was answered. Lines that begin with # are inherited: they\n'
        "# hold as they stand there; take the # away to change one.\n"
        "\n"
        "format = 1\n"
        f'base = "{base.name}"  # {answers.why_base}\n'
        f"name = {json.dumps(name)}\n"
        f'title = "{base.metal} bath, the user\'s own, on {base.name}"\n'
    )


def _section(section: str, values: Mapping[str, tuple[Value, str]], kept: Iterable[Entry]) -> str:
    """A table: what was answered, then what is inherited."""
    own = [(path, *said) for path, said in values.items() if path.split(".")[0] == section]
    lines = [f"{_key(path)} = {_shown(value)}  # {why}" for path, value, why in own]
    for origin, group in groupby(
        (one for one in kept if one.path.split(".")[0] == section), key=_place
    ):
        lines += [
            f"# {_key(one.path)} = {_shown(one.value)}  # {_about(origin, one)}" for one in group
        ]
    return "\n".join([f"[{section}]", *lines, ""]) if lines else ""


def _key(path: str) -> str:
    parts = path.split(".")[1:]
    plain = all(part.replace("_", "").replace("-", "").isalnum() for part in parts)
    return ".".join(parts if plain else map(json.dumps, parts))


def _about(origin: str, entry: Entry) -> str:
    why = ": ".join(text for text in (entry.kind, entry.source) if text)
    return f"inherited from {origin}" + (f", {why}" if why else "")


def _place(entry: Entry) -> str:
    return entry.place.rpartition(":")[0] or entry.place


def _shown(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.12g}"
    return json.dumps(value, ensure_ascii=False)
