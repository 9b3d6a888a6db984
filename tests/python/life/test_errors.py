"""Lives that cannot be computed: their errors have the numbers as attributes."""

from __future__ import annotations

import math
import pickle

import bathkin as bk
import pytest


def test_an_equilibrium_that_does_not_converge_tells_of_what(recipe: bk.Recipe) -> None:
    mistake = {
        "event.mistake.at_turnovers": 0.1,
        "event.mistake.solution.sodium_hydroxide_g_l": 700.0,
        "event.mistake.dose_ml_l": 3000.0,
    }
    with pytest.raises(bk.ConvergenceError, match="charge balance") as caught:
        bk.simulate_life(recipe.set(mistake))
    error = pickle.loads(pickle.dumps(caught.value))
    assert error.time_h > 0.0
    assert 0.0 < error.residual < math.inf
    assert error.worst == "the charge balance, most of it sodium"
    assert 52.5 < error.total_mol_l < 53.5
    assert 0.0 < error.free_mol_l <= error.total_mol_l * (1 + 1e-9)


def test_an_integration_that_does_not_converge_tells_what_held_it(recipe: bk.Recipe) -> None:
    tight = recipe.set({"solver.max_steps": 10, "solver.relative_tolerance": 1e-12})
    with pytest.raises(bk.ConvergenceError, match="more than 10 steps needed") as caught:
        bk.simulate_life(tight)
    error = caught.value
    assert error.time_h > 0.0
    assert 0.0 < error.residual <= 1.0
    assert error.worst
    assert error.free_mol_l is None
