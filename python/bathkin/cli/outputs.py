"""What a command writes: files that replace nothing it reads, and text that may lose its reader."""

from __future__ import annotations

import contextlib
import errno
import io
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextvars import ContextVar
from pathlib import Path
from typing import Any

import click

from bathkin.cli.completion import completing
from bathkin.cli.help import guide_of, help_text
from bathkin.core import files
from bathkin.errors import RecipeError
from bathkin.reports.inputs import ASKED, Asked

# What the context of a command keeps: outputs by option, files that are read, a failure to print.
_CLAIMED, _READ, _LOST = "bathkin.outputs", "bathkin.inputs", "bathkin.lost"
# Options that say how it is computed and printed, not what.
_HOW = {"as_json", "quiet", "checkpoints", "workers"}
# Endings that promise another format than the option writes.
_FORMATS = (
    {".csv", ".html", ".htm", ".json", ".toml", ".txt", ".tsv", ".md"}
    | {".xlsx", ".xls", ".ods", ".parquet", ".pdf", ".png", ".svg", ".jpg", ".tif", ".eps"}
)  # fmt: skip


# Files that the command has written so far.
WRITTEN: ContextVar[list[Path] | None] = ContextVar("written", default=None)


def what_was_written() -> str:
    """What stands there after a command that did not come to its end."""
    names = ", ".join(map(str, WRITTEN.get() or []))
    return f"{names} had been written" if names else "nothing was written"


class OutputPath(click.Path):
    """A file to write.

    Attributes:
        what: What is written, for messages; None where the ending says it (pictures).
        endings: Endings that go with it, the usual one first.
        strict: Whether a file has to have one of them.
    """

    def __init__(self, what: str | None = None, *endings: str, strict: bool = False) -> None:
        super().__init__(dir_okay=False, path_type=Path)
        self.what, self.endings, self.strict = what, endings, strict

    def check_ending(self, option: str, path: Path) -> None:
        """Refuses an ending that promises another format.

        Raises:
            RecipeError: With what can be written.
        """
        ending = path.suffix.lower()
        regular = path.is_file() or not path.exists()
        if self.what is None or ending in self.endings or not regular:
            return
        if self.strict or ending in _FORMATS:
            known = " or ".join(self.endings)
            message = f"{option} {path}: what is written is {self.what}: expected a file that"
            raise RecipeError(f"{message} ends in {known}")


output_path = OutputPath()
table_path = OutputPath("a table of comma-separated values", ".csv", ".txt")
page_path = OutputPath("a page of HTML", ".html", ".htm", strict=True)
report_path = OutputPath("a page of HTML or PDF", ".html", ".htm", ".pdf", strict=True)
kept_path = OutputPath("a kept result", ".json", strict=True)
recipe_path = OutputPath("a recipe", ".toml", ".txt")


