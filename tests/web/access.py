"""Whether a page as it stands shuts anybody out: the rules of axe, in light and in dark."""

from __future__ import annotations

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

SIZES = {"light": (1280, 800), "dark": (820, 1180)}


def shut_out(page: Page) -> list[tuple[str, str, str]]:
    """What is broken: how grave it is, which rule, in which colours; the laptop's size is left behind."""
    found = []
    for scheme, (width, height) in reversed(SIZES.items()):
        page.set_viewport_size({"width": width, "height": height})
        page.emulate_media(color_scheme="dark" if scheme == "dark" else "light")
        rows = Axe().run(page).response["violations"]
        found += [(row["impact"], row["id"], scheme) for row in rows]
    return found
