"""Ctrl-C at many moments of many verbs: how long until the command and all its processes are gone.

`python -m benchmarks.stopping` prints a row for each moment; what a verb leaves behind, or a traceback that
it shows, is a mistake and makes the exit code 1.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path

import psutil
from attrs import field, frozen
from tests.prove.revisions import revised_text

from benchmarks.table import Row, show

ROOT = Path(__file__).parent.parent
PRESS = str(ROOT / "examples" / "press.yaml")
OTHER = "other.yaml"  # a revision of the press, in the folder of a trial
FLOOR_S = 1.0
HEARS = "import signal, sys; signal.signal(signal.SIGINT, signal.default_int_handler); "
START = "from steadfall.__main__ import run; run()"
PATIENCE_S = 60.0

Ready = Callable[[psutil.Process, Path], bool]


def after(seconds: float) -> Ready:
    """So long after its start."""
    return lambda process, _: time.time() - process.create_time() > seconds


def at_work(seconds: float) -> Ready:
    """So long after its first process has begun."""

    def ready(process: psutil.Process, _: Path) -> bool:
        young = [child.create_time() for child in process.children(recursive=True)]
        return bool(young) and time.time() - min(young) > seconds

    return ready


def writing(_: psutil.Process, folder: Path) -> bool:
    """While files are being written."""
    return any((folder / "out").glob(".steadfall-*"))


@frozen
class Trial:
    """A command and the moment at which it is stopped."""

    what: str
    arguments: Sequence[str]
    ready: Ready
    extra: Mapping[str, str] = field(factory=dict)
    whole_group: bool = False
    number: int = signal.SIGINT


OUT = ("--out", "out")
TRIALS = (
    Trial("check: starting", ("check", PRESS), after(0.1)),
    Trial("predict: loading", ("predict", PRESS), after(0.5)),
    Trial("predict: compiling", ("predict", PRESS), after(5.0), {"STEADFALL_CACHE": "cache"}),
    Trial("predict: compiling, later", ("predict", PRESS), after(12.0), {"STEADFALL_CACHE": "cache"}),
    Trial("predict: running", ("predict", PRESS, *OUT), after(2.5)),
    Trial("predict: writing", ("predict", PRESS, *OUT), writing),
    Trial("predict --band: processes begin", ("predict", PRESS, "--band", "200"), at_work(0.1)),
    Trial("predict --band: at work", ("predict", PRESS, "--band", "200", *OUT), at_work(6.0)),
    Trial("why: replaying", ("why", PRESS, "--signal", "upper.mist", "--at", "20min"), after(2.0)),
    Trial("prove: loading", ("prove", PRESS), after(0.7)),
    Trial("prove: processes begin", ("prove", PRESS, *OUT), at_work(0.1)),
    Trial("prove: at work", ("prove", PRESS, *OUT), at_work(4.0)),
    Trial("prove: at work, later", ("prove", PRESS, *OUT), at_work(12.0)),
    Trial("compare: at work", ("compare", PRESS, OTHER, *OUT), after(3.0)),
    Trial("compare: at work, later", ("compare", PRESS, OTHER, *OUT), after(6.0)),
    Trial("emit: writing", ("emit", PRESS, *OUT), writing),
)


@frozen
class Seen:
    """What came of a trial."""

    seconds: float
    code: int
    left: Sequence[str]  # drafts and parts that were left behind
    words: str


def tried(trial: Trial) -> Seen:
    """Begin the command, wait for the moment, stop it, and see how long it and its processes stay."""
    with tempfile.TemporaryDirectory() as name, tempfile.TemporaryFile() as words:
        folder = Path(name)
        (folder / OTHER).write_text(revised_text("dose changed"), encoding="utf-8")
        begun = subprocess.Popen(
            [sys.executable, "-c", HEARS + START, *trial.arguments],
            cwd=folder, env={**os.environ, **trial.extra}, stdout=subprocess.DEVNULL, stderr=words,
            start_new_session=True,
        )  # fmt: skip
        seen = psutil.Process(begun.pid)
        while begun.poll() is None and not trial.ready(seen, folder):
            time.sleep(0.002)
        family = [] if begun.poll() is not None else seen.children(recursive=True)
        at = time.perf_counter()
        if begun.poll() is None:
            (os.killpg if trial.whole_group else os.kill)(begun.pid, trial.number)
        code = begun.wait(PATIENCE_S)
        while any(alive(one) for one in family):
            time.sleep(0.002)
        took = time.perf_counter() - at
        words.seek(0)
        left = [path.name for path in folder.rglob("*") if path.name.startswith(".steadfall-")]
        left += [path.name for path in folder.rglob("*.part")]
        return Seen(took, code, left, words.read().decode())


def alive(process: psutil.Process) -> bool:
    """Whether it still does something: one that has ended may wait for its parent to hear of it."""
    try:
        return bool(process.is_running() and process.status() != psutil.STATUS_ZOMBIE)
    except psutil.NoSuchProcess:
        return False


def rows(trials: Sequence[Trial] = TRIALS) -> Iterable[tuple[Row, Seen]]:
    """Each trial by a signal to the command alone, and by one to all its processes as a terminal sends it."""
    for trial in trials:
        for group in (False, True):
            found = tried(Trial(trial.what, trial.arguments, trial.ready, trial.extra, group, trial.number))
            words = f"{trial.what}{', to all' if group else ''}"
            yield Row(words, found.seconds, "s", FLOOR_S), found


def main(words: Sequence[str]) -> int:
    """Print every row; exit code 1 when one takes too long, leaves something behind or shows a traceback."""
    good = True
    for row, found in rows([one for one in TRIALS if all(word in one.what for word in words)]):
        show(row)
        slips = [*found.left, *(["traceback"] if "Traceback" in found.words else [])]
        if slips or found.code not in (130, 0, 1):
            print(f"    exit code {found.code}; {', '.join(slips)}\n{found.words[-400:]}")
        good = good and not slips and row.holds is not False
    return 0 if good else 1


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
