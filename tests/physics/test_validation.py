"""Every row of the validation holds, and docs/validation.md shows what the suite finds.

The document's figures are compared within 2 %, so that another processor's last digit is not a failure; what
is checked against what, and the tolerances, must agree to the letter.
"""

from __future__ import annotations

import re

import pytest

from tests.physics.check import Check, Group, Scatter
from tests.physics.document import fails, section
from tests.physics.suite import ALL
from tests.regenerate import ROOT

DOCUMENT = ROOT / "docs" / "validation.md"
NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?:e[+-]?\d+)?(?![\w.])")


def test_a_row_that_cannot_fail_is_refused() -> None:
    with pytest.raises(ValueError, match="within"):
        Check("anything", "nowhere", 1.0, 0.0, 1.0)
    with pytest.raises(ValueError, match="factor"):
        Scatter("nothing", "nowhere", 1.0, 1.0, 1.0)


def test_a_factor_holds_on_either_side() -> None:
    assert [Scatter("a", "b", 10.0, got, 2.0).holds for got in (4.9, 5.0, 20.0, 20.1)] == [
        False,
        True,
        True,
        False,
    ]


@pytest.mark.parametrize("group", ALL, ids=lambda group: group.name)
def test_every_row_holds(group: Group) -> None:
    assert group.rows
    assert not fails(group.rows), "\n".join(fails(group.rows))


@pytest.mark.parametrize("group", ALL, ids=lambda group: group.name)
def test_the_document_shows_it(group: Group) -> None:
    shown = DOCUMENT.read_text(encoding="utf-8")
    assert f"## {group.name}\n" in shown
    old = shown.partition(f"## {group.name}\n")[2].partition("\n## ")[0].strip().splitlines()
    new = section(group).partition("\n")[2].strip().splitlines()
    assert len(old) == len(new), "run `make docs`"
    for before, now in zip(old, new, strict=True):
        assert _wording(before) == _wording(now), "run `make docs`"
        for was, found in zip(_figures(before), _figures(now), strict=True):
            assert found == pytest.approx(was, rel=0.02, abs=1e-3), f"run `make docs`: {now}"


def _cells(line: str) -> list[str]:
    return [cell.strip() for cell in line.strip("|").split(" | ")]


def _wording(line: str) -> list[str]:
    cells = _cells(line)
    return [cells[i] for i in range(len(cells)) if not (len(cells) >= 4 and i in (3, 4))]


def _figures(line: str) -> list[float]:
    cells = _cells(line)
    return [float(found) for found in NUMBER.findall(cells[3])] if len(cells) >= 4 else []
