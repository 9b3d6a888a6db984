"""Results as the core hands them over. Written by `make results`: change the structs in Rust."""

from __future__ import annotations

from dataclasses import dataclass

from bathkin.core.result import FlagBase


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Flag(FlagBase):
    """A warning that goes with a result.

    Attributes:
        where: Path or part of the model.
        what: What is doubtful.
    """

    where: str
    what: str
