"""What the tests of the face share beside fixtures."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[3]
# Acid nickel by a plain power law, for what is asserted of that form; the built-in law is another.
POWER_LAW = ROOT / "benches/data/power-law.toml"


@dataclass(frozen=True)
class Outcome:
    """What a command printed and its exit code."""

    code: int
    out: str
    err: str

    def document(self) -> dict[str, Any]:
        """Standard output as one JSON document; NaN and Infinity are refused."""

        def refuse(word: str) -> None:
            raise AssertionError(f"{word} is not JSON")

        read: dict[str, Any] = json.loads(self.out, parse_constant=refuse)
        return read
