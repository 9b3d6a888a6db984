"""A fit as text and as plain values."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from bathkin.core import layout
from bathkin.core.remarks import messages
from bathkin.core.result import plain as plain_value
from bathkin.fit.data import assumptions, names_of
from bathkin.tables.logs import Log

if TYPE_CHECKING:
    from bathkin.fit.record import FitRecord
    from bathkin.fit.results import ColumnErrors, PathEstimate, RandomEffects

# With more pairs than this only the close ones are listed.
_PAIRS = 10
_CLOSE = 0.5


def summary(fit: FitRecord) -> str:
    """Estimates, starts, errors, correlations and remarks; see `Fit.summary`."""
    values = len(fit.measured.row)
    free = fit.degrees_of_freedom
    freedom = "1 degree of freedom" if free == 1 else f"{free} degrees of freedom"
    parts = [
        estimates_text("", fit.estimates, freedom=fit.random_effects is not None),
        estimates_text("start of the log", fit.starts) if fit.starts else "",
        f"{values} values, {freedom},"
        f" scatter {layout.number(fit.scatter, 3)}\n"
        + layout.wrapped(f"errors {fit.error_model}", 0, 2),
        random_effects_text(fit.random_effects) if fit.random_effects else "",
        errors_text(fit) if len(fit.errors) > 1 else "",
        correlations(fit),
        layout.remarks(fit.remarks),
    ]
    return "\n\n".join(filter(None, parts))


# Names of fields in the JSON document, where they differ.
_KEYS = {
    "correlations": "correlation",
    "errors": "columns",
    "covariance": "covar",
    "remarks": "messages",
}


def plain(fit: FitRecord) -> dict[str, Any]:
    """Everything in plain values; see `Fit.to_dict`."""
    names = [one.path for one in fit.estimates]
    correlation = {
        name: dict(zip(names, row, strict=False))
        for name, row in zip(names, _nulls(fit.correlations), strict=False)
    }
    replaced = {
        "correlations": correlation,
        "covariance": _nulls(fit.covariance),
        "remarks": messages(fit.remarks),
        "misfit": messages(fit.misfit),
        "errors": [
            {**one.to_dict(), "stated": _present(one.stated.to_dict())} for one in fit.errors
        ],
    }
    document = {
        _KEYS.get(name, name): replaced[name] if name in replaced else plain_value(value)
        for name, value in fit
        if name not in {"measured", "search"}
    }
    sheets = zip(fit.data, names_of(fit.data), strict=True)
    return {
        **document,
        "error_model": fit.error_model,
        **fit.columns,
        "data": [
            {
                "kind": "log" if isinstance(sheet, Log) else "runs",
                "name": name,
                "file": sheet.file,
                "digest": sheet.digest,
            }
            for sheet, name in sheets
        ],
        "assumptions": assumptions(fit.data),
    }


def _nulls(table: NDArray[np.float64]) -> list[list[float | None]]:
    """Rows of a table, None for what is no number."""
    return [[None if np.isnan(value) else float(value) for value in row] for row in table]


def _present(values: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in values.items() if value is not None}


def depends_on(fit: FitRecord) -> dict[str, Any]:
    """What the estimates depend on beside recipe and data: seed and search for the minimum."""
    return {"seed": fit._of.options.seed, "least_squares": fit.search.to_dict()}


def estimates_text(title: str, rows: Sequence[PathEstimate], freedom: bool = False) -> str:
    """Estimates as a table, where asked for with the degrees of freedom of their intervals."""
    own = [layout.number(one.degrees_of_freedom, 2) for one in rows]
    ends = [one.interval95 or (None, None) for one in rows]
    return layout.render(
        [
            layout.Column(title, [one.path for one in rows], left=True),
            layout.Column("value", [layout.number(one.value) for one in rows]),
            layout.Column("std. error", [layout.number(one.standard_error, 2) for one in rows]),
            layout.Column("95 % from", [layout.number(low) for low, _ in ends]),
            layout.Column("to", [layout.number(high) for _, high in ends]),
            *([layout.Column("d.f.", own)] if freedom else []),
            layout.Column("status", [one.status for one in rows], left=True),
        ]
    )


def random_effects_text(of: RandomEffects) -> str:
    """How far groups differ, and how far each is off, as two tables."""
    ends = [one.interval95 or (None, None) for one in of.components]
    groups = of.groups
    return "\n\n".join(
        [
            layout.render(
                [
                    layout.Column("scatter", [one.name for one in of.components], left=True),
                    layout.Column("groups or runs", [str(one.count) for one in of.components]),
                    layout.Column(
                        "standard deviation",
                        [layout.number(one.standard_deviation, 3) for one in of.components],
                    ),
                    layout.Column("95 % from", [layout.number(low, 3) for low, _ in ends]),
                    layout.Column("to", [layout.number(high, 3) for _, high in ends]),
                    layout.Column("of", [one.unit for one in of.components], left=True),
                ]
            ),
            layout.render(
                [
                    layout.Column("label", list(groups.label), left=True),
                    layout.Column("group", list(groups.group), left=True),
                    layout.Column("runs", [str(count) for count in groups.runs]),
                    layout.Column(
                        f"effect ({of.unit})", [layout.number(x, 3) for x in groups.effect]
                    ),
                    layout.Column(
                        "std. error", [layout.number(x, 2) for x in groups.standard_error]
                    ),
                ]
            ),
        ]
    )


def errors_text(fit: FitRecord) -> str:
    """Errors of every measured column as a table."""
    rows = fit.errors
    return layout.render(
        [
            layout.Column("measured", [one.column for one in rows], left=True),
            layout.Column("values", [str(one.values) for one in rows]),
            layout.Column("errors", [one.stated.model for one in rows], left=True),
            layout.Column("standard deviation", [deviation(one) for one in rows], left=True),
        ]
    )


def deviation(errors: ColumnErrors) -> str:
    """Standard deviation of a column in words: `0.05`, `1.5 %`, or both."""
    if errors.own_sigmas:
        return f"its own times {layout.number(errors.size, 2)}"
    at_zero, relative = errors.absolute_sigma, errors.relative_sigma
    parts = [layout.number(at_zero, 2)] if at_zero is not None else []
    if relative is not None:
        parts.append(f"{layout.number(100.0 * relative, 2)} %")
    return " and ".join(parts)


def correlations(fit: FitRecord) -> str:
    """Correlations of the numbers of the recipe, pair by pair."""
    names = [one.path for one in fit.estimates]
    matrix = fit.correlations
    pairs = [
        (matrix[at, before], names[before], name)
        for at, name in enumerate(names)
        for before in range(at)
        if not np.isnan(matrix[at, before])
    ]
    if len(pairs) > _PAIRS:
        pairs = [pair for pair in pairs if abs(pair[0]) >= _CLOSE]
    return "\n".join(f"correlation {value:7.3f}  {a} with {b}" for value, a, b in pairs)
