"""What a person does, in a real browser: with the keyboard, with every rule of the page in force.

Rule of this file: few, and each a whole way; what a view says is tried without a browser.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, FilePayload, Page, expect, sync_playwright

from steadfall.web.views import VIEWS
from tests.web.access import shut_out
from tests.web.serving import PATIENCE_S, Served

CHROMIUM = shutil.which("chromium") or ""
PATIENCE_MS = 1000 * PATIENCE_S
DROPPED = "title: a plan that was dropped\n"
DROP = """(one, name) => {
  const dataTransfer = new DataTransfer();
  dataTransfer.items.add(new File(["title: a plan that was dropped\\n"], name));
  one.dispatchEvent(new DragEvent("drop", { dataTransfer, bubbles: true, cancelable: true }));
}"""
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not CHROMIUM, reason="chromium is missing: apt-get install chromium"),
]


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Debian's chromium, which the set-up brings."""
    expect.set_options(timeout=PATIENCE_MS)
    with sync_playwright() as player:
        made = player.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield made
        made.close()


@pytest.fixture
def page(browser: Browser, served: Served) -> Iterator[Page]:
    """A tab that is let in; whatever it asks of other places, or is refused by the policy, is noted."""
    tab = browser.new_context(viewport={"width": 1280, "height": 800}).new_page()
    tab.set_default_timeout(PATIENCE_MS)
    wrong: list[str] = []
    tab.on("request", lambda asked: wrong.append(asked.url) if not inside(asked.url, served) else None)
    tab.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    tab.on("pageerror", lambda error: wrong.append(str(error)))
    tab.goto(served.url)
    yield tab
    tab.context.close()
    assert wrong == []


def inside(url: str, served: Served) -> bool:
    """Whether an address is ours, or of no place at all."""
    return url.startswith((f"{served.base}/", served.base.replace("http", "ws") + "/", "data:", "blob:"))


def test_a_mistake_is_written_marked_mended_and_saved_by_the_keyboard(page: Page, served: Served) -> None:
    before = served.plan.read_text(encoding="utf-8")
    expect(page.get_by_text("None: the plan can be predicted")).to_be_visible()
    page.locator(".cm-content").click()
    page.keyboard.press("Control+End")
    page.keyboard.press("Enter")
    page.keyboard.press("Home")
    page.keyboard.type("ambience: 3")
    expect(page.locator(".line-problem")).to_have_text("ambience: 3")
    expect(page.get_by_text("did you mean 'ambient'?")).to_be_visible()
    for _ in range(len("ambience: 3")):
        page.keyboard.press("Backspace")
    page.keyboard.type("# a note of mine")
    expect(page.get_by_text("None: the plan can be predicted")).to_be_visible()
    page.keyboard.press("Control+s")
    expect(page.get_by_text("Saved", exact=True)).to_be_visible()
    after = served.plan.read_text(encoding="utf-8")
    assert after.rstrip("\n").endswith("# a note of mine")
    assert after.startswith(before.rstrip("\n"))


def test_help_while_typing_comes_from_the_table_of_keys(page: Page) -> None:
    expect(page.locator(".drawing svg").first).to_be_visible()
    page.locator(".cm-content").click()
    page.keyboard.press("Control+End")
    page.keyboard.press("Enter")
    page.keyboard.press("Home")
    page.keyboard.type("toler")
    expect(page.locator(".cm-tooltip-autocomplete li")).to_have_text("tolerances")
    page.keyboard.press("Escape")
    page.keyboard.press("Control+z")


def test_what_is_chosen_in_a_picture_is_chosen_in_the_text(page: Page, served: Served) -> None:
    part = page.locator('.drawing [data-of="upper.mist"]').first
    expect(page.locator(".drawing svg")).to_have_count(2)
    expect(part).to_have_attribute("tabindex", "0")  # text and pictures know of each other
    part.press("Enter")
    expect(part).to_have_class("part selected")
    line = int(part.get_attribute("data-line") or 0)
    assert "mist: {supply" in served.plan.read_text(encoding="utf-8").split("\n")[line - 1]
    expect(page.locator(".cm-activeLineGutter").first).to_have_text(str(line))


