"""Pictures of every view with a result in it, for whoever changes one: `python -m tests.web.look FOLDER`.

Each at the size of a laptop and of a tablet, light and dark; what shuts people out is printed. The plan is a
small one, so that it takes a few minutes.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect, sync_playwright

from tests.examples import ROOT
from tests.web.pictures import CHROMIUM, PATIENCE_MS
from tests.web.serving import serving

SIZES = {"laptop": (1280, 800), "tablet": (820, 1180)}
BROKEN = "requirements:\n  - {never: upper.flood and not air_pressure_ok, name: no flood without air}\n"


def _press(*names: str) -> Callable[[Page], None]:
    """Presses buttons, one after the other, each once what it began is done."""

    def act(page: Page) -> None:
        for name in names:
            page.get_by_role("button", name=name).first.click()
            page.wait_for_timeout(500)
            for going in page.locator(".going").all():
                going.wait_for(state="hidden")
            page.wait_for_timeout(500)

    return act


def _plan(page: Page) -> None:
    expect(page.locator(".drawing svg")).to_have_count(2)


def _wrong(page: Page) -> None:
    """A key that there is not, the marks of a line, and what could follow."""
    page.locator(".cm-content").click()
    page.keyboard.press("Control+Home")
    page.keyboard.type("ambience: 3\n")
    expect(page.locator(".line-problem").first).to_be_visible()
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Control+Space")
    page.wait_for_timeout(500)


def _begin(page: Page) -> None:
    page.get_by_text("A plan drafted from some answers").click()


def _try(page: Page) -> None:
    _press("Begin a trial")(page)
    page.get_by_role("switch", name="full call").click()
    page.get_by_label("times as fast").select_option("60")
    page.get_by_role("button", name="Go", exact=True).click()
    page.wait_for_timeout(3000)
    page.get_by_role("button", name="Pause", exact=True).click()
    page.locator('.lane[aria-label^="mist"]').first.click(position={"x": 500, "y": 10})
    expect(page.locator(".why")).to_be_visible()


def _search(page: Page) -> None:
    page.get_by_label("Cool-downs to try").fill("24")
    _press("Search")(page)


FILLED: dict[str, Callable[[Page], None]] = {
    "": _begin,
    "plan": _plan,
    "try": _try,
    "cooldown": _press("Predict", "With bands and odds"),
    "doses": _search,
    "sizes": _press("Size every part"),
    "upsets": _press("Try every single failure", "Open strips and curves"),
    "proof": _press("Prove every requirement"),
    "bench": _press("Rehearse"),
    "code": _press("Write the program"),
    "plan#wrong": _wrong,  # last: nothing can be made of this text
}


def look(folder: Path, names: list[str]) -> None:
    """Fill each view, draw it, and ask who is shut out."""
    with (
        tempfile.TemporaryDirectory() as place,
        serving(Path(place), {}) as served,
        sync_playwright() as player,
    ):
        small = (ROOT / "tests/plans/good/small.yaml").read_text(encoding="utf-8")
        weak = small.replace("for: all water", "for: [upper.mist]")
        served.plan.write_text(f"{weak}{BROKEN}", encoding="utf-8")
        browser = player.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
        page.set_default_timeout(PATIENCE_MS)
        page.goto(served.url)
        expect(page.locator(".cm-content")).to_contain_text("Small press")
        for name in names:
            page.goto(f"{served.base}/{name}")
            FILLED[name](page)
            _draw(page, folder, (name or "begin").replace("#", "-"))
        browser.close()


def _draw(page: Page, folder: Path, name: str) -> None:
    for size, (width, height) in SIZES.items():
        page.set_viewport_size({"width": width, "height": height})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
            page.wait_for_timeout(300)
            page.screenshot(path=folder / f"{name}-{size}-{scheme}.png")
            for row in Axe().run(page).response["violations"]:
                where = "; ".join(str(one["target"]) for one in row["nodes"])
                sys.stdout.write(f"{name} {size} {scheme}: {row['impact']} {row['id']} {where}\n")
    page.set_viewport_size({"width": 1280, "height": 800})


if __name__ == "__main__":
    target = Path(sys.argv[1])
    target.mkdir(parents=True, exist_ok=True)
    look(target, sys.argv[2:] or list(FILLED))
