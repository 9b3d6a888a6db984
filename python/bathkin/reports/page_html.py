"""Pages as one HTML file that needs no other: each tank begins on a sheet of its own."""

from __future__ import annotations

import base64
import html
from collections.abc import Sequence

from bathkin import _core
from bathkin.reports.page import Block, Grid, Image, Items, Page, Sign, Words

_STYLE = """
@page { size: A4; margin: 12mm; }
body { font: 15px/1.4 system-ui, sans-serif; color: #222; max-width: 60rem; margin: 1.5rem auto;
  padding: 0 1rem; }
section + section { border-top: 3px solid #888; margin-top: 2.5rem; padding-top: 1rem;
  break-before: page; }
h1 { font-size: 1.5rem; margin: 0; } h2 { font-size: 1.05rem; margin: 1.1rem 0 .3rem; }
p { margin: .4rem 0; } ul { margin: .2rem 0; padding-left: 1.3rem; }
.subtitle, .small { font-size: 13px; color: #555; } .strong { font-size: 1.2rem; font-weight: 600; }
.alarm { color: #a01c10; font-weight: 600; }
table { border-collapse: collapse; font-size: 13.5px; }
th, td { padding: .2rem .6rem; text-align: right; border-bottom: 1px solid #ddd; }
th { border-bottom: 2px solid #888; vertical-align: bottom; }
.left { text-align: left; } td.write { border: 1px solid #999; min-width: 5.5rem; height: 1.5rem; }
img { width: 100%; max-width: 46rem; } .scroll { overflow-x: auto; }
.sign { display: flex; gap: 2rem; margin-top: 2.2rem; break-inside: avoid; }
.sign span { flex: 1; border-top: 1px solid #222; font-size: 13px; padding-top: .2rem; }
tr { break-inside: avoid; }
@media print { body { margin: 0; max-width: none; font-size: 12px; line-height: 1.3; }
  section + section { border: 0; margin: 0; padding: 0; } table { font-size: 11.5px; }
  th, td { padding: .1rem .5rem; } img { max-width: 34rem; } }
"""


def as_html(pages: Sequence[Page]) -> bytes:
    """The file."""
    sections = "\n".join(_section(page) for page in pages)
    title = "; ".join(page.title for page in pages)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{html.escape(title)}</title>\n<style>{_STYLE}</style></head><body>\n{sections}\n"
        f'<p class="small">bathkin {_core.VERSION}</p>\n</body></html>\n'
    ).encode()


def _section(page: Page) -> str:
    head = f"<h1>{html.escape(page.title)}</h1>"
    subtitle = f'<p class="subtitle">{html.escape(page.subtitle)}</p>'
    blocks = "\n".join(_block(block) for block in page.blocks)
    return f"<section>\n{head}\n{subtitle}\n{blocks}\n</section>"


def _block(block: Block) -> str:
    if isinstance(block, Words):
        return f'<p class="{block.kind}">{html.escape(block.text)}</p>'
    if isinstance(block, Items):
        items = "".join(f"<li>{html.escape(item)}</li>" for item in block.items)
        heading = f'<h2 class="{block.kind}">{html.escape(block.title)}</h2>'
        return f'{heading}<ul class="{block.kind}">{items}</ul>'
    if isinstance(block, Grid):
        return f"<h2>{html.escape(block.title)}</h2>{_table(block)}"
    if isinstance(block, Image):
        content = base64.b64encode(block.svg).decode("ascii")
        alt = html.escape(block.alt, quote=True)
        return f'<p><img alt="{alt}" src="data:image/svg+xml;base64,{content}"></p>'
    if isinstance(block, Sign):
        lines = "".join(f"<span>{html.escape(label)}</span>" for label in block.labels)
        return f'<div class="sign">{lines}</div>'
    raise TypeError(type(block).__name__)


def _table(grid: Grid) -> str:
    def cell(at: int, text: str, tag: str) -> str:
        kinds = ["left"] if at in grid.left else []
        kinds += ["write"] if tag == "td" and at in grid.to_write else []
        kind = f' class="{" ".join(kinds)}"' if kinds else ""
        return f"<{tag}{kind}>{html.escape(text)}</{tag}>"

    head = "".join(cell(at, text, "th") for at, text in enumerate(grid.head))
    body = "".join(
        "<tr>" + "".join(cell(at, text, "td") for at, text in enumerate(row)) + "</tr>"
        for row in grid.rows
    )
    table = f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    return f'<div class="scroll">{table}</div>'
