"""Where a person begins, without a browser: plans that are there, started, drafted and brought."""

from __future__ import annotations

import pytest
from nicegui import ui
from nicegui.testing import User

from steadfall.web.session import Session
from tests.web.hand import turn

pytestmark = pytest.mark.asyncio


async def test_a_starter_is_written_beside_the_plan_and_opened(user: User, session: Session) -> None:
    await user.open("/")
    user.find("A batch oven").click()
    await user.should_see(ui.codemirror, retries=30)
    assert (session.folder / "new-plan.yaml").is_file()
    assert session.at_desk().path.name == "new-plan.yaml"
    assert session.at_desk().check().good


async def test_a_name_that_leads_out_of_the_folder_is_refused(user: User, session: Session) -> None:
    await user.open("/")
    box = next(
        one for one in user.find(kind=ui.element).elements if one.tag == "input" and "value" in one.props
    )
    turn(box, "../out.yaml")
    user.find("A batch oven").click()
    await user.should_see("cannot be the name of a plan")
    assert session.at_desk().path.name == "small.yaml"
    assert [path.name for path in session.folder.parent.glob("*.yaml")] == []


async def test_without_a_plan_there_is_only_the_beginning(user: User, session: Session) -> None:
    session.desk = None
    await user.open("/plan")
    await user.should_see("Begin with a plan")
    await user.should_not_see("Cool-down")


async def test_a_file_that_is_too_large_is_refused(user: User, session: Session) -> None:
    await user.open("/")
    chosen = next(one for one in user.find(kind=ui.element).elements if one.props.get("type") == "file")
    turn(chosen, ["huge.yaml", None])
    await user.should_see("huge.yaml has more than")
    turn(chosen, ["../other.yaml", "title: small"])
    await user.should_see("cannot be the name of a plan")
    turn(chosen, ["<img src=x onerror=a()>.yaml", "title: small"])
    await user.should_see(ui.codemirror, retries=30)
    page = (await user.http_client.get("/")).text
    assert "<img" not in page
    assert "&lt;img src=x onerror=a()&gt;.yaml" in page
    await user.open("/")
    chosen = next(one for one in user.find(kind=ui.element).elements if one.props.get("type") == "file")
    turn(chosen, ["other.yaml", "title: small"])
    await user.should_see(ui.codemirror, retries=30)
    assert session.at_desk().text == "title: small"


async def test_a_plan_is_drafted_from_answers(user: User, session: Session) -> None:
    def control(tag: str, **props: str) -> ui.element:
        every = user.find(kind=ui.element).elements
        return next(one for one in every if one.tag == tag and props.items() <= one.props.items())

    await user.open("/")
    assert control("input", name="mass").props["placeholder"] == "1600 kg"
    selects = (one for one in user.find(kind=ui.element).elements if one.tag == "select")
    kinds = min(selects, key=lambda one: one.id)
    turn(kinds, "barrel")
    assert control("input", name="mass").props["placeholder"] == "95 kg"  # typical for a barrel
    turn(control("input", name="mass"), "a lot")
    await user.should_see("Mass of the metal in all: 'a lot'")
    user.find("Draft the plan").click()
    assert session.at_desk().path.name == "small.yaml"
    turn(control("input", name="mass"), "120 kg")
    user.find("Draft the plan").click()
    await user.should_see(ui.codemirror, retries=30)
    assert session.at_desk().path.name == "new-plan.yaml"
    assert "metal: {mass: 120 kg, material: carbon steel" in session.at_desk().text
    assert session.at_desk().check().good
