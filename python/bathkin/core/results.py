"""Results as the core hands them over. Written by `make results`: change the structs in Rust."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bathkin.core.result import FlagBase, Result


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Flag(FlagBase):
    """A warning that goes with a result.

    Attributes:
        where: Path or part of the model.
        what: What is doubtful.
    """

    where: str
    what: str


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Remark(Result):
    """A remark on a result.

    Attributes:
        code: What it is about, a word for programs.
        text: The sentence.
        values: Its values by name.
    """

    code: str
    text: str
    values: dict[str, Any]
