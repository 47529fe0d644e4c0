"""Where the test plans lie."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).parents[2]
BAD = sorted((ROOT / "tests" / "plans" / "bad").glob("*.yaml"))
ADVISED = sorted((ROOT / "tests" / "plans" / "advice").glob("*.yaml"))
GOOD = sorted((ROOT / "tests" / "plans" / "good").glob("*.yaml"))
EXAMPLES = sorted((ROOT / "examples").glob("*.yaml"))
STARTERS = sorted((ROOT / "src" / "steadfall" / "plan" / "starters").glob("*.yaml"))
CLEAN = [*GOOD, *EXAMPLES, *STARTERS]
