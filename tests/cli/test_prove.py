"""`steadfall prove`: verdicts as a person sees them, stored proofs, and a controller's text in the plan's
place.
"""

import json
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from steadfall.cli import main
from steadfall.interrupt import STOPPED
from steadfall.plan.read.whole import read_file
from steadfall.st.write.whole import structured_text
from tests.examples import EXAMPLES
from tests.plan.paths import GOOD

pytestmark = pytest.mark.usefixtures("proofs_here")

PRESS = str(EXAMPLES["press"])
SMALL = str(next(path for path in GOOD if path.stem == "small"))
STATED = ["prove", PRESS, "--only", "stated", "--json"]


@pytest.fixture
def code(tmp_path: Path) -> Path:
    path = tmp_path / "controller.st"
    path.write_text(structured_text(read_file(EXAMPLES["press"])).text, encoding="utf-8")
    return path


def verdicts(capsys: pytest.CaptureFixture[str]) -> dict[str, str]:
    return {row["sentence"]: row["verdict"] for row in json.loads(capsys.readouterr().out)["requirements"]}


def test_a_controllers_text_keeps_the_plans_requirements(
    code: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*STATED, "--code", str(code)]) == 0
    assert set(verdicts(capsys).values()) == {"proved"}


def test_a_preset_changed_on_site_is_refuted(code: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = code.read_text(encoding="utf-8")
    assert text.count("MIST_SHORTEST_OPEN : TIME := T#300ms") == 1
    code.write_text(
        text.replace("MIST_SHORTEST_OPEN : TIME := T#300ms", "MIST_SHORTEST_OPEN : TIME := T#0ms"), "utf-8"
    )
    assert main([*STATED, "--code", str(code)]) == 1
    broken = [sentence for sentence, verdict in verdicts(capsys).items() if verdict == "refuted"]
    assert len(broken) == 1
    assert "lasts at least 300 ms" in broken[0]


@pytest.mark.slow
def test_a_stored_proof_is_of_its_text_and_no_other(
    code: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    stored = ["--out", str(tmp_path / "proof")]
    assert main([*STATED, *stored, "--code", str(code)]) == 0
    assert main([*STATED, *stored, "--recheck", "--code", str(code)]) == 0
    capsys.readouterr()
    assert main(["prove", PRESS, *stored, "--recheck"]) == 3
    assert "another plan" in capsys.readouterr().err
    code.write_text(code.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    assert main(["prove", PRESS, *stored, "--recheck", "--code", str(code)]) == 3


NAME = "upper.sweep.at_rest"


def test_a_proved_requirement_that_is_named_is_drawn_at_work(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", SMALL, "--only", NAME]) == 0
    shown = capsys.readouterr().out
    assert "1 requirement: 1 proved" in shown
    assert "here it applies" in shown
    assert "\nupper.sweep " in shown


def test_checking_again_writes_the_page_and_not_the_proof(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    stored = ["--out", str(tmp_path)]
    assert main(["prove", SMALL, "--only", NAME, *stored]) == 0
    before = (tmp_path / "proof.json").read_bytes()
    assert "Checked again</dt>" not in (tmp_path / "proof.html").read_text(encoding="utf-8")
    (tmp_path / "proof.html").unlink()
    capsys.readouterr()
    assert main(["prove", SMALL, "--only", NAME, *stored, "--recheck"]) == 0
    assert "proof.json" not in capsys.readouterr().err
    page = (tmp_path / "proof.html").read_text(encoding="utf-8")
    assert re.search(r"Checked again</dt><dd>\d{4}-\d\d-\d\d \d\d:\d\d<", page)
    assert 'class="figure still"' in page
    assert (tmp_path / "proof.json").read_bytes() == before


@pytest.mark.parametrize("blocked", ["proof.json", "proof.html"])
@pytest.mark.parametrize("as_json", [False, True])
def test_verdicts_are_printed_though_they_cannot_be_stored(
    blocked: str, as_json: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / blocked / "in the way").mkdir(parents=True)
    asked = ["prove", SMALL, "--only", NAME, "--out", str(tmp_path), *(["--json"] if as_json else [])]
    assert main(asked) == 3
    said = capsys.readouterr()
    assert f"steadfall: cannot write into {tmp_path}: " in said.err
    if as_json:
        assert [row["verdict"] for row in json.loads(said.out)["requirements"]] == ["proved"]
    else:
        assert "1 requirement: 1 proved" in said.out
    assert (tmp_path / "proof.json").is_file() == (blocked == "proof.html")


def test_a_plan_that_requires_nothing_of_its_own(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", SMALL, "--only", NAME, "--out", str(tmp_path)]) == 0
    shown = capsys.readouterr().out
    assert "what follows from any plan:" in shown
    assert "what the plan requires:" not in shown
    assert "The plan states no requirements of its own." in (tmp_path / "proof.html").read_text(
        encoding="utf-8"
    )
    assert main(["prove", SMALL, "--only", "stated"]) == 2
    assert "'stated' is no requirement of this plan" in capsys.readouterr().err


def test_no_time_is_a_slip_and_little_time_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", SMALL, "--only", NAME, "--limit", "0.01"]) == 2
    assert "0.01 is less than 100 ms" in capsys.readouterr().err


# The command, but that it is never over: after so many requirements a solver is asked what it never answers.
ENDLESS = """
import itertools, signal, sys, time
from steadfall.cli import main
from steadfall.prove.whole import run

def endless(*_):
    time.sleep(3600.0)

def so_many(*given):
    yield from itertools.islice(every(*given), int(sys.argv[1]))
    given[-1].one(endless, None, None)

every, run.each_verdict = run.each_verdict, so_many
if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.default_int_handler)
    sys.exit(main(sys.argv[2:]))
"""


def begun(script: Path, count: int, arguments: list[str]) -> subprocess.Popen[str]:
    """A proof in a process of its own, that hears Ctrl-C and tells how far it is as in a terminal."""
    script.write_text(ENDLESS, encoding="utf-8")
    return subprocess.Popen(
        [sys.executable, str(script), str(count), *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "FORCE_COLOR": "1", "TTY_COMPATIBLE": "1", "COLUMNS": "120"},
        start_new_session=True,
    )


def read_until_settled(process: subprocess.Popen[str], count: int) -> None:
    """Reads what a proof tells of itself until so many requirements are settled."""
    assert process.stderr
    told = ""
    while not any(int(done) >= count for done in re.findall(r"(\d+)/\d+", told)):
        letter = process.stderr.read(1)
        assert letter, told
        told = (told + letter)[-400:]


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="a process group is stopped otherwise there")
@pytest.mark.parametrize("count", [1, 20])
def test_ctrl_c_ends_a_proof_and_keeps_what_is_proved(count: int, tmp_path: Path) -> None:
    process = begun(tmp_path / "endless.py", count, ["prove", SMALL, "--out", str(tmp_path)])
    read_until_settled(process, count)
    os.killpg(process.pid, signal.SIGINT)  # as a terminal does: to every process of the group
    out, err = process.communicate()
    assert "Traceback" not in err
    assert process.returncode == STOPPED
    assert "stopped before the end" in out
    stored = json.loads((tmp_path / "proof.json").read_text(encoding="utf-8"))
    assert stored["stopped"]
    verdicts = [row["verdict"] for row in stored["requirements"]]
    assert set(verdicts) == {"proved", "unknown"}
    assert verdicts.count("proved") == count
    assert main(["prove", SMALL, "--out", str(tmp_path), "--recheck"]) == 1
