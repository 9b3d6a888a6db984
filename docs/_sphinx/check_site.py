"""Fails when a page of a built site asks an outside host or links to what is not in the site.

A page must not name a folder of the machine that built it either. Looked at are scripts, styles, pictures and frames, and every internal link with its anchor.
Links to other hosts are not followed: building and checking need no network.
"""

from __future__ import annotations

import sys
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

ASKING = {"script", "img", "iframe", "link", "source"}


class Page(HTMLParser):
    """What a page asks for, links to, and can be linked at."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.asked: list[str] = []
        self.links: list[str] = []
        self.anchors: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Sorts the addresses of a tag."""
        found = dict(attrs)
        self.anchors |= {value for name in ("id", "name") if (value := found.get(name))}
        address = found.get("src") or found.get("href")
        if address is None or (tag == "link" and found.get("rel") == "canonical"):
            return
        if tag in ASKING and urlsplit(address).netloc:
            self.asked.append(address)
        elif not urlsplit(address).scheme and not urlsplit(address).netloc:
            self.links.append(address)


def faults(site: Path) -> tuple[int, list[str]]:
    """How many pages there are, and what is wrong with them."""
    pages = {
        page.resolve(): Page(page.read_text(encoding="utf-8"))
        for page in site.rglob("*.html")
        if "_static" not in page.parts
    }
    found = []
    built_in = str(site.resolve().parent)
    for path, page in sorted(pages.items()):
        name = path.relative_to(site.resolve())
        if built_in in path.read_text(encoding="utf-8"):
            found.append(f"{name}: names {built_in}, where it was built")
        found += [f"{name}: asks {address}" for address in page.asked]
        for address in sorted(set(page.links)):
            parts = urlsplit(address)
            to = (path.parent / unquote(parts.path)).resolve() if parts.path else path
            to = to / "index.html" if to.is_dir() else to
            if not to.is_file():
                found.append(f"{name}: {address} is not in the site")
            elif parts.fragment and to in pages and parts.fragment not in pages[to].anchors:
                found.append(f"{name}: {address} has no such anchor")
    return len(pages), found


def main(site: Path) -> int:
    """Exit code: 1 when something is wrong."""
    count, found = faults(site)
    print("\n".join(found) or f"{count} pages: none asks an outside host, no link leads nowhere")
    return 1 if found or not count else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
