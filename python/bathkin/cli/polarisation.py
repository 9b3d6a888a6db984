"""Partial currents over potentials: `bathkin rate --polarisation`."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

import click
import numpy as np

from bathkin.bath.bath import make_up
from bathkin.bath.polarisation import Polarisation
from bathkin.cli.options import print_json, print_result
from bathkin.cli.outputs import check_pictures, output_path, table_path, write_files
from bathkin.core import layout
from bathkin.core.layout import Column, number, spoken
from bathkin.core.units import to_number
from bathkin.errors import RecipeError
from bathkin.recipe.recipe import Recipe
from bathkin.reports.documents import document

Function = TypeVar("Function", bound=Callable[..., Any])

# Points of a range without a count: printed a tenth of them, drawn and written all.
_COUNT, _PRINTED = 201, 21
_MOST_POINTS = 10_000


def polarisation_options(function: Function) -> Function:
    """--polarisation, --reference, and with --vary too --csv and --plot."""
    options = (
        click.option(
            "--polarisation",
            metavar="LOW:HIGH[:COUNT]",
            help="Partial currents over potentials instead, V; for recipes with partial currents.",
        ),
        click.option(
            "--reference",
            metavar="ELECTRODE",
            help="What those potentials are against: SHE (without it), SCE or AgAgCl.",
        ),
        click.option(
            "--csv",
            type=table_path,
            help="Write those currents, or the rows of --vary, to this CSV file.",
        ),
        click.option(
            "--plot",
            type=output_path,
            help="Write their picture, or that of --vary, to this file (png, pdf, svg).",
        ),
    )
    for option in reversed(options):
        function = option(function)
    return function


def check_polarisation(asked: dict[str, Any], varied: Sequence[str]) -> None:
    """Refuses options without those they need, and two questions at once."""
    if asked["polarisation"] is None:
        if asked["plot"] is not None and not varied:
            raise click.UsageError(
                "--plot needs --vary, such as --vary operation.ph=4.4:5.2:5, or --polarisation"
            )
        if asked["reference"] is not None:
            raise click.UsageError(
                "--reference needs --polarisation, such as --polarisation -0.9:-0.4"
            )
    elif varied:
        raise click.UsageError("--polarisation and --vary answer different questions: ask one")


def print_polarisation(recipe: Recipe, asked: dict[str, Any], as_json: bool, quiet: bool) -> None:
    """Prints and writes what was asked for."""
    check_pictures(asked["plot"])
    potentials, chosen = read_potentials(asked["polarisation"])
    curves = make_up(recipe).polarisation(potentials.tolist(), asked["reference"] or "SHE")
    if as_json:
        print_json(document("rate", recipe, curves.flags, **polarisation_contents(curves)))
    else:
        print_result(polarisation_text(curves, chosen), recipe, curves.flags, quiet)
    write_files([(asked["csv"], curves.to_csv), (asked["plot"], curves.plot)], as_json)


def read_potentials(text: str) -> tuple[np.ndarray, bool]:
    """Potentials from low:high or low:high:count, and whether the count was given."""
    ends = text.split(":")
    counted = len(ends) == 3
    expected = f"low:high or low:high:count with a count from 2 to {_MOST_POINTS}"
    if len(ends) not in (2, 3) or (
        counted and not (ends[2].strip().isdecimal() and 2 <= int(ends[2]) <= _MOST_POINTS)
    ):
        raise RecipeError(f"--polarisation {text}: expected {expected}")
    low, high = (to_number("potential_v", end, "--polarisation") for end in ends[:2])
    if low == high:
        raise RecipeError(f"--polarisation {text}: expected a range of two different numbers")
    count = int(ends[2]) if counted else _COUNT
    return np.array([float(f"{value:.12g}") for value in np.linspace(low, high, count)]), counted


def polarisation_contents(curves: Polarisation) -> dict[str, Any]:
    """What the JSON document says."""
    return {
        "reference": curves.reference,
        "reference_potential_v_she": curves.reference_potential_v_she,
        "temperature_c": curves.temperature_c,
        "ph": curves.bath.ph,
        "mixed_potential_v": curves.mixed_potential_v,
        "mixed_currents_ma_cm2": curves.mixed_currents_ma_cm2,
        "polarisation": curves.columns,
    }


def polarisation_text(curves: Polarisation, every_point: bool) -> str:
    """The mixed point, then a row per potential."""
    points = len(curves.potential_v)
    step = 1 if every_point else max(1, (points - 1) // (_PRINTED - 1))
    rows = range(0, points, step)
    columns = [Column(f"potential\nV {curves.reference}", _cells(curves.potential_v, rows, ".3f"))]
    for name, currents in [*curves.currents_ma_cm2.items(), ("total", curves.total_ma_cm2)]:
        columns.append(Column(f"{spoken(name)}\nmA/cm2", _cells(currents, rows, "+.3g")))
    mixed = curves.mixed_potential_v
    there = [
        (spoken(name), f"{current:+.3f} mA/cm2")
        for name, current in curves.mixed_currents_ma_cm2.items()
    ]
    place = "none between -3 and 3 V SHE" if mixed is None else f"{mixed:.4f} V {curves.reference}"
    title = (
        f"polarisation of the fresh bath of {curves.recipe.name} at {number(curves.temperature_c)}"
        f" degC and pH {curves.bath.ph:.2f}"
    )
    notes = (
        "currents are positive where electrons are given to the surface; the bath as it is, nothing"
        " used up while the potential moves"
    )
    if step > 1:
        notes += f"; one of {step} of {points} points, which --csv and --json give in full"
    return "\n".join(
        [
            layout.wrapped(title, 0, 2),
            "",
            layout.pairs([("mixed potential", place), *there]),
            "",
            layout.render(columns),
            layout.wrapped(notes, 0, 2),
        ]
    )


def _cells(values: Any, rows: Sequence[int], form: str) -> list[str]:
    return [format(float(values[row]), form) for row in rows]
