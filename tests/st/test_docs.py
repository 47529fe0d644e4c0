"""What docs/structured-text.md says is read is what is read."""

from __future__ import annotations

import re

from steadfall.st.read.blocks import STANDARD
from steadfall.st.read.functions import FUNCTIONS
from tests.examples import ROOT
from tests.st.foreign.cases import CASES

TEXT = (ROOT / "docs" / "structured-text.md").read_text(encoding="utf-8")


def listed(head: str) -> set[str]:
    found = re.search(rf"^{head}: (.*?)[.;]", TEXT, flags=re.MULTILINE | re.DOTALL)
    assert found is not None
    return set(re.findall(r"\w+", found.group(1)))


def test_blocks_and_functions() -> None:
    assert listed("Blocks") == set(STANDARD)
    conversions = {name for name in FUNCTIONS if "_TO_" in name and not name.startswith("TIME_TO")}
    assert listed("Functions") == set(FUNCTIONS) - conversions


def test_the_table_of_programs() -> None:
    assert re.findall(r"^\| (\w+) \| .* \| .* \|$", TEXT, flags=re.MULTILINE)[-len(CASES) :] == [
        c.name for c in CASES
    ]
