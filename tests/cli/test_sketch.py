"""`steadfall sketch` as a person types it."""

from __future__ import annotations

from pathlib import Path
from xml.etree.ElementTree import fromstring

import pytest

from tests.examples import EXAMPLES
from tests.house.verbs import run
from tests.report.sketch.documents import SKETCHES, kept, made

PRESS = EXAMPLES["press"]


def test_the_picture_goes_to_a_file_or_to_stdout(tmp_path: Path) -> None:
    ran, printed = run("sketch", PRESS, "--out", tmp_path / "new" / "press.svg"), run("sketch", PRESS)
    assert (ran.code, ran.out, printed.code) == (0, "", 0)
    assert fromstring(printed.out).tag.endswith("svg")
    assert (tmp_path / "new" / "press.svg").read_text(encoding="utf-8") == printed.out


@pytest.mark.parametrize("name", SKETCHES)
def test_the_pictures_of_the_documents_are_those_of_the_demo_plan(name: str) -> None:
    assert kept(name) == made(name)


def test_a_place_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    ran = run("sketch", PRESS, "--out", tmp_path / "file" / "press.svg")
    assert ran.code == 3
    assert "cannot write" in ran.err
