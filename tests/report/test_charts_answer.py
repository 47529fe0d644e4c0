"""Charts answer in a browser: what is pointed at, clicked and pressed is shown; finer records are asked for.

Rule of this file: one page, one visit; the page plays a person, and says what it saw.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from steadfall.predict.outcome.result import Prediction
from steadfall.report.page import charts as module
from steadfall.report.page.charts import charts, finer

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
SCRIPT = (Path(module.__file__).parent / "figure.js").read_text(encoding="utf-8")
PLAY = """
// frames come by the page's own clock, so that a busy machine changes nothing
globalThis.requestAnimationFrame = (draw) => setTimeout(draw, 0);
(async () => {
const at = document.getElementById("at"), asked = [], seen = {}, data = DATA, moving = MOVING;
const more = async (a, b) => { asked.push([a, b]); return FINER; };
steadfallCharts.draw(at, data, {more});
let svg = at.querySelector("svg");
const wait = (ms) => new Promise((done) => setTimeout(done, ms));
const key = (name) => svg.dispatchEvent(new KeyboardEvent("keydown", {key: name, bubbles: true}));
const times = () => [...svg.querySelectorAll(".times text")].map((one) => one.textContent);
const point = (kind, part) => {
  const box = svg.getBoundingClientRect(), [x0, x1] = svg.dataset.plot.split(" ").map(Number);
  const clientX = box.left + ((x0 + part * (x1 - x0)) / svg.viewBox.baseVal.width) * box.width;
  const where = {clientX, clientY: box.top + 50, button: 0, pointerId: 1, bubbles: true};
  svg.dispatchEvent(new PointerEvent(kind, where));
};
svg.setPointerCapture = () => {};
const ghosts = [...svg.querySelectorAll(".ghost")].map((one) => one.getAttribute("d") || "");
seen.ghosts = ghosts.filter((d) => d.length > 9).length;
const length = (one) => (one.getAttribute("d") || one.innerHTML).length;
const lengths = (what) => [...svg.querySelectorAll(what)].map(length);
const drawn = () => [".curve .line", ".curve .band", ".strip .open"].map(lengths);
seen.still = drawn();
seen.whole = times();
point("pointermove", 0.5);
seen.pointed = svg.querySelector("[data-now]").textContent;
seen.values = [...svg.querySelectorAll("[data-value]")].map((one) => one.textContent);
for (const part of [0.25, 0.75]) { point("pointerdown", part); point("pointerup", part); }
seen.between = at.querySelector(".readings").textContent;
const rows = [...at.querySelectorAll(".readings tbody tr")];
seen.said = Object.fromEntries(rows.map((row) => [row.cells[0].textContent, row.cells[1].textContent]));
key("Escape");
seen.unpinned = at.querySelector(".readings").hidden;
at.querySelector(".worst button:not(:disabled)").click();
await wait(400);
seen.jumped = at.querySelector(".readings th:nth-child(2)").textContent;
seen.near = times();
seen.asked = asked.length;
steadfallCharts.draw(at, data);
await wait(50);
svg = at.querySelector("svg");
seen.again = times();
seen.kept = at.querySelector(".readings th:nth-child(2)").textContent;
key("0");
await wait(50);
seen.back = times();
steadfallCharts.draw(at, moving);
svg = at.querySelector("svg");
seen.moved = drawn();
document.getElementById("seen").textContent = JSON.stringify(seen);
})();
"""
BACK = {"&lt;": "<", "&gt;": ">", "&amp;": "&"}


@pytest.fixture(scope="module")
def seen(prediction: Prediction, tmp_path_factory: pytest.TempPathFactory) -> Any:
    if BROWSER is None:
        pytest.skip("no chromium on this machine")
    former = evolve(prediction, end_ms=prediction.end_ms)
    drawn = json.dumps(charts(prediction, former))
    for name in ("upper.sweep", "upper.flood"):
        strip = f'data-strip=\\"{name}\\"'
        assert drawn.count(strip) == 1
        drawn = drawn.replace(strip, f'{strip} data-signal=\\"\\"')
    play = PLAY.replace("DATA", _safe(json.loads(drawn)), 1)
    play = play.replace("MOVING", _safe(charts(prediction, moving=True)), 1)
    play = play.replace("FINER", _safe(finer(prediction, 0, prediction.end_ms)), 1)
    page = tmp_path_factory.mktemp("page") / "page.html"
    page.write_text(
        f'<!DOCTYPE html><meta charset="utf-8"><div id="at"></div><pre id="seen"></pre>'
        f"<script>{SCRIPT}</script><script>{play}</script>",
        encoding="utf-8",
    )
    words = ["--headless", "--no-sandbox", "--disable-gpu", "--virtual-time-budget=20000", "--dump-dom"]
    ran = subprocess.run(
        [BROWSER, *words, f"--user-data-dir={page.parent / 'profile'}", page.as_uri()],
        capture_output=True,
        text=True,
        check=False,
    )
    found = re.search(r'<pre id="seen">(.+?)</pre>', ran.stdout, re.DOTALL)
    assert found is not None, ran.stderr
    return json.loads(re.sub("&(lt|gt|amp);", lambda one: BACK[one[0]], found[1]))


def _safe(data: Any) -> str:
    return json.dumps(data).replace("<", "\\u003c")


def test_the_run_before_is_drawn_behind(seen: Any, prediction: Prediction) -> None:
    assert seen["ghosts"] >= len(prediction.plan.bodies)


def test_the_cursor_shows_values_and_two_marks_their_difference(seen: Any, prediction: Prediction) -> None:
    middle = prediction.end_ms / 2
    minutes, _, seconds = seen["pointed"].removeprefix("at ").partition(":")
    assert (60 * int(minutes) + float(seconds)) * 1000 == pytest.approx(middle, rel=0.01)
    assert all(re.search(r"\d", value) for value in seen["values"])
    found = re.search(r"B − A ([\d.]+) s", seen["between"])
    assert found is not None
    assert float(found[1]) == pytest.approx(middle / 1000, rel=0.01)
    assert "before" in seen["between"]
    assert seen["unpinned"]


def test_a_valve_is_open_or_shut_and_a_signal_on_or_off(seen: Any) -> None:
    words = {name: said.split(" ")[0] for name, said in seen["said"].items()}
    assert words["lower.sweep"] == "open"
    assert words["lower.flood"] == "shut"
    assert words["upper.sweep"] == "on"  # said to be a signal
    assert words["upper.flood"] == "off"


def test_a_click_on_a_limit_goes_to_its_worst_moment(seen: Any, prediction: Prediction) -> None:
    worst = next(result.time_ms for result in prediction.limits if result.time_ms is not None)
    minutes, _, seconds = seen["jumped"].removeprefix("A ").partition(":")
    assert (60 * int(minutes) + float(seconds)) * 1000 == pytest.approx(worst, abs=1)
    assert seen["near"] != seen["whole"] == seen["back"]


def test_a_new_run_in_the_same_place_keeps_the_stretch_and_the_marks(seen: Any) -> None:
    assert seen["again"] == seen["near"]
    assert seen["kept"] == seen["jumped"]


def test_what_comes_without_its_curves_is_drawn_by_the_script(seen: Any) -> None:
    """A few letters may differ, as there are fewer records."""
    still, moved = ([[length > 9 for length in each] for each in seen[way]] for way in ("still", "moved"))
    assert still == moved
    assert all(any(each) for each in moved)


def test_finer_records_are_asked_for_once_where_the_view_is_near(seen: Any) -> None:
    assert seen["asked"] == 1
