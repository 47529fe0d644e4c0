"""A session of the bench in a real browser: begun, followed, stopped, and its evidence opened."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect, sync_playwright

from tests.web.serving import PATIENCE_S, warm

PATIENCE_MS = 5000 * PATIENCE_S  # where the kernels are not compiled yet
ENOUGH, BETWEEN_MS = 20, 50  # cycles of a session that is stopped, and how often it is looked
CHROMIUM = shutil.which("chromium") or ""
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not CHROMIUM, reason="chromium is missing: apt-get install chromium"),
]


def test_a_rehearsal_is_followed_stopped_and_its_evidence_opened(tmp_path: Path) -> None:
    with warm(tmp_path) as served, sync_playwright() as player:
        browser = player.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
        page.set_default_timeout(PATIENCE_MS)
        expect.set_options(timeout=PATIENCE_MS)
        page.goto(served.url)
        page.goto(f"{served.base}/bench")
        page.get_by_label("Case").first.select_option("every stage")
        page.get_by_role("button", name="Rehearse it").press("Enter")
        live = page.locator(".live-bench")
        expect(live.get_by_text("Measured, degC")).to_be_visible()  # curves of the plant
        expect(live.locator('[data-strip$="upper.mist"]').first).to_be_attached()  # and strips beside them
        [folder] = (served.plan.parent / "sessions").iterdir()
        for _turn in range(int(PATIENCE_MS / BETWEEN_MS)):  # one cycle alone is no session to judge
            if (folder / "cycles.jsonl").read_bytes().count(b"\n") >= ENOUGH:
                break
            page.wait_for_timeout(BETWEEN_MS)
        page.get_by_role("button", name="Stop").first.press("Enter")
        expect(page.locator(".going").first).to_be_hidden()
        page.reload()
        page.wait_for_function("window.did_handshake")  # until then the list may be laid once more, and shut
        page.get_by_text("Sessions before").click()
        expect(page.get_by_role("button", name="Open its report").first).to_be_visible()
        page.get_by_role("button", name="Open its report").first.press("Enter")
        report = page.frame_locator("iframe.paper")
        expect(report.get_by_text("A session of the bench", exact=True)).to_be_visible()
        expect(report.locator("svg.figure").first).to_be_visible()
        assert Axe().run(page).violations_count == 0
        browser.close()
