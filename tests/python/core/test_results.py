"""Results: typed fields, read-only columns, values that compare and pickle."""

from __future__ import annotations

import dataclasses
import html
import pickle
import subprocess
import sys
from pathlib import Path

import bathkin as bk
import numpy as np
import pytest
from bathkin.core.result import CLASSES, Result

SNIPPET = """\
import bathkin as bk

bath = bk.load_recipe("nickel-acid").make_up()
life = bk.simulate_life("nickel-acid")
rate: float = bath.rate().{field}
hours: float = life.dump.clock_h
"""


def checked(tmp_path: Path, field: str) -> subprocess.CompletedProcess[str]:
    file = tmp_path / f"{field}.py"
    file.write_text(SNIPPET.format(field=field))
    asked = [sys.executable, "-m", "mypy", "--strict", "--cache-dir", str(tmp_path), str(file)]
    return subprocess.run(asked, capture_output=True, text=True, check=False)


def test_a_field_is_typed_and_a_misspelt_one_is_refused(tmp_path: Path) -> None:
    right = checked(tmp_path, "deposition_um_h")
    assert right.returncode == 0, right.stdout
    wrong = checked(tmp_path, "depositon_um_h")
    assert wrong.returncode == 1
    assert '"Rate" has no attribute "depositon_um_h"' in wrong.stdout


def test_fields_complete_in_an_editor() -> None:
    rate = bk.load_recipe("nickel-acid").make_up().rate()
    names = {field.name for field in dataclasses.fields(rate)}
    assert "deposition_um_h" in names
    assert names < set(dir(rate))
    with pytest.raises(AttributeError, match="depositon_um_h"):
        rate.depositon_um_h  # type: ignore[attr-defined]  # noqa: B018
    assert "deposition_um_h: Growth of the deposit" in (bk.Rate.__doc__ or "")


def test_columns_are_read_only_arrays_and_the_same_each_time() -> None:
    recipe = bk.load_recipe("nickel-mixed-potential")
    bath = recipe.make_up()
    curves = bath.polarisation((-0.9, -0.5))
    over_ph = bath.distribution(ph=[3.0, 4.0])
    load = bath.plate(10, 10)
    for first, again in (
        (curves.potential_v, curves.columns["potential_v_she"]),
        (over_ph.ph, over_ph.columns["ph"]),
        (load.columns.thickness_um, load.columns.thickness_um),
    ):
        assert isinstance(first, np.ndarray)
        assert first is again
        with pytest.raises(ValueError, match="read-only"):
            first[0] = 0.0


def test_results_compare_and_pickle_with_what_they_are_of() -> None:
    recipe = bk.load_recipe("nickel-acid")
    load = recipe.make_up().plate(10, 10)
    plan = recipe.plan(1.0)
    for one in (load, plan):
        again = pickle.loads(pickle.dumps(one))
        assert again == one
        assert again.table().equals(one.table())
    assert pickle.loads(pickle.dumps(plan)).recipe == recipe
    assert not pickle.loads(pickle.dumps(load)).columns.minutes.flags.writeable
    assert plan != recipe.set("tank.volume_l", 300).plan(1.0)


def test_results_do_not_change() -> None:
    flag = bk.Flag("operation.ph", "outside its range")
    with pytest.raises((AttributeError, TypeError)):
        flag.what = "else"  # type: ignore[misc]
    with pytest.raises((AttributeError, TypeError)):
        flag.other = 1  # type: ignore[attr-defined]


def test_flags_go_into_sets_and_sort() -> None:
    """Two that say the same are one; their order is that of their texts."""
    ph, rate = bk.Flag("operation.ph", "outside its range"), bk.Flag("laws.rate", "extrapolated")
    again = bk.Flag("operation.ph", "outside its range")
    assert sorted({ph, rate, again}) == [rate, ph]


def test_what_is_never_reached_stays_infinite() -> None:
    recipe = bk.load_recipe("nickel-acid").set("operation.ph", 4.8)
    copper = recipe.make_up().plate(10, 10, substrate="copper", activation="contact")
    assert np.isfinite(copper.induction_s)
    never = dataclasses.replace(copper, induction_s=np.inf)
    assert never == pickle.loads(pickle.dumps(never))
    assert never != copper


def test_each_class_of_the_core_has_its_dataclass() -> None:
    assert len(CLASSES) > 40
    made = [one for name, one in CLASSES.items() if name != "FlagBase"]
    assert all(issubclass(one, Result) and dataclasses.is_dataclass(one) for one in made)


def test_a_notebook_shows_what_is_printed() -> None:
    """What prints as a text of its own is that text in a notebook too; equations are Markdown."""
    best = bk.optimise(
        "nickel-acid", {"operation.ph": (4.6, 5.0)}, most="make_up.deposition_um_h", limits={}
    )
    shown = best._repr_html_()
    assert shown
    assert shown.startswith("<pre>")
    assert html.unescape(shown.removeprefix("<pre>").removesuffix("</pre>")) == repr(best)
    equations = bk.load_recipe("nickel-acid").equations("markdown")
    assert equations._repr_html_() is None
    assert r"\mathrm{Ni^{2+}}" in equations._repr_markdown_()
    card = bk.load_recipe("nickel-acid").make_up().rate()._repr_html_()
    assert card
    assert card.startswith("<table>")
