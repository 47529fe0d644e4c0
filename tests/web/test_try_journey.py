"""A plan tried in a real browser, by the keyboard: pressed, asked why, kept; what a proof broke, replayed.

Rule of this file: one tab, one small plan of the logic alone, one way; the kernels are the suite's.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect, sync_playwright

from tests.web.access import shut_out
from tests.web.serving import PATIENCE_S, Served, warm

PATIENCE_MS = 5000 * PATIENCE_S  # where the kernels are not compiled yet
CHROMIUM = shutil.which("chromium") or ""
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not CHROMIUM, reason="chromium is missing: apt-get install chromium"),
]
PLAN = """\
steadfall: 1
title: One roll, logic alone, invented data
scan: {nominal: 20 ms, longest: 40 ms, timer_step: 10 ms}
supplies:
  works_water: {fluid: water}
circuit_types:
  roll_circuit:
    valves:
      flood: {supply: works_water}
    stages:
      - {name: full, flood: open}
circuits:
  roll: {type: roll_circuit}
inputs:
  full_call: {kind: switch}
  air_pressure_ok: {kind: switch, normal: on}
calls:
  - {when: full_call, allows: full}
requirements:
  - {never: roll.flood and not air_pressure_ok, name: no flood without air}
"""


@pytest.fixture
def tried(tmp_path: Path) -> Iterator[Served]:
    """A server on that plan."""
    with warm(tmp_path) as served:
        served.plan.write_text(PLAN, encoding="utf-8")
        yield served


def test_a_trial_is_pressed_asked_and_kept_and_a_broken_requirement_is_replayed(tried: Served) -> None:
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
        page.set_default_timeout(PATIENCE_MS)
        expect.set_options(timeout=PATIENCE_MS)
        wrong: list[str] = []
        page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.goto(tried.url)
        expect(page.locator(".cm-content")).to_contain_text("One roll, logic alone")
        _try(page, tried)
        _replay(page, tried)
        browser.close()
    assert wrong == []


def _key(page: Page, name: str, key: str = "Enter") -> None:
    page.get_by_role("button", name=name, exact=True).focus()
    page.keyboard.press(key)


def _try(page: Page, tried: Served) -> None:
    """Press the call, see the valve open, ask why, keep it."""
    page.goto(f"{tried.base}/try")
    _key(page, "Begin a trial")
    strip = page.locator('.lane[aria-label^="flood"]')
    expect(strip).to_have_attribute("aria-label", "flood: off")
    page.get_by_role("switch", name="full call").focus()
    page.keyboard.press("Space")
    _key(page, "Go")
    expect(strip).to_have_attribute("aria-label", "flood: on")
    expect(page.get_by_role("switch", name="full call")).to_have_attribute("aria-checked", "true")
    _key(page, "Pause")
    strip.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".why li").first).to_contain_text("roll.flood is open at")
    expect(page.locator(".why")).to_contain_text("full_call is on")
    assert shut_out(page) == []
    page.get_by_label("Name of the scenario").fill("called by hand")
    _key(page, "Write it into the plan")
    expect(page.get_by_text("Written into the text of the plan")).to_be_visible()
    line = page.locator(".why a").first
    number = (line.get_attribute("href") or "").removeprefix("/plan#line-")
    line.click()
    expect(page.locator(".cm-content")).to_contain_text("called by hand:")
    expect(page.locator(".cm-activeLineGutter").first).to_have_text(number)


def _replay(page: Page, tried: Served) -> None:
    """Prove, see what is broken, go through it scan by scan."""
    page.goto(f"{tried.base}/proof")
    _key(page, "Prove every requirement")
    expect(page.get_by_role("button", name="Replay", exact=True)).to_be_visible()
    assert shut_out(page) == []
    _key(page, "Replay")
    page.wait_for_url(f"{tried.base}/try")
    expect(page.locator("h2.wrong")).to_contain_text("no flood without air")
    _key(page, "to where it breaks")
    expect(page.locator(".breaks text")).to_contain_text("broken at")
    expect(page.locator('.lane[aria-label="air pressure ok: off"]')).to_be_visible()
    expect(page.locator('.lane[aria-label="flood: on"]')).to_be_visible()
