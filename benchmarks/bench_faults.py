"""A hundred seeded faults of link and controller: each ends as promised.

`python -m benchmarks.bench_faults` prints a row for each kind; one that does not makes the exit code 1.
"""

from __future__ import annotations

from tests.bench.made import plan_of
from tests.bench.wrong import KINDS, held

SEEDS = range(1, 11)  # of each of the ten kinds


def main() -> int:
    """The table, in the form of docs/bench.md."""
    plan, bad = plan_of("small"), 0
    print("| fault | sessions | as promised |\n|---|---|---|")
    for kind in KINDS:
        seen = [(seed, held(plan, kind, seed)) for seed in SEEDS]
        wrong = [(seed, one) for seed, one in seen if not one.as_promised]
        print(f"| {kind} | {len(seen)} | {len(seen) - len(wrong)} |")
        for seed, one in wrong:
            print(f"seed {seed}: {one.ended.why}, {one.judged.conforms}")
        bad += len(wrong)
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main())
