"""The package as a whole: names, light import, typing marker, errors."""

from __future__ import annotations

import copy
import pickle
import subprocess
import sys
from importlib.resources import files

import bathkin as bk
import pytest


def test_every_exported_name_is_there_and_documented() -> None:
    for name in bk.__all__:
        value = getattr(bk, name)
        assert name == "__version__" or value.__doc__, name
    assert list(bk.__all__) == sorted(bk.__all__)


def test_only_public_names_are_listed() -> None:
    assert dir(bk) == sorted(bk.__all__)
    # What is listed is the object itself, also where a room has its name.
    assert callable(bk.fit)


def test_typing_marker_is_shipped() -> None:
    assert files("bathkin").joinpath("py.typed").is_file()


def test_import_stays_light() -> None:
    heavy = ["pandas", "matplotlib", "pint", "click", "tqdm", "scipy"]
    code = f"import sys, bathkin; print([m for m in {heavy} if m in sys.modules])"
    printed = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert printed.stdout.strip() == "[]", printed.stderr


@pytest.mark.parametrize(
    ("error", "natural"),
    [
        (bk.RecipeError, ValueError),
        (bk.UnknownNameError, KeyError),
        (bk.DataError, ValueError),
        (bk.ConvergenceError, ArithmeticError),
    ],
)
def test_errors_are_what_a_caller_expects(
    error: type[bk.BathkinError], natural: type[Exception]
) -> None:
    made = error("what happened")
    assert isinstance(made, bk.BathkinError)
    assert isinstance(made, natural)
    assert str(made) == "what happened"


@pytest.mark.parametrize(
    "error",
    [
        bk.RecipeError("refused"),
        bk.UnknownNameError("unknown", name="nickle", valid=["nickel"]),
        bk.DataError("bad", row=3, column="k", raw="x"),
        bk.ConvergenceError("failed", time_h=1.5, residual=2.0, worst="nickel"),
    ],
)
def test_errors_pickle_with_their_details(error: bk.BathkinError) -> None:
    for again in (pickle.loads(pickle.dumps(error)), copy.copy(error)):
        assert type(again) is type(error)
        assert str(again) == str(error)
        assert vars(again) == vars(error)


def test_warning_is_a_user_warning() -> None:
    assert issubclass(bk.BathkinWarning, UserWarning)
