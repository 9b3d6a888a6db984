"""`bathkin doctor`: what is installed, and whether it works here."""

from __future__ import annotations

import importlib.metadata
import platform
import shutil
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import click

from bathkin import _core
from bathkin.cli.options import output_options, print_json
from bathkin.cli.outputs import Command, echo
from bathkin.core import layout
from bathkin.errors import BathkinError
from bathkin.recipe.recipe import load_recipe

FAILED = 3
NEEDED = ("click", "matplotlib", "numpy", "pandas", "pint", "tqdm", "xlsxwriter")
# A package of each extra, and what it is for.
EXTRAS = {
    "typst": ("report", "pages as PDF"),
    "emcee": ("bayes", "samples of a posterior"),
    "arviz": ("bayes", "samples handed over to ArviZ"),
    "ipywidgets": ("notebook", "sliders in notebooks"),
    "jupyterlab": ("notebook", "notebooks"),
}
FONT = "DejaVu Sans"


class Check(NamedTuple):
    """One line of the answer.

    Attributes:
        what: What was looked at.
        found: What was found.
        fine: Whether it works.
        cure: What to do where it does not; empty for what may be missing.
    """

    what: str
    found: str
    fine: bool = True
    cure: str = ""


@click.command("doctor", cls=Command)
@output_options
def doctor(as_json: bool, quiet: bool) -> int:
    """What is installed, and whether it works here: versions, packages, fonts, writable places.

    Exit code 3 where something that bathkin needs does not work; each line says what to do. With
    --quiet only those lines are printed.
    """
    checks = [*_versions(), *_packages(), *_places(), _font(), _computed()]
    broken = [one for one in checks if not one.fine]
    if as_json:
        print_json({"checks": [one._asdict() for one in checks], "fine": not broken})
        return FAILED if broken else 0
    width = max(len(one.what) for one in checks)
    for one in broken if quiet else checks:
        mark = "NOT" if not one.fine else "-" if one.cure else "ok"
        echo(f"{mark:<3} {one.what:<{width}}  {one.found}")
        if one.cure:
            echo(layout.wrapped(one.cure, width + 6))
    if not quiet:
        echo(f"\n{len(broken)} of {len(checks)} do not work" if broken else "\nall works")
    return FAILED if broken else 0


def _versions() -> Iterator[Check]:
    yield Check("bathkin", _core.VERSION)
    yield Check("python", f"{platform.python_version()} at {sys.executable}")
    yield Check("system", f"{platform.system()} {platform.release()}, {platform.machine()}")
    yield Check("installed in", str(Path(__file__).parents[1]))
    on_path = shutil.which("bathkin")
    cure = "" if on_path else "`python -m bathkin` does the same; activate the environment for it"
    yield Check("command", on_path or "not on the path", cure=cure)
    encoding = sys.stdout.encoding or "unknown"
    fine = encoding.lower().replace("-", "") == "utf8"
    cure = "" if fine else "set PYTHONUTF8=1, or names of substances may print as question marks"
    yield Check("encoding", encoding, cure=cure)


def _packages() -> Iterator[Check]:
    for name in NEEDED:
        found = _version(name)
        cure = "" if found else f"pip install {name}"
        yield Check(name, found or "missing", bool(found), cure)
    for name, (extra, purpose) in EXTRAS.items():
        found = _version(name)
        cure = "" if found else f'for {purpose}: pip install "bathkin[{extra}]"'
        yield Check(name, found or "not installed", cure=cure)


def _version(name: str) -> str:
    try:
        return importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return ""


def _places() -> Iterator[Check]:
    """The folder that files are written to without a path of their own, and that of caches."""
    import matplotlib

    yield _writable("this folder", Path.cwd(), "change to a folder of your own, or name one")
    yield _writable(
        "caches", Path(matplotlib.get_cachedir()), "set MPLCONFIGDIR to a folder of your own"
    )
    yield _writable("temporary files", Path(tempfile.gettempdir()), "set TMPDIR to such a folder")


def _writable(what: str, place: Path, cure: str) -> Check:
    try:
        with tempfile.TemporaryFile(dir=place):
            return Check(what, f"{place} can be written")
    except OSError as error:
        why = error.strerror or str(error)
        return Check(what, f"{place} cannot be written: {why}", False, cure)


def _font() -> Check:
    from matplotlib import font_manager

    try:
        return Check("font", font_manager.findfont(FONT, fallback_to_default=False))
    except ValueError:
        cure = "install matplotlib anew: it brings the font of pictures and pages"
        return Check("font", f"{FONT} is missing", False, cure)


def _computed() -> Check:
    """The fresh rate of a built-in bath, which goes through all of the core."""
    try:
        rate = load_recipe("nickel-acid").make_up().rate().deposition_um_h
    except BathkinError as error:
        return Check("nickel-acid", str(error), False, "install bathkin anew")
    return Check("nickel-acid", f"plates {rate:.2f} um/h when fresh")
