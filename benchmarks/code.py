"""Code for the controller: writing it with all its lists, reading a long text."""

from __future__ import annotations

import time
from collections.abc import Iterable
from pathlib import Path
from statistics import median

from benchmarks.table import Row
from steadfall.lists.papers import papers
from steadfall.logic.build.whole import build
from steadfall.plan.read.whole import read_file
from steadfall.prove.compare.compare import compare
from steadfall.prove.compare.compared import EQUAL
from steadfall.st.read.whole import read_st
from steadfall.st.write.whole import structured_text

PRESS = Path(__file__).parent.parent / "examples" / "press.yaml"
LINES = 2000


def long_text() -> str:
    """The demo plan's text with its block under as many names as make 2,000 lines, each with an instance of
    its own.
    """
    text = structured_text(read_file(PRESS)).text
    head, _, program = text.partition("PROGRAM ")
    block = head[head.index("FUNCTION_BLOCK") :]
    count = 1
    while len(_copies(head, block, program, count).splitlines()) < LINES:
        count += 1
    return _copies(head, block, program, count)


def _copies(head: str, block: str, program: str, count: int) -> str:
    names = [f"COPY_{number}" for number in range(count)]
    blocks = "\n".join(block.replace("PLATEN_CIRCUIT", name) for name in names)
    declared = "".join(f"\n    more_{name} : {name};" for name in names)
    inputs = "target := upper_target, delay_doses := T#0s, may_cool := may_cool"
    calls = "".join(f"more_{name}(platen_temperature := upper_pressure, {inputs});\n" for name in names)
    main = program.replace("\nVAR\n", f"\nVAR{declared}\n", 1).replace("END_PROGRAM", f"{calls}END_PROGRAM")
    return f"{head}{blocks}\nPROGRAM {main}"


def rows() -> Iterable[Row]:
    """Seconds, warm: the grammar is built once in a process."""
    plan = read_file(PRESS)
    yield Row("emit the demo plan: text, lists, workbooks", timed(lambda: papers(plan)), "s", 1.0)
    text = long_text()
    lines = len(text.splitlines())
    yield Row(f"read a structured text of {lines:,} lines", timed(lambda: read_st(text, "long.st")), "s", 1.0)


def compare_rows() -> Iterable[Row]:
    """Processor seconds for the demo plan against its own text, proved equal and checked by the second
    solver.
    """
    plan = read_file(PRESS)
    emitted = structured_text(plan)
    begin = time.process_time()
    found = compare(plan, build(plan), read_st(emitted.text, "press.st", emitted.names))
    assert found.verdict == EQUAL
    yield Row("compare the demo plan with its text, processor time", time.process_time() - begin, "s", 1.0)


def timed(what: object) -> float:
    """The median of some runs after a first one."""
    assert callable(what)
    what()
    seconds = []
    for _ in range(3):
        begin = time.perf_counter()
        what()
        seconds.append(time.perf_counter() - begin)
    return median(seconds)
