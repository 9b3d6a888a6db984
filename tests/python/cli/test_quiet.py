"""What is said beside a result: warnings, hidden columns, decimals, peaks, rows without a rate."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import numpy as np
import pytest
from bathkin.core import layout
from support import Outcome

Command = Callable[..., Outcome]
HOT = ("--set", "operation.temperature_c=97")


@pytest.mark.parametrize(
    "command", [("life", "nickel-acid"), ("rate", "nickel-acid"), ("plate", "nickel-acid")]
)
def test_quiet_keeps_what_this_input_is_doubted_for(
    bathkin: Command, command: tuple[str, ...]
) -> None:
    outcome = bathkin(*command, *HOT, "--quiet")
    assert outcome.code == 0
    warnings = outcome.err.splitlines()
    assert all(line.startswith("bathkin: warning: ") for line in warnings)
    assert any("97 is outside 75 to 95" in line for line in warnings)
    for standing in ("illustrative", "invented for the demo", "Estimate for planning"):
        assert standing not in outcome.err + outcome.out
    assert "outside 75 to 95" not in outcome.out


def test_a_price_that_is_missing_is_no_standing_remark() -> None:
    from bathkin.core.flags import Flag, is_standing

    assert is_standing(Flag("cost", "14 prices were invented for the demo"))
    assert is_standing(Flag("recipe", "illustrative"))
    assert not is_standing(Flag("cost.reagent_per_kg.borax", "borax has no price"))


def test_quiet_says_what_it_does(bathkin: Command) -> None:
    said = " ".join(bathkin("life", "--help").out.split())
    assert (
        "Leave out cautions, progress and standing remarks; warnings go to standard error." in said
    )


def test_quiet_assumptions_of_a_sheet_go_to_standard_error(
    bathkin: Command, tmp_path: Path
) -> None:
    sheet = tmp_path / "t.csv"
    sheet.write_text("temperature_f;rate\n158;6,1\n176;10,6\n194;19\n")
    loud, quiet = (bathkin("arrhenius", str(sheet), *more) for more in ((), ("--quiet",)))
    assert "decimal comma in the whole file" in loud.out
    assert loud.err == ""
    assert "decimal comma in the whole file" in quiet.err
    assert "assumed" not in quiet.out


def test_a_table_says_which_columns_it_hides() -> None:
    wide = [layout.Column(f"column\n{at}", ["x" * 18]) for at in range(6)]
    text = layout.render(wide)
    assert text.splitlines()[-1] == "not shown, for 100 characters a line: column 5"
    assert max(map(len, text.splitlines())) <= 100
    assert "not shown" not in layout.render(wide[:5])


@pytest.mark.parametrize(
    ("values", "digits", "shown"),
    [
        # What is far below the largest keeps its digits.
        ([11.98, 16.76, 10267.86], 4, ["12.0", "16.8", "10267.9"]),
        ([0.216, 0.00213], 3, ["0.2160", "0.0021"]),
        ([9291.0, 0.0132], 4, ["9291", "0.0132"]),
        ([0.0, 7.93, 59.04], 3, ["0.0", "7.9", "59.0"]),
        ([4.0, 400.0], 3, ["4", "400"]),
    ],
)
def test_decimals_do_not_follow_the_largest_row(
    values: list[float], digits: int, shown: list[str]
) -> None:
    assert layout.aligned(values, digits) == shown


def test_a_sweep_names_its_peak(bathkin: Command) -> None:
    def told(*vary: str) -> str:
        return " ".join(bathkin("rate", *vary).out.split())

    text = told("nickel-acid", "--vary", "operation.ph=4.4,4.8,5.2")
    fastest = bk.load_recipe("nickel-acid").set("operation.ph", 5.2).make_up().rate()
    rate = layout.number(fastest.deposition_um_h)
    assert f"highest rate: {rate} um/h at operation.ph = 5.2; at the end of what" in text
    inside = told("nickel-alkaline", "--vary", "operation.ph=8:10:5")
    assert "um/h at operation.ph = 9 " in inside
    assert "at the end of what" not in inside
    two = told(
        *("nickel-alkaline", "--vary", "operation.ph=8:10:5"),
        *("--vary", "operation.temperature_c=80,85"),
    )
    assert "at operation.ph = 9, operation.temperature_c = 85; at the end of what" in two
    assert "highest rate" not in told("nickel-acid", "--vary", "tank.volume_l=100,200")


def test_a_ph_that_is_not_reached_is_a_row(bathkin: Command, tmp_path: Path) -> None:
    vary = ("rate", "nickel-acid", "--vary", "operation.ph=1,4.4,4.8")
    table = tmp_path / "rows.csv"
    outcome = bathkin(*vary, "--json", "--csv", str(table))
    assert outcome.code == 0
    document = outcome.document()
    lost, first, _ = document["points"]
    assert lost["operation.ph"] == 1.0
    assert lost["deposition_um_h"] is None
    assert lost["failure_code"] == "ph-not-reachable"
    assert "cannot reach pH 1.00" in lost["failure"]
    assert set(lost) == set(first)
    assert first["failure"] is None
    assert first["deposition_um_h"] > 10.0
    flag = next(flag for flag in document["flags"] if flag["where"] == "sweep")
    assert flag["what"].startswith("1 of 3 points, first at operation.ph = 1: no rate:")
    assert "cannot reach pH 1.00" in table.read_text()
    text = bathkin(*vary).out
    assert "no rate at operation.ph = 1: " in text
    assert "first to last: pH rises from 4.40 to 4.80" in text
    with pytest.warns(bk.BathkinWarning, match=r"cannot reach pH 1\.00"):
        rows = bk.sweep("nickel-acid", {"operation.ph": [1, 4.4, 4.8]})
    assert np.isnan(rows["deposition_um_h"][0])
    rows.plot(tmp_path / "rows.png")
    assert bathkin(*vary, "--plot", str(tmp_path / "again.png")).code == 0


def test_no_row_at_all_is_a_refusal(bathkin: Command) -> None:
    outcome = bathkin("rate", "nickel-acid", "--vary", "operation.ph=1,1.2")
    assert outcome.code == 2
    assert "cannot reach pH 1.00" in outcome.err
    # A value that no bath can have is a wrong question.
    assert bathkin("rate", "nickel-acid", "--vary", "operation.ph=4.8,19").code == 2


def test_the_rows_of_a_sweep_are_written(bathkin: Command, tmp_path: Path) -> None:
    table = tmp_path / "rows.csv"
    outcome = bathkin(
        "rate", "nickel-acid", "--vary", "operation.ph=4.4:5.2:3", "--csv", str(table)
    )
    assert outcome.code == 0
    assert f"wrote {table}" in outcome.out
    lines = table.read_text().splitlines()
    assert lines[0].startswith("operation.ph,deposition_um_h,")
    assert [line.split(",")[0] for line in lines[1:]] == ["4.4", "4.8", "5.2"]
