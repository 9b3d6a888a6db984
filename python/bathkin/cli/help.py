"""Help that begins with two examples and the options most used; the others stand in groups."""

from __future__ import annotations

import inspect
from collections.abc import Iterable

import click

from bathkin.cli.guides import GUIDES, Guide

# Of every command; they stand last.
PRINTING = {"--json", "--quiet", "--help"}
# Of every command that fits.
OF_FIT = {
    *("--start", "--bound", "--tie", "--per", "--group", "--prior", "--errors", "--absolute-sigma"),
    *("--relative-sigma", "--error", "--sigma-known", "--log-start", "--loss", "--loss-scale"),
    *("--starts", "--group"),
}


def guide_of(command_path: str) -> Guide | None:
    """The guide of a command by the words that are typed, `bathkin` left out."""
    return GUIDES.get(command_path.partition(" ")[2])


def help_text(ctx: click.Context, guide: Guide, files: Iterable[str]) -> str:
    """The help of a command.

    Args:
        ctx: Of the command.
        guide: What it begins with.
        files: Options that name a file to write.
    """
    formatter = ctx.make_formatter()
    command = ctx.command
    command.format_usage(ctx, formatter)
    first, _, rest = inspect.cleandoc(command.help or "").partition("\n\n")
    formatter.write_paragraph()
    with formatter.indentation():
        formatter.write_text(first)
    with formatter.section("Examples"):
        for example in guide.examples:
            # Never wrapped: a line to be copied.
            formatter.write(f"  bathkin {example}\n")
    left = dict(records(ctx))
    of_fit = OF_FIT if set(left) >= OF_FIT else set()
    groups: list[tuple[str, Iterable[str]]] = [
        ("Most used", guide.most_used),
        ("Further options", [one for one in left if one not in {*files, *of_fit, *PRINTING}]),
        ("How the fit is made", of_fit),
        ("Files to write", files),
        ("Printing", PRINTING),
    ]
    for title, options in groups:
        rows = [left.pop(option) for option in _in_order(title, options, left)]
        if rows:
            with formatter.section(title):
                formatter.write_dl(rows)
        if title == "Most used" and rest:
            formatter.write_paragraph()
            with formatter.indentation():
                formatter.write_text(rest)
    return formatter.getvalue().rstrip("\n")


def _in_order(title: str, options: Iterable[str], left: Iterable[str]) -> list[str]:
    """Options of a group that are left: as the guide has them, or as the command has them."""
    if title == "Most used":
        return [one for one in options if one in left]
    return [one for one in left if one in set(options)]


def records(ctx: click.Context) -> Iterable[tuple[str, tuple[str, str]]]:
    """Each option by its long name, with its line of the help."""
    for parameter in ctx.command.get_params(ctx):
        record = parameter.get_help_record(ctx)
        if record and isinstance(parameter, click.Option):
            yield next(name for name in parameter.opts if name.startswith("--")), record
