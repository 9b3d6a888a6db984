"""The command fit: numbers of a recipe from coupon runs and bath logs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from bathkin.cli.fit_options import (
    fitted,
    labelled,
    log_option,
    options_of_fit,
    with_assumptions,
)
from bathkin.cli.options import (
    print_json,
    print_result,
    read_recipe,
    recipe_options,
    shows_progress,
)
from bathkin.cli.outputs import Command, claim, output_path, recipe_path, written
from bathkin.core import files, layout
from bathkin.core.arguments import MOST_POINTS, MOST_REPEATS
from bathkin.fit.bootstrap import Bootstrap
from bathkin.fit.data import Sheets, names_of
from bathkin.reports.documents import document
from bathkin.reports.fit import depends_on
from bathkin.tables.logs import read_log
from bathkin.tables.runs import read_runs


@click.command("fit", cls=Command)
@recipe_options
@click.argument("runs", nargs=-1, type=click.Path(path_type=Path))
@log_option
@click.option("--free", multiple=True, required=True, metavar="PATH", help="Fit it. Repeatable.")
@options_of_fit
@click.option(
    "--bootstrap",
    type=click.IntRange(2, MOST_REPEATS),
    metavar="N",
    help="Repeat it on N data drawn again.",
)
@click.option(
    "--posterior",
    type=click.IntRange(10, MOST_POINTS),
    metavar="N",
    help="Draw from its posterior, worth N independent draws.",
)
@click.option("--write", "target", type=recipe_path, help="Write the fitted recipe to this file.")
@click.option(
    "--label",
    "labels",
    multiple=True,
    metavar="COLUMN=LABEL",
    help="Of a number with a value for each label (--per), write this one. Repeatable.",
)
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
    bootstrap: int | None,
    posterior: int | None,
    target: Path | None,
    labels: tuple[str, ...],
    plot: Path | None,
    as_json: bool,
    quiet: bool,
    **options: Any,
) -> None:
    """Numbers of a recipe fitted to coupon runs and bath logs.

    RUNS are CSV files, a row for each coupon: temperature_c, ph, time_min, area_cm2 and one of
    mass_gain_mg, thickness_um, deposition_um_h (other units by suffix or in brackets), sigma, and
    any number of the recipe as a further column. A log has time_h or a timestamp, what plated since
    the row before (area_dm2 with plating_min or thickness_um, or area_in_tank_dm2, its mean, or the
    racks of work.calendar), readings (ph, nickel_g_l ...), and what was added after them
    (metal_ml_l ...). Fits start from the recipe's numbers.
    """
    if plot is not None:
        from bathkin.plots.picture import check_format

        check_format(plot)
    if not runs and not logs:
        raise click.UsageError("no data: expected files of RUNS, or --log FILE")
    chosen = dict(labelled(text) for text in labels)
    begun = read_recipe(recipe, settings)
    data: Sheets = [*map(read_runs, runs), *(read_log(log, begun) for log in logs)]
    pictures = _pictures(plot, data) if plot is not None else {}
    for path, of in pictures.items():
        if of is not None:
            claim("--plot", path)
    found = fitted(begun, data, free, options)
    # Refused before anything is printed.
    better = found.recipe(chosen) if target is not None or chosen else None
    showing = shows_progress(as_json, quiet)
    repeated = found.bootstrap(bootstrap, progress=showing) if bootstrap else None
    drawn = found.posterior(posterior, progress=showing) if posterior else None
    if as_json:
        more: dict[str, object] = {"bootstrap": _replicates(repeated)} if repeated else {}
        more |= {"posterior": drawn.to_dict()} if drawn else {}
        print_json(
            document(
                "fit", begun, begun.flags, depends_on=depends_on(found), **found.to_dict(), **more
            )
        )
    else:
        parts = [found.summary(), *([_bootstrap_text(repeated)] if repeated else [])]
        parts += [drawn.summary()] if drawn else []
        text = with_assumptions("\n\n".join(parts), found.data, quiet)
        print_result(text, begun, begun.flags, quiet)
    if target is not None and better is not None:
        existed = target.exists()
        files.write(target, better.text.encode())
        written(target, as_json, existed)
    for path, of in pictures.items():
        existed = path.exists()
        found.plot(of, path)
        written(path, as_json, existed)


def _pictures(plot: Path, data: Sheets) -> dict[Path, int | None]:
    """The picture of all data (None), and where there are several one of each by its place."""
    pictures: dict[Path, int | None] = {plot: None}
    names = names_of(data)
    if len(names) > 1:
        stems = [Path(name).stem.replace(" ", "-") for name in names]
        for place, stem in enumerate(stems):
            # Files of one name in two folders have a number each.
            number = f"-{stems[:place].count(stem) + 1}" if stems.count(stem) > 1 else ""
            pictures[plot.with_stem(f"{plot.stem}-{stem}{number}")] = place
    return pictures


def _replicates(repeated: Bootstrap) -> dict[str, object]:
    rows = zip(repeated.names, repeated.standard_errors, repeated.intervals, strict=True)
    return {
        "replicates": len(repeated.draws),
        "failed": repeated.failed,
        "estimates": [
            {"path": path, "standard_error": error, "interval95": ends}
            for path, error, ends in rows
        ],
    }


def _bootstrap_text(repeated: Bootstrap) -> str:
    low, high = zip(*repeated.intervals, strict=True)
    heading = f"bootstrap of {len(repeated.draws)}"
    table = layout.render(
        [
            layout.Column(heading, repeated.names, left=True),
            layout.Column(
                "std. error", [layout.number(value, 2) for value in repeated.standard_errors]
            ),
            layout.Column("95 % from", [layout.number(value) for value in low]),
            layout.Column("to", [layout.number(value) for value in high]),
        ]
    )
    failed = f"\n{repeated.failed} repeats found no minimum" if repeated.failed else ""
    return table + failed
