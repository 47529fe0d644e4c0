"""Bad plans: each has its expected listing beside it, as a person sees it."""

import os
import pickle
from pathlib import Path

import pytest
import yaml

from steadfall.plan.check.whole import CHECKS, OF_PLANT
from steadfall.plan.meaning.plant import plant_side
from steadfall.plan.problems import Problems
from steadfall.plan.read.whole import draft, read_file, read_text
from steadfall.plan.text import tree
from steadfall.source import PlanError
from tests.effort import at_most
from tests.listing import listing_of
from tests.plan.paths import BAD

FEW_CALLS = 200_000  # what is refused is not walked


@pytest.mark.parametrize("plan", BAD, ids=lambda path: path.stem)
def test_listing(plan: Path) -> None:
    listing = listing_of(plan)
    assert listing != "no problems\n"
    assert listing == plan.with_suffix(".expected").read_text(encoding="utf-8")


def test_every_listing_has_its_plan() -> None:
    listings = {path.stem for path in BAD[0].parent.glob("*.expected")}
    assert listings == {path.stem for path in BAD}


def test_every_check_objects_to_some_plan() -> None:
    """A check that no bad plan wakes could be deleted."""
    woken = set()
    for path in BAD:
        try:
            plan = draft(path.read_text(encoding="utf-8"), path.name, Problems())
        except PlanError:
            continue
        for check in CHECKS:
            problems = Problems()
            check(plant_side(plan) if check in OF_PLANT else plan, problems)
            if problems:
                woken.add(check.__name__)
    assert woken == {check.__name__ for check in CHECKS}


@pytest.mark.parametrize("plan", BAD, ids=lambda path: path.stem)
def test_problems_stand_in_line_order_and_in_the_text(plan: Path) -> None:
    text = plan.read_text(encoding="utf-8")
    with pytest.raises(PlanError) as caught:
        read_text(text, plan.name)
    places = [(problem.mark.line, problem.mark.column) for problem in caught.value.problems]
    assert places == sorted(places)
    lines = text.splitlines()
    assert all(1 <= line <= len(lines) + 1 for line, _ in places)
    for problem in caught.value.problems:
        assert problem.slug
        assert problem.read
        assert "nan" not in problem.sentence().replace("nan kg", "")


def slugs(error: PlanError) -> list[str]:
    return [problem.slug for problem in error.problems]


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(
        PlanError, match=r"plan.yaml: there is no such file; expected a plan file \[unreadable\]"
    ):
        read_file(tmp_path / "plan.yaml")


def test_a_folder(tmp_path: Path) -> None:
    with pytest.raises(PlanError, match="this is a folder"):
        read_file(tmp_path)


def test_a_file_as_folder(tmp_path: Path) -> None:
    (tmp_path / "plan.yaml").write_text("x")
    with pytest.raises(PlanError, match="there is no such file"):
        read_file(tmp_path / "plan.yaml" / "plan.yaml")


def test_names_that_no_file_can_have() -> None:
    for name in ("a\0b", "x" * 5000, ""):
        with pytest.raises(PlanError):
            read_file(name)


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_an_unreadable_file(tmp_path: Path) -> None:
    path = tmp_path / "plan.yaml"
    path.write_text("steadfall: 1\n")
    path.chmod(0)
    with pytest.raises(PlanError, match="may not be read"):
        read_file(path)


def test_permission_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_args: object, **_kwargs: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(PlanError, match="may not be read"):
        read_file(tmp_path / "plan.yaml")


def test_other_encodings_are_named_by_byte_line_and_column(tmp_path: Path) -> None:
    path = tmp_path / "plan.yaml"
    path.write_bytes("steadfall: 1\ntitle: Kühlung\n".encode("latin-1"))
    with pytest.raises(PlanError) as caught:
        read_file(path)
    assert str(caught.value).startswith(f"{path}:2:9: byte 21 (0xFC) is not UTF-8")
    path.write_bytes("steadfall: 1\n".encode("utf-16"))
    with pytest.raises(PlanError, match=r"byte 0 \(0xFF\) is not UTF-8"):
        read_file(path)


def test_five_megabytes(tmp_path: Path) -> None:
    path = tmp_path / "plan.yaml"
    path.write_bytes(b"steadfall: 1 # " + b"x" * 5_000_000)
    with at_most(FEW_CALLS), pytest.raises(PlanError) as caught:
        read_file(path)
    assert slugs(caught.value) == ["too-large"]
    assert len(str(caught.value)) < 300


@pytest.mark.parametrize("text", ["[" * 500_000, "{a: " * 200_000, "a: " + "(" * 900_000, "- " * 400_000])
def test_deep_nesting(text: str) -> None:
    with at_most(FEW_CALLS), pytest.raises(PlanError):
        read_text(text)


def test_the_error_can_be_sent_to_another_process() -> None:
    with pytest.raises(PlanError) as caught:
        read_text("steadfall: 2\n")
    assert pickle.loads(pickle.dumps(caught.value)).problems == caught.value.problems


@pytest.mark.parametrize("plan", BAD, ids=lambda path: path.stem)
def test_the_parser_in_python_says_the_same(plan: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """PyYAML is not everywhere built with libyaml."""
    monkeypatch.setattr(tree, "_LOADER", yaml.BaseLoader)
    assert listing_of(plan) == plan.with_suffix(".expected").read_text(encoding="utf-8")
