"""Thousands of plausible plants: what they came to. `python -m benchmarks.plausible 2000 7` (cases, seed).

Not among the floors: it finds faults, it does not measure speed. A case with a fault is printed whole; exit
code 1.
"""

from __future__ import annotations

import sys
import time
from collections import Counter

from hypothesis import HealthCheck, Phase, given, seed, settings
from tests.plant.any_plant import Case, cases
from tests.plant.findings import Findings, explore, faults

from steadfall.plant import fields as f

CASES, SEED = 2000, 1
KEPT_ASIDE = settings(
    deadline=None, database=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck)
)
FLAGS = {
    f.WALL_HOT: "wall above 400 degC",
    f.FILM: "film boiling",
    f.BELOW_TABLE: "below 0.02 bar",
    f.ABOVE_TABLE: "above 60 bar",
    f.SLOW_WATER: "slow water",
    f.UNSOLVED: "outlet law missed",
    f.SUCKED_BACK: "air drawn in",
    f.HELD_BACK: "water held back",
    f.TRANSITION: "transition boiling",
    f.SUBCOOLED: "more than 50 K subcooled",
    f.SLOW_GAS: "slow gas",
}


def survey(count: int, number: int) -> tuple[list[Findings], list[tuple[Case, list[str]]]]:
    """What `count` cases came to, and those with a fault."""
    found: list[Findings] = []
    bad: list[tuple[Case, list[str]]] = []

    @seed(number)
    @settings(KEPT_ASIDE, max_examples=count)
    @given(cases())
    def run(case: Case) -> None:
        one = explore(case)
        found.append(one)
        if faults(one):
            bad.append((case, faults(one)))

    run()
    return found, bad


def tell(found: list[Findings]) -> list[str]:
    """The figures as lines."""
    books = {name: max(one.books[name] for one in found) for name in ("water", "air", "energy")}
    stops = Counter(one.stop for one in found)
    flags = {text: sum(bool(one.flags & bit) for one in found) for bit, text in FLAGS.items()}
    return [
        f"{len(found)} cases, {sum(one.seconds for one in found) / 3600:.1f} h of plant time",
        "books at most " + ", ".join(f"{name} {error:.1e}" for name, error in books.items()),
        f"least mass {min(one.least_mass for one in found):g} kg",
        f"nodes beyond their sources at most {max(-min(one.below, one.above) for one in found):.2g} K",
        (
            "walls beyond their sources at most "
            f"{max(-min(one.wall_below, one.wall_above) for one in found):.2g} K"
        ),
        (
            "gas beyond its adiabatic bound at most "
            f"{max(-min(one.gas_below, one.gas_above) for one in found):.2g} K"
        ),
        f"stopped above 40 bar {stops[f.TOO_HIGH]}, not a number {stops[f.NOT_FINITE]}",
        "noted: " + ", ".join(f"{text} {count}" for text, count in flags.items()),
    ]


def main(arguments: list[str]) -> int:
    """Run and print."""
    count, number = (int(arguments[k]) if len(arguments) > k else (CASES, SEED)[k] for k in range(2))
    start = time.process_time()
    found, bad = survey(count, number)
    print("\n".join(tell(found)))
    print(f"{time.process_time() - start:.0f} s of CPU time")
    for case, what in bad:
        print(f"FAULT {what}\n{case!r}")
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
