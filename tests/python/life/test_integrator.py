"""The built-in integrator against SciPy's, on the same right-hand side."""

from __future__ import annotations

import bathkin as bk
import numpy as np
import pytest
from bathkin import _core
from scipy.integrate import solve_ivp

POLICIES = {
    "pumps and pH held": {"replenishment.policy": "continuous", "ph_control.policy": "continuous"},
    "left alone": {"replenishment.metal_trigger_pct": 1.0, "ph_control.policy": "off"},
}


@pytest.mark.parametrize("policies", POLICIES.values(), ids=POLICIES)
@pytest.mark.parametrize("hours", [1, 5])
def test_same_state_as_dop853(recipe: bk.Recipe, policies: dict[str, str], hours: int) -> None:
    balances = _core.TankBalances(recipe.set(policies)._core, 2.0)
    start, seconds = balances.fresh_state(), 3600.0 * hours
    outside = solve_ivp(
        lambda _, state: balances.derivative(state),
        (0.0, seconds),
        start,
        method="DOP853",
        rtol=1e-10,
        atol=1e-12,
    )
    ours = balances.integrate(seconds, 1e-10)
    assert outside.success
    assert np.abs(ours - start).max() > 0.01
    np.testing.assert_allclose(ours, outside.y[:, -1], rtol=1e-7, atol=1e-7)


def test_states_are_checked(recipe: bk.Recipe) -> None:
    balances = _core.TankBalances(recipe._core, 2.0)
    assert balances.scale().shape == balances.fresh_state().shape
    with pytest.raises(ValueError, match="the state has"):
        balances.derivative(np.zeros(3))
