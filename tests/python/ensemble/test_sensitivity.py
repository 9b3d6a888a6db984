"""Global sensitivity from Python: parts of a variance, screening, refusals."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import bathkin as bk
import numpy as np
import pytest

PH, WARM, VOLUME = "operation.ph", "operation.temperature_c", "tank.volume_l"
# A wide pH, a narrow temperature, and a volume that no rate knows.
DRAWS = {PH: "uniform(4.6, 5.0)", WARM: "uniform(87, 89)", VOLUME: "uniform(90, 110)"}
RATE = "make_up.deposition_um_h"


@pytest.fixture(scope="module")
def shares() -> bk.GlobalSensitivity:
    return bk.global_sensitivity("nickel-acid", DRAWS, [RATE], points=32, scrambles=8)


def test_indices_part_the_variance(shares: bk.GlobalSensitivity) -> None:
    assert [row.path for row in shares.rows] == [PH, WARM, VOLUME]
    ph, warm, volume = shares.rows
    # Nearly a product of powers in a narrow range: no number acts by another.
    assert ph.first + warm.first == pytest.approx(1.0, abs=0.02)
    assert ph.total == pytest.approx(ph.first, abs=0.02)
    assert volume.total == pytest.approx(0.0, abs=1e-9)
    # d ln rate / d pH and d ln rate / d T by central differences, variances of the uniforms.
    recipe = bk.load_recipe("nickel-acid")

    def slope(path: str, low: float, high: float) -> float:
        ends = [recipe.set(path, at).make_up().rate().deposition_um_h for at in (low, high)]
        return float(np.log(ends[1] / ends[0]))

    squares = [slope(PH, 4.6, 5.0) ** 2, slope(WARM, 87, 89) ** 2]
    assert ph.first == pytest.approx(squares[0] / sum(squares), abs=0.02)
    for row in shares.rows:
        assert row.first_low <= row.first <= row.first_high
        assert row.total_low <= row.total <= row.total_high


def test_screening_finds_what_matters() -> None:
    found = bk.global_sensitivity("nickel-acid", DRAWS, [RATE], method="morris", trajectories=10)
    assert [row.path for row in found.rows] == [PH, WARM, VOLUME]
    ph, _, volume = found.rows
    assert (ph.count, volume.mean_size) == (10, pytest.approx(0.0, abs=1e-9))
    recipe = bk.load_recipe("nickel-acid")
    ends = [recipe.set(PH, at).make_up().rate().deposition_um_h for at in (4.6, 5.0)]
    # From end to end, which the levels are half of at a time.
    assert ph.mean == pytest.approx(ends[1] - ends[0], rel=0.05)
    assert ph.standard_deviation < 0.2 * ph.mean_size


def test_the_same_seed_gives_the_same_and_threads_do_not_matter(
    shares: bk.GlobalSensitivity,
) -> None:
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(2) as pool:
        again = bk.global_sensitivity(
            "nickel-acid", DRAWS, [RATE], points=32, scrambles=8, executor=pool
        )
    assert again.rows == shares.rows


def test_it_shows_itself(shares: bk.GlobalSensitivity, tmp_path: Path) -> None:
    assert "sobol, 1280 members of nickel-acid, seed 0" in repr(shares)
    table = shares.table()
    assert list(table["path"]) == [PH, WARM, VOLUME]
    shares.to_csv(tmp_path / "shares.csv")
    assert (tmp_path / "shares.csv").read_text(encoding="utf-8").startswith("output,path,first,")
    assert len(shares.plot(tmp_path / "shares.png").axes) == 1
    screened = bk.global_sensitivity("nickel-acid", DRAWS, [RATE], method="morris", trajectories=4)
    assert len(screened.plot(tmp_path / "effects.png").axes) == 1
    assert "standard" in repr(screened)


def test_an_output_that_is_the_same_everywhere_is_told() -> None:
    draws = {VOLUME: "uniform(90, 110)"}
    with pytest.warns(bk.BathkinWarning, match="make_up.area_m2: no residual degree of freedom"):
        found = bk.global_sensitivity(
            "nickel-acid", draws, ["make_up.area_m2"], points=4, scrambles=2
        )
    assert (found.outputs, found.rows) == ([], [])


@pytest.mark.parametrize(
    ("draws", "options", "told"),
    [
        ({PH: [4.6, 5.0]}, {}, "expected for each path a distribution such as"),
        ({}, {}, "expected for each path a distribution such as"),
        (DRAWS, {"points": 100}, "points of a scrambling = 100: expected a power of two"),
        (DRAWS, {"scrambles": 1}, "scrambles = 1: expected a whole number, 2 or more"),
        (DRAWS, {"method": "fast"}, "method = fast: expected sobol or morris"),
        (DRAWS, {"method": "morris", "levels": 3}, "levels = 3: expected an even number"),
        (DRAWS, {"level": 1.0}, "level = 1: expected a probability inside 0 and 1"),
        (DRAWS, {"outputs": ["ph"]}, "no output is called 'ph'"),
        (DRAWS, {"points": 2**40}, "whole number, at most"),
    ],
)
def test_refusals(draws: Any, options: dict[str, Any], told: str) -> None:
    with pytest.raises(bk.BathkinError, match=told):
        bk.global_sensitivity("nickel-acid", draws, **options)
