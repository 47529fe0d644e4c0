"""The page while it works: whether Try keeps to the clock, how long an answer waits while long work goes on
in processes, how soon a large trace is drawn.
"""

from __future__ import annotations

import asyncio
import multiprocessing
import shutil
import tempfile
import time
import urllib.request
from collections.abc import Iterable
from http.cookiejar import CookieJar
from pathlib import Path
from typing import Any

import numpy as np
from attrs import evolve
from playwright.sync_api import Page, sync_playwright
from tests.web.serving import serving

from benchmarks.table import Row
from steadfall.app.given.document import json_text
from steadfall.plan.read.whole import read_file
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.run import coarse, predict
from steadfall.report.page.charts import charts
from steadfall.trace.trace import Trace, Track
from steadfall.web.live import Live
from steadfall.web.work import Worker

ROOT = Path(__file__).parent.parent
PRESS = ROOT / "examples" / "press.yaml"
FIGURE = ROOT / "src/steadfall/report/page/figure.js"
SPAWNED = multiprocessing.get_context("spawn")
LASTS_S, SCAN_MS, TWO_HOURS_MS, SIGNALS = 20.0, 20, 7_200_000, 40
DRAWN = """async (data) => {
  const begun = performance.now();
  globalThis.steadfallCharts.draw(document.getElementById("here"), JSON.parse(data));
  await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
  return (performance.now() - begun) / 1000;
}"""


def rows() -> Iterable[Row]:
    """Plant time by the clock, at the plan's own pace and at the fastest, with two circuits."""
    for speed, floor in ((1, 0.98), (60, None)):
        share, worst_ms = asyncio.run(_followed(speed))
        yield Row(
            f"Try, press, asked to go {speed} times as fast: it goes", share * speed, "times", floor, True
        )
        yield Row("the longest wait of one order meanwhile", worst_ms, "ms")


async def _followed(speed: int) -> tuple[float, float]:
    """The share of the pace that was kept, and the longest wait."""
    worker = Worker()
    live = Live(worker)
    try:
        await live.begin(PRESS.read_text(encoding="utf-8"), "press.yaml", "")
        await live.order(("do", "full_call", "on"))
        live.speed = speed
        worst = 0.0
        begun, at_ms = time.perf_counter(), live.now["now_ms"]
        live.start()
        while time.perf_counter() - begun < LASTS_S:
            await asyncio.sleep(0.1)
            live.news(live.number, len(live.changes), len(live.samples))
            asked = time.perf_counter()
            await live.order()
            worst = max(worst, time.perf_counter() - asked)
        passed = time.perf_counter() - begun
        return (live.now["now_ms"] - at_ms) / (1000 * passed * speed), 1000 * worst
    finally:
        live.end()


def busy_rows() -> Iterable[Row]:
    """The longest wait for an answer of the page while a proof, a search and bands go on in processes."""
    with (
        tempfile.TemporaryDirectory() as folder,
        serving(Path(folder), {}) as served,
        sync_playwright() as player,
    ):
        url, base = served.url, served.base
        browser = player.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"], headless=True
        )
        context = browser.new_context()
        pages = [_begun(context.new_page(), base, url, *one) for one in LONG]
        over, told = SPAWNED.Event(), SPAWNED.SimpleQueue()
        asker = SPAWNED.Process(target=_asked, args=(url, base, told, over))
        asker.start()  # a process of its own: this one waits for the browser
        begun = time.perf_counter()
        while time.perf_counter() - begun < 60 and any(_goes(page) for page in pages):
            pages[0].wait_for_timeout(500)
        over.set()
        waits = told.get()
        asker.join()
        browser.close()
    yield Row("answers of the page were asked for while long work went on", len(waits), "")
    yield Row("the longest wait for one of them", 1000 * max(waits), "ms", 100.0)
    yield Row("99.9 of 100 came within", 1000 * float(np.percentile(waits, 99.9)), "ms")


LONG = (("/proof", "Prove every requirement"), ("/doses", "Search"), ("/cooldown", "With bands and odds"))


def _begun(page: Page, base: str, url: str, path: str, button: str) -> Page:
    """A tab in which long work was begun."""
    page.goto(url)
    page.goto(f"{base}{path}")
    page.get_by_role("button", name=button).first.click()
    return page


def _goes(page: Page) -> bool:
    return page.locator(".going:visible").count() > 0


def _asked(url: str, base: str, told: Any, over: Any) -> None:
    """Asks for a small answer again and again, and tells how long each took."""
    asker = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
    asker.open(url).read()
    waits: list[float] = []
    while not over.is_set():
        begun = time.perf_counter()
        asker.open(f"{base}/news/try").read()
        waits.append(time.perf_counter() - begun)
        time.sleep(0.01)
    told.put(waits)


def large_rows() -> Iterable[Row]:
    """Two hours, a record every 20 ms, 40 signals: until the browser shows it, and whether a peak is lost."""
    result = _large()
    begun = time.process_time()
    text = json_text(charts(result))
    served = time.process_time() - begun
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.set_content('<div id="here"></div>')
        page.add_script_tag(path=FIGURE)
        shown = float(page.evaluate(DRAWN, text))
        browser.close()
    yield Row("first draw of 2 h at 20 ms, 40 signals: thinned and packed (CPU)", served, "s")
    yield Row("the same: read and drawn by the browser", shown, "s")
    yield Row("the same, together", served + shown, "s", 1.0)
    yield Row("the same, handed to the browser", len(text) / 2**20, "MiB")


def _large() -> Prediction:
    """A prediction whose curves have a record every scan: the doses of the press, and noise with peaks."""
    result = predict(read_file(PRESS), None, coarse(read_file(PRESS)))
    random = np.random.default_rng(1)
    times = np.arange(0, TWO_HOURS_MS + 1, SCAN_MS)
    real = [name for name, track in result.trace.tracks.items() if track.kind == "real" and not track.step]
    made = {name: _noisy(result.trace.tracks[name], times, random) for name in real[:SIGNALS]}
    return evolve(result, trace=Trace({**result.trace.tracks, **made}, TWO_HOURS_MS), end_ms=TWO_HOURS_MS)


def _noisy(track: Track, times: Any, random: Any) -> Track:
    values = np.interp(times, track.times_ms, track.values) * (1 + 0.001 * random.standard_normal(len(times)))
    values[random.integers(0, len(times), 50)] *= 1.2
    return evolve(track, times_ms=times, values=values, low=None, high=None)
