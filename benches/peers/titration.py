"""A titration twice: by bathkin and by PHREEQC through phreeqpython, the same constants.

An acetate and phosphate solution without nickel, at 25 degC, takes sodium hydroxide step by step.
PHREEQC has a database written from the constants of bathkin, Davies on both sides, so that the pH
must agree. Timed is a state, from one addition to the next pH:

- bathkin, `Bath.titration`: all states in one call;
- phreeqpython, `Solution.add` and `Solution.pH`: as its users do it;
- PHREEQC, one input with all additions: the engine without the calls.

The traces of nickel and hypophosphite that a recipe asks for stay with bathkin, which carries their
species along. The rounds take turns and the fastest of each counts; the ratios are what counts.
"""

import argparse
import sys
import time
import warnings
from collections.abc import Callable
from pathlib import Path

import bathkin as bk
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "tests" / "python"))

from phreeqc_program import MASTERS, VOLUMES, WATER_KG_L, database_of, phreeqpython

ROUNDS = 5
STATES = {"full": 500, "quick": 50}
BASE_G_L = 10.0
BASE_G_MOL = 39.997
ALLOWED_PH = 0.01
SOLUTION = {
    "operation.temperature_c": 25.0,
    # Sets out in the acid, so that the base runs through every step of both acids.
    "operation.ph": 2.5,
    "solution.activity": "davies",
    "solution.davies_held_above_mol_l": 100.0,
    "deposit.density_g_cm3": 8.0,
    "make_up.nickel_chloride_hexahydrate_g_l": 1e-9,
    "make_up.sodium_hypophosphite_monohydrate_g_l": 1e-9,
    "make_up.sodium_acetate_trihydrate_g_l": 8.0,
    "make_up.potassium_dihydrogen_phosphate_g_l": 8.0,
    # Per litre and per kilogram of water then differ by one factor.
    **{f"volumes.{name}.a_cm3_mol": 0.0 for name in VOLUMES},
    **{f"volumes.{name}.b_cm3_kg05_mol15": 0.0 for name in VOLUMES},
}


def main() -> int:
    parser = argparse.ArgumentParser(description="bathkin against PHREEQC, a titration")
    parser.add_argument("--quick", action="store_true", help="50 states instead of 500")
    states = STATES["quick" if parser.parse_args().quick else "full"]
    warnings.simplefilter("ignore", bk.BathkinWarning)
    bath = bk.load_recipe("nickel-textbook").set(SOLUTION).make_up()
    grams = np.linspace(0.0, BASE_G_L, states)
    ours = {"bathkin": by_bathkin(bath, grams)}
    theirs = {
        "phreeqpython": by_phreeqpython(bath, grams),
        "PHREEQC, one input": by_phreeqc(bath, grams),
    }
    answers, seconds = timed({**ours, **theirs})
    print(f"{states} states, {BASE_G_L:g} g/L sodium hydroxide\n")
    print(f"{'':20}{'us per state':>14}{'ratio':>8}{'largest difference in pH':>28}")
    good = True
    for name, ph in answers.items():
        off = float(np.max(np.abs(ph - answers["bathkin"])))
        good &= off <= ALLOWED_PH
        ratio = seconds[name] / seconds["bathkin"]
        print(f"{name:20}{seconds[name] / states * 1e6:14.1f}{ratio:8.1f}{off:28.1e}")
    first, last = answers["bathkin"][[0, -1]]
    print(f"\npH {first:.2f} to {last:.2f}: {'agree' if good else 'DISAGREE'}")
    return 0 if good else 1


def by_bathkin(bath: bk.Bath, grams: np.ndarray) -> Callable[[], np.ndarray]:
    """pH after every addition; each round starts from a bath not yet titrated."""
    return lambda: bath.titration("sodium_hydroxide", amounts_g_l=grams).table()["ph"].to_numpy()


def totals_mol_kg(bath: bk.Bath) -> dict[str, float]:
    """Totals without the traces."""
    return {name: mol / WATER_KG_L for name, mol in bath.totals().items() if mol > 1e-8}


def engine(bath: bk.Bath) -> phreeqpython.PhreeqPython:
    """PHREEQC with the constants of the bath."""
    program = phreeqpython.PhreeqPython(database="phreeqc.dat")
    program.ip.load_database_string(database_of(bath.recipe))
    return program


def by_phreeqpython(bath: bk.Bath, grams: np.ndarray) -> Callable[[], np.ndarray]:
    program = engine(bath)
    step_mmol = float(grams[1] - grams[0]) / BASE_G_MOL / WATER_KG_L * 1e3
    totals = {MASTERS[name][0]: total for name, total in totals_mol_kg(bath).items()}

    def run() -> np.ndarray:
        head = {"units": "mol/kgw", "temp": 25, "pH": "7 charge"}
        solution = program.add_solution({**head, **totals})
        ph = [solution.pH]
        for _ in grams[1:]:
            ph.append(solution.add("NaOH", step_mmol).pH)
        solution.forget()
        return np.array(ph)

    return run


def by_phreeqc(bath: bk.Bath, grams: np.ndarray) -> Callable[[], np.ndarray]:
    program = engine(bath)
    totals = "\n".join(f"{MASTERS[n][0]} {total!r}" for n, total in totals_mol_kg(bath).items())
    mol_kg = float(grams[-1]) / BASE_G_MOL / WATER_KG_L
    steps = f"{mol_kg!r} moles in {len(grams) - 1} steps"
    text = (
        "SELECTED_OUTPUT 1\n-reset false\n-high_precision true\n-pH true\n"
        f"SOLUTION 1\nunits mol/kgw\ntemp 25\npH 7 charge\n{totals}\n"
        f"INCREMENTAL_REACTIONS true\nREACTION 1\nNaOH 1\n{steps}\nEND\n"
    )

    def run() -> np.ndarray:
        program.ip.run_string(text)
        rows = program.ip.get_selected_output_array()[1:]
        return np.array([row[0] for row in rows])

    return run


def timed(
    runs: dict[str, Callable[[], np.ndarray]],
) -> tuple[dict[str, np.ndarray], dict[str, float]]:
    """Answers, and the shortest time of each."""
    answers = {name: run() for name, run in runs.items()}
    seconds = dict.fromkeys(runs, float("inf"))
    for _ in range(ROUNDS):
        for name, run in runs.items():
            start = time.perf_counter()
            run()
            seconds[name] = min(seconds[name], time.perf_counter() - start)
    return answers, seconds


if __name__ == "__main__":
    sys.exit(main())
