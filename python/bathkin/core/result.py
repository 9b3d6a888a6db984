"""The one kind of result: frozen dataclasses with typed fields, made by the core."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from typing import Any, ClassVar, TypeVar

import numpy as np

from bathkin.core import layout

# The class for each name of a struct: a subclass with methods stands in for its dataclass.
CLASSES: dict[str, type[Result]] = {}


class Result:
    """Named values, read as attributes; the unit ends each name.

    Results compare by their values, pickle, and print as a card. What a result was computed from
    (`_of`) is compared and pickled with it.

    Example:
        >>> import bathkin as bk
        >>> flag = bk.Flag("operation.ph", "outside its range")
        >>> flag.where, flag == bk.Flag("operation.ph", "outside its range")
        ('operation.ph', True)
    """

    __slots__ = ()
    _ARRAYS: ClassVar[frozenset[str]] = frozenset()
    _title: ClassVar[str] = ""

    def __init_subclass__(cls) -> None:
        CLASSES[cls.__name__] = cls
        docs = (base.__doc__ or "" for base in cls.__mro__[1:])
        described = next(filter(None, (doc.partition("\n    Attributes:")[2] for doc in docs)), "")
        if described and cls.__doc__ and "Attributes:" not in cls.__doc__:
            cls.__doc__ = f"{cls.__doc__.rstrip()}\n\n    Attributes:{described}"

    def to_dict(self) -> dict[str, Any]:
        """The values by name, in plain values: what a JSON document holds."""
        return {name: plain(value) for name, value in self}

    def _values(self) -> dict[str, Any]:
        fields = dataclasses.fields(self)  # type: ignore[arg-type]
        return {field.name: getattr(self, field.name) for field in fields}

    def __iter__(self) -> Iterator[tuple[str, Any]]:
        return iter(self._values().items())

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Result) or type(other) is not type(self):
            return False
        of = (getattr(one, "_of", None) for one in (self, other))
        return same(next(of), next(of)) and same(self._values(), other._values())

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return _made, (type(self), self._values(), getattr(self, "_of", None))

    def _shown(self) -> list[tuple[str, str]]:
        """Name and text of each value that fits on a line."""
        texts = ((name, _text(value)) for name, value in self)
        return [(name, text) for name, text in texts if text is not None]

    def __repr__(self) -> str:
        return layout.card(self._title or type(self).__name__, self._shown())

    def _repr_html_(self) -> str | None:
        # What prints as a text of its own is that text in a notebook too.
        if type(self).__repr__ is not Result.__repr__:
            return layout.html_text(repr(self))
        return layout.html_card(self._title or type(self).__name__, self._shown())


def plain(value: Any) -> Any:
    """A value as JSON has it: records as dictionaries, columns as lists."""
    if isinstance(value, Result):
        return value.to_dict()
    if isinstance(value, np.ndarray):
        return value.tolist()
    if isinstance(value, Mapping):
        return {name: plain(one) for name, one in value.items()}
    return [plain(one) for one in value] if isinstance(value, (list, tuple)) else value


def same(one: Any, other: Any) -> bool:
    """Whether two values are equal, columns and what is no number included."""
    if isinstance(one, np.ndarray) or isinstance(other, np.ndarray):
        return bool(np.array_equal(one, other, equal_nan=True))
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return list(one) == list(other) and all(same(one[name], other[name]) for name in one)
    if isinstance(one, (list, tuple)) and isinstance(other, (list, tuple)):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return one == other or (one != one and other != other)
    return bool(one == other)


class FlagBase(Result):
    """A result that is a place and what is doubtful there; it sorts as its text."""

    __slots__ = ()

    def __hash__(self) -> int:  # type: ignore[override]
        return hash(str(self))

    def __lt__(self, other: FlagBase) -> bool:
        return str(self) < str(other)

    def __str__(self) -> str:
        return ": ".join(str(value) for _, value in self)


_Made = TypeVar("_Made", bound=Result)


def made_from(found: _Made, of: object) -> _Made:
    """A result that says what it was computed from."""
    object.__setattr__(found, "_of", of)
    return found


def _made(cls: type[Result], values: dict[str, Any], of: object) -> Result:
    for name in cls._ARRAYS:
        _freeze(values[name])
    made = cls(**values)
    return made if of is None else made_from(made, of)


def _freeze(value: Any) -> None:
    for column in value.values() if isinstance(value, Mapping) else [value]:
        if isinstance(column, np.ndarray):
            column.flags.writeable = False


def _text(value: object) -> str | None:
    if isinstance(value, str):
        return value
    if value is None or isinstance(value, (int, float)):
        return layout.number(value)
    ends = value if isinstance(value, (list, tuple)) and len(value) == 2 else ()
    if ends and all(isinstance(end, (int, float)) for end in ends):
        return " to ".join(layout.number(end) for end in ends)
    return None
