"""Which runs to make next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

from bathkin.core import layout
from bathkin.core.arguments import check_points
from bathkin.core.numbers import is_one
from bathkin.core.remarks import messages
from bathkin.core.result import plain
from bathkin.errors import DataError
from bathkin.fit import results
from bathkin.tables.runs import setting

if TYPE_CHECKING:
    import pandas as pd

Settings: TypeAlias = Mapping[str, "float | str"]
# Values of each setting, to be combined; or a list of settings.
Candidates: TypeAlias = "Mapping[str, Sequence[float | str]] | Sequence[Settings]"


class NextRuns(results.NextRuns):
    """Runs to make next, and what they would show. Made by `Fit.next_runs`."""

    __slots__ = ()

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
            "runs": plain(self.runs),
            "expected": plain(self.expected),
            "messages": messages(self.remarks),
        }

    def summary(self) -> str:
        """The runs, and half-widths before and after, as a text."""
        names = list(dict.fromkeys(name for one in self.runs for name in one.settings))
        columns = [layout.Column("run", [str(at) for at in range(1, len(self.runs) + 1)])]
        columns += [
            layout.Column(name, [layout.number(one.settings.get(name)) for one in self.runs])
            for name in names
        ]
        columns.append(layout.Column("shows about", [_shows(one) for one in self.runs], left=True))
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
            filter(None, [layout.render(columns), after, layout.remarks(self.remarks)])
        )

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


def _shows(run: results.NextRun) -> str:
    unit = "um/h" if run.quantity == "deposition_um_h" else "um"
    return f"{layout.number(run.expected, 3)} {unit}"
