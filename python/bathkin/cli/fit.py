"""The command fit: numbers of a recipe from coupon runs and bath logs."""

from __future__ import annotations

from pathlib import Path

import click

from bathkin import files, tables
from bathkin.cli.fit_options import bound, column_errors, parted, tied
from bathkin.cli.options import (
    output_path,
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    written,
)
from bathkin.documents import document
from bathkin.fit_call import fit
from bathkin.fit_data import Sheets, names_of
from bathkin.logs import read_log
from bathkin.recipe_fit import Fit, FitBootstrap
from bathkin.runs import read_runs


@click.command("fit")
@recipe_options
@click.argument("runs", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--log",
    "logs",
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A bath log. Repeatable.",
)
@click.option("--free", multiple=True, required=True, metavar="PATH", help="Fit it. Repeatable.")
@click.option(
    "--bound", "bounds", multiple=True, metavar="PATH=LOW:HIGH", help="Keep it there. Repeatable."
)
@click.option(
    "--tie",
    "ties",
    multiple=True,
    metavar="PATH=OTHER[*FACTOR]",
    help="It follows a free one, in the recipe's ratio or times FACTOR. Repeatable.",
)
@click.option(
    "--per",
    multiple=True,
    metavar="PATH=COLUMN",
    help="A value of its own for each label there; run: each row, data: each file. Repeatable.",
)
@click.option(
    "--errors",
    type=click.Choice(["relative", "absolute", "mixed"]),
    default="relative",
    show_default=True,
    help="How errors of what was measured on coupons are distributed.",
)
@click.option("--absolute-sigma", type=float, help="Standard deviation in the unit of the data.")
@click.option("--relative-sigma", type=float, help="Relative standard deviation, 0.05 for 5 %.")
@click.option(
    "--error",
    "of_columns",
    multiple=True,
    metavar="COLUMN=MODEL:SIZE",
    help="Errors of one column: relative:0.02, absolute:0.1 or mixed:0.1:0.02. Repeatable.",
)
@click.option(
    "--sigma-known",
    is_flag=True,
    help="Believe the sigmas; without, the residuals tell their size.",
)
@click.option(
    "--start",
    type=click.Choice(["measured", "made-up"]),
    default="measured",
    show_default=True,
    help="Baths of logs start with what the first row found, or exactly as made up.",
)
@click.option(
    "--loss",
    type=click.Choice(["linear", "soft_l1", "huber", "cauchy"]),
    default="linear",
    show_default=True,
    help="All but linear take outliers lightly.",
)
@click.option(
    "--loss-scale",
    type=float,
    default=1.0,
    show_default=True,
    help="From so many standard deviations on.",
)
@click.option(
    "--bootstrap",
    type=click.IntRange(min=2),
    metavar="N",
    help="Repeat it on N data drawn again.",
)
@click.option("--write", "target", type=output_path, help="Write the fitted recipe to this file.")
@click.option(
    "--plot",
    type=output_path,
    help="Write the picture to this file (png, pdf, svg); of several data one more for each.",
)
def fit_command(
    recipe: str,
    settings: tuple[str, ...],
    runs: tuple[Path, ...],
    logs: tuple[Path, ...],
    free: tuple[str, ...],
    bounds: tuple[str, ...],
    ties: tuple[str, ...],
    per: tuple[str, ...],
    errors: str,
    absolute_sigma: float | None,
    relative_sigma: float | None,
    of_columns: tuple[str, ...],
    sigma_known: bool,
    start: str,
    loss: str,
    loss_scale: float,
    bootstrap: int | None,
    target: Path | None,
    plot: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Numbers of a recipe fitted to coupon runs and bath logs.

    RUNS are CSV files, a row for each coupon: temperature_c, ph, time_min, area_cm2 and one of
    mass_gain_mg, thickness_um, deposition_um_h (other units by suffix or in brackets), sigma, and
    any number of the recipe as a further column. A log has time_h or a timestamp, area_dm2 plated
    since the row before, readings (ph, nickel_g_l ...), and what was added after them (metal_ml_l
    ...). Fits start from the recipe's numbers.
    """
    if plot is not None:
        from bathkin.plots import check_format

        check_format(plot)
    if not runs and not logs:
        raise click.UsageError("no data: expected files of RUNS, or --log FILE")
    begun = read_recipe(recipe, settings)
    data: Sheets = [*map(read_runs, runs), *map(read_log, logs)]
    found = fit(
        begun,
        data,
        list(free),
        dict(map(bound, bounds)),
        errors,
        absolute_sigma=absolute_sigma,
        relative_sigma=relative_sigma,
        sigma="known" if sigma_known else "estimated",
        ties=dict(map(tied, ties)),
        per=dict(map(parted, per)),
        errors=dict(map(column_errors, of_columns)),
        start=start,
        loss=loss,
        loss_scale=loss_scale,
    )
    repeated = found.bootstrap(bootstrap) if bootstrap else None
    if as_json:
        more = {"bootstrap": _replicates(repeated)} if repeated else {}
        print_json(document("fit", begun, begun.flags, **found.as_dict(), **more))
    else:
        parts = [] if quiet else [sheet.summary() for sheet in data]
        parts.append(found.summary())
        if repeated:
            parts.append(_bootstrap_text(repeated))
        print_result("\n\n".join(parts), begun, begun.flags, quiet)
    if target is not None:
        existed = target.exists()
        files.write(target, found.recipe().text.encode())
        written(target, as_json, existed)
    if plot is not None:
        _draw(found, plot, as_json)


def _draw(found: Fit, plot: Path, as_json: bool) -> None:
    """The picture of all data, and where there are several one of each."""
    from bathkin.plots import save

    pictures = {plot: found.plot()}
    names = names_of(found.data)
    if len(names) > 1:
        for place, name in enumerate(names):
            beside = plot.with_stem(f"{plot.stem}-{Path(name).stem.replace(' ', '-')}")
            pictures[beside] = found.plot(place)
    for path, picture in pictures.items():
        existed = path.exists()
        save(picture, path)
        written(path, as_json, existed)


def _replicates(repeated: FitBootstrap) -> dict[str, object]:
    rows = zip(repeated.names, repeated.standard_errors, repeated.intervals, strict=True)
    return {
        "replicates": len(repeated.draws),
        "failed": repeated.failed,
        "estimates": [
            {"path": path, "standard_error": error, "interval95": ends}
            for path, error, ends in rows
        ],
    }


def _bootstrap_text(repeated: FitBootstrap) -> str:
    low, high = zip(*repeated.intervals, strict=True)
    heading = f"bootstrap of {len(repeated.draws)}"
    table = tables.render(
        [
            tables.Column(heading, repeated.names, left=True),
            tables.Column(
                "std. error", [tables.number(value, 2) for value in repeated.standard_errors]
            ),
            tables.Column("95 % from", [tables.number(value) for value in low]),
            tables.Column("to", [tables.number(value) for value in high]),
        ]
    )
    failed = f"\n{repeated.failed} repeats found no minimum" if repeated.failed else ""
    return table + failed
