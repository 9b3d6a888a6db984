"""The command line, from the commands themselves."""

from __future__ import annotations

import inspect
import re
from pathlib import Path

import click
from bathkin.cli import group
from bathkin.cli.guides import GUIDES
from markdown import cell, saved, table


def paragraphs(text: str) -> str:
    """Help as paragraphs of a page; a block that click keeps as it stands stays so."""
    found = []
    for part in inspect.cleandoc(text).split("\n\n"):
        if part.startswith("\b"):
            found.append("```text\n" + part.lstrip("\b\n") + "\n```")
        else:
            found.append(re.sub(r"(?<!\S)(--[a-z][a-z-]*)", r"`\1`", cell(part)))
    return "\n\n".join(found)


def options(name: str, command: click.Command) -> str:
    """A row for each option, those most used first."""
    context = click.Context(command, info_name="bathkin")
    most_used = GUIDES[name].most_used if name in GUIDES else ()
    rows = []
    for parameter in command.get_params(context):
        record = parameter.get_help_record(context)
        if record and isinstance(parameter, click.Option):
            at = [most_used.index(one) for one in parameter.opts if one in most_used]
            row = (f"`{record[0]}`".replace("|", "\\|"), cell(record[1]))
            rows.append((at or [len(most_used)], row))
    return table(
        ("option", "what it does"), [row for _, row in sorted(rows, key=lambda one: one[0])]
    )


def section(name: str, command: click.Command, level: int = 1) -> str:
    """A command with its usage, help, options, and what stands below it."""
    words = command.collect_usage_pieces(click.Context(command, info_name=name))
    text = f"{'#' * level} bathkin {name}\n\n"
    text += f"```text\nbathkin {name} {' '.join(words)}\n```\n\n"
    if name in GUIDES:
        examples = "\n".join(f"$ bathkin {example}" for example in GUIDES[name].examples)
        text += f"```console\n{examples}\n```\n\n"
    text += paragraphs(command.help or "") + "\n\n" + options(name, command)
    for under, part in getattr(command, "commands", {}).items():
        text += section(f"{name} {under}", part, level + 1)
    return text


def write(folder: Path) -> None:
    """A page for each command, and their table of contents."""
    rows = []
    for name, command in sorted(group.commands.items()):
        saved(folder / f"{name}.md", section(name, command))
        first = inspect.cleandoc(command.help or "").split("\n\n")[0]
        rows.append((f"[{name}]({name}.md)", cell(first)))
    index = "# Command line\n\n" + paragraphs(group.help or "") + "\n\n"
    index += table(("command", "what it does"), rows)
    index += "```{toctree}\n:hidden:\n\n" + "\n".join(sorted(group.commands)) + "\n```\n"
    saved(folder / "index.md", index)
