"""Which runs to make next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, ClassVar, TypeAlias

from bathkin.core import layout
from bathkin.core.arguments import check_points
from bathkin.core.numbers import is_one
from bathkin.core.result import Result
from bathkin.errors import DataError
from bathkin.tables.runs import setting

if TYPE_CHECKING:
    import pandas as pd

Settings: TypeAlias = Mapping[str, "float | str"]
# Values of each setting, to be combined; or a list of settings.
Candidates: TypeAlias = "Mapping[str, Sequence[float | str]] | Sequence[Settings]"


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class NextRun(Result):
    """A run to make.

    Attributes:
        settings: Its settings by name.
        quantity: What it would measure: `deposition_um_h`, or `thickness_um` with a time.
        expected: What it would show.
        gain: How much it tells after the runs before it, as a logarithm; None where it makes known
            what was not.
    """

    _title: ClassVar[str] = "Run"

    settings: dict[str, float]
    quantity: str
    expected: float
    gain: float | None


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class ExpectedEstimate(Result):
    """What the runs would make of a fitted number.

    Attributes:
        path: The number.
        value: Its value now.
        standard_error: Its standard error now, None where it has none.
        half_width95: Half the width of its 95 % interval now.
        standard_error_after: Standard error with the runs.
        half_width95_after: Half the width with them.
        newly_determined: Not determined now, determined with the runs.
    """

    _title: ClassVar[str] = "Expected"

    path: str
    value: float
    standard_error: float | None
    half_width95: float | None
    standard_error_after: float | None
    half_width95_after: float | None
    newly_determined: bool


class NextRuns:
    """Runs to make next, and what they would tell. Made by `Fit.next_runs`.

    Attributes:
        runs: The runs, the most telling first.
        expected: What they would make of each fitted number.
        messages: What to think of: `code` and `text`.
    """

    def __init__(self, document: Mapping[str, Any]) -> None:
        self._document = dict(document)
        self.runs = [
            NextRun(**{**one, "settings": dict(one["settings"])}) for one in document["runs"]
        ]
        self.expected = [ExpectedEstimate(**one) for one in document["expected"]]
        self.messages: list[dict[str, str]] = [dict(one) for one in document["messages"]]

    def table(self) -> pd.DataFrame:
        """The runs as a pandas table, a row for each: a run sheet to fill in."""
        import pandas as pd

        rows = [
            {**one.settings, "quantity": one.quantity, "expected": one.expected}
            for one in self.runs
        ]
        frame: pd.DataFrame = pd.DataFrame(rows, index=range(1, len(rows) + 1))
        return frame

    def to_dict(self) -> dict[str, Any]:
        """Runs, expected and messages in plain values."""
        return {
            "runs": [one.to_dict() for one in self.runs],
            "expected": [one.to_dict() for one in self.expected],
            "messages": self.messages,
        }

    def summary(self) -> str:
        """The runs, and half-widths before and after, as a text."""
        names = list(dict.fromkeys(name for one in self.runs for name in one.settings))
        columns = [layout.Column("run", [str(at) for at in range(1, len(self.runs) + 1)])]
        columns += [
            layout.Column(name, [layout.number(one.settings.get(name)) for one in self.runs])
            for name in names
        ]
        columns.append(layout.Column("shows about", [_shown(one) for one in self.runs], left=True))
        rows = self.expected
        after = layout.render(
            [
                layout.Column("95 % interval, value +-", [one.path for one in rows], left=True),
                layout.Column("value", [layout.number(one.value) for one in rows]),
                layout.Column("now", [layout.number(one.half_width95, 2) for one in rows]),
                layout.Column(
                    "with the runs", [layout.number(one.half_width95_after, 2) for one in rows]
                ),
                layout.Column(
                    "", ["newly determined" * one.newly_determined for one in rows], left=True
                ),
            ]
        )
        return "\n\n".join(
            filter(None, [layout.render(columns), after, layout.remarks(self.messages)])
        )

    def __eq__(self, other: object) -> bool:
        return isinstance(other, NextRuns) and self._document == other._document

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return NextRuns, (self._document,)

    def __repr__(self) -> str:
        return self.summary()


def grids(candidates: Candidates) -> list[list[tuple[str, list[float]]]]:
    """Candidates as lists of values to be combined.

    Raises:
        DataError: For nothing to choose from.
    """
    single = isinstance(candidates, Mapping) or is_one(candidates)
    combined: list[Any] = [candidates] if single else list(candidates)
    if not combined or not all(isinstance(one, Mapping) and one for one in combined):
        raise DataError("no candidates: give values of settings, or a list of settings")
    read = [[_setting(name, values) for name, values in one.items()] for one in combined]
    for one in read:
        check_points("candidates", (len(values) for _, values in one), len(read))
    return read


def _setting(name: str, values: Sequence[float | str] | float | str) -> tuple[str, list[float]]:
    # A table of candidates has one value for each name, a grid several.
    several: list[Any] = [values] if is_one(values) else list(values)  # type: ignore[arg-type]
    if not several:
        raise DataError(f"candidates: {name} has no values")
    settings = [setting(name, value, "candidates") for value in several]
    return settings[0][0], [number for _, number in settings]


def _shown(run: NextRun) -> str:
    unit = "um/h" if run.quantity == "deposition_um_h" else "um"
    return f"{layout.number(run.expected, 3)} {unit}"
