"""Remarks on a result: a code for programs, values by name, a sentence."""

from __future__ import annotations

from collections.abc import Iterable

from bathkin.core import results


class Remark(results.Remark):
    """A remark on a result."""

    __slots__ = ()

    def __str__(self) -> str:
        return self.text


def messages(remarks: Iterable[results.Remark]) -> list[dict[str, str]]:
    """Remarks as JSON documents have them."""
    return [{"code": one.code, "text": one.text} for one in remarks]
