"""A plan while it is typed: nothing that was typed is lost, nothing that others saved is written over."""

from __future__ import annotations

from pathlib import Path

import pytest

from steadfall.app.page.desk import MOST, begin, inside, opened, plans
from steadfall.source import AskError, OutsideError


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "press.yaml"
    path.write_text("title: one\n", encoding="utf-8")
    return path


def test_what_was_typed_lies_on_the_desk_again(plan: Path) -> None:
    desk = opened(plan).write("title: two\n")
    assert plan.read_text(encoding="utf-8") == "title: one\n"
    again = opened(plan)
    assert again == desk
    assert again.typed


def test_saving_leaves_nothing_behind(plan: Path) -> None:
    desk = opened(plan).write("title: two\n").save()
    assert plan.read_text(encoding="utf-8") == "title: two\n"
    assert [path.name for path in plan.parent.iterdir()] == ["press.yaml"]
    assert not desk.typed
    assert opened(plan) == desk


def test_typing_back_to_the_file_leaves_no_draft(plan: Path) -> None:
    opened(plan).write("title: two\n").write("title: one\n")
    assert [path.name for path in plan.parent.iterdir()] == ["press.yaml"]


def test_what_somebody_else_saved_is_not_written_over(plan: Path) -> None:
    desk = opened(plan).write("title: two\n")
    plan.write_text("title: theirs\n", encoding="utf-8")
    assert desk.changed()
    with pytest.raises(AskError, match="changed on the disk"):
        desk.save()
    assert plan.read_text(encoding="utf-8") == "title: theirs\n"
    assert desk.taken().text == "title: theirs\n"
    assert not opened(plan).typed


def test_it_is_written_over_where_a_person_says_so(plan: Path) -> None:
    desk = opened(plan).write("title: two\n")
    plan.write_text("title: theirs\n", encoding="utf-8")
    assert not desk.save(over=True).changed()
    assert plan.read_text(encoding="utf-8") == "title: two\n"


def test_a_plan_that_has_gone_can_be_saved_again(plan: Path) -> None:
    desk = opened(plan).write("title: two\n")
    plan.unlink()
    assert desk.changed()
    with pytest.raises(AskError, match="has gone"):
        desk.taken()
    desk.save(over=True)
    assert plan.read_text(encoding="utf-8") == "title: two\n"


def test_a_save_keeps_who_may_read_the_file(plan: Path) -> None:
    plan.chmod(0o640)
    opened(plan).write("title: two\n").save()
    assert plan.stat().st_mode & 0o777 == 0o640


def test_there_must_be_a_plan(tmp_path: Path) -> None:
    with pytest.raises(OutsideError, match="there is no plan"):
        opened(tmp_path / "none.yaml")


def test_a_text_is_bounded(plan: Path) -> None:
    with pytest.raises(AskError, match="at most"):
        opened(plan).write("x" * (MOST + 1))
    assert not opened(plan).typed


@pytest.mark.parametrize(
    "name",
    [
        "../out.yaml",
        "/etc/passwd",
        "a/b.yaml",
        "..",
        ".hidden.yaml",
        "a\\b",
        "c:d",
        "",
        "x\0y",
        "a\nb",
        "CON",
        "aux.yaml",
    ],
)
def test_no_name_leads_out_of_the_folder(name: str, tmp_path: Path) -> None:
    folder = tmp_path / "plans"
    folder.mkdir()
    with pytest.raises(AskError, match="cannot be the name"):
        begin(folder, name, "title: x\n")
    assert [path.name for path in tmp_path.rglob("*")] == ["plans"]


def test_no_link_leads_out_of_the_folder(tmp_path: Path) -> None:
    folder, other = tmp_path / "plans", tmp_path / "secret.yaml"
    folder.mkdir()
    other.write_text("secret", encoding="utf-8")
    (folder / "link.yaml").symlink_to(other)
    with pytest.raises(AskError, match="leads out"):
        inside(folder, "link.yaml")
    assert list(plans(folder)) == []


def test_a_new_plan_never_takes_the_place_of_one(plan: Path) -> None:
    with pytest.raises(AskError, match="already"):
        begin(plan.parent, "press", "title: x\n")
    assert begin(plan.parent, "other", "title: x\n").path.name == "other.yaml"
    assert list(plans(plan.parent)) == ["other.yaml", "press.yaml"]


def test_a_list_beside_the_plan_is_read_and_none_elsewhere(tmp_path: Path) -> None:
    folder = tmp_path / "plans"
    folder.mkdir()
    (tmp_path / "secret.csv").write_text("signal,terminal\nsecret,1\n", encoding="utf-8")
    text = Path("examples/press.yaml").read_text(encoding="utf-8")
    found = begin(folder, "press", f"{text}\nio: ../secret.csv\n").check()
    assert [problem.slug for problem in found.problems] == ["outside-the-folder"]
    assert begin(folder, "second", text).check().good


def test_a_plan_named_through_a_link_is_saved_behind_it_and_stays_a_link(tmp_path: Path) -> None:
    real = tmp_path / "kept" / "press.yaml"
    real.parent.mkdir()
    real.write_text("title: one\n", encoding="utf-8")
    link = tmp_path / "link.yaml"
    link.symlink_to(real)
    opened(link).write("title: two\n").save()
    assert link.is_symlink()
    assert real.read_text(encoding="utf-8") == "title: two\n"


def test_a_link_that_is_put_in_the_plans_place_is_not_followed(plan: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.txt"
    other.write_text("title: one\n", encoding="utf-8")  # just what the plan said, so that no change is seen
    desk = opened(plan).write("title: two\n")
    plan.unlink()
    plan.symlink_to(other)
    for over in (False, True):
        with pytest.raises(AskError, match="leads elsewhere"):
            desk.save(over=over)
    assert other.read_text(encoding="utf-8") == "title: one\n"


def test_what_was_typed_is_not_looked_for_behind_a_link(plan: Path, tmp_path: Path) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("not for the page\n", encoding="utf-8")
    opened(plan).draft.symlink_to(secret)
    assert opened(plan).text == "title: one\n"
    opened(plan).write("title: two\n")
    assert secret.read_text(encoding="utf-8") == "not for the page\n"
