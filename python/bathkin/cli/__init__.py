"""The command line: `bathkin COMMAND`, or `python -m bathkin COMMAND`."""

from __future__ import annotations

import sys
import warnings
from collections.abc import Sequence

import click

from bathkin import _core
from bathkin.cli.again import again
from bathkin.cli.arrhenius import arrhenius
from bathkin.cli.backtest import backtest_command
from bathkin.cli.compare import compare
from bathkin.cli.design import design_command
from bathkin.cli.doctor import doctor
from bathkin.cli.ensemble import ensemble_command
from bathkin.cli.fit import fit_command
from bathkin.cli.forecast import forecast_command
from bathkin.cli.inspect import list_recipes, show, solution
from bathkin.cli.log import log_group
from bathkin.cli.new import new_bath
from bathkin.cli.optimise import optimise_command, trade_off_command
from bathkin.cli.outputs import WRITTEN, echo, silence, what_was_written
from bathkin.cli.plan import plan
from bathkin.cli.reagents import list_reagents
from bathkin.cli.sensitivity import sensitivity_command
from bathkin.cli.simulate import life, plate, rate
from bathkin.cli.substrates import list_substrates
from bathkin.cli.today import today
from bathkin.core import files
from bathkin.errors import BathkinError, BathkinWarning, ConvergenceError, EntryWarning

WRONG_INPUT, FAILED, INTERRUPTED = 2, 3, 130


@click.group(
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.pass_context
@click.version_option(_core.VERSION, prog_name="bathkin")
def group(context: click.Context) -> None:
    """Electroless plating baths: composition, pH, rate, deposit, and how long the bath lasts.

    RECIPE is a built-in name (see `bathkin recipes`) or the path of a TOML file. Every number of a
    recipe has a path with its unit, as `bathkin show RECIPE` lists them; the same path changes it
    with --set, in its own unit or in another: --set "operation.temperature_c=190 degF".

    Results are estimates for planning, never safety limits.

    Exit codes: 0 done, 2 wrong input, 3 the computation failed or a file could not be written, 4 an
    alarm stands (`today`) or no point keeps all limits (`optimise`, `trade-off`; the result is
    complete), 130 interrupted.
    """
    if context.invoked_subcommand is None:
        echo(context.get_help())


for command in (
    list_recipes,
    list_reagents,
    list_substrates,
    show,
    solution,
    rate,
    plate,
    life,
    plan,
    today,
    backtest_command,
    compare,
    ensemble_command,
    sensitivity_command,
    optimise_command,
    trade_off_command,
    arrhenius,
    fit_command,
    design_command,
    forecast_command,
    new_bath,
    log_group,
    again,
    doctor,
):
    group.add_command(command)


def main(arguments: Sequence[str] | None = None) -> None:
    """Runs a command and exits with its code; every refusal is one message, never a traceback."""
    sys.exit(run(arguments))


def run(arguments: Sequence[str] | None = None) -> int:
    """Runs a command and returns its exit code."""
    before = WRITTEN.set([])
    try:
        return _run(arguments)
    finally:
        WRITTEN.reset(before)


def _run(arguments: Sequence[str] | None) -> int:
    try:
        with warnings.catch_warnings():
            # Warnings are printed with the result.
            warnings.simplefilter("ignore", BathkinWarning)
            # What was typed is doubted at once, on standard error.
            warnings.simplefilter("always", EntryWarning)
            warnings.showwarning = said
            code = group.main(arguments, prog_name="bathkin", standalone_mode=False)
            return code if isinstance(code, int) else 0
    except click.Abort:
        return refused(f"interrupted; {what_was_written()}", INTERRUPTED)
    except click.UsageError as error:
        where = error.ctx.command_path if error.ctx else "bathkin"
        return refused(f"{error.format_message().rstrip('.')} (see {where} --help)", WRONG_INPUT)
    except click.ClickException as error:
        return refused(error.format_message(), WRONG_INPUT)
    except ConvergenceError as error:
        return refused(f"the computation failed: {error}; {what_was_written()}", FAILED)
    except BathkinError as error:
        return refused(str(error), WRONG_INPUT)
    except BrokenPipeError:
        # The reader of a help text had read enough.
        silence(sys.stdout)
        return 0
    except files.NotWrittenError as error:
        return refused(str(error), FAILED)
    except OSError as error:
        return refused(str(error), WRONG_INPUT)


def said(message: Warning | str, *_place: object, **_more: object) -> None:
    """Says on standard error what is hard to believe in the input."""
    echo(f"bathkin: warning: {message}", err=True)


def refused(message: str, code: int) -> int:
    """Says on standard error why there is no result."""
    echo(f"bathkin: error: {message}" if code != INTERRUPTED else f"bathkin: {message}", err=True)
    return code
