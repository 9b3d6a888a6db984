"""Commands that run a bath: rate, plate, life."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import click
import numpy as np

from bathkin.bath.bath import make_up
from bathkin.bath.plate import Plate
from bathkin.cli.options import (
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    start_option,
)
from bathkin.cli.outputs import (
    Command,
    check_pictures,
    output_path,
    page_path,
    table_path,
    write_files,
)
from bathkin.cli.polarisation import (
    check_polarisation,
    polarisation_options,
    print_polarisation,
)
from bathkin.cli.uncertainty import print_uncertainty, uncertainty_option
from bathkin.core import files, layout
from bathkin.core.layout import Column, aligned, number, spoken
from bathkin.core.naming import symbol
from bathkin.core.units import to_number
from bathkin.errors import RecipeError
from bathkin.life.life import run
from bathkin.recipe.recipe import Recipe
from bathkin.reports.documents import document, life_document
from bathkin.reports.life import life_text
from bathkin.sweeps.points import points

_MOST_POINTS = 10_000
# Rates closer than this part are one.
_FLAT = 1e-3


@click.command(cls=Command)
@recipe_options
@click.option(
    "--vary",
    "varied",
    multiple=True,
    metavar="PATH=VALUES",
    help="Values to go through: low:high:count, or a list a,b,c. Repeatable; every combination.",
)
@polarisation_options
@uncertainty_option
def rate(
    recipe: str,
    settings: Sequence[str],
    varied: Sequence[str],
    uncertainty: bool,
    as_json: bool,
    quiet: bool,
    **asked: Any,
) -> None:
    """Rate, composition, hydrogen at many settings.

    Rates are those of the fresh bath, one row per combination of the values of --vary; below them
    what changed the rate most from the first row to the last, and where it is highest. A row that
    cannot be computed says why. --plot draws them: the first path varied is the abscissa, the
    second has a line per value, the third panels; --csv writes them.

    In its place, for a recipe with partial currents, --polarisation gives those of the
    half-reactions over a range of potentials.
    """
    check_polarisation(asked, varied)
    of = read_recipe(recipe, settings)
    if uncertainty:
        if varied or any(asked.values()):
            raise RecipeError(
                "--uncertainty: expected it without --vary, --csv, --plot and the like"
            )
        print_uncertainty(of, "rate", as_json, quiet)
        return
    if asked["polarisation"] is not None:
        print_polarisation(of, asked, as_json, quiet)
        return
    plot = asked["plot"]
    check_pictures(plot)
    found = points(of, dict(read_vary(text) for text in varied), "--vary")
    if as_json:
        print_json(document("rate", of, found.flags, points=found.rows))
    else:
        print_result(rate_text(of, found.varied, found.rows), of, found.flags, quiet)
    if plot is not None or asked["csv"] is not None:
        from bathkin.sweeps.table import sweep_table

        table = sweep_table(of, found)
        rows = partial(files.write_table, table=table)
        write_files([(asked["csv"], rows), (plot, table.plot)], as_json)


def read_vary(text: str, option: str = "--vary") -> tuple[str, list[float]]:
    """A path and its values from PATH=low:high:count or PATH=a,b,c."""
    path, equals, values = (part.strip() for part in text.partition("="))
    if not equals or not path or not values:
        raise RecipeError(f"{option} {text}: expected PATH=low:high:count or PATH=a,b,c")
    ends = values.split(":")
    if len(ends) == 1:
        return path, [to_number(path, value, option) for value in values.split(",")]
    counted = len(ends) == 3 and ends[2].strip().isdecimal()
    if not counted or not 2 <= int(ends[2]) <= _MOST_POINTS:
        expected = f"low:high:count with a count from 2 to {_MOST_POINTS}"
        raise RecipeError(f"{option}: {path} = {values}: expected {expected}")
    low, high = (to_number(path, end, option) for end in ends[:2])
    # Ends of few digits give points of few digits: 4.6, not 4.6000000000000005.
    return path, [float(f"{value:.12g}") for value in np.linspace(low, high, int(ends[2]))]


def rate_text(recipe: Recipe, varied: Sequence[str], rows: Sequence[dict[str, Any]]) -> str:
    """A row per point."""
    alloy = recipe.alloy_column
    wanted = [
        ("rate\num/h", "deposition_um_h"),
        ("mass\nmg/cm2 h", "deposition_mg_cm2_h"),
        ("hydrogen\nL/m2 h", "hydrogen_l_m2_h"),
        ("pH\nhot", "ph"),
        ("pH at\nsurface", "surface_ph"),
        (f"free {symbol(recipe.metal)}\nmol/L", "free_metal_mol_l"),
        ("ionic str.\nmol/L", "ionic_strength_mol_l"),
        (f"{symbol(recipe.metal)} per\nreductant", "reductant_efficiency"),
    ]
    done = [row for row in rows if row["failure"] is None]
    if all(row["surface_ph"] == row["ph"] for row in done):
        # Without a film the surface has the bath's liquid.
        wanted = [(header, name) for header, name in wanted if name != "surface_ph"]
    if alloy is not None:
        wanted.insert(2, (f"{symbol(str(recipe.alloy))}\nwt%", alloy))
    if all(row["potential_v_she"] is not None for row in done):
        wanted.append(("potential\nV SHE", "potential_v_she"))
    if any(row["plate_out_pct"] is not None for row in rows):
        wanted.append(("plate-out\n%", "plate_out_pct"))
    columns = []
    for path in varied:
        section, _, name = path.rpartition(".")
        columns.append(Column(f"{section}.\n{name}", [f"{row[path]:.6g}" for row in rows]))
    for header, name in wanted:
        digits = 4 if name == "deposition_um_h" else 3
        values = [row[name] for row in rows]
        # A pH is told by its decimals.
        of_ph = name in {"ph", "surface_ph"}
        texts = aligned(values, digits)
        if of_ph:
            texts = ["-" if value is None else f"{value:.2f}" for value in values]
        columns.append(Column(header, texts))
    text = f"rate of the fresh bath of {recipe.name}\n\n{layout.render(columns)}"
    if len(rows) == 1:
        factors = [(spoken(name), number(value)) for name, value in rows[0]["factors"].items()]
        return f"{text}\n\nFactors of the law (1 at its reference state)\n{layout.pairs(factors)}"
    reason = done[-1]["reason"] or "the rate stays as it is"
    said = [f"first to last: {reason}"] if len(done) > 1 else []
    said += [
        f"no rate at {settings_text(varied, row)}: {row['failure']}"
        for row in rows
        if row["failure"] is not None
    ]
    said += peak_text(varied, done)
    return "\n\n".join([text, "\n".join(layout.wrapped(line, 0, 2) for line in said)]).rstrip()


def settings_text(varied: Sequence[str], row: dict[str, Any]) -> str:
    """The settings of a point."""
    return ", ".join(f"{path} = {row[path]:.6g}" for path in varied)


def peak_text(varied: Sequence[str], rows: Sequence[dict[str, Any]]) -> list[str]:
    """Where the rate is highest, and whether it may be higher beyond; nothing where it is flat."""
    rates = [row["deposition_um_h"] for row in rows]
    if max(rates) - min(rates) <= _FLAT * abs(max(rates)):
        return []
    peak = rows[rates.index(max(rates))]
    ends = []
    for path in varied:
        values = [row[path] for row in rows]
        if max(values) > min(values) and peak[path] in (min(values), max(values)):
            ends.append(path)
    beyond = f"; at the end of what {' and '.join(ends)} went through" if ends else ""
    highest = number(peak["deposition_um_h"])
    return [f"highest rate: {highest} um/h at {settings_text(varied, peak)}{beyond}"]


@click.command(cls=Command)
@recipe_options
@click.option("--minutes", default="60", show_default=True, help="Time in the bath, min.")
@click.option("--area-dm2", default="20", show_default=True, help="Area of the load, dm2.")
@click.option(
    "--substrate", help="What is plated (see `bathkin substrates`), the recipe's without."
)
@click.option(
    "--activation", help="What makes it start: contact, nickel_strike, copper_strike, palladium."
)
@click.option("--csv", type=table_path, help="Write thickness against time to this CSV file.")
@click.option("--plot", type=output_path, help="Write the picture to this file (png, pdf, svg).")
def plate(
    recipe: str,
    settings: Sequence[str],
    minutes: str,
    area_dm2: str,
    substrate: str | None,
    activation: str | None,
    csv: Path | None,
    plot: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """One load: thickness, mass, composition.

    The load is plated in the fresh bath, with nothing added meanwhile. On a substrate that starts
    late, thickness has an induction time before its straight line; one that does not start is
    refused, with what practice does about it.

    Files given to --csv and --plot are replaced when they exist.
    """
    check_pictures(plot)
    bath = make_up(read_recipe(recipe, settings))
    load = bath.plate(
        to_number("minutes", minutes, "--minutes"),
        to_number("area_dm2", area_dm2, "--area-dm2"),
        substrate,
        activation,
    )
    if as_json:
        values = load.to_dict()
        flags, table = values.pop("flags"), values.pop("columns")
        print_json(document("plate", bath.recipe, flags, **values, table=table))
    else:
        print_result(load_text(load, bath.recipe), bath.recipe, load.flags, quiet)
    write_files([(csv, load.to_csv), (plot, load.plot)], as_json)


def load_text(load: Plate, recipe: Recipe) -> str:
    """A load in words."""
    alloy = recipe.alloy_column
    rows = [
        ("substrate", load.surface),
        ("thickness", f"{number(load.thickness_um)} um"),
        ("mass", f"{number(load.mass_g)} g, of which {number(load.metal_g)} g {recipe.metal}"),
        ("density", f"{number(load.density_g_cm3, 3)} g/cm3"),
        (
            "rate",
            f"{number(load.deposition_start_um_h)} um/h at the start,"
            f" {number(load.deposition_end_um_h)} at the end",
        ),
        (
            "bath afterwards",
            f"{number(load.metal_end_g_l, 3)} g/L {recipe.metal},"
            f" {number(load.reductant_end_mol_l, 3)} mol/L {recipe.reductant},"
            f" {number(load.by_product_end_mol_l, 3)} mol/L {recipe.by_product},"
            f" pH {load.ph_end:.2f}",
        ),
    ]
    if alloy is not None:
        content = f"{number(load.to_dict()[alloy], 3)} wt%"
        rows.insert(2, (str(recipe.alloy), content))
    if load.induction_s > 0.0:
        rows.insert(1, ("starts after", f"{number(load.induction_s, 3)} s"))
    title = f"{number(load.area_dm2)} dm2 for {number(load.minutes)} min in the fresh bath"
    volume = number(recipe.get("tank.volume_l"))
    return layout.card(f"{title} of {recipe.name} ({volume} L), nothing added", rows)


@click.command(cls=Command)
@recipe_options
@click.option(
    "--calendar",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Racks from this CSV file: work.calendar.",
)
@start_option
@click.option("--csv", type=table_path, help="Write the table to this CSV file.")
@click.option("--loads", type=table_path, help="Write the racks to this CSV file.")
@click.option("--plot", type=output_path, help="Write the picture to this file (png, pdf, svg).")
@click.option("--ledger", type=table_path, help="Write every addition to this CSV file.")
@click.option("--report", type=page_path, help="Write a page with picture and tables (HTML).")
@click.option("--cost-plot", type=output_path, help="Write the picture of the cost to this file.")
@click.option(
    "--past-limits",
    is_flag=True,
    help="Run on, to twice its turnovers and one more, to see when the other limits come.",
)
@click.option(
    "--sensitivity",
    is_flag=True,
    help="Instead of the life: sensitivity of the dump to each number, by a shop's step of it.",
)
@click.option(
    "--by",
    type=click.Choice(["area", "money", "hours"]),
    help="Rank --sensitivity by area plated (without it), cost per um dm2, or hours of plating.",
)
@uncertainty_option
def life(
    recipe: str,
    settings: Sequence[str],
    calendar: Path | None,
    start: str | None,
    csv: Path | None,
    loads: Path | None,
    plot: Path | None,
    ledger: Path | None,
    report: Path | None,
    cost_plot: Path | None,
    past_limits: bool,
    sensitivity: bool,
    by: str | None,
    uncertainty: bool,
    as_json: bool,
    quiet: bool,
) -> None:
    """Life of the bath: when to dump it, and why.

    A table per turnover, the first limit reached, and where the others stand; with --start, or a
    calendar with dates, by date too.

    Files given to --csv, --loads, --plot, --ledger and --report are replaced when they exist.
    """
    check_pictures(plot, cost_plot)
    of = read_recipe(recipe, settings, calendar)
    if sensitivity:
        if report or cost_plot or past_limits or loads or ledger or start:
            raise RecipeError(
                "--sensitivity takes no --start, --loads, --ledger, --report, --cost-plot or"
                " --past-limits"
            )
        print_sensitivity(of, by or "area", csv, plot, as_json, quiet)
        return
    if uncertainty:
        if any((report, cost_plot, past_limits, loads, ledger, start, csv, plot)):
            raise RecipeError("--uncertainty: expected it without --start and files")
        print_uncertainty(of, "life", as_json, quiet)
        return
    if by is not None:
        raise RecipeError("--by ranks what --sensitivity lists: expected both")
    if cost_plot is not None and not any(e.path.startswith("cost.") for e in of.numbers()):
        raise RecipeError(f"--cost-plot: {of.name} has no prices, [cost]")
    lived = run(of, not quiet and sys.stderr.isatty(), start, by="--start")
    if as_json:
        print_json(life_document(lived, past_limits))
    else:
        print_result(life_text(lived, past_limits=past_limits), of, lived.flags, quiet)

    def page(path: Path) -> None:
        from bathkin.reports.life_html import life_page

        files.write(path, life_page(lived).encode())

    outputs: list[tuple[Path | None, Callable[[Path], object]]] = [
        (csv, lived.to_csv),
        (loads, lived.loads_to_csv),
        (plot, lived.plot),
        (ledger, lived.ledger_to_csv),
        (report, page),
    ]
    cost = lived.cost if cost_plot else None
    if cost is not None:
        outputs.append((cost_plot, cost.plot))
    write_files(outputs, as_json)


def print_sensitivity(
    recipe: Recipe, by: str, csv: Path | None, plot: Path | None, as_json: bool, quiet: bool
) -> None:
    """Sensitivity of the dump time to each number."""
    from bathkin.life.sensitivity import sensitivity_text

    found = recipe.life_sensitivity(by=by)
    if as_json:
        values = found.to_dict()
        rows = values.pop("rows")
        print_json(document("life", recipe, recipe.flags, **values, sensitivity=rows))
    else:
        print_result(sensitivity_text(found), recipe, recipe.flags, quiet)
    write_files([(csv, found.to_csv), (plot, found.plot)], as_json)
