"""Commands as a person meets them: each in a process of its own, wall-clock time and peak memory."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from statistics import median

from benchmarks.table import Row

ROOT = Path(__file__).parent.parent
PRESS = str(ROOT / "examples" / "press.yaml")
MEMORY = """
import re, sys
from pathlib import Path
from attrs import evolve
from steadfall.plan.read.whole import read_file
from steadfall.predict.run import fine, predict
import steadfall.trace.frame as frame
plan = read_file(sys.argv[1])
step = evolve(next(iter(plan.scenarios.values())), until_ms=7_200_000, longest_ms=7_200_000, name="two hours")
result = predict(evolve(plan, scenarios={"two hours": step}), "two hours", fine(plan))
table = frame.frame(result.trace)
assert result.end_ms == 7_200_000
# ru_maxrss would count what the process that started this one held (Linux hands it on); VmHWM is its own.
print(int(re.search(r"VmHWM:\\s+(\\d+)", Path("/proc/self/status").read_text())[1]) / 1024)
"""


def run(arguments: Sequence[str], extra: Mapping[str, str] | None = None) -> tuple[float, str]:
    """Wall-clock seconds and stdout of a Python process, which keeps what Python compiles, as a person's
    does; a failing one raises.
    """
    env = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    begin = time.perf_counter()
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=ROOT,
        env={**env, **(extra or {})},
        capture_output=True,
        text=True,
        check=True,
    )
    return time.perf_counter() - begin, done.stdout


def rows() -> Iterable[Row]:
    """Start-up, cold compilation, the second process, and memory with and without compiling in the same
    process.
    """
    check = ["-m", "steadfall", "check", PRESS]
    predict = ["-m", "steadfall", "predict", PRESS]
    memory = ["-c", MEMORY, PRESS]
    yield Row("steadfall check examples/press.yaml", median(run(check)[0] for _ in range(5)), "s", 1.0)
    with tempfile.TemporaryDirectory() as folder:
        kept = {"STEADFALL_CACHE": folder}
        cold, _ = run(predict, kept)
        warm = median(run(predict, kept)[0] for _ in range(3))
        two_hours = float(run(memory, kept)[1])
    with tempfile.TemporaryDirectory() as folder:
        compiling = float(run(memory, {"STEADFALL_CACHE": folder})[1])
    yield Row("predict the demo plan, kernels cached (second process)", warm, "s", 6.0)
    yield Row("compilation of the kernels (first process less second)", cold - warm, "s", 40.0)
    yield Row("memory of a two-hour run with its data frame", two_hours, "MB", 400.0)
    yield Row("the same when it has to compile first, once on a machine", compiling, "MB")


def fresh_rows() -> Iterable[Row]:
    """`make demo` in a fresh clone with an empty kernel cache."""
    with tempfile.TemporaryDirectory() as folder:
        clone = Path(folder) / "steadfall"
        subprocess.run(["git", "clone", "-q", str(ROOT), str(clone)], check=True)
        keep = {key: os.environ[key] for key in os.environ if key.startswith(("PIP_", "HOME", "LANG"))}
        env = {**keep, "PATH": os.environ["PATH"], "STEADFALL_CACHE": str(Path(folder) / "cache")}
        begin = time.perf_counter()
        subprocess.run(["make", "demo"], cwd=clone, env=env, check=True, capture_output=True)
        yield Row("make demo in a fresh clone, everything included", time.perf_counter() - begin, "s", 180.0)
