"""The pictures of the demo plan in docs/, and how they are made."""

from __future__ import annotations

from steadfall.app.sketch import sketch
from steadfall.plan.read.whole import read_file
from tests.examples import EXAMPLES
from tests.plan.paths import ROOT

SKETCHES = {"sketch.svg": False, "stages.svg": True}  # file -> whether it is of the stages


def kept(name: str) -> str:
    """A picture as it stands in docs/."""
    return (ROOT / "docs" / name).read_text(encoding="utf-8")


def made(name: str) -> str:
    """The picture as it is made now."""
    return sketch(read_file(EXAMPLES["press"]), stages=SKETCHES[name]).svg
