"""Exceptions and the warning of bathkin.

Every exception derives from `BathkinError` and from the built-in class a caller would expect:
`ValueError`, `KeyError` or `ArithmeticError`.

Example:
    >>> import bathkin as bk
    >>> try:
    ...     bk.load_recipe("nickel-acid").set("operation.ph", 19)
    ... except bk.RecipeError as error:
    ...     print(error)
    set: operation.ph = 19: expected a pH between 0 and 14
"""

from __future__ import annotations

from collections.abc import Sequence


class BathkinError(Exception):
    """Anything bathkin refuses or cannot compute."""


class RecipeError(BathkinError, ValueError):
    """A value of a recipe or of a call cannot be used.

    The message names the place, the path, the value, and what was expected.
    """


class UnknownNameError(BathkinError, KeyError):
    """A name is not known.

    Attributes:
        name: The name as given.
        valid: Every name that would have been accepted.
    """

    def __init__(self, message: str, *, name: str = "", valid: Sequence[str] = ()) -> None:
        super().__init__(message)
        self.name = name
        self.valid = list(valid)

    def __str__(self) -> str:
        # A KeyError would show its message in quotes.
        return str(self.args[0])


class DataError(BathkinError, ValueError):
    """A table of data cannot be used.

    Attributes:
        row: Row of data, counted from 1, or None.
        column: Name of the column, or None.
        raw: Text or number as found, or None.
    """

    def __init__(
        self,
        message: str,
        *,
        row: int | None = None,
        column: str | None = None,
        raw: str | None = None,
        problems: Sequence[DataError] = (),
    ) -> None:
        super().__init__(message)
        self._several = list(problems)
        self.row = row
        self.column = column
        self.raw = raw

    @property
    def problems(self) -> list[DataError]:
        """Where a table has several problems, each of them; else the error alone."""
        return self._several or [self]


class ConvergenceError(BathkinError, ArithmeticError):
    """A computation failed, though its input could be read.

    Attributes:
        time_h: Clock time of the bath when it failed, h, or None.
        residual: Largest scaled residual of an equilibrium or a balance; of an integration the
            error of its last step over the tolerance; or None.
        worst: Component, state or balance with the largest residual, or None.
        total_mol_l: Total of that component there, mol/L, or None.
        free_mol_l: What of it was free where the search stopped, mol/L, or None.
    """

    def __init__(
        self,
        message: str,
        *,
        time_h: float | None = None,
        residual: float | None = None,
        worst: str | None = None,
        total_mol_l: float | None = None,
        free_mol_l: float | None = None,
    ) -> None:
        super().__init__(message)
        self.time_h = time_h
        self.residual = residual
        self.worst = worst
        self.total_mol_l = total_mol_l
        self.free_mol_l = free_mol_l


class BathkinWarning(UserWarning):
    """A result that was computed but should be doubted, such as an extrapolation.

    The message of what is doubted in a result begins with the code, so that one kind is left out by
    `warnings.filterwarnings("ignore", "solids", bathkin.BathkinWarning)`.

    Attributes:
        code: What it is about, as the `where` of a flag: `solids.nickel_phosphite`.
    """

    def __init__(self, message: str = "", code: str = "") -> None:
        super().__init__(message)
        self.code = code

    def __reduce__(self) -> tuple[type[BathkinWarning], tuple[str, str]]:
        return type(self), (str(self), self.code)


class EntryWarning(BathkinWarning):
    """A value as entered is hard to believe, such as a rate per minute that reads per hour."""
