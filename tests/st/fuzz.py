"""Many more made-up texts than the suite has time for: `make fuzz`, or `python -m tests.st.fuzz SHARE`.

100,000 texts must be read or refused with a sentence at a place; 10,000 programs of clocks and 5,000 of
choices, loops and blocks must run as the standard says. A share of 0.01 is a hundredth of each. The suite
runs a sample of the same.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from tests.st import test_block_programs as blocks
from tests.st import test_clock_programs as clocks
from tests.st.test_fuzz import attempt, bodies, damaged
from tests.st.typed import HEAD, PROGRAMS

BATCH = 1_000  # examples that one run of hypothesis makes up
TEXTS: dict[str, tuple[st.SearchStrategy[str], int]] = {
    "programs whose types fit": (PROGRAMS, 15_000),
    "programs from the grammar": (bodies().map(lambda body: f"{HEAD}{body}\nEND_PROGRAM"), 25_000),
    "good programs with damage": (damaged(), 30_000),
    "any text": (st.text(max_size=200), 30_000),
}
PROGRAMS_RUN: dict[str, tuple[Any, tuple[st.SearchStrategy[Any], ...], int]] = {
    "programs of clocks": (
        clocks.test_clock_programs_run_as_the_standard_says,
        (clocks.PROGRAMS, clocks.SCANS),
        10_000,
    ),
    "programs of choices, loops and blocks": (
        blocks.test_block_programs_run_as_the_standard_says,
        (blocks.PROGRAMS, blocks.SCANS),
        5_000,
    ),
}


def tried(count: int, test: Callable[..., Any], *strategies: st.SearchStrategy[Any]) -> None:
    """Runs a test on so many examples of its own, in batches, each from a seed of its own: what hypothesis
    keeps of one run grows with it, and makes the next example dearer.
    """
    for number, begin in enumerate(range(0, count, BATCH)):
        many = settings(
            max_examples=min(BATCH, count - begin),
            deadline=None,
            database=None,
            suppress_health_check=list(HealthCheck),
            phases=[Phase.generate, Phase.shrink],
        )
        seed(number)(many(given(*strategies)(test)))()


def attempts(texts: st.SearchStrategy[str], count: int) -> dict[str, int]:
    """How many texts of a kind were read, and how many refused."""
    found = {"read": 0, "refused": 0}

    def one(text: str) -> None:
        found["read" if attempt(text) is not None else "refused"] += 1

    tried(count, one, texts)
    return found


def as_the_standard_says(test: Any, strategies: tuple[st.SearchStrategy[Any], ...], count: int) -> int:
    """How many programs ran as the standard says."""
    inner: Any = vars(test)["hypothesis"].inner_test
    run = [0]

    def one(made: Any, scans: Any) -> None:
        inner(made, scans)
        run[0] += 1

    tried(count, one, *strategies)
    return run[0]


def main(share: float) -> None:
    """Every kind of text, then the programs that are run; what fails is shown as hypothesis shows it."""
    for name, (texts, count) in TEXTS.items():
        found = attempts(texts, max(1, int(count * share)))
        told = f"{found['read']} read, {found['refused']} refused with a sentence"
        sys.stdout.write(f"{name}: {told}\n")
        sys.stdout.flush()
    for name, (test, strategies, count) in PROGRAMS_RUN.items():
        run = as_the_standard_says(test, strategies, max(1, int(count * share)))
        sys.stdout.write(f"{name}: {run} run as the standard says\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 1.0)
