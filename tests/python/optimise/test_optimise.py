"""Optima and trade-offs from Python: results, pictures, files, refusals, Ctrl-C."""

from __future__ import annotations

import copy
import os
import pickle
import signal
import threading
from pathlib import Path
from typing import Any

import bathkin as bk
import pytest

PH, WARM = "operation.ph", "operation.temperature_c"
RATE, PHOSPHORUS = "make_up.deposition_um_h", "make_up.phosphorus_wt_pct"
VARY: dict[str, Any] = {PH: (4.4, 5.2), WARM: (80, "94 degC")}
FEW: dict[str, Any] = {"points": 16, "starts": 2, "restarts": 1}


@pytest.fixture(scope="module")
def best() -> bk.Optimisation:
    limits = {PHOSPHORUS: (9, 10)}
    return bk.optimise("nickel-acid", VARY, most=RATE, limits=limits, outputs=["make_up.ph"], **FEW)


@pytest.fixture(scope="module")
def curve() -> bk.TradeOff:
    return bk.trade_off("nickel-acid", VARY, most=[RATE, PHOSPHORUS], count=5, **FEW)


def test_the_best_recipe_answers_as_it_was_told(best: bk.Optimisation) -> None:
    assert best.feasible
    assert best.complete
    rate = best.best_recipe().make_up().rate()
    assert rate.deposition_um_h == pytest.approx(best.goal.value, rel=1e-12)
    assert best.values == {one.path: best.best_recipe().get(one.path) for one in best.numbers}
    # Its own pH is a part of the box there, to the last bit but one.
    own = best.recipe.make_up().rate().deposition_um_h
    assert best.goal.at_recipe == pytest.approx(own, rel=1e-9)
    assert best.outputs["make_up.ph"] == pytest.approx(best.values[PH], abs=1e-6)
    assert best.goal.scatter is not None
    # A fresh bath has no stops.
    assert best.goal.scatter < 1e-4 * best.goal.value


def test_every_limit_has_its_margin(best: bk.Optimisation) -> None:
    low, high = best.limits
    assert (low.at_least, high.at_least) == (True, False)
    assert low.margin == low.value - 9
    assert high.margin == 10 - high.value
    assert low.met
    assert high.met
    assert low.unit == "wt%"
    assert low.binds
    assert not high.binds
    assert best.numbers[1].touches == "high"
    assert best.numbers[1].high == 94.0


def test_it_shows_itself(best: bk.Optimisation, tmp_path: Path) -> None:
    text = repr(best)
    assert text.startswith("most make_up.deposition_um_h of nickel-acid: ")
    assert "binds" in text
    assert max(map(len, text.splitlines())) <= 100
    table = best.table()
    assert list(table) == [PH, WARM, RATE, PHOSPHORUS, "make_up.ph", "feasible"]
    inside = table[table["feasible"]]
    assert inside[PHOSPHORUS].between(9, 10).all()
    assert len(inside) == best.attempts.feasible
    # Neighbours of the best, which measure its scatter, are not taken for better ones.
    assert inside[RATE].max() == pytest.approx(best.goal.value, rel=1e-3)
    best.to_csv(tmp_path / "points.csv")
    assert (tmp_path / "points.csv").read_text(encoding="utf-8").startswith("operation.ph,")
    assert len(best.plot(tmp_path / "best.png").axes) == 2
    told = best.to_dict()
    assert told["limits"][0]["binds"] is True
    assert "columns" not in told["attempts"]


def test_results_pickle_copy_and_compare(best: bk.Optimisation, curve: bk.TradeOff) -> None:
    for found in (best, curve):
        again = pickle.loads(pickle.dumps(found))
        assert again == found
        assert again.recipe == found.recipe
        assert copy.deepcopy(found) == found
    assert repr(pickle.loads(pickle.dumps(curve))) == repr(curve)


def test_the_same_seed_gives_the_same_and_another_one_another(best: bk.Optimisation) -> None:
    limits = {PHOSPHORUS: (9, 10)}
    asked: dict[str, Any] = {"most": RATE, "limits": limits, "outputs": ["make_up.ph"], **FEW}
    assert bk.optimise("nickel-acid", VARY, **asked) == best
    assert bk.optimise("nickel-acid", VARY, **asked, seed=1) != best


def test_a_quantity_alone_is_limited_all_along_the_life() -> None:
    recipe = bk.load_recipe("nickel-acid").set("limits.turnovers", 0.5)
    found = bk.optimise(
        recipe, {PH: (4.6, 5.0)}, most="dump.area_m2", limits={"deposition_um_h": (12, 30)}, **FEW
    )
    assert [one.output for one in found.limits] == [
        "least.deposition_um_h",
        "greatest.deposition_um_h",
    ]
    life = bk.simulate_life(found.best_recipe())
    assert found.limits[0].value == life.table()["deposition_um_h"].min()
    assert found.limits[1].value == life.table()["deposition_um_h"].max()
    assert found.first_limit == life.dump.limit


