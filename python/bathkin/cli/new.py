"""The command new: ten questions, a commented recipe."""

from __future__ import annotations

import csv
import io
import shlex
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import click

from bathkin import _core
from bathkin.cli.options import output_options, print_json
from bathkin.cli.outputs import Command, OutputPath, echo, recipe_path, written
from bathkin.core import layout
from bathkin.errors import BathkinError, RecipeError, UnknownNameError
from bathkin.recipe.answers import Answers
from bathkin.recipe.new_recipe import folder_of, refuse_existing, written_recipe
from bathkin.recipe.questions import KEYS, QUESTIONS, Question
from bathkin.recipe.recipe import Recipe
from bathkin.reports.documents import document

_sheet_path = OutputPath("a sheet of questions", ".csv", ".xlsx", strict=True)
_HEADINGS = ("key", "question", "answer", "example")
_DEFAULT = Path("my-bath.toml")


@click.command("new", cls=Command)
@click.argument("path", type=recipe_path, default=_DEFAULT, required=False)
@click.option("--metal", help="Metal and reductant, or a built-in recipe.", metavar="WORDS")
@click.option("--volume", help='What the tank holds: "400 L", "100 gal".', metavar="AMOUNT")
@click.option(
    "--make-up",
    "make_up",
    multiple=True,
    help='What is weighed out: "nickel sulfate hexahydrate = 27 g/L". Repeatable.',
    metavar="NAME=AMOUNT",
)
@click.option("--ph", help='"4.8 hot" (in the bath) or "9 cooled" (25 degC).', metavar="PH")
@click.option("--ph-reagent", help="What the pH is set with.", metavar="NAME")
@click.option("--temperature", help='"88 degC", "190 degF".', metavar="AMOUNT")
@click.option(
    "--loading", help='"0.5 dm2/L, 25 um", or "racks FILE" with a table of racks.', metavar="WORDS"
)
@click.option("--shifts", help='"2 shifts of 8 h, 5 days", "24/7".', metavar="WORDS")
@click.option(
    "--limit",
    "limits",
    multiple=True,
    help='"150 g/L orthophosphite as HPO3", "8 turnovers", "60 % of the fresh rate". Repeatable.',
    metavar="WORDS",
)
@click.option(
    "--price",
    "prices",
    multiple=True,
    help='"nickel sulfate hexahydrate 6 EUR/kg", "waste 0.6 EUR/L". Repeatable.',
    metavar="WORDS",
)
@click.option(
    "--from",
    "sheet",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="FILE",
    help="Answers from a filled sheet, .csv or .xlsx; options win over it.",
)
@click.option(
    "--sheet",
    "empty",
    type=_sheet_path,
    metavar="FILE",
    help="Write the empty sheet instead, .csv or .xlsx.",
)
@output_options
def new_bath(
    path: Path,
    sheet: Path | None,
    empty: Path | None,
    as_json: bool,
    quiet: bool,
    **given: str | Sequence[str] | None,
) -> None:
    """A recipe of your own bath, from ten questions, written to PATH (my-bath.toml without).

    It stands on the nearest built-in recipe; each line says whether it is yours or inherited, and
    from where. On a terminal the questions are asked unless options or a sheet answer those that
    are needed. A file that is there is never written over.

    \b
    Example:
      bathkin new mine.toml --metal "nickel, hypophosphite" --volume "400 L" \\
        --make-up "nickel sulfate hexahydrate = 27 g/L" \\
        --make-up "sodium hypophosphite monohydrate = 28 g/L" \\
        --make-up "lactic acid = 30 g/L" --ph "4.8 hot" --temperature "88 degC"
    """  # noqa: D301 (the mark keeps lines apart)
    told = {
        key: [text] if isinstance(text, str) else list(text or ()) for key, text in given.items()
    }
    if empty is not None:
        if sheet is not None or any(told.values()):
            raise click.UsageError("--sheet writes an empty sheet: no answers go with it")
        refuse_existing(empty)
        empty.write_bytes(_workbook() if empty.suffix.lower() == ".xlsx" else _as_csv())
        written(empty, as_json, existed=False)
        return
    refuse_existing(path)
    if sheet is not None:
        of_sheet = _answers_of(sheet)
        told = {key: told[key] or of_sheet.get(key, []) for key in KEYS}
    asks = sys.stdin.isatty() and not as_json
    missing = [one for one in QUESTIONS if one.needed and not told[one.key]]
    if missing and not asks:
        wanted = ", ".join(f'{_option(one)} "{one.example}"' for one in missing)
        raise RecipeError(
            f"new: not answered: {wanted}; without a terminal nothing is asked: expected these"
            " options, or --from a filled sheet (--sheet answers.csv writes an empty one)"
        )
    answers = Answers(folder_of(path))
    for question in QUESTIONS:
        if told[question.key]:
            answers.take(question.key, told[question.key])
        elif missing:
            told[question.key] = _ask(question, answers)
    try:
        recipe = written_recipe(answers, path)
    except BathkinError:
        if missing:
            # What was typed is not lost.
            echo(f"\nto change an answer: {_command(path, told)}", err=True)
        raise
    if as_json:
        numbers = recipe.numbers()
        print_json(document("new", recipe, recipe.flags, base=answers.base.name, numbers=numbers))
    elif not quiet:
        _say_next(path, recipe, answers)
    written(path, as_json, existed=False)


