"""Ctrl-C at a moment that is seen, not guessed: the command ends, and nothing of it is left."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import psutil
import pytest

from steadfall.interrupt import STOPPED, WORDS
from tests.examples import EXAMPLES

PRESS = str(EXAMPLES["press"])
PATIENCE_S = 300.0  # only how long a failing test waits
HEARS = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
COMMAND = HEARS + "from steadfall.__main__ import run; run()"
# It hears nothing: each KeyboardInterrupt is swallowed, as by native code.
DEAF = """
import ctypes, time
from pathlib import Path
from steadfall.app.given.files import drafted
from steadfall.interrupt import listening, pending
from steadfall.workers import workers
if __name__ == "__main__":
    with listening(), drafted(Path(".")), workers(1) as pool:
        task = pool.submit(time.sleep, 3600.0)
        while not (task.running() or task.done()):
            time.sleep(0.01)
        swallow = ctypes.CFUNCTYPE(None)(lambda: time.sleep(3600.0))
        pending("{}")
        Path("ready").touch()
        swallow()  # a callback of native code, in which an interruption is lost
        while True:
            try:
                time.sleep(3600.0)
            except KeyboardInterrupt:
                pass
"""
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="a signal is sent otherwise there")
Seen = Callable[[psutil.Process, Path], bool]


def stopped(
    words: Sequence[str], seen: Seen, folder: Path, number: int, extra: Mapping[str, str] | None = None
) -> tuple[int, str, str, list[str]]:
    """Begin a process, send it alone a signal at a moment, and give exit code, what it printed, its words and
    what stays alive.
    """
    with subprocess.Popen(
        [sys.executable, *words],
        cwd=folder,
        env={**os.environ, **(extra or {})},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as begun:
        process = psutil.Process(begun.pid)
        while begun.poll() is None and not seen(process, folder):
            time.sleep(0.01)
        family = process.children(recursive=True)
        os.kill(begun.pid, number)
        out, err = begun.communicate(timeout=PATIENCE_S)
        _, alive = psutil.wait_procs(family, PATIENCE_S)
    return begun.returncode, out.decode(), err.decode(), [" ".join(one.cmdline()) for one in alive]


def is_ready(_: psutil.Process, folder: Path) -> bool:
    return (folder / "ready").exists()


def is_compiling(_: psutil.Process, folder: Path) -> bool:
    return any(path.is_file() for path in (folder / "cache").rglob("*"))


def has_processes(process: psutil.Process, _: Path) -> bool:
    return any("spawn_main" in " ".join(one.cmdline()) for one in process.children(recursive=True))


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_who_does_not_hear_is_ended_and_tidied(number: int, tmp_path: Path) -> None:
    script = tmp_path / "deaf.py"
    script.write_text(DEAF, encoding="utf-8")
    code, out, err, alive = stopped([str(script)], is_ready, tmp_path, number)
    assert (code, out, err, alive) == (STOPPED, "{}", f"{WORDS}\n", [])
    assert sorted(path.name for path in tmp_path.iterdir()) == ["deaf.py", "ready"]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("words", "seen"),
    [
        (("predict", PRESS, "--out", "out"), is_compiling),
        (("predict", PRESS, "--coarse", "--band", "200", "--out", "out", "--json"), has_processes),
    ],
)
def test_ctrl_c_leaves_nothing(words: Sequence[str], seen: Seen, tmp_path: Path) -> None:
    extra = {"STEADFALL_CACHE": "cache"} if seen is is_compiling else {}
    code, out, err, alive = stopped(["-c", COMMAND, *words], seen, tmp_path, signal.SIGINT, extra)
    assert (code, alive) == (STOPPED, [])
    if "--json" in words:
        found = json.loads(out)
        assert (found["good"], [row["slug"] for row in found["problems"]]) == (False, ["stopped"])
    else:
        assert not out
    assert err.endswith(f"{WORDS}\n")
    assert "Traceback" not in err
    assert not (tmp_path / "out").exists()


def test_a_command_that_is_left_alone_ends_as_it_would() -> None:
    """Nothing that listens for a signal changes how the process ends."""
    lingering = COMMAND.replace("run()", "import atexit; atexit.register(print, 'in order'); run()")
    done = subprocess.run([sys.executable, "-c", lingering, "schema"], capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.splitlines()[-1] == b"in order"
