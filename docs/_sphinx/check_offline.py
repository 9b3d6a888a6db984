"""Fails when a page of a built site would ask an outside host: scripts, styles, pictures, frames."""

from __future__ import annotations

import re
import sys
from pathlib import Path

ASKS = re.compile(
    r"<(?:script|img|iframe|link|source)\b[^>]*?(?:src|href)=[\"'](?:https?:)?//[^\"']+[\"'][^>]*>",
    re.IGNORECASE,
)


def main(site: Path) -> int:
    """Exit code: 1 when a page asks."""
    pages = sorted(site.rglob("*.html"))
    asked = [
        f"{page.relative_to(site)}: {tag}"
        for page in pages
        for tag in ASKS.findall(page.read_text(encoding="utf-8"))
    ]
    print("\n".join(asked) if asked else f"{len(pages)} pages, none asks an outside host")
    return 1 if asked or not pages else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
