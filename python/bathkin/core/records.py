"""Results as small read-only records."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from bathkin.core import layout


class Record:
    """Named values, read as attributes; the unit ends each name.

    Example:
        >>> from bathkin.core.records import Record
        >>> made = Record({"thickness_um": 25.0})
        >>> made.thickness_um
        25.0
    """

    _title = ""

    def __init__(self, values: Mapping[str, Any]) -> None:
        self.__dict__.update(values)

    def as_dict(self) -> dict[str, Any]:
        """The values by name."""
        return dict(self.__dict__)

    def __iter__(self) -> Iterator[tuple[str, Any]]:
        return iter(self.__dict__.items())

    def __getattr__(self, name: str) -> Any:
        # Only reached for a name that is not there.
        valid = ", ".join(self.__dict__)
        raise AttributeError(f"{type(self).__name__} has no '{name}'; it has {valid}")

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"{type(self).__name__} is read-only")

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and self.as_dict() == other.as_dict()

    __hash__ = None  # type: ignore[assignment]

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.as_dict(),)

    def _shown(self) -> list[tuple[str, str]]:
        """Name and text of each value that fits on a line."""
        texts = ((name, _text(value)) for name, value in self)
        return [(name, text) for name, text in texts if text is not None]

    def __repr__(self) -> str:
        return layout.card(self._title or type(self).__name__, self._shown())

    def _repr_html_(self) -> str:
        return layout.html_card(self._title or type(self).__name__, self._shown())


def _text(value: object) -> str | None:
    if isinstance(value, str):
        return value
    if value is None or isinstance(value, (int, float)):
        return layout.number(value)
    ends = value if isinstance(value, (list, tuple)) and len(value) == 2 else ()
    if ends and all(isinstance(end, (int, float)) for end in ends):
        return " to ".join(layout.number(end) for end in ends)
    return None
