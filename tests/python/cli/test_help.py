"""Help begins with examples that can be typed and the options most used; shells complete names."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import click
import pytest
from bathkin.cli import group
from bathkin.cli.fit_options import options_of_fit
from bathkin.cli.guides import GUIDES
from bathkin.cli.help import OF_FIT
from click.shell_completion import ShellComplete


def commands() -> Iterator[tuple[str, click.Command]]:
    for name, command in group.commands.items():
        under = getattr(command, "commands", None)
        if under is None:
            yield name, command
        else:
            yield from ((f"{name} {part}", one) for part, one in under.items())


COMMANDS = dict(commands())


def test_every_command_has_a_guide() -> None:
    assert set(COMMANDS) == set(GUIDES)


@pytest.mark.parametrize("name", COMMANDS)
def test_help_begins_with_examples_and_the_options_most_used(
    bathkin: Callable[..., Any], name: str
) -> None:
    outcome = bathkin(*name.split(), "--help")
    assert outcome.code == 0
    guide = GUIDES[name]
    blocks = [f"\n  bathkin {example}\n" for example in guide.examples]
    at = [outcome.out.index(text) for text in ["Usage:", "Examples:", *blocks]]
    assert at == sorted(at)
    # Prose may have an option at the beginning of its line too.
    option = r"^  (?:-h, )?(--[a-z0-9-]+)(?=$| {2}| [A-Z\[])"
    shown = re.findall(option, outcome.out, re.MULTILINE)
    assert shown[: len(guide.most_used)] == list(guide.most_used)
    options = [one for one in COMMANDS[name].params if isinstance(one, click.Option)]
    assert sorted(shown) == sorted([*(one.opts[-1] for one in options), "--help"])
    assert len(guide.most_used) <= 4
    for line in outcome.out.splitlines():
        assert len(line) <= 80 or line.startswith("  bathkin "), line


@pytest.mark.parametrize(
    "example", [one for guide in GUIDES.values() for one in guide.examples], ids=str
)
def test_examples_can_be_typed(
    example: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for file in re.findall(r"[a-z0-9-]+\.(?:csv|xlsx|toml|json)", example):
        (tmp_path / file).touch()
    longest_first = sorted(COMMANDS, key=len, reverse=True)
    name = next(name for name in longest_first if f"{example} ".startswith(f"{name} "))
    words = shlex.split(example)[len(name.split()) :]
    assert COMMANDS[name].make_context(name, words).params


def test_options_of_fits_stand_together() -> None:
    of_fit = click.command()(options_of_fit(lambda: None))
    assert {one.opts[-1] for one in of_fit.params} - {"--drop"} == OF_FIT


def completed(words: list[str], incomplete: str) -> list[str]:
    found = ShellComplete(group, {}, "bathkin", "_BATHKIN_COMPLETE")
    return [one.value for one in found.get_completions(words, incomplete)]


def test_a_shell_completes_commands_recipes_options_and_paths() -> None:
    assert completed([], "tr") == ["trade-off"]
    tartrate = {"copper-tartrate", "copper-tartrate-quiet", "copper-textbook"}
    assert set(completed(["life"], "copper-t")) == tartrate
    assert completed(["life", "nickel-acid"], "--pl") == ["--plot"]
    asked = ["rate", "nickel-acid", "--vary"]
    assert completed(asked, "operation.temp") == ["operation.temperature_c"]
    assert "film.thickness_um" in completed(["rate", "copper-tartrate-quiet", "--set"], "film.")
    # A name that is no recipe may be a file.
    assert completed(["life"], "mine.t") == ["mine.t"]


def test_nothing_is_printed_in_colour(
    bathkin: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """NO_COLOR asks for what is so anyway, on a terminal too."""
    monkeypatch.setenv("FORCE_COLOR", "1")
    for words in (["--help"], ["rate", "nickel-acid"], ["show", "nickel-acid"], ["rate", "nickle"]):
        outcome = bathkin(*words)
        assert "\x1b" not in outcome.out + outcome.err
