from __future__ import annotations

import pytest

from steadfall.dose.aim import Aim
from steadfall.dose.found import Doses
from steadfall.dose.hunt import Hands, Wish
from steadfall.dose.sure import Sureness
from steadfall.dose.whole import dose
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.progress import SILENT
from steadfall.workers import Processes
from tests.plan.paths import GOOD

SMALL = next(path for path in GOOD if path.stem == "small").read_text(encoding="utf-8")
HARD = "{of: upper.wall, fall_rate: at most 3 K/s}"  # no doses keep it
SOFT = "{of: upper.wall_shock, at most: 90 K}"
TEXT = SMALL.replace(HARD, SOFT)


def asked(text: str, aim: Aim = Aim.TIME, tries: int = 24) -> Doses:
    return dose(read_text(text), Wish(aim, tries), Hands(Processes(1), SILENT), Sureness(runs=10))


@pytest.fixture(scope="session")
def plan() -> Plan:
    return read_text(TEXT)


@pytest.fixture(scope="session")
def found() -> Doses:
    return asked(TEXT)


@pytest.fixture(scope="session")
def fought() -> Doses:
    return asked(SMALL, tries=20)
