"""The built-in recipes against what is published: targets, and that its pages are current."""

from __future__ import annotations

import importlib
import math
from types import ModuleType, SimpleNamespace
from typing import Any

import bathkin as bk
import pytest
from support import ROOT


@pytest.fixture(scope="module")
def validation() -> ModuleType:
    with pytest.MonkeyPatch.context() as patched:
        patched.syspath_prepend(str(ROOT / "docs"))
        importlib.import_module("validation_page")
        return importlib.import_module("validation")


@pytest.fixture(scope="module")
def found(validation: ModuleType) -> list[Any]:
    return list(validation.outcomes())


def of_check(found: list[Any], *checks: str) -> dict[str, list[Any]]:
    """Outcomes of these checks by row."""
    rows: dict[str, list[Any]] = {}
    for one in found:
        if one.row.check in checks:
            rows.setdefault(one.row.id, []).append(one)
    return rows


def test_every_row_says_where_it_is_from(found: list[Any]) -> None:
    for one in found:
        row = one.row
        assert all(str(text).strip() for text in (row.source, row.how_read, row.claim, row.bath))
        assert row.confidence in ("high", "medium", "low")
        assert row.used in ("yes", "no")
        assert row.check == "shown" or one.right is not None
        assert one.trouble in ("", "no maximum inside"), one.trouble


def test_every_published_sign_comes_out_in_some_card(found: list[Any]) -> None:
    """Producer: the trends of published_rates.csv, by a change of 0.1 % at least."""
    trends = of_check(found, "rises", "falls", "peak")
    assert len(trends) >= 25
    wrong = [row for row, some in trends.items() if not any(one.right for one in some)]
    assert wrong == []


def test_handbook_baths_are_met_in_the_middle_and_at_the_corners(found: list[Any]) -> None:
    """Producer: rows 1 and 8 of published_rates.csv: 20 % in the middle, 1.45 at corners."""
    ratios, corners = of_check(found, "ratio"), of_check(found, "corner")
    for row in ("1", "8"):
        (middle,) = ratios[row]
        assert 1 / 1.2 <= middle.against <= 1.2, (row, middle.against)
        (low,), (high,) = corners[f"{row} low"], corners[f"{row} high"]
        assert 1 / 1.45 <= low.against < 1 < high.against <= 1.45, (row, low.against, high.against)
    wrong = [row for row, some in (ratios | corners).items() if not any(one.right for one in some)]
    assert wrong == []


def test_phosphorus_and_surfaces_are_within_their_ranges(found: list[Any]) -> None:
    """Producer: published_rates.csv; P within 1 wt% of the published range."""
    within = of_check(found, "within", "largest")
    alloys = [one for some in within.values() for one in some if "wt_pct" in one.row.quantity]
    assert len(alloys) >= 4
    assert all(one.row.tolerance == 1.0 for one in alloys)
    wrong = [row for row, some in within.items() if not any(one.right for one in some)]
    assert wrong == []


def test_cards_show_the_energies_they_state(found: list[Any]) -> None:
    """Producer: the cards, and the published energies they were made from: 5 kJ/mol."""
    stated = 0
    for name in bk.recipes():
        energy = bk.load_recipe(name).apparent_activation_energy()
        if energy is not None and energy.stated_kj_mol is not None:
            stated += 1
            assert energy.as_run_kj_mol == pytest.approx(energy.stated_kj_mol, abs=5.0), name
    assert stated >= 9
    for some in of_check(found, "energy").values():
        assert any(one.right for one in some), some


def test_rows_without_a_target_show_their_ratio(found: list[Any]) -> None:
    shown = of_check(found, "shown")
    assert {"6", "120"} <= set(shown)
    for one in (one for some in shown.values() for one in some):
        assert one.right is None
        assert math.isfinite(one.against), one


def test_the_score_leaves_out_what_was_used(validation: ModuleType, found: list[Any]) -> None:
    fresh, used = (validation.verdicts(found, of) for of in (False, True))
    assert not set(fresh) & set(used)
    assert {"1", "8", "26 rate acetate lactate"} <= set(used)
    assert validation.score(found).startswith(f"Of {len(fresh)} published rows with a target")


@pytest.mark.parametrize(
    ("check", "settings", "against", "right"),
    [
        ("rises", "operation.temperature_c=90", "operation.temperature_c=80", True),
        ("falls", "operation.temperature_c=90", "operation.temperature_c=80", False),
        ("rises", "tank.volume_l=90", "tank.volume_l=80", False),
        ("falls", "tank.volume_l=90", "tank.volume_l=80", False),
        ("corner", "operation.temperature_c=89", "", True),
        ("corner", "operation.temperature_c=75", "", False),
        ("ratio", "", "", True),
        ("ratio", "operation.temperature_c=75", "", False),
        ("within", "", "", True),
        ("within", "operation.temperature_c=75", "", False),
        ("shown", "", "", None),
        ("peak", "operation.temperature_c=80:90:5", "", False),
        ("rises", "operation.ph=19", "", False),
    ],
)
def test_a_judgement_can_go_either_way(
    validation: ModuleType, check: str, settings: str, against: str, right: bool | None
) -> None:
    """Producer: power-law.toml, 16.8 um/h at 88 degC with 65 kJ/mol, by hand."""
    row = SimpleNamespace(check=check, settings=settings, against=against, low=16.0, high=18.0)
    row.quantity, row.tolerance = "deposition_um_h", {"corner": 1.45, "ratio": 0.2}.get(check, 0.5)
    if check in ("rises", "falls"):
        row.tolerance = 0.001
    assert validation.judge(row, str(ROOT / "benches/data/power-law.toml")).right is right


def test_an_unknown_recipe_is_wrong_and_named(validation: ModuleType) -> None:
    row = SimpleNamespace(check="rises", settings="", against="", tolerance=0.1, quantity="ph")
    outcome = validation.judge(row, "nickel-unknown")
    assert outcome.right is False
    assert "nickel-unknown" in outcome.trouble


@pytest.fixture(scope="module")
def left_out(validation: ModuleType) -> list[Any]:
    return list(validation.left_out())


def test_a_handbook_bath_left_out_is_met_all_the_same(left_out: list[Any]) -> None:
    """Producer: nickel_laws.py run without it; 20 % of the published middle."""
    assert [one.row for one in left_out] == ["1", "8"]
    for one in left_out:
        assert abs(one.without_it_um_h / one.wanted_um_h - 1) < 0.2, one
        # It pulled: without it the fit lies farther off.
        assert one.without_it_um_h > one.with_it_um_h > one.wanted_um_h, one


def test_pages_are_current(validation: ModuleType, found: list[Any], left_out: list[Any]) -> None:
    page = importlib.import_module("validation_page").page(found, left_out)
    assert validation.PAGE.read_text(encoding="utf-8") == page, "make validation writes it"
    limits = (ROOT / "docs" / "limits-of-validity.md").read_text(encoding="utf-8")
    assert validation.score(found) in " ".join(limits.split())
