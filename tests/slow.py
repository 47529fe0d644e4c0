"""Says which tests are marked `slow` wrongly: `python -m tests.slow` runs the suite on an idle machine.

Rule of this file: a mark is given by measurement; the suite itself looks at no clock.
"""

from __future__ import annotations

import sys
from collections import defaultdict

import pytest

LIMIT = 5.0  # s, alone on an idle machine; below half of it the mark is needless


class Marks:
    """Adds up what each test takes with its fixtures, and knows which are marked."""

    def __init__(self) -> None:
        self.took: dict[str, float] = defaultdict(float)
        self.marked: set[str] = set()

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Which tests have the mark."""
        self.marked = {item.nodeid for item in items if item.get_closest_marker("slow")}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """What a part of a test took."""
        self.took[report.nodeid] += report.duration

    def wrong(self) -> list[str]:
        """Lines about tests whose mark does not fit what they took."""
        missing = {name for name, took in self.took.items() if took > LIMIT} - self.marked
        needless = {name for name in self.marked if name in self.took and self.took[name] < LIMIT / 2}
        return [
            *(f"not marked slow, took {self.took[name]:.1f} s: {name}" for name in sorted(missing)),
            *(f"marked slow, took {self.took[name]:.1f} s: {name}" for name in sorted(needless)),
        ]


def main() -> int:
    """Run the suite, or what is named, and print what is marked wrongly."""
    marks = Marks()
    code = pytest.main(["-n", "0", *sys.argv[1:]], plugins=[marks])
    for line in marks.wrong():
        sys.stdout.write(f"{line}\n")
    return int(code) or bool(marks.wrong())


if __name__ == "__main__":
    raise SystemExit(main())
