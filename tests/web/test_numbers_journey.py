"""From the form to a prediction, and from a search to doses in the plan, in a real browser.

Rule of this file: one tab, small plans, one way; the kernels are the suite's.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect, sync_playwright

from tests.dose import conftest
from tests.web.access import shut_out
from tests.web.serving import PATIENCE_S, Served, warm

PATIENCE_MS = 5000 * PATIENCE_S  # where the kernels are not compiled yet
TEXT = conftest.TEXT.replace("mass: 400 kg", "mass: 100 kg")  # a short cool-down, of which many are run
CHROMIUM = shutil.which("chromium") or ""
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not CHROMIUM, reason="chromium is missing: apt-get install chromium"),
]


@pytest.fixture
def small(tmp_path: Path) -> Iterator[Served]:
    """A server on a small plan whose doses can be searched."""
    with warm(tmp_path) as served:
        served.plan.write_text(TEXT, encoding="utf-8")
        yield served


def test_a_drafted_plan_is_predicted_and_doses_are_searched_stopped_and_taken(small: Served) -> None:
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
        page.set_default_timeout(PATIENCE_MS)
        expect.set_options(timeout=PATIENCE_MS)
        wrong: list[str] = []
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(small.url)
        _draft(page, small)
        _search(page, small)
        browser.close()
    assert wrong == []


def _press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).focus()
    page.keyboard.press("Enter")


def _draft(page: Page, small: Served) -> None:
    """Answer what is asked, and predict what comes of it."""
    page.goto(f"{small.base}/")
    page.get_by_text("A plan drafted from some answers").click()
    page.get_by_label("What is cooled").select_option("mould")
    page.get_by_label("Name of the new plan").fill("mould.yaml")
    _press(page, "Draft the plan")
    expect(page.get_by_text("None: the plan can be predicted")).to_be_visible()
    page.goto(f"{small.base}/cooldown")
    _press(page, "Predict coarsely, in seconds")
    expect(page.locator(".charts svg.figure")).to_be_visible()
    expect(page.locator(".verdict")).to_contain_text("goal")
    assert "mould.yaml" in page.title()
    _print(page)
    _turn(page, small)


def _print(page: Page) -> None:
    """On paper stand the plan's name, the view and the limits; nothing that only a hand can use."""
    page.emulate_media(media="print")
    expect(page.locator(".head .what")).to_contain_text("mould.yaml")
    expect(page.locator(".views a:visible")).to_have_text("Cool-down")
    expect(page.locator(".worst button").first).to_be_visible()
    for hand in (".turner input", ".tools", ".bar"):
        expect(page.locator(hand).first).to_be_hidden()
    page.emulate_media(media="screen")


def _turn(page: Page, small: Served) -> None:
    """Turn a dose: the curve follows, the plan's own stays behind, and the number goes into the text."""
    charts, turner = page.locator(".charts"), page.locator(".turner").first
    before, number = charts.get_attribute("data-number") or "", turner.locator("output").text_content() or ""
    ghost = page.get_by_text("The thin blue lines are the run before.")
    expect(ghost).to_be_hidden()
    turner.locator("input").focus()
    page.keyboard.press("ArrowRight")
    expect(turner.locator("output")).not_to_have_text(number)
    expect(charts).not_to_have_attribute("data-number", before)
    expect(ghost).to_be_visible()
    assert shut_out(page) == []
    turned = turner.locator("output").text_content() or ""
    _press(page, "Write into the plan")
    expect(page.get_by_text("Written into the text of the plan")).to_be_visible()
    typed = small.plan.with_name(".mould.yaml.typed").read_text(encoding="utf-8")
    assert f"{{open: {turned}," in typed


def _ring(page: Page) -> None:
    """Come to the rings of the trade-off by the tab key, go along them by the arrows, open the one there."""
    page.get_by_role("button", name="Prove it, then write it into the plan").focus()
    page.keyboard.press("Tab")
    rings = page.locator(".trade").get_by_role("button")
    expect(rings.first).to_be_focused()
    for key, place in (("End", rings.last), ("ArrowRight", rings.last), ("Home", rings.first)):
        page.keyboard.press(key)
        expect(place).to_be_focused()
    page.keyboard.press("ArrowRight")
    expect(rings.nth(1)).to_be_focused()
    expect(rings.nth(1)).to_have_accessible_name(re.compile(r"\d+:\d\d, \d+ kg water, \d+ openings"))
    page.keyboard.press("Enter")


def _search(page: Page, small: Served) -> None:
    """See how far a search is, stop it; search little, and take what was found."""
    page.goto(f"{small.base}/")
    page.get_by_role("button", name=small.plan.name, exact=True).first.click()
    expect(page.get_by_text("None: the plan can be predicted")).to_be_visible()
    page.goto(f"{small.base}/doses")
    page.get_by_label("Cool-downs to try").fill("100000")
    _press(page, "Search")
    expect(page.locator(".going progress[value]").first).to_be_visible()
    _press(page, "Stop")
    expect(page.locator(".going").first).to_be_hidden()
    expect(page.locator(".found-doses .verdict")).to_contain_text("Stopped after")
    page.get_by_label("Cool-downs to try").fill("24")
    _press(page, "Search")
    expect(page.locator(".found-doses .verdict")).not_to_contain_text("Stopped")
    expect(page.locator(".found-doses .change")).to_contain_text("mist")
    _ring(page)
    page.wait_for_url(f"{small.base}/cooldown")
    expect(page.locator(".turners .tried")).to_be_visible()
    expect(page.locator(".charts svg.figure")).to_be_visible()
    page.goto(f"{small.base}/doses")
    assert shut_out(page) == []
    _press(page, "Prove it, then write it into the plan")
    expect(page.get_by_text("Written into the text of the plan")).to_be_visible()
    kept = small.plan.with_name(f".{small.plan.name}.typed").read_text(encoding="utf-8")
    changed = [one for one in zip(TEXT.split("\n"), kept.split("\n"), strict=True) if one[0] != one[1]]
    assert len(changed) == 1
    assert "mist: {open: " in changed[0][1]
    assert small.plan.read_text(encoding="utf-8") == TEXT  # until it is saved
