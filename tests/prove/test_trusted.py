"""What must be trusted is one list: in the document, and in every result in text and JSON."""

from __future__ import annotations

from steadfall.prove.decide.result import Proof
from steadfall.prove.trusted import TRUSTED, as_json, as_markdown, in_short
from steadfall.report.text.verdicts import table
from steadfall.report.words.cautions import TRUSTED_CAUTION
from tests.examples import ROOT


def test_the_document_has_the_list_and_nothing_besides() -> None:
    text = (ROOT / "docs" / "proof.md").read_text(encoding="utf-8")
    section = text.split("## What must be trusted\n")[1].split("\n## ")[0]
    assert as_markdown() in section
    assert section.count("\n- ") == len(TRUSTED)


def test_every_result_names_it() -> None:
    proof = Proof("a plan", "digest", (), 0.0)
    assert proof.as_json()["trusted"] == as_json() == [row.sentence for row in TRUSTED]
    told = " ".join(table(proof).split())
    assert in_short() in told
    assert all(row.word in told for row in TRUSTED)
    assert all(row.sentence in TRUSTED_CAUTION[1] for row in TRUSTED)