def test_every_line_of_the_text_is_printed_as_long_as_it_is(page: Page, served: Served) -> None:
    expect(page.locator(".drawing [data-of]").first).to_have_attribute("tabindex", "0")  # the editor is ready
    page.set_viewport_size({"width": 700, "height": 990})  # A4 less its margins
    page.emulate_media(media="print")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    paper = page.locator(".text .on-paper")
    typed = served.plan.with_name(f".{served.plan.name}.typed")  # what another test has left there
    text = (typed if typed.exists() else served.plan).read_text(encoding="utf-8")
    expect(paper.locator("li")).to_have_text(text.split("\n"))
    assert paper.evaluate("(one) => one.scrollWidth <= one.clientWidth")
    expect(page.locator(".editor")).to_be_hidden()


def test_no_view_shuts_anybody_out_in_light_or_dark(page: Page, served: Served) -> None:
    for view in VIEWS:
        page.goto(f"{served.base}{view.link.path}")
        expect(page.locator('.views [aria-current="page"]')).to_have_text(view.link.title)
        if view.name == "plan":
            expect(page.locator(".drawing svg")).to_have_count(2)
        assert (view.name, shut_out(page)) == (view.name, [])


def test_a_file_that_is_dropped_beside_its_field_is_brought_all_the_same(page: Page, served: Served) -> None:
    page.goto(f"{served.base}/")
    title, field = page.locator("h2.title"), page.get_by_label("Bring a plan file")
    title.evaluate(DROP, "note.pdf")
    assert field.evaluate("(one) => one.validationMessage") == "note.pdf: this place takes .yaml,.yml"
    title.evaluate(DROP, "dropped.yaml")
    expect(page.locator(".cm-content")).to_contain_text("a plan that was dropped")
    assert served.plan.with_name("dropped.yaml").read_text(encoding="utf-8") == DROPPED
    page.goto(f"{served.base}/")
    page.get_by_role("button", name=served.plan.name).first.click()
    expect(page.locator(".head .what")).to_contain_text(served.plan.name)
    served.plan.with_name("dropped.yaml").unlink()


@pytest.fixture
def drafted(page: Page, served: Served) -> Iterator[Page]:
    """A tab at a plan that was drafted from the form; it is gone afterwards, and the first plan is back."""
    page.goto(f"{served.base}/")
    page.get_by_text("A plan drafted from some answers").click()
    page.get_by_label("What is cooled").select_option("mould")
    page.get_by_label("Mass of the metal in all").fill("120 kg")
    page.get_by_label("Time for it").click()  # so that the browser says what was filled in
    page.get_by_label("Name of the new plan").fill("mould.yaml")
    page.get_by_role("button", name="Draft the plan").click()
    expect(page.get_by_text("None: the plan can be predicted")).to_be_visible()
    yield page
    page.goto(f"{served.base}/")
    page.get_by_role("button", name=served.plan.name).first.click()
    expect(page.locator(".head .what")).to_contain_text(served.plan.name)
    served.plan.with_name("mould.yaml").unlink()


def test_a_plan_is_drafted_its_program_written_and_compared(drafted: Page, served: Served) -> None:
    text = served.plan.with_name("mould.yaml").read_text(encoding="utf-8")
    assert "metal: {mass: 120 kg, material: carbon steel" in text
    drafted.goto(f"{served.base}/code")
    drafted.get_by_role("button", name="Write the program").click()
    expect(drafted.locator(".listing")).to_have_count(2)
    with drafted.expect_download() as brought:
        drafted.locator(".files a", has_text=".st").first.click()
    own = brought.value.path().read_text(encoding="utf-8")
    changed = own.replace("T#400ms", "T#500ms")
    assert changed != own
    sent: FilePayload = {"name": "theirs.st", "mimeType": "text/plain", "buffer": changed.encode()}
    drafted.get_by_label("Compare the text of a controller").set_input_files(sent)
    paper = drafted.frame_locator("iframe.paper")
    expect(paper.get_by_text("theirs.st").first).to_be_visible(timeout=5 * PATIENCE_MS)  # kernels may be new
    expect(paper.locator("svg").first).to_be_visible()  # how they part, as strips
    expect(paper.get_by_text("water in all")).to_be_visible()  # what that does to the plant
    assert shut_out(drafted) == []
