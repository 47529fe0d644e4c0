"""Two revisions of the demo plan: each parts late, after a minute or more of doses."""

from __future__ import annotations

import time
from collections.abc import Iterable
from pathlib import Path

from benchmarks.table import Row
from steadfall.plan.read.whole import read_file, read_text
from steadfall.prove.compare.compare import compare_plans
from steadfall.prove.compare.compared import PARTS

PRESS = Path(__file__).parent.parent / "examples" / "press.yaml"
SOAKING = "      - {name: soaking,"
MORE = "      - {name: short_pauses, sweep: open, mist: {open: 1.2 s, shut: 1 s}, climb: after 60 s}\n"
EDITS = {"a stage added": (SOAKING, MORE + SOAKING), "a preset changed": ("open: 1.2 s,", "open: 1.5 s,")}


def rows() -> Iterable[Row]:
    """Seconds, and processor seconds, until it is known of every output whether and when it parts."""
    press = read_file(PRESS)
    for name, (old, new) in EDITS.items():
        assert old in press.text
        begin = time.process_time()
        found = compare_plans(press, read_text(press.text.replace(old, new)))
        assert found.verdict == PARTS
        yield Row(f"press: compared with {name}", found.seconds, "s", 20.0)
        yield Row(f"press: compared with {name}, processor time", time.process_time() - begin, "s")
