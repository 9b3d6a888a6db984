"""A life as HTML: a fragment for a notebook, and a page that needs no other file."""

from __future__ import annotations

import base64
import html
from typing import TYPE_CHECKING

from bathkin import _core
from bathkin.core import dates, layout
from bathkin.reports.cost import cost_text
from bathkin.reports.life import balance_text, feed_text, used_text, verdict_text, with_a_role
from bathkin.reports.tank import stress_text, volumes_text

if TYPE_CHECKING:
    from bathkin.life.record import LifeRecord

_SHOWN = (
    "turnovers",
    "clock_h",
    "plating_h",
    "area_m2",
    "metal_g_l",
    "reductant_mol_l",
    "{by_product}_mol_l",
    "ph",
    "ph_25c",
    "deposition_um_h",
    "ph_corrector_g_l",
    "ionic_strength_mol_l",
)
_STYLE = """
body { font: 15px/1.45 system-ui, sans-serif; color: #222; max-width: 60rem; margin: 2rem auto;
  padding: 0 1rem; }
h1 { font-size: 1.4rem; } h2 { font-size: 1.1rem; margin-top: 2rem; }
table { border-collapse: collapse; font-size: 13px; }
th, td { padding: .25rem .6rem; text-align: right; border-bottom: 1px solid #ddd; }
th { border-bottom: 2px solid #888; vertical-align: bottom; }
td:first-child, th:first-child { text-align: left; }
img { max-width: 100%; } .scroll { overflow-x: auto; } .small { font-size: 13px; color: #555; }
"""


def life_fragment(life: LifeRecord) -> str:
    """Verdict, limits and table, for a notebook."""
    verdict = html.escape(_one_line(verdict_text(life)))
    return f"<p><b>{html.escape(life.recipe.name)}.</b> {verdict}</p>{_limits(life)}{_table(life)}"


def life_page(life: LifeRecord) -> str:
    """A self-contained page: verdict, picture, limits, table, balance, cautions, values set."""
    from bathkin.plots.life import draw_life
    from bathkin.plots.picture import rendered

    picture = base64.b64encode(rendered(draw_life(life), "png")).decode("ascii")
    recipe = life.recipe
    made_up = f"; made up {dates.spoken(life.start, 0.0)}" if life.start else ""
    flags = "".join(f"<li>{html.escape(str(flag))}</li>" for flag in life.flags)
    cautions = "".join(f"<li>{html.escape(text)}</li>" for text in life.cautions)
    cite = "".join(f"<li>{html.escape(text)}</li>" for text in life.cite)
    changed = [entry for entry in recipe.numbers() if entry.kind == "user"]
    changes = "".join(
        f"<li>{html.escape(entry.path)} = {html.escape(str(entry.value))}</li>" for entry in changed
    )
    return "\n".join(
        [
            "<!doctype html>",
            '<html lang="en"><head><meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>Life of {html.escape(recipe.name)}</title>",
            f"<style>{_STYLE}</style></head><body>",
            f"<h1>Life of {html.escape(recipe.name)}</h1>",
            f"<p>{html.escape(recipe.title)}{made_up}</p>",
            f"<p><b>{html.escape(_one_line(verdict_text(life)))}</b></p>",
            f'<p><img alt="rate, by-product, pH and composition against turnovers"'
            f' src="data:image/png;base64,{picture}"></p>',
            f"<h2>Where the limits stand</h2>{_limits(life)}",
            f'<h2>Per turnover</h2><div class="scroll">{_table(life)}</div>',
            _events(life),
            "".join(f"<p>{html.escape(line)}</p>" for line in _cost_lines(life)),
            *(
                f"<p>{html.escape(_one_line(text))}.</p>"
                for text in (volumes_text(life), stress_text(life), feed_text(life))
                if text
            ),
            f'<p class="small">{html.escape(balance_text(life))}.</p>',
            f"<h2>Changed from the recipe</h2><ul>{changes}</ul>" if changed else "",
            f"<h2>Warnings</h2><ul>{flags}</ul><h2>Cautions</h2><ul>{cautions}</ul>",
            f"<h2>Sources</h2><ul>{cite}</ul>",
            f'<p class="small">bathkin {_core.VERSION}</p></body></html>',
            "",
        ]
    )


def _events(life: LifeRecord) -> str:
    """What was declared to happen, as a table; nothing where nothing was."""
    start = life.start
    rows = [
        [
            f"{event.clock_h:.1f}",
            *([] if start is None else dates.texts(start, [event.clock_h])),
            f"{event.turnovers:.2f}",
            event.event,
            event.what,
        ]
        for event in life._found.events
    ]
    if not rows:
        return ""
    heads = ["clock_h", *(["date"] if start else []), "turnovers", "event", "what"]
    table = _html_table(heads, rows)
    return f"<h2>What happened</h2>{table}"


def _cost_lines(life: LifeRecord) -> list[str]:
    cost = life.cost
    return [] if cost is None else cost_text(cost).replace("\n  ", " ").split("\n")


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _limits(life: LifeRecord) -> str:
    rows = []
    for limit in life.limits:
        given = limit.as_given
        cells = [
            given.words,
            f"{layout.number(given.bound)} {given.unit}",
            f"{layout.number(given.value)} {given.unit}",
            used_text(limit),
        ]
        rows.append(cells)
    return _html_table(["limit", "bound", "at the end", "used"], rows)


def _table(life: LifeRecord) -> str:
    recipe = life.recipe
    names = [name.format(by_product=recipe.by_product) for name in _SHOWN]
    after_rate = names.index("deposition_um_h") + 1
    names[after_rate:after_rate] = [
        name for name in (recipe.alloy_column, "free_naoh_g_l") if name in life.columns
    ]
    names += [f"{name}_mol_l" for name in with_a_role(life)]
    cells = [layout.aligned(life.columns[name].tolist()) for name in names]
    if life.start is not None:
        behind = names.index("clock_h") + 1
        names.insert(behind, "date")
        cells.insert(behind, dates.texts(life.start, life.columns["clock_h"].tolist()))
    return _html_table(names, [list(row) for row in zip(*cells, strict=True)])


def _html_table(headings: list[str], rows: list[list[str]]) -> str:
    # A break may fall at each underscore, so long names do not widen the table.
    head = "".join(f"<th>{html.escape(name).replace('_', '_<wbr>')}</th>" for name in headings)
    body = "".join(
        "<tr>" + "".join(f"<td>{html.escape(cell)}</td>" for cell in row) + "</tr>" for row in rows
    )
    return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