def _option(question: Question) -> str:
    singular = {"limits": "limit", "prices": "price"}.get(question.key, question.key)
    return f"--{singular.replace('_', '-')}"


def _command(path: Path, told: Mapping[str, Sequence[str]]) -> str:
    """The command that gives the same answers."""
    options = [
        part
        for one in QUESTIONS
        for text in (told[one.key] if one.several else [", ".join(told[one.key])])
        if text
        for part in (_option(one), text)
    ]
    return shlex.join(["bathkin", "new", str(path), *options])


def _ask(question: Question, answers: Answers) -> list[str]:
    """Asks until the answer is understood; Enter leaves out what may be inherited."""
    ending = " One a line, an empty line ends." if question.several else ""
    kept = "" if question.needed else " Enter: inherited."
    echo("\n" + layout.wrapped(f"{question.text}{ending}{kept}", 0, 2))
    echo(layout.wrapped(f"such as: {question.example}", 2, 4))
    while True:
        texts = _typed(question)
        if not texts and not question.needed:
            return []
        try:
            answers.take(question.key, texts)
        except BathkinError as error:
            echo(layout.wrapped(f"! {error}", 0, 2))
        else:
            return texts


def _typed(question: Question) -> list[str]:
    texts: list[str] = []
    while True:
        line = sys.stdin.readline()
        if not line:
            raise click.Abort
        if line.strip():
            texts.append(line.strip())
        if not question.several or not line.strip():
            return texts


def _say_next(path: Path, recipe: Recipe, answers: Answers) -> None:
    inherited = "shift, work, limits and prices that you did not give"
    echo(
        layout.wrapped(
            f"{recipe.name}: on {answers.base.name}, {answers.why_base}. The law and {inherited}"
            f" are inherited; {path} says so line by line.",
            0,
            2,
        )
    )
    echo(f"next: bathkin show {path}; bathkin life {path}; bathkin log new {path} --out log.xlsx")


def _answers_of(sheet: Path) -> dict[str, list[str]]:
    """Answers by key; a key may have several rows.

    Raises:
        DataError, RecipeError, UnknownNameError: For a sheet without the columns, or another key.
    """
    heads, rows, _ = _core.read_table(str(sheet), None)
    names = [head.strip().lower() for head in heads]
    for wanted in ("key", "answer"):
        if wanted not in names:
            expected = f"expected the columns {', '.join(_HEADINGS)}, as bathkin new --sheet writes"
            raise RecipeError(f"{sheet}: no column '{wanted}': {expected}")
    key_at, answer_at = names.index("key"), names.index("answer")
    found: dict[str, list[str]] = {}
    for number, cells in enumerate(rows, start=1):
        texts = [str(cell[0]).strip() for cell in cells]
        key, answer = texts[key_at], texts[answer_at]
        if not key and not answer:
            continue
        if key not in KEYS:
            message = f"{sheet}: row {number}: key = {key}: expected one of {', '.join(KEYS)}"
            raise UnknownNameError(message, name=key, valid=KEYS)
        if answer:
            found.setdefault(key, []).append(answer)
    return found


def _rows() -> list[tuple[str, str, str, str]]:
    rows = []
    for one in QUESTIONS:
        needed = " (needed)" if one.needed else " (else inherited)"
        rows.append((one.key, one.text + needed, "", one.example))
        # Several answers have a row each.
        rows += [(one.key, "", "", "")] * (4 if one.several else 0)
    return rows


def _as_csv() -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows([_HEADINGS, *_rows()])
    return ("\ufeff" + text.getvalue()).encode()


def _workbook() -> bytes:
    import xlsxwriter

    content = io.BytesIO()
    book = xlsxwriter.Workbook(content, {"in_memory": True})
    sheet = book.add_worksheet("bath")
    bold = book.add_format({"bold": True})
    wrapped = book.add_format({"text_wrap": True, "valign": "top"})
    grey = book.add_format({"italic": True, "font_color": "#808080", "text_wrap": True})
    for at, heading in enumerate(_HEADINGS):
        sheet.write_string(0, at, heading, bold)
    for row, cells in enumerate(_rows(), start=1):
        for at, cell in enumerate(cells):
            sheet.write_string(row, at, cell, grey if at == len(_HEADINGS) - 1 else wrapped)
    for at, width in enumerate((14, 52, 44, 52)):
        sheet.set_column(at, at, width)
    sheet.freeze_panes(1, 0)
    book.close()
    return content.getvalue()