class Command(click.Command):
    """A command that knows before it computes that it can write, and replaces nothing it reads."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        for one in self.params:
            completing(one)

    def get_help(self, ctx: click.Context) -> str:
        """Help with examples first."""
        guide = guide_of(ctx.command_path)
        if guide is None:
            return super().get_help(ctx)
        files = [one.opts[-1] for one in self.params if isinstance(one.type, OutputPath)]
        return help_text(ctx, guide, files)

    def invoke(self, ctx: click.Context) -> Any:
        """Runs it.

        Raises:
            click.UsageError: For a file to write that is read, or written by another option.
            RecipeError: For a file whose ending promises another format.
            OSError: For one that cannot be written.
            files.NotWrittenError: When what was printed could not be written.
        """
        asked = Asked({named(one): told for one in self.params if (told := _told(one, ctx))})
        before = ASKED.set(asked)
        try:
            return self._invoked(ctx)
        finally:
            ASKED.reset(before)

    def _invoked(self, ctx: click.Context) -> Any:
        reading(_inputs(ctx.params, self.params))
        for one in self.params:
            path = ctx.params.get(one.name or "")
            if isinstance(one.type, OutputPath) and path is not None:
                claim(one.opts[-1], path)
                one.type.check_ending(one.opts[-1], path)
        done = super().invoke(ctx)
        lost = ctx.meta.get(_LOST)
        if lost is not None:
            raise lost
        return done


def reading(paths: Iterable[Path]) -> None:
    """Notes files that the command reads.

    Raises:
        click.UsageError: When one of them is to be written.
    """
    ctx = click.get_current_context(silent=True)
    if ctx is None:
        return
    read: list[Path] = ctx.meta.setdefault(_READ, [])
    asked = ASKED.get()
    for path in paths:
        read.append(path)
        if asked is not None:
            asked.read.append(path)
    for option, path in ctx.meta.setdefault(_CLAIMED, []):
        _refuse_a_clash(ctx, option, path)


def claim(option: str, path: Path) -> None:
    """Notes a file that the command writes.

    Raises:
        click.UsageError: When it is read, or written by another option.
        OSError: When it cannot be written.
    """
    ctx = click.get_current_context()
    files.place_of(path)
    claimed: list[tuple[str, Path]] = ctx.meta.setdefault(_CLAIMED, [])
    for other, known in claimed:
        if files.clash(path, [known]):
            message = f"{option} {path}: that file is written by {other}: expected another one"
            raise click.UsageError(message, ctx)
    claimed.append((option, path))
    _refuse_a_clash(ctx, option, path)


def named(one: click.Parameter) -> str:
    """A parameter by the name that is typed."""
    return one.opts[0].lstrip("-") if isinstance(one, click.Option) else str(one.name)


def _told(one: click.Parameter, ctx: click.Context) -> Any:
    """What was given for a parameter, as JSON has it; None for what changes no result."""
    value = ctx.params.get(one.name or "")
    if isinstance(one.type, OutputPath) or one.name in _HOW:
        return None
    if isinstance(value, (tuple, list)):
        return [str(each) for each in value]
    return str(value) if isinstance(value, Path) else value


def _refuse_a_clash(ctx: click.Context, option: str, path: Path) -> None:
    if files.clash(path, ctx.meta.get(_READ, [])):
        message = f"{option} {path}: that file is read: expected another one"
        raise click.UsageError(message, ctx)


def _inputs(params: Mapping[str, Any], known: Sequence[click.Parameter]) -> list[Path]:
    """The files that a command is given to read; those that its recipe names come with it."""
    outputs = {one.name for one in known if isinstance(one.type, OutputPath)}
    found = []
    for name, value in params.items():
        several = value if isinstance(value, tuple) else (value,)
        found += [one for one in several if isinstance(one, Path) and name not in outputs]
    return found


def echo(text: str = "", *, err: bool = False) -> None:
    """Prints; a reader of a pipe who has read enough stops neither the command nor its files.

    What else keeps it from being printed, such as a full disk, is told when all files are written.
    """
    try:
        click.echo(text, err=err)
    except OSError as error:
        silence(sys.stderr if err else sys.stdout)
        ctx = click.get_current_context(silent=True)
        if ctx is None or isinstance(error, BrokenPipeError) or error.errno == errno.EPIPE:
            return
        what = "standard error" if err else "standard output"
        ctx.meta.setdefault(_LOST, files.not_written(what, error))


def silence(stream: Any) -> None:
    """What is still in the buffer of a stream, and what follows, goes nowhere."""
    with contextlib.suppress(io.UnsupportedOperation, OSError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


def written(path: Path, as_json: bool, existed: bool) -> None:
    """Says which file was written; beside a JSON document or a file there, on standard error."""
    place = files.place_of(path)
    replaced = existed and place.target is not None
    done = WRITTEN.get()
    if done is not None:
        done.append(path)
    word = "replaced" if replaced else "wrote"
    echo(f"{word} {path}", err=as_json or place.is_standard_output())


def write_files(
    outputs: Sequence[tuple[Path | None, Callable[[Path], object]]], as_json: bool
) -> None:
    """Writes the files that were asked for, and says so below the result."""
    asked = [(path, write) for path, write in outputs if path is not None]
    if asked and not as_json:
        echo()
    for path, write in asked:
        existed = path.exists()
        write(path)
        written(path, as_json, existed)


def check_pictures(*paths: Path | None) -> None:
    """Refuses pictures in a format that is not known, before anything is computed."""
    for path in paths:
        if path is not None:
            from bathkin.plots.picture import check_format

            check_format(path)
