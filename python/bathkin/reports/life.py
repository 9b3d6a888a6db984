"""A life as text: the table, the verdict in words, the other limits, the balance."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bathkin.core import dates, layout, naming
from bathkin.core.layout import Column, aligned, number
from bathkin.reports.cost import cost_text, outlook_text
from bathkin.reports.tank import date_column, tank_text

if TYPE_CHECKING:
    from bathkin.life.record import LifeRecord
    from bathkin.life.results import Limit

_HOURS_PER_DAY = 24.0
_DAYS_PER_WEEK = 7.0
# Salts worth a column are those whose content moved by more than this share of the largest.
_MOVED = 0.01
_MOST_SALTS = 2
# A component with a role has a column when it moved by more than this share of its largest content.
_ROLE_MOVED = 0.05
_MOST_ROWS = 40
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)


LEGEND = (
    "hot: in the bath; 25C: a cooled sample; rate and wt%: at set-point metal and pH;"
    " added: since make-up; the last row is the end"
)


def life_text(life: LifeRecord, *, short: bool = False, past_limits: bool = False) -> str:
    """A life for a terminal; `short` leaves out the table and the remarks."""
    recipe = life.recipe
    made_up = f"; made up {dates.spoken(life.start, 0.0)}" if life.start else ""
    parts = [layout.wrapped(f"life of {recipe.name}: {recipe.title}{made_up}", 0, 2)]
    if not short:
        rows = len(life.columns["turnovers"])
        left_out = rows - len(rows_shown(rows))
        more = f"; {left_out} rows in between are left out, --csv has all" if left_out else ""
        parts += ["", table_text(life), layout.wrapped(LEGEND + more, 0, 2)]
    parts += ["", verdict_text(life), "", limits_text(life)]
    reached = outlook_text(life, past_limits)
    if reached is not None:
        parts += ["", reached]
    cost = life.cost
    if cost is not None:
        parts += ["", cost_text(cost)]
    if not short:
        tank = tank_text(life)
        parts += ["", *([tank, ""] if tank else []), feed_text(life)]
        parts.append(layout.wrapped(balance_text(life), 0, 2))
    return "\n".join(parts)


def table_text(life: LifeRecord) -> str:
    """The table per turnover, at most 100 columns wide."""
    recipe, data = life.recipe, life.columns
    reagent = next((e.value for e in recipe.numbers() if e.path == "ph_control.reagent"), None)
    metal, alloy = naming.symbol(recipe.metal), recipe.alloy_column
    wanted: list[tuple[str, str, int]] = [
        ("turn-\nover", "turnovers", 3),
        ("clock\nh", "clock_h", 4),
        ("plating\nh", "plating_h", 3),
        ("area\nm2", "area_m2", 3),
        (f"{metal}\ng/L", "metal_g_l", 3),
        (f"{naming.broken(recipe.reductant)}\nmol/L", "reductant_mol_l", 3),
        (f"{naming.broken(recipe.by_product)}\nmol/L", f"{recipe.by_product}_mol_l", 3),
        ("pH\nhot", "ph", 3),
        ("pH\n25C", "ph_25c", 3),
        ("rate\num/h", "deposition_um_h", 4),
        (f"{naming.symbol(str(reagent or 'pH reagent'))}\nadded\ng/L", "ph_corrector_g_l", 3),
    ]
    if alloy is not None:
        heading = f"{naming.symbol(str(recipe.alloy))}\nwt%"
        wanted.insert(-1, (heading, alloy, 3))
    if "temperature_c" in data:
        wanted.insert(7, ("bath\ndegC", "temperature_c", 3))
    if "free_naoh_g_l" in data:
        wanted.insert(-1, ("free\nNaOH\ng/L", "free_naoh_g_l", 3))
    # Where the table is too wide they stay, and salts and the columns at the end go.
    of_role = with_a_role(life)
    wanted[-1:-1] = [(f"{naming.broken(n)}\nmol/L", f"{n}_mol_l", 3) for n in of_role]
    most = max(_MOST_SALTS - len(of_role), 0)
    wanted += [(f"{naming.symbol(n)}\nmol/L", f"{n}_mol_l", 3) for n in salts(life)[:most]]
    wanted.append(("ionic\nstr.\nmol/L", "ionic_strength_mol_l", 3))
    columns = []
    shown = rows_shown(len(data["turnovers"]))
    for header, name, digits in wanted:
        values = data[name][shown].tolist()
        cells = aligned(values, digits)
        if name in {"ph", "ph_25c"}:
            cells = [f"{value:.2f}" for value in values]
        elif name == "turnovers":
            cells = [f"{value:.1f}" for value in values]
        columns.append(Column(header, cells))
        if name == "clock_h":
            columns += date_column(life.start, values)
    return layout.render(columns)


def rows_shown(rows: int) -> list[int]:
    """Rows of the table that are printed: all of a short life, some of a long one, and the last."""
    step = next(step for step in _STEPS if rows <= step * _MOST_ROWS or step == _STEPS[-1])
    return sorted({*range(0, rows, step), rows - 1})


def with_a_role(life: LifeRecord) -> list[str]:
    """Complexants, buffers, stabilizers and accelerators whose content moves, in their order."""
    found = []
    for name in life.recipe.roles:
        column = life.columns[f"{name}_mol_l"]
        if abs(column - column[0]).max() > _ROLE_MOVED * abs(column).max():
            found.append(name)
    return found


def salts(life: LifeRecord) -> list[str]:
    """The components without a role that moved most over the life.

    Metal, reductant and by-product have columns of their own.
    """
    recipe, data = life.recipe, life.columns
    mine = {recipe.metal, recipe.reductant, recipe.by_product, *recipe.roles}
    moved = {}
    for name in life.recipe.make_up_components():
        column = data.get(f"{name}_mol_l")
        if column is not None and name not in mine:
            moved[name] = abs(float(column[-1] - column[0]))
    largest = max(moved.values(), default=0.0)
    order = sorted(moved, key=lambda name: -moved[name])
    return [name for name in order if moved[name] > _MOVED * largest][:_MOST_SALTS]


def verdict_text(life: LifeRecord) -> str:
    """The verdict in words."""
    dump = life.dump
    time = (
        f"{number(dump.clock_h)} h on the clock ({dump.clock_h / _HOURS_PER_DAY:.1f} days,"
        f" {dump.clock_h / _HOURS_PER_DAY / _DAYS_PER_WEEK:.1f} weeks)"
    )
    if life.start is not None:
        on = "until" if dump.limit == "none" else "on"
        time += f", {on} {dates.spoken(life.start, dump.clock_h)}"
    work = (
        f"{number(dump.plating_h)} h of plating, {number(dump.area_m2)} m2 plated,"
        f" {number(dump.turnovers, 3)} turnovers"
    )
    first = first_limit(life)
    if life.dump.limit == f"{life.recipe.metal} dissolves":
        return layout.wrapped(f"The work dissolves in the bath: after {time}, {work}.", 0, 2)
    if first is None and life.dump.limit != "none":
        return layout.wrapped(f"The bath ran dry, {life.dump.limit}: after {time}, {work}.", 0, 2)
    if first is None:
        return layout.wrapped(f"No limit was reached in {time}: {work}.", 0, 2)
    given = first.as_given
    if first.name.startswith("saturation_index_"):
        solid = given.words.removeprefix("precipitation of ")
        return layout.wrapped(
            f"First limit reached: {solid} precipitates (saturation index"
            f" {number(first.value)}, limit {number(first.bound)}), after {time}, {work}.",
            0,
            2,
        )
    return layout.wrapped(
        f"First limit reached: {given.words} at {number(given.bound)} {given.unit}".rstrip()
        + f", after {time}, {work}.",
        0,
        2,
    )


def first_limit(life: LifeRecord) -> Limit | None:
    """The limit that ended the life."""
    named = [limit for limit in life.limits if limit.name == life.dump.limit]
    return min(named, key=lambda limit: limit.margin, default=None)


def limits_text(life: LifeRecord) -> str:
    """Where every limit stands at the end."""
    first = first_limit(life)
    given = [limit.as_given for limit in life.limits]
    return layout.render(
        [
            Column("limit", [one.words for one in given], left=True),
            Column("bound", [number(one.bound) for one in given]),
            Column("at the\nend", [number(one.value) for one in given]),
            Column("", [one.unit for one in given], left=True),
            Column("used", [used_text(limit) for limit in life.limits]),
            Column("set by", [limit.path for limit in life.limits], left=True),
            Column("", ["<-" if limit == first else "" for limit in life.limits], left=True),
        ]
    )


def used_text(limit: Limit) -> str:
    """Share of the way to a bound; a bath that moved away from it used none."""
    return "not approaching" if limit.used_pct < -1.0 else f"{max(limit.used_pct, 0.0):.0f} %"


def feed_text(life: LifeRecord) -> str:
    """Reductant fed against reductant used."""
    feed, recipe = life.reductant_feed, life.recipe
    return layout.wrapped(
        f"{recipe.reductant}: fed {number(feed.fed_per_metal_mol)} mol per mol {recipe.metal}"
        f" added, used {number(feed.used_per_metal_mol)} mol per mol {recipe.metal} plated;"
        f" {number(feed.end_mol_l, 3)} mol/L at the end,"
        f" set-point {number(feed.set_point_mol_l, 3)}",
        0,
        2,
    )


def balance_text(life: LifeRecord) -> str:
    """How well the balances close."""
    balance = life.balance
    worst = f" (worst: {balance.worst})" if balance.worst else ""
    return (
        f"mass balance of every element, charge and volume closes within"
        f" {balance.max_relative_residual:.0e}{worst}; {balance.allowed:.0e} is allowed"
    )
