"""A strip shows every opening: alone where it can be seen, shaded where not, and never loses time."""

from __future__ import annotations

from xml.etree.ElementTree import Element, fromstring

import pytest
from hypothesis import given
from hypothesis import strategies as some

from steadfall.predict.outcome.result import Prediction
from steadfall.report.figure.figure import draw_figure
from steadfall.report.figure.scale import Scale
from steadfall.report.figure.sheets import first_figure, whole_figure
from steadfall.report.figure.strips import Span, pieces, strip


@some.composite
def openings(draw: some.DrawFn) -> list[Span]:
    found, moment = [], 0
    for gap, length in draw(
        some.lists(some.tuples(some.integers(1, 50_000), some.integers(1, 80_000)), max_size=60)
    ):
        found.append((moment + gap, moment + gap + length))
        moment += gap + length
    return found


@given(spans=openings())
def test_every_opening_is_in_one_piece(spans: list[Span]) -> None:
    end = spans[-1][1] if spans else 1
    shown = [span for piece in pieces(spans, Scale(0, end, 0, 880)) for span in piece.openings]
    assert shown == spans


@given(spans=openings())
def test_the_ink_is_the_time_open(spans: list[Span]) -> None:
    end = spans[-1][1] + 1000 if spans else 1
    x = Scale(0, end, 0, 880)
    found = pieces(spans, x)
    ink = sum(piece.share * (piece.right - piece.left) for piece in found)
    truth = sum(x(b) - x(a) for a, b in spans)
    hairs = sum(piece.alone and piece.right - piece.left <= 0.8 for piece in found)
    assert ink == pytest.approx(truth, abs=0.8 * hairs + 1.2 + 0.15 * len(found))


def test_a_single_scan_in_an_hour_is_still_seen() -> None:
    (piece,) = pieces([(1_000_000, 1_000_020)], Scale(0, 3_600_000, 0, 880))
    assert piece.alone
    assert piece.right - piece.left >= 0.8


def test_crowded_doses_are_one_shade_of_their_share() -> None:
    doses = [(start, start + 800) for start in range(0, 2_400_000, 3_200)]
    found = pieces(doses, Scale(0, 2_400_000, 0, 880))
    assert len(found) == 1
    assert found[0].share == pytest.approx(0.25, abs=0.01)


def test_a_short_pause_in_a_long_opening_is_not_bridged() -> None:
    found = pieces([(0, 600_000), (601_000, 1_200_000)], Scale(0, 2_400_000, 0, 880))
    assert [piece.alone for piece in found] == [True, True]
    assert found[0].right < found[1].left


def test_unknown_is_hatched() -> None:
    drawn = strip("x", [(500, 900)], [(0, 200)], Scale(0, 1000, 0, 880), (10, 12))
    assert 'class="unknown"' in drawn
    assert "not known" in drawn


def test_openings_of_the_near_figure_are_those_of_the_trace(prediction: Prediction) -> None:
    figure = first_figure(prediction)
    assert figure is not None
    drawn = draw_figure(figure)
    for name in ("upper.mist", "lower.mist", "upper.sweep", "lower.flood"):
        spans = prediction.trace.openings(name)
        expected = [span for span in spans if figure.start_ms < span[1] and span[0] < figure.end_ms]
        assert shown(drawn, name) == expected


@pytest.mark.parametrize(("opens", "said"), [(True, "open"), (False, "on")])
def test_what_is_no_valve_is_on_where_a_valve_is_open(opens: bool, said: str) -> None:
    drawn = strip("call", [(1_000, 31_000)], (), Scale(0, 60_000, 0, 880), (0, 12), opens=opens)
    group = fromstring(drawn)
    assert ("data-signal" in group.attrib) != opens
    assert [one.text for one in group.iter() if one.tag == "title"] == [f"{said} 0:01.000 to 0:31.000, 30 s"]


def test_the_whole_figure_shades_what_it_cannot_show(prediction: Prediction) -> None:
    drawn = draw_figure(whole_figure(prediction))
    assert {rect.get("class") for rect in rects(drawn, "upper.mist")} == {"many", "one"}
    long = [span for span in prediction.trace.openings("upper.mist") if span[1] - span[0] > 60_000]
    assert shown(drawn, "upper.mist") == long


def rects(drawn: str, name: str) -> list[Element]:
    (group,) = [one for one in fromstring(drawn).iter() if one.get("data-strip") == name]
    return [one for one in group.iter() if one.tag.endswith("rect")]


def shown(drawn: str, name: str) -> list[Span]:
    one = [rect for rect in rects(drawn, name) if rect.get("class") == "one"]
    return [(int(rect.attrib["data-from"]), int(rect.attrib["data-to"])) for rect in one]
