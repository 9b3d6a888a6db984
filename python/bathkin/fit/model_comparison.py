"""Several models fitted to the same data, side by side."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, TypeAlias

from bathkin import _core
from bathkin.core import layout
from bathkin.core.arguments import whole
from bathkin.core.progress import Progress, reporting
from bathkin.core.remarks import messages
from bathkin.core.result import made_from, plain
from bathkin.errors import DataError, UnknownNameError
from bathkin.fit import results
from bathkin.fit.data import Readable, Sheets, given, sheets_of
from bathkin.fit.fit import Fit, fitted
from bathkin.fit.options import FitOptions, fit_options
from bathkin.recipe.recipe import Recipe, as_recipe

if TYPE_CHECKING:
    import pandas as pd

CandidateModels: TypeAlias = Mapping[str, "Iterable[str] | Mapping[str, Any]"]
Candidate: TypeAlias = tuple[str, Recipe, FitOptions]

_WORDS = {
    "best": "the best of these",
    "cannot_be_told_apart": "cannot be told apart",
    "less": "less support",
    "none": "none",
    "not_ranked": "not ranked",
}


class ModelComparison(results.ModelComparison):
    """Models side by side. Made by `compare_models`."""

    __slots__ = ("_of",)
    _of: tuple[list[Candidate], Sheets]

    def fit(self, name: str) -> Fit:
        """The fit of a model by itself.

        Raises:
            UnknownNameError: For a name that was not given.
        """
        candidates, sheets = self._of
        for known, recipe, options in candidates:
            if known == name:
                return fitted(recipe, sheets, options)
        valid = [known for known, _, _ in candidates]
        message = f"no model is called {name}; there are: {', '.join(valid)}"
        raise UnknownNameError(message, name=name, valid=valid)

    def table(self) -> pd.DataFrame:
        """The ranked models as a pandas table."""
        import pandas as pd

        frame: pd.DataFrame = pd.DataFrame([one.to_dict() for one in self.ranked])
        return frame

    def to_dict(self) -> dict[str, Any]:
        """Everything in plain values."""
        refused = [
            {"name": name, "code": why.code, "why": why.text} for name, why in self.refused.items()
        ]
        return {
            "ranked": plain(self.ranked),
            "refused": refused,
            "messages": messages(self.remarks),
        }

    def summary(self) -> str:
        """The table, who was refused, and what it comes to, as a text."""
        rows = self.ranked
        columns = [
            layout.Column("model", [one.name for one in rows], left=True),
            layout.Column("numbers", [str(one.counted) for one in rows]),
            layout.Column("AICc", [layout.number(one.aicc) for one in rows]),
            layout.Column("less best", [layout.number(one.delta, 3) for one in rows]),
            layout.Column("weight", [layout.number(one.weight, 2) for one in rows]),
        ]
        if any(one.cross_validation_rms is not None for one in rows):
            predicted = [layout.number(one.cross_validation_rms, 3) for one in rows]
            columns.append(layout.Column("left out, rms", predicted))
        columns.append(layout.Column("support", [_WORDS[one.support] for one in rows], left=True))
        refused = [f"{name} is not ranked: {why}" for name, why in self.refused.items()]
        return "\n\n".join([layout.render(columns), layout.remarks([*self.remarks, *refused])])

    def __repr__(self) -> str:
        return self.summary()

    def _repr_html_(self) -> str:
        html: str = self.table().to_html(index=False)
        return html


def compare_models(
    recipe: Recipe | str,
    candidates: CandidateModels,
    data: Readable | Iterable[Readable],
    *,
    folds: int | str | None = None,
    seed: int = 1,
    progress: Progress = None,
    **common: Any,
) -> ModelComparison:
    """Fits several models to the same data and ranks them.

    Criteria compare what was offered, and say nothing of a model that is missing: look at the
    residuals of the best too.

    Args:
        recipe: The recipe, or the name or path of one.
        candidates: Name to the free paths of a model; or to arguments of `bathkin.fit`, `free`
            among them and a `recipe` of its own if need be.
        data: As of `bathkin.fit`.
        folds: Also leave data out, in so many parts, or `"each"` case by itself, and predict it.
        seed: Of the parts.
        progress: True for a bar, or a function that is called with the fits done, one of each
            model and one of each part left out of it.
        common: Arguments of `bathkin.fit` for all models.

    Raises:
        DataError: When no model is left; those that fail alone are in `refused`.

    Example:
        >>> import bathkin as bk, pandas as pd
        >>> runs = pd.DataFrame({"temperature_c": [70, 75, 80, 84, 88, 92],
        ...                      "deposition_um_h": [4.3, 6.6, 10.0, 13.8, 18.9, 25.8]})
        >>> rate, energy = "deposition.rate_mol_m2_s", "deposition.activation_energy_kj_mol"
        >>> candidates = {"rate": [rate], "rate and energy": [rate, energy]}
        >>> found = bk.compare_models(bk.load_recipe("nickel-acid"), candidates, runs)
        >>> [one.name for one in found.ranked]
        ['rate and energy', 'rate']
    """
    parts = None
    if folds is not None:
        # For the core, no parts are each by itself.
        each = isinstance(folds, str) and folds == "each"
        parts = 0 if each else whole('folds, if not "each",', folds, least=2)
    if not isinstance(candidates, Mapping) or not candidates:
        expected = "a dictionary, a name for each model with its free paths"
        raise DataError(f"candidates: expected {expected}")
    sheets, recipe = sheets_of(data), as_recipe(recipe)
    models = [_candidate(recipe, name, one, common, sheets) for name, one in candidates.items()]
    in_core = [(name, own._core, options) for name, own, options in models]
    seed = whole("seed", seed)
    with reporting(progress, "fits", "comparing") as report:
        found = _core.compare_models(in_core, given(sheets), parts, seed, report)
    return made_from(found, (models, sheets))


def _candidate(
    recipe: Recipe,
    name: str,
    one: Iterable[str] | Mapping[str, Any],
    common: Mapping[str, Any],
    sheets: Sheets,
) -> Candidate:
    arguments = {**common, **(one if isinstance(one, Mapping) else {"free": one})}
    own = as_recipe(arguments.pop("recipe", recipe))
    if "free" not in arguments:
        raise DataError(f"{name}: expected the free paths of the model")
    mappings = {
        key: arguments.pop(key, None)
        for key in ("start", "bounds", "ties", "per", "errors", "priors")
    }
    free = arguments.pop("free")
    try:
        options = fit_options(free, **mappings, **arguments)
    except TypeError as error:
        raise DataError(f"{name}: {error}") from error
    return name, own, options.checked(sheets)
