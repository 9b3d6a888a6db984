"""Options of a fit: free numbers, ties, errors, bounds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from bathkin import _core
from bathkin.core.arguments import MOST_STARTS, above_zero, finite, whole, word
from bathkin.core.numbers import is_one, shown
from bathkin.core.units import to_difference, to_number
from bathkin.errors import DataError
from bathkin.fit.data import Sheets
from bathkin.tables.runs import Runs

Bounds: TypeAlias = Mapping[str, tuple[float | None, float | None]]
Starts: TypeAlias = Mapping[str, "float | str"]
Ties: TypeAlias = Mapping[str, str | tuple[str, float]]
Priors: TypeAlias = Mapping[str, "str | tuple[float | str, float | str]"]
Group: TypeAlias = str | Iterable[str]
Errors: TypeAlias = Mapping[str, Sequence[str | float]]

# Words by option, and what each error model says, from the core.
WORDS = _core.fit_words()
_STATED = _core.error_models()


@dataclass(frozen=True)
class FitOptions:
    """The arguments of `bathkin.fit` in plain values, as the core reads them."""

    free: tuple[str, ...]
    bounds: tuple[tuple[str, float | None, float | None], ...] = ()
    error_model: str = "relative"
    absolute_sigma: float | None = None
    relative_sigma: float | None = None
    sigma: str = "estimated"
    ties: tuple[tuple[str, str, float | None], ...] = ()
    per: tuple[tuple[str, str], ...] = ()
    group: tuple[str, ...] = ()
    errors: tuple[tuple[str, str, tuple[float, ...]], ...] = ()
    priors: tuple[tuple[str, tuple[float, float] | None], ...] = ()
    start: tuple[tuple[str, float], ...] = ()
    log_start: str = "measured"
    loss: str = "linear"
    loss_scale: float = 1.0
    starts: int = 0
    seed: int = 1

    def checked(self, sheets: Sheets) -> FitOptions:
        """The same, if they suit these sheets.

        Raises:
            DataError: For a word that is not known, or a standard deviation that is missing.
        """
        for name, known in WORDS.items():
            value = getattr(self, name)
            if not isinstance(value, str) or value not in known:
                raise DataError(f"{name} = {shown(value)}: expected {', '.join(known)}")
        for name, size in (
            ("absolute_sigma", self.absolute_sigma),
            ("relative_sigma", self.relative_sigma),
        ):
            if size is not None:
                above_zero(name, size)
        above_zero("loss_scale", self.loss_scale)
        whole("starts", self.starts, most=MOST_STARTS)
        whole("seed", self.seed)
        self._check_sigmas(sheets)
        return self

    def _check_sigmas(self, sheets: Sheets) -> None:
        sizes = {"absolute": [self.absolute_sigma], "relative": [self.relative_sigma]}
        stated = sizes.get(self.error_model, [self.absolute_sigma, self.relative_sigma])
        if self.error_model == "mixed" and None in stated:
            raise DataError("mixed errors need absolute_sigma and relative_sigma")
        if None not in stated or not any(self._unstated(sheet) for sheet in sheets):
            return
        needed = f"{self.error_model}_sigma, errors of the column or a column sigma"
        if self.sigma == "known":
            raise DataError(f"known {self.error_model} errors need {needed}")
        if self.loss != "linear":
            message = f"loss = {self.loss} weighs by standard deviations: it needs {needed}"
            raise DataError(message)

    def _unstated(self, sheet: object) -> bool:
        """Whether runs have measured values whose standard deviation nobody states."""
        measured = ("mass_gain_mg", "thickness_um", "deposition_um_h")
        stated = {column for column, _, _ in self.errors}
        return (
            isinstance(sheet, Runs)
            and "sigma" not in sheet.columns
            and any(name in sheet.columns and name not in stated for name in measured)
        )

    def errors_in_words(self, sheets: Sheets) -> str:
        """How errors were taken."""
        how = "as stated" if self.sigma == "known" else "of a size estimated from the residuals"
        parts = []
        if any(isinstance(sheet, Runs) for sheet in sheets):
            sizes = {"absolute": self.absolute_sigma, "relative": self.relative_sigma}
            stated = [f"{name} {size:g}" for name, size in sizes.items() if size is not None]
            own = ["each run with its own sigma"] if _with_sigma(sheets) else []
            parts.append(
                "; ".join(
                    [f"{self.error_model}: {_STATED[self.error_model]}, {how}", *own, *stated]
                )
            )
        if not all(isinstance(sheet, Runs) for sheet in sheets):
            kinds = "absolute for pH, wt% and specific gravity, mixed for contents"
            rates = f"{self.error_model} for rate and thickness"
            parts.append(f"readings of logs: {kinds}, {rates}, {how}, column by column")
        parts += [
            f"{column}: {model} {' and '.join(f'{size:g}' for size in sizes)}"
            for column, model, sizes in self.errors
        ]
        if self.group:
            parts.append(f"runs of one {' and of one '.join(self.group)} are off together")
        if self.loss != "linear":
            parts.append(f"loss {self.loss}, scale {self.loss_scale:g}")
        return "; ".join(parts)


def fit_options(
    free: Iterable[str],
    start: Starts | None,
    bounds: Bounds | None,
    ties: Ties | None,
    per: Mapping[str, str] | None,
    errors: Errors | None,
    priors: Priors | None,
    group: Group | None = None,
    **others: Any,
) -> FitOptions:
    """Options from the arguments of `bathkin.fit`.

    Raises:
        DataError: For bounds, ties, priors, groups or errors that are no such thing.
    """
    for name, given in (
        ("start", start),
        ("bounds", bounds),
        ("ties", ties),
        ("per", per),
        ("errors", errors),
        ("priors", priors),
    ):
        if given is not None and not isinstance(given, Mapping):
            raise DataError(f"{name} = {given}: expected a dictionary of paths or columns")
    if is_one(free) and not isinstance(free, str):
        raise DataError(f"free = {shown(free)}: expected paths of numbers of the recipe")
    paths = (free,) if isinstance(free, str) else tuple(free)
    if not all(isinstance(path, str) for path in paths):
        raise DataError(f"free = {list(paths)}: expected paths of numbers of the recipe")
    return FitOptions(
        free=paths,
        start=tuple((path, to_number(path, at, "start")) for path, at in (start or {}).items()),
        bounds=tuple((path, *_ends(path, ends)) for path, ends in (bounds or {}).items()),
        ties=tuple((path, *_tie(path, to)) for path, to in (ties or {}).items()),
        per=tuple((path, word(f"per {path}", column)) for path, column in (per or {}).items()),
        group=_labels(group),
        errors=tuple((column, *_errors(column, one)) for column, one in (errors or {}).items()),
        priors=tuple((path, _prior(path, one)) for path, one in (priors or {}).items()),
        **others,
    )


def _ends(path: str, ends: object) -> tuple[float | None, float | None]:
    if not isinstance(ends, Sequence) or isinstance(ends, str) or len(ends) != 2:
        raise DataError(
            f"bounds of {path} = {shown(ends)}: expected (low, high), None for no bound"
        )
    low, high = (_end(path, end) for end in ends)
    if low is not None and high is not None and low > high:
        raise DataError(
            f"bounds of {path} = {shown(ends)}: expected the low end first, then the high"
        )
    return low, high


def _end(path: str, end: float | str | None) -> float | None:
    number = to_number(path, end, "bounds") if isinstance(end, str) else end
    open_end = number is None or (isinstance(number, float) and math.isinf(number))
    return None if open_end else finite(f"bounds of {path}", number)


def _tie(path: str, to: object) -> tuple[str, float | None]:
    if isinstance(to, str):
        return to, None
    if isinstance(to, Sequence) and len(to) == 2 and isinstance(to[0], str):
        return to[0], finite(f"tie of {path}: factor", to[1])
    raise DataError(f"tie of {path} = {shown(to)}: expected a free path, or (path, factor)")


def _labels(given: Group | None) -> tuple[str, ...]:
    """Columns of labels from one or several of them."""
    columns = (given,) if isinstance(given, str) else () if given is None else given
    if is_one(columns) or isinstance(columns, Mapping):
        raise DataError(f"group = {shown(given)}: expected a column of labels, or two of them")
    return tuple(word("group", column) for column in columns)


def _prior(path: str, given: object) -> tuple[float, float] | None:
    if isinstance(given, str) and given == "recipe":
        return None
    if not isinstance(given, Sequence) or isinstance(given, str) or len(given) != 2:
        expected = '(mean, standard deviation), or "recipe" for its range or fitted value'
        raise DataError(f"prior of {path} = {shown(given)}: expected {expected}")
    mean = finite(f"mean of the prior of {path}", to_number(path, given[0], "priors"))
    deviation = to_difference(path, given[1], "priors")
    return mean, above_zero(f"standard deviation of the prior of {path}", deviation)


def _errors(column: str, errors: object) -> tuple[str, tuple[float, ...]]:
    expected = '("relative", 0.02), ("absolute", size) or ("mixed", size, relative)'
    counts = {"absolute": 2, "relative": 2, "mixed": 3}
    if (
        not isinstance(errors, Sequence)
        or isinstance(errors, str)
        or len(errors) != counts.get(str(errors[0]) if errors else "")
    ):
        raise DataError(f"errors of {column} = {shown(errors)}: expected {expected}")
    model, *sizes = errors
    at_zero = model != "relative"
    numbers = [
        to_difference(column, size, "errors") if at_zero and place == 0 else size
        for place, size in enumerate(sizes)
    ]
    return model, tuple(above_zero(f"errors of {column}", number) for number in numbers)


def _with_sigma(sheets: Sheets) -> bool:
    return any(isinstance(sheet, Runs) and "sigma" in sheet.columns for sheet in sheets)
