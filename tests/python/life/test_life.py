"""Lives: names, shapes, pictures, files, round trips."""

from __future__ import annotations

import dataclasses
import io
import pickle
from pathlib import Path

import bathkin as bk
import matplotlib.image
import numpy as np
import pandas as pd
import pytest
from bathkin.plots.picture import rendered
from bathkin.reports.life import life_text
from bathkin.reports.life_html import life_page

COLUMNS = [
    "turnovers",
    "clock_h",
    "plating_h",
    "area_m2",
    "metal_g_l",
    "reductant_mol_l",
    "orthophosphite_mol_l",
    "ph",
    "ph_25c",
    "deposition_um_h",
    "phosphorus_wt_pct",
    "ionic_strength_mol_l",
]

LEDGER = ["clock_h", "turnovers", "replenisher", "volume_ml", "dose", "dose_unit", "reason"]


def test_dump(life: bk.Life) -> None:
    dump = life.dump
    assert dump.limit in {limit.name for limit in life.limits}
    assert 0.0 < dump.plating_h <= dump.clock_h
    assert dump.turnovers == life.columns["turnovers"][-1]
    ending = next(limit for limit in life.limits if limit.name == dump.limit)
    assert ending.used_pct == pytest.approx(100.0)
    assert repr(dump).startswith("Dump\n  limit")


def test_columns(life: bk.Life) -> None:
    columns = life.columns
    assert set(COLUMNS) <= set(columns)
    assert {values.shape for values in columns.values()} == {columns["ph"].shape}
    assert all(values.dtype == np.float64 for values in columns.values())
    with pytest.raises(ValueError, match="read-only"):
        columns["ph"][0] = 7.0


def test_table_and_ledger(life: bk.Life) -> None:
    table, ledger = life.table(), life.ledger()
    assert isinstance(table, pd.DataFrame)
    assert table["clock_h"].is_monotonic_increasing
    assert table.attrs["recipe"] == "nickel-acid"
    table.loc[0, "ph"] = 7.0
    assert life.columns["ph"][0] != 7.0
    assert list(ledger.columns) == LEDGER
    assert len(ledger) > 100
    assert set(life.balance.to_dict()) == {"max_relative_residual", "worst", "allowed"}
    assert life.reductant_feed.fed_per_metal_mol > 2.0
    assert life.hydrogen_l > 0.0


def test_a_pickle_carries_its_numbers(recipe: bk.Recipe, monkeypatch: pytest.MonkeyPatch) -> None:
    life = bk.simulate_life(recipe.set("limits.turnovers", 1))
    written = pickle.dumps(life)
    cost, outlook = life.cost, life.outlook(past_limits=True)

    def computed(*_: object) -> None:
        raise AssertionError("it is computed again")

    monkeypatch.setattr("bathkin.life.life.run", computed)
    monkeypatch.setattr("bathkin.life.life.simulate_life", computed)
    again = pickle.loads(written)
    assert again == life
    assert list(again.columns) == list(life.columns)
    for name, values in life.columns.items():
        np.testing.assert_array_equal(again.columns[name], values)
        assert not again.columns[name].flags.writeable
    assert again.to_dict() == life.to_dict()
    assert again.cost == cost
    assert again.outlook(past_limits=True).equals(outlook)
    # Numbers that were changed are no longer those of the recipe's life.
    numbers = life._found
    ended = dataclasses.replace(numbers.verdict, limit="turnoverz")
    changed = dataclasses.replace(numbers, verdict=ended)
    assert bk.Life(life.recipe, life._core, changed, life.flags) != life


def test_round_trip(life: bk.Life, recipe: bk.Recipe) -> None:
    again = pickle.loads(pickle.dumps(life))
    assert again == life
    assert again.recipe == recipe
    np.testing.assert_array_equal(again.columns["ph"], life.columns["ph"])
    assert life != bk.simulate_life(recipe.set("tank.drag_out_l_m2", 0.1))
    assert recipe.simulate_life() == life


def test_progress(recipe: bk.Recipe, capfd: pytest.CaptureFixture[str]) -> None:
    seen: list[float] = []
    bk.simulate_life(recipe.set("replenishment.metal_trigger_pct", 99.5), progress=seen.append)
    assert seen == sorted(seen)
    bk.simulate_life(recipe, progress=True)
    assert capfd.readouterr().out == ""


