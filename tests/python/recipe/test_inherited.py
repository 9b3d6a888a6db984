"""What a change leaves standing, what no law contains, and what leaves its make-up: the face."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import bathkin as bk
import pytest
from bathkin.core.flags import Flag, merge

Command = Callable[..., Any]
HEPTAHYDRATE = "make_up.nickel_sulfate_heptahydrate_g_l"
HEXAHYDRATE = "make_up.nickel_sulfate_hexahydrate_g_l"
THIOUREA = "make_up.thiourea_mg_l"
NO_LAW = "no law of this recipe contains thiourea"


def test_a_second_salt_is_said_and_off_takes_the_first_out(bathkin: Command) -> None:
    both = bathkin("rate", "nickel-acid", "--set", f"{HEPTAHYDRATE}=28.72")
    assert f"is added to {HEXAHYDRATE} = 26.87" in " ".join(both.out.split())
    off = bathkin(
        "show", "nickel-acid", "--set", f"{HEPTAHYDRATE}=28.72", "--set", f"{HEXAHYDRATE}=off"
    )
    assert (off.code, "is added to" in off.out) == (0, False)
    with pytest.warns(bk.BathkinWarning, match="is added to"):
        bk.load_recipe("nickel-acid").set(HEPTAHYDRATE, 28.72).make_up()
    swapped = bk.load_recipe("nickel-acid").set({HEPTAHYDRATE: 28.72, HEXAHYDRATE: "off"})
    assert "off" in repr(swapped)
    assert swapped.make_up().totals()["nickel"] == pytest.approx(28.72 / 280.86, rel=1e-3)
    wrong = bathkin("rate", "nickel-acid", "--set", "tank.volume_l=off")
    assert (wrong.code, "cannot do without" in wrong.err) == (2, True)


def test_two_reagents(bathkin: Command) -> None:
    one = bathkin("rate", "nickel-acid", "--set", "operation.ph_reagent=ammonia")
    assert 'operation.ph_reagent = "ammonia" (--set) was changed alone' in " ".join(one.out.split())


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_what_no_law_contains_is_in_table_json_picture_and_life(
    bathkin: Command, recipe: bk.Recipe
) -> None:
    varied = ["rate", "nickel-acid", "--vary", f"{THIOUREA}=0,2,5"]
    table = " ".join(bathkin(*varied).out.split())
    assert NO_LAW in table
    assert "first to last: the rate stays as it is" in table
    assert f"{THIOUREA} from 0 to 5 changes nothing here" in table
    flags = json.loads(bathkin(*varied, "--json").out)["flags"]
    assert {"laws.thiourea", f"sweep.{THIOUREA}"} <= {flag["where"] for flag in flags}
    with_trace = bk.sweep(recipe, {THIOUREA: [0, 2, 5]})
    assert NO_LAW in " ".join(with_trace.plot().get_supxlabel().split())
    life = recipe.set({THIOUREA: 2, "limits.turnovers": 0.3}).simulate_life()
    assert any(flag.what.startswith(NO_LAW) for flag in life.flags)
    assert NO_LAW in " ".join(life.plot().get_supxlabel().split())
    text = bathkin("life", "nickel-acid", "--set", f"{THIOUREA}=2", "--set", "limits.turnovers=0.3")
    assert NO_LAW in " ".join(text.out.split())


def test_what_no_law_contains_is_warned_of() -> None:
    # The liquid is what it is; the word is for whoever asks for a rate.
    bath = bk.load_recipe("nickel-acid").set("make_up.succinic_acid_g_l", 5).make_up()
    with pytest.warns(bk.BathkinWarning, match="no law of this recipe contains succinate"):
        bath.rate()


@pytest.mark.filterwarnings("ignore::bathkin.BathkinWarning")
def test_what_leaves_its_make_up_has_a_word_and_a_column(
    bathkin: Command, recipe: bk.Recipe
) -> None:
    assert recipe.roles == {"acetate": ["buffer"], "lactate": ["complexant"]}
    setting = ["--set", "tank.bleed_per_turnover=0.1", "--set", "limits.turnovers=4"]
    outcome = bathkin("life", "nickel-acid", *setting)
    assert "lactate (complexant) leaves 80 to 120 % of its make-up" in " ".join(outcome.out.split())

    def headings(text: str) -> str:
        return text.partition("\n")[2].split("---")[0]

    assert "lactate" in headings(outcome.out)
    assert " acetate" in headings(outcome.out)
    still = bathkin("life", "nickel-acid", "--set", "limits.turnovers=1", "--quiet").out
    assert "lactate" not in headings(still)
    compared = bathkin("compare", "nickel-acid", "--strategy", "bleed:tank.bleed_per_turnover=0.1")
    assert "bleed: lactate (complexant) leaves" in " ".join(compared.out.split())
    plan = bathkin("plan", "nickel-acid", "--now", "lactate_mol_l=0.15")
    assert "lactate (complexant) leaves 80 to 120 %" in " ".join(plan.out.split())


def test_substrates_say_what_they_are_made_of(bathkin: Command, recipe: bk.Recipe) -> None:
    found = {one.name: one.material for one in recipe.substrates()}
    assert (found["aluminium_zincated"], found["steel"]) == ("aluminium", "steel")
    assert "aluminium, whose caps bind it" in bathkin("substrates", "nickel-acid").out
    cap = ["--set", "limits.substrate.aluminium.turnovers=3"]
    of = ["--set", "work.substrate=aluminium_zincated"]
    assert "metal turnovers on aluminium at 3" in bathkin("life", "nickel-acid", *cap, *of).out
    boron = bathkin("rate", "nickel-boron", *cap)
    assert "is aluminium: this cap binds nothing" in " ".join(boron.out.split())


def test_two_doubts_about_one_place_are_two() -> None:
    points = [[Flag("a", "1 is low"), Flag("a", "twice 1")], [Flag("a", "2 is low")]]
    assert merge(points, ["x", "y"]) == [
        Flag("a", "2 of 2 points, first at x: 1 is low"),
        Flag("a", "1 of 2 points, first at x: twice 1"),
    ]
