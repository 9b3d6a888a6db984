"""What a bath was followed with, and the numbers of it; `Track` adds what goes on from them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bathkin import _core
from bathkin.fit.data import given
from bathkin.recipe.recipe import Recipe
from bathkin.tables.logs import Log
from bathkin.tracking import results

# Where the work to come is taken from.
WORK = ("as-logged", "as-planned")


@dataclass(frozen=True)
class TrackOptions:
    """How a bath is followed, as the core reads it.

    Attributes:
        members: Baths that go on to their first limit.
        seed: Of their draws.
        turnovers: Of a used bath at the first row, below zero where nothing tells them; None as the
            log says.
        start: The first row by the clock on the wall, seconds since 1970 and its offset as text.
        accept: Rows whose finding is put in.
        rival_ageing: Follow an exponential ageing beside that of the recipe.
        work: The work to come "as-logged" or "as-planned".
        hold: Paths of numbers of the recipe, or of tables, that are held though they have a width.
        draw: Paths of further ones with a range that are drawn.
    """

    members: int
    seed: int
    turnovers: float | None
    start: tuple[float, str] | None
    accept: list[int]
    rival_ageing: bool
    work: str
    hold: list[str]
    draw: list[str]


class TrackInput:
    """What a bath is followed with, and the followed bath in the core: made when it is needed.

    Attributes:
        recipe: The recipe.
        log: The log.
        options: Further arguments of `bathkin.track`, as the core takes them.
    """

    def __init__(self, recipe: Recipe, log: Log, options: TrackOptions) -> None:
        self.recipe = recipe
        self.log = log
        self.options = options
        self._followed: _core.Tracked | None = None

    def core(self, report: Any = None) -> _core.Tracked:
        """The followed bath in the core."""
        if self._followed is None:
            sheet = given([self.log])[0]
            self._followed = _core.Tracked(self.recipe._core, sheet, self.options, report)
        return self._followed

    def __eq__(self, other: object) -> bool:
        return isinstance(other, TrackInput) and self.__reduce__() == other.__reduce__()

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return TrackInput, (self.recipe, self.log, self.options)


class TrackRecord(results.Track):
    """The numbers of a followed bath."""

    __slots__ = ("_of",)
    _of: TrackInput

    @property
    def recipe(self) -> Recipe:
        """The recipe it is held against."""
        return self._of.recipe

    @property
    def log(self) -> Log:
        """The log."""
        return self._of.log

    @property
    def cautions(self) -> list[str]:
        """Cautions of the recipe."""
        return self.recipe.cautions