def test_progress_may_stop_the_run(recipe: bk.Recipe) -> None:
    class EnoughError(Exception):
        pass

    def stop(turnovers: float) -> None:
        raise EnoughError

    long = recipe.set("replenishment.metal_trigger_pct", 99.9)
    with pytest.raises(EnoughError):
        bk.simulate_life(long, progress=stop)


def test_limit_exceeded_at_make_up(recipe: bk.Recipe) -> None:
    with pytest.raises(bk.RecipeError, match="already exceeded at make-up"):
        bk.simulate_life(recipe.set("limits.phosphorus_wt_pct_max", 9))


def test_no_limit_reached(recipe: bk.Recipe) -> None:
    with pytest.warns(bk.BathkinWarning, match="no limit was reached"):
        life = bk.simulate_life(recipe.set("life.longest_clock_h", 20))
    assert life.dump.limit == "none"
    assert "No limit was reached in 20 h" in life_text(life)
    life.plot()


@pytest.mark.parametrize("name", bk.recipes())
@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_text_fits_and_names_everything(name: str) -> None:
    life = bk.simulate_life(name)
    text = life_text(life)
    assert max(map(len, text.splitlines())) <= 100
    first = life.recipe.words(life.dump.limit)[0]
    assert f"First limit reached: {first}" in " ".join(text.split())
    assert "ionic" in text
    assert text.isascii()
    assert len(repr(life)) < len(text)
    for limit in life.limits:
        assert bk.load_recipe(name).metal in life_text(life)
        assert f"{limit.as_given.bound:.4g}" in text


def test_plot(life: bk.Life, tmp_path: Path) -> None:
    figure = life.plot(tmp_path / "life.png")
    picture = matplotlib.image.imread(tmp_path / "life.png")
    assert picture.shape[0] > 800
    assert len(figure.axes) == 4
    assert matplotlib.image.imread(io.BytesIO(rendered(figure, "png"))).shape == picture.shape
    for axes in figure.axes:
        assert "dump" in [text.get_text() for text in axes.texts]
    with pytest.raises(bk.RecipeError, match="a picture file that ends in"):
        life.plot(tmp_path / "life.doc")
    assert [path.name for path in tmp_path.iterdir()] == ["life.png"]


def test_labels_of_the_picture_do_not_overlap(life: bk.Life) -> None:
    figure = life.plot()
    figure.draw_without_rendering()
    for axes in figure.axes:
        boxes = [text.get_window_extent() for text in axes.texts]
        legend = axes.get_legend()
        boxes += [legend.get_window_extent()] if legend else []
        for number, box in enumerate(boxes):
            assert not any(box.overlaps(other) for other in boxes[number + 1 :])
            assert figure.bbox.x0 <= box.x0
            assert box.x1 <= figure.bbox.x1


def test_csv_round_trip(life: bk.Life, tmp_path: Path) -> None:
    path = tmp_path / "life.csv"
    path.write_text("an older file")
    life.to_csv(path)
    read = pd.read_csv(path)
    pd.testing.assert_frame_equal(read, life.table(), rtol=1e-9, check_dtype=False)
    with pytest.raises(FileNotFoundError, match="no directory"):
        life.to_csv(tmp_path / "none" / "life.csv")
    with pytest.raises(IsADirectoryError):
        life.to_csv(tmp_path)
    assert [file.name for file in tmp_path.iterdir()] == ["life.csv"]


def test_page_needs_no_other_file(life: bk.Life) -> None:
    page = life_page(life)
    assert page.startswith("<!doctype html>")
    assert "data:image/png;base64," in page
    assert "http" not in page
    assert "illustrative" in page
    assert "<table>" in life._repr_html_()


def test_a_limit_is_switched_off_and_another_takes_its_place():
    recipe = bk.load_recipe("nickel-acid").set(
        {"limits.orthophosphite_g_l_as_hpo3": "off", "limits.turnovers": 2}
    )
    life = recipe.simulate_life()
    assert "orthophosphite_mol_l" not in [limit.name for limit in life.limits]
    assert life.dump.limit == "turnovers"
    both = bk.load_recipe("nickel-acid").set("limits.orthophosphite_mol_l", 0.5).simulate_life()
    assert [limit.path for limit in both.limits if limit.name == "orthophosphite_mol_l"] == [
        "limits.orthophosphite_mol_l"
    ]
