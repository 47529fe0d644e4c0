"""Pictures for the documents, as a browser shows them: docs/page-*.png of the page with the press, and of the
roll its report and its program.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import FloatRect, Page, expect, sync_playwright

from steadfall.app.predict import predict
from steadfall.plan.read.whole import read_file
from steadfall.report.page.prediction import write_report
from tests.examples import EXAMPLES
from tests.web.serving import serving

DOCS = Path(__file__).parents[2] / "docs"
CHROMIUM = shutil.which("chromium") or ""
PATIENCE_MS = 240_000.0
WIDE = 1280
PRESS_LINE, ROLL_LINE = 62, 96  # of the plan: what is chosen in the program; of the roll, its filter
DRAWN = """() => {
  const said = document.querySelector(".verdict").textContent.match(/(\\d+:\\d+)\\.$/);
  return said && document.querySelector(".worst").textContent.includes(`at ${said[1]}, reached`);
}"""


def _plan(page: Page) -> None:
    expect(page.locator(".drawing svg")).to_have_count(2)
    page.locator('.drawing [data-of="upper.mist"]').first.focus()
    page.keyboard.press("Enter")


def _cooldown(page: Page) -> None:
    page.get_by_role("button", name="Predict coarsely").click()
    expect(page.locator(".charts svg.figure")).to_be_visible()
    first = page.locator(".charts").get_attribute("data-number")
    page.locator(".turner input").first.focus()
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    expect(page.locator(".charts")).not_to_have_attribute("data-number", first or "")
    expect(page.locator(".turner output").first).to_have_text("0.7 s")
    page.wait_for_timeout(3000)  # the last turn is predicted by then, or the next line waits for it
    page.wait_for_function(DRAWN)


def _code(page: Page) -> None:
    _written(page, PRESS_LINE)


def _written(page: Page, line: int) -> None:
    page.get_by_role("button", name="Write the program").click()
    page.locator(f'.listing li[data-lines="{line}"]').first.click()
    page.mouse.move(0, 0)


def _try(page: Page) -> None:
    page.get_by_role("button", name="Begin a trial").click()
    page.get_by_role("switch", name="full call").click()
    page.get_by_label("times as fast").select_option("10")
    page.get_by_role("button", name="Go", exact=True).click()
    expect(page.locator(".ticks").first).to_contain_text("1:10")
    back = "(one) => one.dispatchEvent(new CustomEvent('back', { detail: { at_ms: 60000 } }))"
    page.locator(".trial").evaluate(back)
    expect(page.locator(".ticks").first).not_to_contain_text("1:10")
    page.locator('.lane[aria-label^="mist"]').first.click(position={"x": 500, "y": 10})
    expect(page.locator(".why")).to_be_visible()
    page.locator(".turners").evaluate("(one) => one.scrollTo(0, 0)")


def _search(page: Page) -> None:
    page.get_by_label("Cool-downs to try").fill("120")
    page.get_by_role("button", name="Search").click()
    expect(page.locator(".trade svg")).to_be_visible()


def _paper(button: str) -> Callable[[Page], None]:
    """Press a button, and wait for the paper that comes of it."""

    def act(page: Page) -> None:
        page.get_by_role("button", name=button).click()
        expect(page.frame_locator("iframe.paper").locator(".verdict").first).to_be_visible()

    return act


def _begin(page: Page) -> None:
    page.get_by_text("A plan drafted from some answers").click()
    page.get_by_label("What is cooled").select_option("barrel")
    page.locator(".wide").evaluate("(one) => one.scrollIntoView()")


VIEWS: dict[str, Callable[[Page], None]] = {
    "plan": _plan,
    "try": _try,
    "code": _code,
    "": _begin,
    "cooldown": _cooldown,
    "doses": _search,
    "proof": _paper("Prove every requirement"),
    "bench": _paper("Rehearse it"),
}


def write_pictures() -> None:
    """Draw them all; the first prediction compiles the kernels, and takes its time."""
    with tempfile.TemporaryDirectory() as folder, serving(Path(folder), {}) as served, browsing() as page:
        page.goto(served.url)
        for name, act in VIEWS.items():
            page.goto(f"{served.base}/{name}")
            act(page)
            page.mouse.move(0, 0)
            page.screenshot(path=DOCS / f"page-{name or 'begin'}.png")


def write_roll() -> None:
    """Draw the report of the roll, to the end of its first figure, and its program beside the plan."""
    with tempfile.TemporaryDirectory() as name, browsing() as page:
        folder = Path(name)
        report = write_report(predict(read_file(EXAMPLES["roll"])), folder, dated=" ")
        page.goto(report.as_uri())
        box = page.locator("figure.sheet").first.bounding_box()
        assert box
        clip = FloatRect(x=0, y=0, width=WIDE, height=box["y"] + box["height"] + 8)
        page.screenshot(path=DOCS / "roll-report.png", full_page=True, clip=clip)
        with serving(folder, {}, "roll") as served:
            page.goto(served.url)
            page.goto(f"{served.base}/code")
            _written(page, ROLL_LINE)
            page.screenshot(path=DOCS / "roll-code.png")


@contextmanager
def browsing() -> Iterator[Page]:
    """A page of a browser."""
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_context(viewport={"width": WIDE, "height": 800}).new_page()
        page.set_default_timeout(PATIENCE_MS)
        expect.set_options(timeout=PATIENCE_MS)
        yield page
        browser.close()
