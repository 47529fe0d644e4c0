"""Many more made-up texts than the suite has time for: `make fuzz`, or `python -m tests.st.fuzz SHARE`.

100,000 texts must be read or refused with a sentence at a place; 10,000 clock programs must run as the
standard says. A share of 0.01 is a hundredth of each. The suite runs a sample of the same.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import Any

from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st

from tests.st.test_clock_programs import PROGRAMS as CLOCK_PROGRAMS
from tests.st.test_clock_programs import SCANS, test_clock_programs_run_as_the_standard_says
from tests.st.test_fuzz import attempt, bodies, damaged
from tests.st.typed import HEAD, PROGRAMS

TEXTS: dict[str, tuple[st.SearchStrategy[str], int]] = {
    "programs whose types fit": (PROGRAMS, 15_000),
    "programs from the grammar": (bodies().map(lambda body: f"{HEAD}{body}\nEND_PROGRAM"), 25_000),
    "good programs with damage": (damaged(), 30_000),
    "any text": (st.text(max_size=200), 30_000),
}
CLOCKS = 10_000


def tried(count: int, test: Callable[..., Any], *strategies: st.SearchStrategy[Any]) -> None:
    """Runs a test on so many examples of its own."""
    many = settings(
        max_examples=count,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
        phases=[Phase.generate, Phase.shrink],
    )
    seed(0)(many(given(*strategies)(test)))()


def attempts(texts: st.SearchStrategy[str], count: int) -> dict[str, int]:
    """How many texts of a kind were read, and how many refused."""
    found = {"read": 0, "refused": 0}

    def one(text: str) -> None:
        found["read" if attempt(text) is not None else "refused"] += 1

    tried(count, one, texts)
    return found


def clocks(count: int) -> int:
    """How many clock programs ran as the standard says."""
    inner: Any = vars(test_clock_programs_run_as_the_standard_says)["hypothesis"].inner_test
    run = [0]

    def one(made: Any, scans: Any) -> None:
        inner(made, scans)
        run[0] += 1

    tried(count, one, CLOCK_PROGRAMS, SCANS)
    return run[0]


def main(share: float) -> None:
    """Every kind of text, then the clock programs; what fails is shown as hypothesis shows it."""
    for name, (texts, count) in TEXTS.items():
        found = attempts(texts, max(1, int(count * share)))
        told = f"{found['read']} read, {found['refused']} refused with a sentence"
        sys.stdout.write(f"{name}: {told}\n")
        sys.stdout.flush()
    sys.stdout.write(f"clock programs: {clocks(max(1, int(CLOCKS * share)))} run as the standard says\n")


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 1.0)
