"""Substrates, and the course of a load, as Python and the command line show them."""

from __future__ import annotations

import json
import math
import pickle
import warnings
from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import pandas as pd
import pytest
from support import Outcome

Command = Callable[..., Outcome]


@pytest.fixture(scope="module")
def bath() -> bk.Bath:
    return bk.load_recipe("nickel-acid").make_up()


def test_substrates_are_listed() -> None:
    known = {one.name: one for one in bk.load_recipe("nickel-acid").substrates()}
    assert known["steel"].behaviour == "starts_by_itself"
    assert known["tin"].behaviour == known["lead"].behaviour == "poison"
    assert known["stainless_steel"].behaviour == "needs_strike"
    assert known["plastic"].behaviour == "needs_seeding"
    assert "tin(II)" in known["plastic"].practice
    start = known["copper"].starts[0]
    assert (start.activation, start.range_s) == ("contact", (1.0, 10.0))
    assert {one.family for one in bk.substrates()} == {
        "nickel_hypophosphite",
        "copper_formaldehyde",
    }
    for one in bk.substrates():
        assert one.source
        assert one.kind in {"common-practice", "from-memory"}


def test_a_load_starts_late(bath: bk.Bath, tmp_path: Path) -> None:
    steel = bath.plate(10, 10)
    assert (steel.substrate, steel.activation, steel.induction_s) == ("steel", "none", 0.0)
    load = bath.plate(10, 10, substrate="plastic", activation="palladium")
    assert "plastic after palladium starts late" in load.flags[-1].what
    with pytest.warns(bk.BathkinWarning, match="is covered at the end"):
        bath.plate(0.2, 10, substrate="plastic", activation="palladium")
    assert load == pickle.loads(pickle.dumps(load))
    assert load.surface == "plastic after palladium"
    assert 10 < load.induction_s == pytest.approx(60 * load.induction_min)
    late = load.deposition_start_um_h * load.induction_s / 3600
    assert steel.thickness_um - load.thickness_um == pytest.approx(late, rel=1e-2)
    table = load.table()
    assert list(table) == ["minutes", "thickness_um", "coverage", "deposition_um_h", "metal_g_l"]
    assert table.coverage.between(0, 1).all()
    assert table.coverage.is_monotonic_increasing
    assert table.thickness_um.iloc[-1] == pytest.approx(load.thickness_um, rel=1e-7)
    load.to_csv(tmp_path / "load.csv")
    assert len(pd.read_csv(tmp_path / "load.csv")) == len(table)
    for one, panels in ((steel, 1), (load, 3)):
        figure = one.plot(tmp_path / "load.png")
        assert len(figure.axes) == panels
    assert (tmp_path / "load.png").stat().st_size > 10_000


def test_a_surface_that_never_starts() -> None:
    dead = bk.load_recipe("nickel-acid").set("deposition.rate_mol_m2_s", 0.0)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", bk.BathkinWarning)
        load = dead.make_up().plate(10, 10, substrate="plastic", activation="palladium")
    assert load.induction_s == math.inf
    assert load.thickness_um == 0.0
    load.plot()


def test_refusals_name_what_helps(bath: bk.Bath) -> None:
    with pytest.raises(bk.RecipeError, match=r"thin nickel strike.*by themselves: steel, nickel"):
        bath.plate(10, 10, substrate="tin")
    with pytest.raises(bk.UnknownNameError, match="did you mean copper") as caught:
        bath.plate(10, 10, substrate="coper")
    assert "steel" in caught.value.valid
    with pytest.raises(bk.UnknownNameError, match="activation is called 'kick'"):
        bath.plate(10, 10, substrate="copper", activation="kick")


def test_commands(bathkin: Command, tmp_path: Path) -> None:
    copper = ["plate", "nickel-acid", "--substrate", "copper", "--activation", "contact"]
    document = json.loads(bathkin(*copper, "--json").out)
    assert (document["substrate"], document["activation"]) == ("copper", "contact")
    assert 0 < document["induction_min"] * 60 < 10
    assert document["table"]["thickness_um"][-1] == pytest.approx(
        document["thickness_um"], rel=1e-7
    )
    picture, table = tmp_path / "load.png", tmp_path / "load.csv"
    text = bathkin(*copper, "--plot", str(picture), "--csv", str(table)).out
    assert "copper after contact" in text
    assert "starts after" in text
    assert picture.exists()
    assert table.exists()
    refused = bathkin("plate", "nickel-acid", "--substrate", "lead")
    assert refused.code == 2
    assert "nickel_strike" in refused.err
    listed = json.loads(bathkin("substrates", "nickel-acid", "--json").out)
    assert {"name", "behaviour", "practice", "caution", "starts", "source", "kind"} <= set(
        listed["substrates"][0]
    )
    everything = bathkin("substrates").out
    assert "copper formaldehyde baths" in everything
    assert "orders of magnitude" in everything
    chosen = ["--set", "work.substrate=copper", "--set", "work.activation=contact"]
    assert "copper after contact" in bathkin("plate", "nickel-acid", *chosen).out
    assert bathkin("life", "nickel-acid", *chosen[:2]).code == 2