def test_where_no_point_keeps_the_limits() -> None:
    with pytest.warns(bk.BathkinWarning, match=r"where at least 90 is asked"):
        found = bk.optimise("nickel-acid", VARY, least=RATE, limits={RATE: ">= 90"}, **FEW)
    assert not found.feasible
    assert "no point within all limits was found" in repr(found)
    assert "BROKEN" in repr(found)
    assert found.limits[0].margin < 0.0
    with pytest.raises(bk.RecipeError, match="widen the bounds or a limit"):
        found.best_recipe()
    with pytest.warns(bk.BathkinWarning, match="least beyond them"):
        curve = bk.trade_off(
            "nickel-acid", VARY, most=[RATE, PHOSPHORUS], limits={RATE: (90, None)}, count=3, **FEW
        )
    assert not curve.feasible
    assert curve.table().empty
    assert "no point within all limits" in repr(curve)
    assert curve.plot().axes


def test_a_trade_off_is_a_curve(curve: bk.TradeOff, tmp_path: Path) -> None:
    table = curve.table()
    assert list(table) == [PH, WARM, RATE, PHOSPHORUS, "first_limit"]
    assert table[RATE].is_monotonic_decreasing
    assert table[PHOSPHORUS].is_monotonic_increasing
    assert table[RATE].iloc[0] == curve.ends[0].goal.value
    assert table[PHOSPHORUS].iloc[-1] == curve.ends[1].goal.value
    # Nothing that was tried is better in both.
    tried = curve.tried()
    for rate, phosphorus in zip(table[RATE], table[PHOSPHORUS], strict=True):
        assert not ((tried[RATE] > rate) & (tried[PHOSPHORUS] > phosphorus)).any()
    curve.to_csv(tmp_path / "curve.csv")
    assert len(curve.plot(tmp_path / "curve.svg").axes) == 3
    assert repr(curve).startswith("trade-off of nickel-acid: most make_up.deposition_um_h ")
    assert max(map(len, repr(curve).splitlines())) <= 100
    assert curve.ends[0].recipe == curve.recipe


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ({"vary": {}}, "optimise: vary = .none.: expected at least one"),
        ({"vary": {"operation.phh": (4, 5)}}, "no number is called 'operation.phh'"),
        ({"vary": {PH: (5, 4)}}, "operation.ph = 5 to 4: expected a low and a high bound"),
        ({"vary": {PH: 4.8}}, r"operation.ph = 4.8: expected its bounds, \(low, high\)"),
        ({"vary": {PH: (4, 15)}}, "operation.ph = 15: expected"),
        ({"vary": {"cost.currency": (1, 2)}}, "a number that is continuous: this is a word"),
        ({"most": "dump.costs"}, "no output is called 'dump.costs'"),
        ({"most": "dump.limit"}, "dump.limit: expected a number: this is a word"),
        ({"most": None}, "expected one goal"),
        ({"least": RATE}, "expected one goal; bathkin.trade_off takes two"),
        ({"most": 7}, "most = 7: expected the name of an output"),
        ({"limits": {"speed": (1, 2)}}, "no output is called 'least.speed'"),
        ({"limits": {RATE: 12}}, r"= 12: expected \(at least, at most\)"),
        ({"limits": {RATE: "about 12"}}, r"expected \(at least, at most\)"),
        ({"limits": {RATE: (None, None)}}, "none to none: expected a finite least value"),
        ({"limits": {RATE: (3, 2)}}, "3 to 2: expected a finite least value"),
        ({"limits": {RATE: (float("nan"), 2)}}, "expected a number"),
        ({"points": 10}, "points = 10: expected a power of two"),
        ({"starts": 0}, "starts = 0: expected a whole number"),
        ({"outputs": RATE}, "expected a list of names"),
    ],
)
def test_refusals_say_what_was_expected(arguments: dict[str, Any], told: str) -> None:
    asked: dict[str, Any] = {"vary": {PH: (4.4, 5.2)}, "most": RATE, **FEW, **arguments}
    with pytest.raises(bk.BathkinError, match=told):
        bk.optimise("nickel-acid", asked.pop("vary"), **asked)


def test_two_goals_are_another_call() -> None:
    for goals in ({"most": RATE}, {"most": [RATE, RATE]}, {}):
        with pytest.raises(bk.RecipeError, match="expected two goals, each another output"):
            bk.trade_off("nickel-acid", VARY, **goals)


def test_ctrl_c_gives_the_best_until_then() -> None:
    done: list[float] = []

    def interrupt(count: float) -> None:
        done.append(count)
        if count > 20 and len(done) > 1 and not sent:
            sent.append(count)
            threading.Thread(target=os.kill, args=(os.getpid(), signal.SIGINT)).start()

    sent: list[float] = []
    with pytest.warns(bk.BathkinWarning, match="the best until then"):
        found = bk.optimise(
            "nickel-acid",
            VARY,
            most="dump.area_m2",
            points=1024,
            progress=interrupt,
        )
    assert not found.complete
    assert 20 < found.attempts.points < 1024
    assert found.feasible
    assert "ended before it was done" in repr(found)


def test_what_a_progress_raises_comes_out() -> None:
    class EnoughError(Exception):
        pass

    def enough(_: float) -> None:
        raise EnoughError

    with pytest.raises(EnoughError):
        bk.optimise("nickel-acid", VARY, most="dump.area_m2", points=256, progress=enough)
