"""What a result was computed from: digests and versions."""

from __future__ import annotations

import hashlib
import platform
from collections.abc import Hashable, Mapping
from typing import Any, Protocol

from bathkin import _core


class Origin(Protocol):
    """What a table says of the recipe that it was computed from."""

    @property
    def name(self) -> str:
        """Its name."""

    @property
    def digest(self) -> str:
        """SHA-256 of what its paths hold."""

    @property
    def changed(self) -> Mapping[str, object]:
        """What was changed since it was read, by path."""

    @property
    def cite(self) -> list[str]:
        """What to cite."""


def versions() -> dict[str, str]:
    """Versions of bathkin and Python; results do not depend on the platform."""
    return {"bathkin": _core.VERSION, "python": platform.python_version()}


def digest_of(content: bytes) -> str:
    """SHA-256 in hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


def origin(recipe: Origin) -> dict[Hashable, Any]:
    """What a table was computed from: digest of the recipe, what was changed in it, versions."""
    return {"digest": recipe.digest, "changed": recipe.changed, "versions": versions()}
