"""The commands log check and log new: how a sheet is read, and an empty one."""

from __future__ import annotations

from pathlib import Path

import click

from bathkin.cli.options import print_json, read_recipe, recipe_options
from bathkin.cli.outputs import Command, OutputPath, echo, written
from bathkin.errors import DataError, RecipeError
from bathkin.fit.log_check import check_log
from bathkin.fit.new_log import as_csv, new_log
from bathkin.reports.documents import document

_sheet_path = OutputPath("a log", ".csv", ".xlsx", strict=True)
_map_path = OutputPath("a table of a recipe", ".toml", ".txt")


@click.group("log")
def log_group() -> None:
    """How a bath log is read, and an empty sheet to keep one."""


@log_group.command("check", cls=Command)
@recipe_options
@click.argument("log", type=click.Path(path_type=Path))
@click.option("--sheet", metavar="NAME", help="Sheet of the workbook that holds the log.")
@click.option(
    "--write-map",
    "write_map",
    type=_map_path,
    metavar="PATH",
    help="Write the table [log.columns], to be pasted into the recipe; - prints it.",
)
def check_command(
    recipe: str,
    settings: tuple[str, ...],
    log: Path,
    sheet: str | None,
    write_map: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """What every heading of LOG is read as, what was assumed, and all that is wrong with it.

    Nothing is computed. Exit code 2 where a command that uses the log would refuse it.
    """
    begun = read_recipe(recipe, settings)
    if write_map is not None and write_map != Path("-") and write_map.exists():
        message = f"--write-map {write_map}: that file is there: expected a new one"
        raise RecipeError(message)
    found = check_log(begun, log, sheet=sheet)
    if as_json:
        print_json(document("log check", begun, begun.flags, **found.to_dict()))
    elif write_map != Path("-"):
        echo(found.summary())
    if write_map == Path("-"):
        echo(found.map_toml().rstrip())
    elif write_map is not None:
        write_map.write_text(found.map_toml(), encoding="utf-8")
        written(write_map, as_json, existed=False)
    if found.problems:
        count = len(found.problems)
        what = "1 problem" if count == 1 else f"{count} problems"
        raise DataError(f"{found.file}: {what}: the log cannot be used as it stands")


@log_group.command("new", cls=Command)
@recipe_options
@click.option("--out", type=_sheet_path, metavar="FILE", help="A new file, .csv or .xlsx.")
def new_command(
    recipe: str, settings: tuple[str, ...], out: Path | None, as_json: bool, quiet: bool
) -> None:
    """An empty sheet with the headings of RECIPE, in its own substances, and an example row.

    Without --out it is printed as CSV. A log in which the example row was left is refused.
    """
    begun = read_recipe(recipe, settings)
    if as_json:
        columns = [
            {"heading": heading, "example": example} for heading, example in begun._core.empty_log()
        ]
        print_json(document("log new", begun, begun.flags, columns=columns))
    elif out is None:
        echo(as_csv(begun).lstrip("\ufeff").rstrip())
    if out is not None:
        new_log(begun, out)
        written(out, as_json, existed=False)
