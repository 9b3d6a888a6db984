"""Whole lives by bathkin and by compiled peers, at equal measured error: writes the table in
`benches/README.md`.

The life of the bench, 8 turnovers and some 320 stops, by the Davies equation and by specific
interaction. Errors are those of the clock at the last turnover, each against a run of its own at
a relative tolerance of 1e-12; these references must agree before anything is timed. A peer runs
at the loosest tolerance whose error is no larger than bathkin's times 1.5. Times are processor
time, the shortest of a few rounds that take turns; what numba compiles is compiled before.
"""

import argparse
import datetime
import platform
import sys
import time
from collections.abc import Callable
from pathlib import Path

import driver
from bath_reader import bath_of, bench_recipe
from interacting import interacting
from jitted import Jitted, compiled_ph, compiled_speciation, fresh_memory
from whole_life import compiled_life

README = Path(__file__).resolve().parents[1] / "README.md"
BEGINS, ENDS = "<!-- table.py begins -->", "<!-- table.py ends -->"
TURNOVERS = {"full": 8.0, "quick": 2.0}
ROUNDS = 7
# Where in its width an event is found is chance: errors this much apart are equal.
EQUAL = 1.5
TOLERANCES = (1e-4, 1e-5, 1e-6, 1e-7, 1e-8, 1e-9, 1e-10)
FINEST = 1e-12
EVENT_WIDTH_H = 1e-3 / 3600.0
FINEST_EVENT_WIDTH_H = 1e-6 / 3600.0
ALLOWED_DIFFERENCE = 1e-7
HEADING = ("life", "by", "ms", "ratio", "error of the clock", "right-hand sides")


class Run:
    """A way to live the life: `live` gives the clock and the right-hand sides."""

    def __init__(self, name: str, live: Callable[[], tuple[float, int]], reference: float):
        self.name, self.live, self.seconds = name, live, float("inf")
        clock_h, self.right_hand_sides = live()
        self.error = abs(clock_h / reference - 1.0)

    def again(self):
        start = time.process_time()
        self.live()
        self.seconds = min(self.seconds, time.process_time() - start)


def by_bathkin(recipe) -> Callable[[], tuple[float, int]]:
    recipe.heading()  # resolves the recipe

    def live():
        _, life, _ = recipe.simulate_life()
        return life.verdict.clock_h, life.effort.right_hand_sides

    return live


def by_whole_life(life, relative: float, width_h: float) -> Callable[[], tuple[float, int]]:
    def live():
        clock_h, _, _, right_hand_sides = life(relative, width_h)
        return clock_h, right_hand_sides

    return live


def by_scipy(peer: Jitted, relative: float) -> Callable[[], tuple[float, int]]:
    def live():
        driver.RELATIVE_TOLERANCE, driver.ABSOLUTE_TOLERANCE = relative, relative * 1e-2
        life = driver.Life(peer).live()
        return life.time_h, life.right_hand_sides

    return live


def at_equal_error(name: str, live_at, reference: float, error: float) -> Run:
    """The run at the loosest tolerance that is as exact as bathkin; the tightest where none is."""
    for relative in TOLERANCES:
        run = Run(f"{name}, {relative:g}", live_at(relative), reference)
        if run.error <= EQUAL * error:
            break
    return run


def lives(turnovers: float) -> list[tuple[str, Run]]:
    """Every run, bathkin's first of each activity model.

    Raises:
        SystemExit: A peer does not agree with bathkin.
    """
    bath = bath_of(bench_recipe(turnovers))
    davies = compiled_ph(compiled_speciation(bath), bath.solution.ln_k, bath.solution.slope_a)
    compiled = {
        "Davies": ("davies", compiled_life(bath, davies, lambda: fresh_memory(bath))),
        "specific interaction": ("sit", compiled_life(bath, *interacting(bath))),
    }
    runs = []
    for words, (activity, life) in compiled.items():
        recipe = bench_recipe(turnovers, activity)
        finest = recipe.with_value("solver.relative_tolerance", FINEST, "the bench")
        finest = finest.with_value("solver.event_time_tolerance_s", 1e-6, "the bench")
        ours, _ = by_bathkin(finest)()
        theirs, _ = by_whole_life(life, FINEST, FINEST_EVENT_WIDTH_H)()
        if abs(theirs / ours - 1.0) > ALLOWED_DIFFERENCE:
            raise SystemExit(f"{words}: the peer ends at {theirs:.9f} h, bathkin at {ours:.9f} h")
        bathkin = Run("bathkin", by_bathkin(recipe), ours)
        whole = at_equal_error(
            "whole life by numba",
            lambda relative, life=life: by_whole_life(life, relative, EVENT_WIDTH_H),
            theirs,
            bathkin.error,
        )
        runs += [(words, bathkin), (words, whole)]
        if activity == "davies":
            peer = Jitted(bath)
            scipy = at_equal_error(
                "SciPy LSODA with numba",
                lambda relative, peer=peer: by_scipy(peer, relative),
                theirs,
                bathkin.error,
            )
            runs.append((words, scipy))
    return runs


def written(runs: list[tuple[str, Run]]) -> str:
    """The runs as a table."""
    bathkin = {words: run for words, run in runs if run.name == "bathkin"}
    rows = [HEADING, tuple("---" for _ in HEADING)]
    rows += [
        (
            words,
            run.name,
            f"{run.seconds * 1e3:.1f}",
            f"{run.seconds / bathkin[words].seconds:.2f}",
            f"{run.error:.0e}",
            f"{run.right_hand_sides}",
        )
        for words, run in runs
    ]
    table = "\n".join(f"| {' | '.join(row)} |" for row in rows)
    today = datetime.date.today().isoformat()
    made = f"Made by `benches/peers/table.py` on {today}, {platform.machine()}"
    return f"{made}, Python {platform.python_version()}.\n\n{table}"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="two turnovers, nothing written")
    quick = parser.parse_args().quick
    runs = lives(TURNOVERS["quick" if quick else "full"])
    for _ in range(ROUNDS):
        for _, run in runs:
            run.again()
    table = written(runs)
    print(table)
    if not quick:
        before, rest = README.read_text("utf-8").split(BEGINS)
        after = rest.split(ENDS)[1]
        README.write_text(f"{before}{BEGINS}\n{table}\n{ENDS}{after}", "utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
