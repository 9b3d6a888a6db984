"""The Arrhenius fit from Python."""

from __future__ import annotations

import pickle

import bathkin as bk
import numpy as np
import pytest
from support import ROOT

KELVIN = [313.0, 319.0, 323.0, 328.0, 333.0]
RATE = [0.00043, 0.00103, 0.0018, 0.00355, 0.00717]


def test_agrees_with_a_straight_line_by_numpy() -> None:
    fit = bk.fit_arrhenius(KELVIN, RATE)
    slope, intercept = np.polyfit(1 / np.array(KELVIN), np.log(RATE), 1)
    assert fit.activation_energy_kj_mol.value == pytest.approx(
        bk.activation_energy_kj_mol(slope), rel=1e-9
    )
    assert fit.ln_a.value == pytest.approx(intercept, rel=1e-9)
    assert fit.degrees_of_freedom == 3


def test_estimates_and_summary() -> None:
    fit = bk.fit_arrhenius(KELVIN, RATE, reference_temperature_k=323.15)
    assert fit.reference_temperature_k == 323.15
    assert [e.path for e in fit.estimates] == [
        "activation_energy_kj_mol",
        "k_ref",
        "ln_k_ref",
        "ln_a",
    ]
    for estimate in fit.estimates:
        low, high = estimate.interval95
        assert low < estimate.value < high
        assert estimate.status == "ok"
    assert fit.k_ref.value == pytest.approx(np.exp(fit.ln_k_ref.value))
    assert "121.5" in fit.summary()
    assert "50.00 degC" in fit.summary()
    assert max(map(len, fit.summary().splitlines())) <= 100
    assert repr(fit) == fit.summary()
    assert pickle.loads(pickle.dumps(fit)) == fit
    assert len(fit.plot().axes[0].lines) == 2


def test_an_outlying_row_and_curvature_are_told() -> None:
    """Producer: statsmodels 0.15.0, `OLS.outlier_test()`, on an invented table."""
    kelvin = np.arange(60.0, 96.0, 5.0) + 273.15
    k = [2.965, 4.007, 5.546, 7.368, 10.09, 13.248, 17.677, 28.455]
    fit = bk.fit_arrhenius(kelvin, k)
    (row,) = fit.outlying_rows
    assert row.row == 8
    assert row.studentised_residual == pytest.approx(16.4345268)
    assert row.p_value == pytest.approx(1.21767794e-4, rel=1e-6)
    assert "row 8 (368.15 K" in fit.summary()
    (remark,) = (one for one in fit.remarks if one.code == "outlier")
    assert str(remark) == remark.text
    assert (remark.values["row"], remark.values["side"]) == (8, "above")
    assert remark.values["deviations"] == row.studentised_residual
    assert fit.curvature_p == pytest.approx(0.3549, rel=1e-3)
    assert "of a quadratic term, p = 0.35" in fit.summary()
    assert bk.fit_arrhenius(kelvin[:7], k[:7]).outlying_rows == []


def test_two_rows_have_no_uncertainty() -> None:
    fit = bk.fit_arrhenius([350, 380], [17, 48])
    assert fit.activation_energy_kj_mol.interval95 is None
    assert "no-degrees-of-freedom" in [one.code for one in fit.remarks]
    assert "two rows" in fit.summary()
    fit.plot()


def test_any_memory_layout() -> None:
    table = np.array([KELVIN, RATE]).T
    fit = bk.fit_arrhenius(table[:, 0], table[:, 1])
    assert fit == bk.fit_arrhenius(KELVIN, RATE)


@pytest.mark.parametrize(
    ("kelvin", "k", "row", "column", "said"),
    [
        ([350, 88], [1, 2], 2, "temperature_k", "is the column in degC"),
        ([350, 360], [1, -2], 2, "k", "above zero"),
        ([350, 360], [1, float("nan")], 2, "k", "a finite number in every row"),
        ([350, 360, 370], [1, 2], None, None, "3 rows"),
        ([350, 350], [1, 2], None, None, "different temperatures"),
        ([[350, 360]], [1, 2], None, "temperature_k", "one column"),
        (["warm", "hot"], [1, 2], None, "temperature_k", "numbers"),
        (350.0, 1.0, None, "temperature_k", "one column"),
    ],
)
def test_bad_data(
    kelvin: list[float], k: list[float], row: int | None, column: str | None, said: str
) -> None:
    with pytest.raises(bk.DataError, match=said) as caught:
        bk.fit_arrhenius(kelvin, k)
    assert caught.value.row == row
    assert caught.value.column == column


def public(name: str) -> tuple[np.ndarray, np.ndarray]:
    """Temperatures and rate constants of a table asked about in public."""
    path = ROOT / "shared" / "reference" / name
    lines = [line for line in path.read_text().splitlines() if not line.startswith("#")]
    table = np.array([[float(cell) for cell in line.split(",")] for line in lines[1:]])
    return table[:, 0], table[:, 1]


def remarks(fit: bk.ArrheniusFit) -> dict[str, str]:
    return {one.code: one.text for one in fit.remarks}


def test_where_errors_decide_both_fits_are_told() -> None:
    # Producer: the figures of the public question, and SciPy's curve_fit in k.
    kelvin, conductivity = public("conductivity_arrhenius.csv")
    fit = bk.fit_arrhenius(kelvin, conductivity)
    assert fit.activation_energy_kj_mol.value == pytest.approx(16.150, abs=5e-4)
    assert fit.activation_energy_kj_mol.standard_error == pytest.approx(0.7314, rel=1e-3)
    assert np.exp(fit.ln_a.value) == pytest.approx(0.656835, rel=1e-4)
    assert fit.direct.activation_energy_kj_mol == pytest.approx(14.2372, rel=1e-5)
    assert np.exp(fit.direct.ln_a) == pytest.approx(0.308093, rel=1e-4)
    assert "14.24" in remarks(fit)["error-model"]
    assert "not Arrhenius over this range" in remarks(fit)["curved"]
    assert abs(fit.curvature_t) == pytest.approx(29, abs=1)
    assert "correlation" in remarks(fit)["compensation"]


def test_the_scatter_tells_relative_from_absolute_errors() -> None:
    # Producer: the case's computed answers: 90.9064 +- 4.2923 in k, 96.4302 +- 0.5442 in ln k.
    fit = bk.fit_arrhenius(*public("arrhenius_unsorted.csv"))
    assert fit.direct.activation_energy_kj_mol == pytest.approx(90.9064, rel=1e-5)
    assert fit.direct.standard_error == pytest.approx(4.2923, rel=1e-3)
    assert fit.direct.aic_absolute_less_relative > 100
    assert "scatter as relative errors do" in remarks(fit)["error-model"]


def test_the_direct_fit_of_the_course_exercise() -> None:
    # Producer: the case's computed answers, 124.3275 +- 1.4488.
    direct = bk.fit_arrhenius(KELVIN, RATE).direct
    assert direct.activation_energy_kj_mol == pytest.approx(124.3275, rel=1e-6)
    assert direct.standard_error == pytest.approx(1.4488, rel=1e-4)
