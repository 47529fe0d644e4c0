"""The page, as a browser sees it: how soon it can be used, how soon it answers a key and a slider."""

from __future__ import annotations

import shutil
import tempfile
import time
from collections.abc import Iterable
from pathlib import Path
from statistics import median

import httpx
from playwright.sync_api import Page, sync_playwright
from tests.web.serving import serving

from benchmarks.table import Row

CHROMIUM = shutil.which("chromium") or ""
PATIENCE_MS = 240_000.0
TIMES = 7

# Milliseconds from an act to what is seen of it, by the browser's own clock.
TIMED = """
([act, seen]) => new Promise((done) => {
  const before = seen(), begun = performance.now();
  const look = () => seen() !== before ? done(performance.now() - begun) : requestAnimationFrame(look);
  act(); look();
})
"""
KEY = """
() => {
  const seen = () => document.querySelector(".found")?.textContent;
  const view = getElement(Number(document.querySelector(".editor").id.slice(1))).editor;
  const act = () => view.dispatch({ changes: { from: view.state.doc.length, insert: "ambience: 3\\n" } });
  return (TIMED)([act, seen]);
}
""".replace("TIMED", TIMED)
UNDO = """
() => {
  const view = getElement(Number(document.querySelector(".editor").id.slice(1))).editor;
  const end = view.state.doc.length;
  view.dispatch({ changes: { from: end - 12, to: end } });
}
"""
SLIDE = """
(value) => {
  const seen = () => document.querySelector(".charts svg.figure");
  const slider = document.querySelector(".turner input");
  const act = () => { slider.value = value; slider.dispatchEvent(new Event("input", { bubbles: true })); };
  return (TIMED)([act, seen]);
}
""".replace("TIMED", TIMED)


def rows() -> Iterable[Row]:
    """Wall seconds. The kernels are warm, as after the first prediction on a machine."""
    with tempfile.TemporaryDirectory() as folder:
        begun = time.perf_counter()
        with serving(Path(folder), {}) as served, httpx.Client(follow_redirects=True) as person:
            person.get(served.url).raise_for_status()
            yield Row(
                "page: from the command to a page that can be used", time.perf_counter() - begun, "s", 3.0
            )
            with sync_playwright() as player:
                browser = player.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
                tab = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
                tab.set_default_timeout(PATIENCE_MS)
                tab.goto(served.url)
                yield Row("page: from a key to the problems of the text", _typed(tab), "s", 0.3)
                tab.goto(f"{served.base}/cooldown")
                yield Row("page: from a slider to the coarse curve, the plan's behind", _slid(tab), "s", 0.3)
                browser.close()


def _typed(tab: Page) -> float:
    """Seconds, the middle of some."""
    tab.get_by_text("None: the plan can be predicted").wait_for()
    found = []
    for _ in range(TIMES):
        found.append(float(tab.evaluate(KEY)))
        tab.evaluate(UNDO)
        tab.get_by_text("None: the plan can be predicted").wait_for()
    return median(found) / 1000


def _slid(tab: Page) -> float:
    """Seconds, the middle of some; the first turn gets ready."""
    tab.get_by_role("button", name="Predict coarsely").click()
    tab.locator(".charts svg.figure").wait_for()
    own = float(tab.locator(".turner input").first.input_value())
    found = []
    for k in range(TIMES + 1):
        tab.locator(".going").wait_for(state="hidden")
        found.append(float(tab.evaluate(SLIDE, f"{own + 0.1 * (k + 1):.1f}")))
    return median(found[1:]) / 1000
