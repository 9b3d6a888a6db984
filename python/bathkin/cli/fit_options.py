"""Options of every command that fits, and what they say."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

from bathkin.cli.outputs import echo
from bathkin.core.arguments import MOST_STARTS
from bathkin.core.units import to_number
from bathkin.errors import DataError
from bathkin.fit.call import fit
from bathkin.fit.data import Sheets, names_of
from bathkin.fit.fit import Fit
from bathkin.fit.options import WORDS
from bathkin.recipe.recipe import Recipe
from bathkin.tables.sheets import Assumption, assumed_text

Function = TypeVar("Function", bound=Callable[..., Any])


def _repeated(name: str, destination: str, metavar: str, words: str) -> Callable[[Any], Any]:
    return click.option(name, destination, multiple=True, metavar=metavar, help=words)


_OPTIONS = (
    _repeated("--drop", "drop", "[FILE:]ROW", "Leave a row of the data out. Repeatable."),
    _repeated(
        "--start",
        "start",
        "PATH=VALUE",
        "Where the search starts, in place of the recipe's number. Repeatable.",
    ),
    _repeated("--bound", "bounds", "PATH=LOW:HIGH", "Keep it there. Repeatable."),
    _repeated(
        "--tie",
        "ties",
        "PATH=OTHER[*FACTOR]",
        "It follows a free one, in the recipe's ratio or times FACTOR. Repeatable.",
    ),
    _repeated(
        "--per",
        "per",
        "PATH=COLUMN",
        "A value of its own for each label there; run: each row, data: each file. Repeatable.",
    ),
    _repeated(
        "--group",
        "group",
        "COLUMN",
        "Runs with one label there are off together: a batch, beaker or day as a random effect."
        " Twice for two labels of which one lies within the other.",
    ),
    _repeated(
        "--prior",
        "priors",
        "PATH[=MEAN:SD]",
        "What was known of it; the recipe's range or fitted value without. Repeatable.",
    ),
    click.option(
        "--errors",
        "error_model",
        type=click.Choice(WORDS["error_model"]),
        default="relative",
        show_default=True,
        help="How errors of what was measured on coupons are distributed.",
    ),
    click.option(
        "--absolute-sigma", type=float, help="Standard deviation in the unit of the data."
    ),
    click.option("--relative-sigma", type=float, help="Relative standard deviation, 0.05 for 5 %."),
    _repeated(
        "--error",
        "errors",
        "COLUMN=MODEL:SIZE",
        "Errors of one column: relative:0.02, absolute:0.1 or mixed:0.1:0.02. Repeatable.",
    ),
    click.option(
        "--sigma-known",
        is_flag=True,
        help="The sigmas are absolute; without, their size is estimated from the residuals.",
    ),
    click.option(
        "--log-start",
        type=click.Choice(WORDS["log_start"]),
        default="measured",
        show_default=True,
        help="Baths of logs start with what the first row found, or exactly as made up.",
    ),
    click.option(
        "--loss",
        type=click.Choice(WORDS["loss"]),
        default="linear",
        show_default=True,
        help="All but linear take outliers lightly.",
    ),
    click.option(
        "--loss-scale",
        type=float,
        default=1.0,
        show_default=True,
        help="From so many standard deviations on.",
    ),
    click.option(
        "--starts",
        type=click.IntRange(0, MOST_STARTS),
        default=0,
        show_default=True,
        help="Look for a lower minimum from so many further starts.",
    ),
)


def options_of_fit(function: Function) -> Function:
    """Options of a fit, but for what is free."""
    for option in reversed(_OPTIONS):
        function = option(function)
    return function


log_option = click.option(
    "--log",
    "logs",
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A bath log. Repeatable.",
)


def fitted(recipe: Recipe, data: Sheets, free: Sequence[str], options: dict[str, Any]) -> Fit:
    """The fit that `options_of_fit` ask for."""
    read = {
        "start": started,
        "bounds": bound,
        "ties": tied,
        "per": grouped,
        "priors": prior,
        "errors": column_errors,
    }
    known = "known" if options["sigma_known"] else "estimated"
    parsed: dict[str, Any] = {
        name: _by_name(name, list(map(how, options[name]))) for name, how in read.items()
    }
    elsewhere = {*read, "sigma_known", "drop"}
    others = {name: value for name, value in options.items() if name not in elsewhere}
    return fit(recipe, dropped(data, options["drop"]), list(free), sigma=known, **parsed, **others)


def dropped(data: Sheets, rows: Sequence[str]) -> Sheets:
    """Sheets without the rows that `--drop` names.

    Raises:
        DataError: For what names no row, or none of the files.
    """
    left = list(data)
    for text in rows:
        file, _, row = text.rpartition(":")
        names = names_of(left)
        places = [at for at, name in enumerate(names) if file in ("", name, left[at].file)]
        if len(places) != 1 or not row.isdigit():
            expected = f"expected FILE:ROW, FILE one of {', '.join(names)}"
            raise DataError(f"--drop {text}: {expected}")
        left[places[0]] = left[places[0]].drop(int(row))
    return left


def with_assumptions(text: str, data: Sheets, quiet: bool) -> str:
    """A result, and before it what was read, with every assumption.

    Quiet, the assumptions go to standard error.
    """
    if quiet:
        for sheet in data:
            assumed(sheet.file, sheet.report)
        return text
    return "\n\n".join([*(sheet.summary() for sheet in data), text])


def assumed(file: str, report: Sequence[Assumption]) -> None:
    """Says on standard error what was assumed of a file."""
    text = assumed_text(report)
    if text:
        echo(f"bathkin: {file}: {text}", err=True)


def _by_name(option: str, pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    """The option of each path or column.

    Raises:
        DataError: For one that was named twice.
    """
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise DataError(f"--{option.removesuffix('s')} of {twice} is given twice: expected one")
    return found


def started(text: str) -> tuple[str, float]:
    """A path and where its search starts from PATH=VALUE."""
    path, value = _parts("--start", text, "PATH=VALUE")
    return path, to_number(path, value, "--start")


def bound(text: str) -> tuple[str, tuple[float | None, float | None]]:
    """A bound from PATH=LOW:HIGH.

    Raises:
        DataError: For anything else.

    Example:
        >>> from bathkin.cli.fit_options import bound
        >>> bound("deposition.ph_order=0:1"), bound("tank.volume_l=:400")
        (('deposition.ph_order', (0.0, 1.0)), ('tank.volume_l', (None, 400.0)))
    """
    expected = "PATH=LOW:HIGH, either end may be empty"
    path, ends = _parts("--bound", text, expected)
    low, colon, high = ends.partition(":")
    if not colon:
        raise DataError(f"--bound {text}: expected {expected}")
    return path, (_end(path, low), _end(path, high))


def tied(text: str) -> tuple[str, str | tuple[str, float]]:
    """A tie from PATH=OTHER or PATH=OTHER*FACTOR.

    Raises:
        DataError: For anything else.

    Example:
        >>> from bathkin.cli.fit_options import tied
        >>> tied("a.x=b.x"), tied("a.x=b.x*2")
        (('a.x', 'b.x'), ('a.x', ('b.x', 2.0)))
    """
    expected = "PATH=OTHER or PATH=OTHER*FACTOR"
    path, to = _parts("--tie", text, expected)
    other, times, factor = to.partition("*")
    if not times:
        return path, other
    return path, (other.strip(), _number("--tie", text, factor, expected))


def grouped(text: str) -> tuple[str, str]:
    """A path and the column that groups it, from PATH=COLUMN.

    Raises:
        DataError: For anything else.
    """
    return _parts("--per", text, "PATH=COLUMN")


def labelled(text: str) -> tuple[str, str]:
    """A column and a label of it, from COLUMN=LABEL.

    Raises:
        DataError: For anything else.
    """
    return _parts("--label", text, "COLUMN=LABEL")


def prior(text: str) -> tuple[str, str | tuple[str, str]]:
    """A prior from PATH=MEAN:SD, or from PATH alone: what the recipe has.

    Raises:
        DataError: For anything else.

    Example:
        >>> from bathkin.cli.fit_options import prior
        >>> prior("deposition.ph_order=0.3:0.1"), prior("deposition.ph_order")
        (('deposition.ph_order', ('0.3', '0.1')), ('deposition.ph_order', 'recipe'))
    """
    if "=" not in text:
        return text.strip(), "recipe"
    path, known = _parts("--prior", text, "PATH=MEAN:SD")
    mean, colon, deviation = known.partition(":")
    if not colon:
        raise DataError(f"--prior {text}: expected PATH=MEAN:SD")
    return path, (mean.strip(), deviation.strip())


def column_errors(text: str) -> tuple[str, tuple[str | float, ...]]:
    """Errors of a column from COLUMN=MODEL:SIZE.

    Raises:
        DataError: For anything else.

    Example:
        >>> from bathkin.cli.fit_options import column_errors
        >>> column_errors("nickel_g_l=mixed:0.05:0.02")
        ('nickel_g_l', ('mixed', 0.05, 0.02))
    """
    expected = "COLUMN=relative:0.02, absolute:SIZE or mixed:SIZE:0.02"
    column, said = _parts("--error", text, expected)
    model, *sizes = said.split(":")
    return column, (model.strip(), *(_number("--error", text, size, expected) for size in sizes))


def _end(path: str, text: str) -> float | None:
    return to_number(path, text.strip(), "--bound") if text.strip() else None


def _parts(option: str, text: str, expected: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not name.strip() or not value.strip():
        raise DataError(f"{option} {text}: expected {expected}")
    return name.strip(), value.strip()


def _number(option: str, text: str, number: str, expected: str) -> float:
    try:
        return float(number)
    except ValueError as error:
        raise DataError(f"{option} {text}: expected {expected}") from error
