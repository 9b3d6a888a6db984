"""The same life three times: by bathkin, by SciPy with numba, by SciPy with NumPy.

Measured is the wall time from a resolved recipe to the end of the life: make-up, every stretch,
every dose, the table. Reading the recipe and compiling with numba are left out; the compilation is
stated. bathkin does a little more in its time: it checks the balance of every element at each stop.
The rounds of all three take turns and the fastest of each counts, but seconds still belong to the
machine of the day: the ratios are what counts.

The answers must agree. The peers share with bathkin its recipe and its data files, and with each
other the driver and the surface; no line of the simulation is bathkin's.
"""

import argparse
import sys
import time

import numpy as np
from bath_model import Bath
from bath_reader import bath_of, bench_recipe
from driver import METHOD, RELATIVE_TOLERANCE, Life, Peer
from jitted import Jitted
from plain import Plain

ROUNDS = 5
TURNOVERS = {"full": 8.0, "quick": 2.0}
ALLOWED_DIFFERENCE = 1e-4
SHOWN = ("clock_h", "orthophosphite_mol_l", "deposition_um_h", "phosphorus_wt_pct", "ph_25c")


class Outcome:
    """A life in numbers, whoever lived it, with its shortest time."""

    def __init__(self, name: str, run):
        self.name, self.run, self.seconds = name, run, float("inf")

    def again(self):
        start = time.perf_counter()
        life = self.run()
        self.seconds = min(self.seconds, time.perf_counter() - start)
        if isinstance(life, Life):
            self.right_hand_sides, self.stops = life.right_hand_sides, life.stops
            self.table = {key: np.array([row[key] for row in life.rows]) for key in life.rows[0]}
        else:
            columns, result, _ = life
            self.right_hand_sides, self.stops = result.effort.right_hand_sides, result.effort.stops
            self.table = columns.columns()

    def difference(self, other: "Outcome") -> dict[str, np.ndarray]:
        """Relative differences, row by row; absolute where the other has a zero."""
        return {
            key: np.abs(values - other.table[key])
            / np.where(other.table[key] == 0.0, 1.0, np.abs(other.table[key]))
            for key, values in self.table.items()
        }


def main() -> int:
    parser = argparse.ArgumentParser(description="bathkin against plain and compiled peers")
    parser.add_argument("--quick", action="store_true", help="two turnovers instead of eight")
    turnovers = TURNOVERS["quick" if parser.parse_args().quick else "full"]
    recipe = bench_recipe(turnovers)
    bath = bath_of(recipe)
    recipe.heading()  # resolves the recipe

    def by(peer: Peer):
        return lambda: Life(peer).live()

    compiled = Jitted(bath)
    start = time.perf_counter()
    by(compiled)()
    print(f"numba compiled in {time.perf_counter() - start:.1f} s, not counted below")
    print(f"peers: solve_ivp, {METHOD}, relative tolerance {RELATIVE_TOLERANCE:g}")

    bathkin = Outcome("bathkin", recipe.simulate_life)
    peers = [Outcome("SciPy + numba", by(compiled)), Outcome("SciPy + NumPy", by(Plain(bath)))]
    for _ in range(ROUNDS):
        for outcome in (bathkin, *peers):
            outcome.again()

    print_speed(bath, bathkin, peers)
    return 0 if all([print_agreement(peer, bathkin) for peer in peers]) else 1


def print_speed(bath: Bath, bathkin: Outcome, peers: list[Outcome]):
    clock = f"clock h at {bath.turnovers:g} MTO"
    print(f"\n{'':15}{'seconds':>9}{'right-hand sides':>18}{'stops':>7}{clock:>20}{'ratio':>8}")
    for one in (bathkin, *peers):
        print(
            f"{one.name:15}{one.seconds:9.4f}{one.right_hand_sides:18d}{one.stops:7d}"
            f"{one.table['clock_h'][-1]:20.6f}{one.seconds / bathkin.seconds:8.1f}"
        )


def print_agreement(peer: Outcome, bathkin: Outcome) -> bool:
    """Prints the relative differences; false when one is too large."""
    print(f"\n{peer.name} against bathkin, relative differences")
    if len(peer.table["clock_h"]) != len(bathkin.table["clock_h"]):
        print("the tables differ in length")
        return False
    difference = peer.difference(bathkin)
    print("turnovers" + "".join(f"{name:>23}" for name in SHOWN))
    for row, turnovers in enumerate(bathkin.table["turnovers"]):
        print(f"{turnovers:9.2f}" + "".join(f"{difference[name][row]:23.1e}" for name in SHOWN))
    worst = max(difference, key=lambda name: difference[name].max())
    largest = difference[worst].max()
    good = bool(largest <= ALLOWED_DIFFERENCE)
    verdict = "agrees" if good else f"DISAGREES (allowed {ALLOWED_DIFFERENCE:g})"
    print(f"largest of all {len(difference)} columns: {largest:.1e} in {worst}: {verdict}")
    return good


if __name__ == "__main__":
    sys.exit(main())
