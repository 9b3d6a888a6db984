"""Widths of what is not known, and which numbers make them."""

from __future__ import annotations

import bathkin as bk
import numpy as np
import pytest

FREE, RATE = "make_up.free_metal_mol_l", "make_up.deposition_um_h"


@pytest.fixture(scope="module")
def found(recipe: bk.Recipe) -> bk.Ensemble:
    return bk.ensemble(recipe, recipe.widths(), [FREE, RATE], members=512, sampling="sobol")


def test_widths_are_those_of_the_constants(recipe: bk.Recipe) -> None:
    widths = recipe.widths()
    for one in recipe.constants():
        constant = one.constant
        width = widths.get(f"species.{one.name}.log_k_25c")
        if one.name == "hydroxide":
            assert width is None
            continue
        assert width == ("normal", constant.log_k_25c, constant.log_k_uncertainty)
    assert widths["deposition.activation_energy_kj_mol"] == ("prior",)
    assert not any(path.startswith("solids.") for path in widths)
    solid = recipe.widths(solids=True)["solids.nickel_phosphite.log_k_25c"]
    assert solid[2] == 0.25


def test_the_width_of_a_constant_of_ones_own_counts(recipe: bk.Recipe) -> None:
    path = "species.nickel_acetate_1"
    wider = recipe.set(f"{path}.log_k_uncertainty", 0.4)
    assert wider.widths()[f"{path}.log_k_25c"][2] == 0.4


def test_the_strongest_complex_known_to_half_a_power_drives_the_free_metal(
    found: bk.Ensemble,
) -> None:
    drivers = found.drivers(FREE)
    assert drivers.index[0] == "species.nickel_lactate_1.log_k_25c"
    assert drivers["rank_correlation"].iloc[0] < -0.5
    assert (drivers["share"].diff().dropna() <= 0.0).all()
    # Known to 0.5 in log K, of which the metal goes into two complexes.
    assert 0.3 < np.log(found.columns()[FREE]).std() < 1.0


def test_shares_of_narrow_widths_are_those_of_the_slopes(recipe: bk.Recipe) -> None:
    """ln of the free metal is linear in constants that hardly move: slopes by differences."""
    values = {one.name: one.constant.log_k_25c for one in recipe.constants()}
    names = ("nickel_lactate_1", "nickel_lactate_2", "nickel_sulfate_1")
    paths = {f"species.{name}.log_k_25c": values[name] for name in names}
    draws = {path: ("normal", value, 0.02) for path, value in paths.items()}
    found = bk.ensemble(recipe, draws, [FREE], members=1024, sampling="sobol")

    def effect(path: str, value: float) -> float:
        ends = [recipe.set(path, value + by).make_up().rate() for by in (-0.02, 0.02)]
        return float(np.log(ends[1].free_metal_mol_l / ends[0].free_metal_mol_l)) / 2.0

    effects = {path: effect(path, value) for path, value in paths.items()}
    width = sum(one**2 for one in effects.values()) ** 0.5
    assert np.log(found.columns()[FREE]).std() == pytest.approx(width, rel=0.01)
    drivers = found.drivers(FREE)
    for path, one in effects.items():
        # Ranks of a normal pair show a little less than the correlation.
        assert drivers["share"][path] == pytest.approx(one**2 / width**2, abs=0.03)


def test_drivers_of_what_was_not_asked_are_refused(found: bk.Ensemble) -> None:
    with pytest.raises(bk.DataError, match=r"output = dump\.clock_h: expected make_up\."):
        found.drivers("dump.clock_h")
    assert len(found.drivers(RATE, most=3)) == 3
