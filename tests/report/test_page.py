"""The report says everything that the prediction holds, needs nothing from outside, and is the same each
time.
"""

from __future__ import annotations

import json
import re
import sys
from html.parser import HTMLParser
from pathlib import Path
from xml.etree.ElementTree import fromstring

import pytest
from attrs import evolve

import steadfall
from steadfall.predict.outcome.result import Prediction
from steadfall.predict.outcome.verdict import Finer, FinerGrid, Verdict
from steadfall.quantities import US, USED
from steadfall.report.page.prediction import page, write_report
from steadfall.report.words.cautions import CAUTIONS
from steadfall.report.words.names import sentence as said
from steadfall.source import OutsideError
from tests.report.made import TEXT, made_prediction, unkept

EMPTY = {"meta", "br", "link", "img", "input", "hr"}


class Reader(HTMLParser):
    """Reads a page: are its tags closed in order, which ids and links are there, what is its text."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.words: list[str] = []
        self.loads: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if tag not in EMPTY:
            self.open.append(tag)
        if found.get("id"):
            self.ids.append(str(found["id"]))
        if tag == "a":
            self.links.append(str(found["href"]))
        self.loads += [
            str(found[key]) for key in ("src", "href", "action", "data") if tag != "a" and key in found
        ]

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        self.open.remove(tag) if tag in self.open else None

    def handle_endtag(self, tag: str) -> None:
        assert self.open, f"</{tag}> closes nothing"
        assert self.open[-1] == tag, f"</{tag}> after {self.open[-3:]}"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] not in {"script", "style"}:
            self.words.append(data)


def read(text: str) -> Reader:
    reader = Reader()
    reader.feed(text)
    reader.close()
    return reader


def test_it_is_whole(report: str) -> None:
    reader = read(report)
    assert reader.open == []
    assert len(reader.ids) == len(set(reader.ids))
    assert all(link.removeprefix("#") in reader.ids for link in reader.links)


def test_it_names_every_limit_goal_valve_note_and_caution(report: str, prediction: Prediction) -> None:
    words = " ".join(read(report).words)
    plan = prediction.plan
    for limit in plan.limits:
        assert said(limit.text) in words
    for goal in plan.goals:
        assert said(goal.text) in words
    for use in prediction.valves:
        assert use.valve in words
    for note in prediction.notes:
        assert note.sentence in words
    for name, sentence in CAUTIONS:
        assert name in words
        assert sentence in words
    assert plan.title in words
    assert plan.digest in words
    assert prediction.scenario in words


def test_rows_lead_to_their_plan_lines(report: str, prediction: Prediction) -> None:
    links = read(report).links
    places = [limit.at for limit in prediction.plan.limits] + [goal.at for goal in prediction.plan.goals]
    for place in places:
        assert f"#line-{place.own.line}" in links
    assert all(line in " ".join(read(report).words) for line in TEXT.splitlines())


def test_it_loads_nothing(report: str) -> None:
    assert read(report).loads == []
    without_name = report.replace("http://www.w3.org/2000/svg", "")
    assert not re.search(r"https?:|//[a-z]+\.|url\(|@import|fetch\(|XMLHttp|import\(", without_name)


def test_it_is_the_same_each_time(report: str) -> None:
    assert page(made_prediction()) == report


def test_it_bears_a_date_only_when_given(report: str, prediction: Prediction) -> None:
    assert "Printed" not in report
    assert f"<dt>Made by</dt><dd>Steadfall {steadfall.__version__}</dd>" in page(prediction)
    assert re.search("<dt>Date</dt><dd>\N{NO-BREAK SPACE}+</dd>", page(prediction))
    assert re.search("<dt>Name</dt><dd>\N{NO-BREAK SPACE}+</dd>", page(prediction))
    assert "2031-02-03" in page(prediction, dated="2031-02-03")


def test_foreign_text_stays_text() -> None:
    nasty = "<script>alert('x')</script> & </style>"
    made = made_prediction(text=f"title: {nasty}\n", title=nasty)
    text = page(evolve(made, scenario=nasty, ended=nasty))
    assert "<script>alert" not in text
    reader = read(text)
    assert reader.open == []
    assert nasty in " ".join(reader.words)


def test_both_figures_are_well_formed(report: str) -> None:
    figures = re.findall(r"<svg [^>]*id=.*?</svg>\n", report, re.S)
    assert len(figures) == 2
    for figure in figures:
        fromstring(figure)


def test_the_records_are_json(report: str) -> None:
    found = re.search(r'<script type="application/json" id="records">(.*?)</script>', report, re.S)
    assert found is not None
    assert set(json.loads(found[1])) == {"series", "strips"}


def test_open_books_are_told_aloud(prediction: Prediction) -> None:
    words = " ".join(read(page(unkept(prediction))).words)
    assert "THE BOOKS DO NOT CLOSE" in words
    assert "DOES NOT CLOSE" in words
    assert "stopped early" in words


def test_a_broken_limit_is_told_in_words_and_shape(prediction: Prediction) -> None:
    first = evolve(prediction.limits[2], verdict=Verdict.BROKEN)
    text = page(evolve(prediction, limits=(*prediction.limits[:2], first, prediction.limits[3])))
    assert "BROKEN" in text
    assert 'class="note end broken"' in text
    assert 'class="mark bad"' in text


def test_what_hangs_on_the_grid_is_told_in_words_and_shape(prediction: Prediction) -> None:
    grid = FinerGrid(80, 0.02, complete=False, ended="it left what can be computed")
    row = evolve(prediction.limits[2], verdict=Verdict.NOT_RESOLVED, finer=Finer(4.6e5, grid))
    kept = evolve(prediction, limits=(row,), goals=(), finer=(grid,))
    text = page(kept)
    assert "NOT RESOLVED. No limit is broken." in text
    assert "What hangs on the grid: limit 1, the end of the run." in text
    assert '<td class="number">3.59 barg</td>' in text
    assert "With 80 cells the run did not come to its end: it left what can be computed." in text


def test_it_is_small(report: str) -> None:
    assert len(report.encode()) < 1_000_000


def test_it_is_written(tmp_path: Path, prediction: Prediction, report: str) -> None:
    path = write_report(prediction, tmp_path / "new")
    assert path.name == "report.html"
    assert path.read_text(encoding="utf-8") == report


def test_a_folder_that_cannot_be_written_is_a_sentence(tmp_path: Path, prediction: Prediction) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutsideError, match="cannot write"):
        write_report(prediction, tmp_path / "file")


def test_a_missing_package_is_a_sentence(monkeypatch: pytest.MonkeyPatch, prediction: Prediction) -> None:
    monkeypatch.setitem(sys.modules, "jinja2", None)
    monkeypatch.delitem(sys.modules, "steadfall.report.page.template", raising=False)
    with pytest.raises(OutsideError, match="pip install"):
        page(prediction)


def test_a_plan_without_aims_and_a_short_run(prediction: Prediction) -> None:
    plan = evolve(prediction.plan, limits=(), goals=(), revised="", digest="")
    bare = evolve(
        prediction,
        plan=plan,
        limits=(),
        goals=(),
        notes=(),
        trace=prediction.trace.slice(0, 60_000),
        end_ms=60_000,
    )
    text = page(bare)
    assert "The plan sets no limit" in text
    assert text.count('class="figure"') == 1


def test_the_piping_and_the_stages_are_drawn_from_the_plan(prediction: Prediction, report: str) -> None:
    for name in prediction.plan.circuits:
        for valve in prediction.plan.type_of(name).valves:
            assert f'data-of="{name}.{valve}"' in report
    for kind in {one.type for one in prediction.plan.circuits.values()}:
        for step in prediction.plan.circuit_types[kind].step_names:
            assert f'data-of="{kind}.{step}"' in report


def test_the_tables_of_use_are_read_in_us_units(prediction: Prediction) -> None:
    """Water in pounds, heat in thousands of Btu, pressure in psig; and the figures with them."""
    shown = page(evolve(prediction, units=US))
    use = shown[shown.index('<section id="use">') :].partition("</section>")[0]
    assert re.findall(r"<small>([^<]+)</small>", use) == [*("lb",) * 4, "kBtu", "psig"]
    assert "Heat kBtu" in use
    water = US.of(USED).number(prediction.circuits[0].water)
    assert f'<td class="number">{water}</td>' in use
    usual = page(prediction)
    assert "<small>MJ</small>" in usual
    assert f'<td class="number">{prediction.circuits[0].water:.1f}</td>' in usual
