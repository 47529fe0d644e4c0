"""docs/physics.md names files that are there, and each file with a law."""

from __future__ import annotations

import re
from pathlib import Path

import steadfall

PACKAGE = Path(steadfall.__file__).parent
ROOT = Path(__file__).parents[2]
NAMED = re.findall(r"`([\w/]+(?:\.py|/))`", (ROOT / "docs" / "physics.md").read_text(encoding="utf-8"))


def test_every_file_that_the_document_names_is_there() -> None:
    assert NAMED
    assert [name for name in NAMED if not (PACKAGE / name).exists() and not (ROOT / name).exists()] == []


def test_every_law_has_its_place_in_the_document() -> None:
    laws = {path.relative_to(PACKAGE).as_posix() for path in (PACKAGE / "plant" / "law").glob("[!_]*.py")}
    assert laws - set(NAMED) == set()
