"""Warnings have codes by which they are left out; long work says in the log what it does."""

from __future__ import annotations

import logging
import pickle
import warnings

import bathkin as bk
import pytest
from bathkin.core import progress


def doubted(*left_out: str) -> list[bk.BathkinWarning]:
    """What a bath far beyond its range is warned of."""
    with warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always", bk.BathkinWarning)
        for code in left_out:
            warnings.filterwarnings("ignore", code, bk.BathkinWarning)
        bk.load_recipe("nickel-acid").set("operation.ph", 7.5).make_up().rate()
    return [one.message for one in said if isinstance(one.message, bk.BathkinWarning)]


def test_a_warning_has_the_code_of_its_flag() -> None:
    found = doubted()
    assert "solids.nickel_hydroxide" in {one.code for one in found}
    for one in found:
        assert str(one).startswith(f"{one.code}: ")
        again = pickle.loads(pickle.dumps(one))
        assert (type(again), str(again), again.code) == (type(one), str(one), one.code)


def test_warnings_are_left_out_by_code() -> None:
    everything = {one.code for one in doubted()}
    assert len(everything) > 1
    left = {one.code for one in doubted("solids")}
    assert left == {code for code in everything if not code.startswith("solids")}


def test_an_entry_has_the_path_as_its_code() -> None:
    with pytest.warns(bk.EntryWarning) as said:
        bk.load_recipe("nickel-acid").set("limits.deposition_um_h", "20 um/min")
    assert isinstance(said[0].message, bk.EntryWarning)
    assert said[0].message.code == "limits.deposition_um_h"


def test_long_work_is_logged(
    caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    draws = {"operation.ph": "normal(4.8, 0.05)"}
    with caplog.at_level(logging.DEBUG, logger="bathkin"):
        bk.ensemble("nickel-acid", draws, ["make_up.ph"], members=16)
    assert caplog.messages[0] == "computing 16 members"
    assert caplog.messages[1].startswith("computing 16 members: done after ")
    caplog.clear()
    monkeypatch.setattr(progress, "LONG_S", 0.0)
    with caplog.at_level(logging.INFO, logger="bathkin"):
        bk.ensemble("nickel-acid", draws, ["make_up.ph"], members=16)
    assert [one.levelname for one in caplog.records] == ["INFO"]


def test_work_that_ends_early_is_logged_as_a_warning(caplog: pytest.LogCaptureFixture) -> None:
    def stop(_done: float) -> None:
        raise KeyboardInterrupt

    def work() -> None:
        with progress.reporting(stop, "lives", total=3) as report:
            assert report
            report(1)

    with caplog.at_level(logging.WARNING, logger="bathkin"), pytest.raises(KeyboardInterrupt):
        work()
    assert len(caplog.messages) == 1
    assert caplog.messages[0].startswith("simulating 3 lives: ended after ")
    assert caplog.messages[0].endswith("by KeyboardInterrupt")
