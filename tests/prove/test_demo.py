"""The demo plan's list, the command, stored proofs."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

import pytest

from steadfall.cli import main
from steadfall.logic.cone import cone
from steadfall.prove.decide.certificate import Certificate, script
from steadfall.prove.engines import recheck
from steadfall.prove.requirements.whole import watched
from tests.prove.mutants import Mutant, mutants
from tests.prove.mutation import fate
from tests.prove.plans import DEMO, demo

NAME = "upper.drain.at_rest"


def test_the_demo_plan_has_a_long_list_each_with_a_place() -> None:
    rows = watched(demo()).required
    assert len(rows) >= 40
    assert len({row.name for row in rows}) == len(rows)
    assert all(row.marks[0].line for row in rows)
    assert all(row.sentence.endswith(".") for row in rows)


@pytest.mark.slow
def test_the_command_proves_stores_and_checks_again(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["prove", str(DEMO), "--only", NAME, "--out", str(tmp_path), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["plan"]["digest"] == demo().digest
    (row,) = found["requirements"]
    assert (row["name"], row["verdict"], row["rechecked"]) == (NAME, "proved", True)
    assert row["plan_lines"][0]["line"] > 0
    assert main(["prove", str(DEMO), "--only", NAME, "--recheck", "--out", str(tmp_path)]) == 0
    assert "checked again by cvc5" in capsys.readouterr().out
    assert main(["prove", str(DEMO), "--recheck", "--out", str(tmp_path)]) == 1
    said = " ".join(capsys.readouterr().out.split())
    more = len(watched(demo()).required) - 1
    assert f"1 proved, {more} unknown" in said
    assert f"{more} more are not in the stored proof" in said


@pytest.fixture(scope="module")
def stored(tmp_path_factory: pytest.TempPathFactory) -> str:
    """What a proof of one requirement stored."""
    folder = tmp_path_factory.mktemp("stored")
    main(["prove", str(DEMO), "--only", NAME, "--out", str(folder)])
    return (folder / "proof.json").read_text(encoding="utf-8")


def test_a_stored_proof_does_not_pass_for_another_plan(
    stored: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "proof.json").write_text(stored, encoding="utf-8")
    other = tmp_path / "other.yaml"
    other.write_text(DEMO.read_text(encoding="utf-8") + "# another text\n", encoding="utf-8")
    capsys.readouterr()
    assert main(["prove", str(other), "--recheck", "--out", str(tmp_path)]) == 3
    assert "another plan" in capsys.readouterr().err


def test_a_forged_invariant_is_found_out() -> None:
    of = watched(demo())
    row = next(one for one in of.required if one.name == "upper.reaches_idle")
    part = of.model(cone(of.network, [row.bad]))
    forged = Certificate("(= |last:upper.stage| 0)")
    assert recheck.answers(script(part, [row.bad], forged)) != ["unsat"] * 3
    assert not recheck.holds(script(part, [row.bad], Certificate("true")))


def test_an_unknown_requirement_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", str(DEMO), "--only", NAME, "--only", "uper.drain.at_rest"]) == 2
    shown = capsys.readouterr().err
    assert (
        "--only: 'uper.drain.at_rest' is no requirement of this plan; did you mean 'upper.drain.at_rest'?"
        in shown
    )


SAMPLE = (
    "no sweep in soaking",
    "trip with reset first",
    "climbs straight to full",
    "doses not delayed",
    "permissive dropped from the guard",
)


@pytest.fixture(scope="module")
def faults() -> Mapping[str, Mutant]:
    """Every seeded fault by its name."""
    return {row.name: row for row in mutants(DEMO.read_text(encoding="utf-8"))}


@pytest.mark.slow
@pytest.mark.parametrize("name", SAMPLE)
def test_a_seeded_fault_is_refuted(name: str, faults: Mapping[str, Mutant]) -> None:
    """Of the right plan every requirement is proved (test_lemmas), so that none counts for no fault."""
    assert fate(demo(), faults[name], frozenset()).fate == "refuted"


@pytest.mark.parametrize("invariant", ["true))(assert false);", "|last:no.such.signal|", "(and true", "7"])
def test_an_invariant_that_is_no_term_is_refused_with_its_place(
    invariant: str, stored: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = json.loads(stored)
    found["requirements"][0]["certificate"] = {"invariant": invariant, "freed": []}
    (tmp_path / "proof.json").write_text(json.dumps(found), encoding="utf-8")
    capsys.readouterr()
    assert main(["prove", str(DEMO), "--only", NAME, "--out", str(tmp_path), "--recheck"]) == 3
    said = capsys.readouterr()
    assert f"proof.json: {NAME}: certificate: invariant: letter " in said.err
    assert "proved" not in said.out
