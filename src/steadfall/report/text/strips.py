"""The timing strip in a terminal: the same picture in letters.

Rule of this file: as on paper, filled while true, a thin line while false, hatched while unknown; a cell of
the strip that holds both is shaded, so that no change, however short, vanishes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby, pairwise

from attrs import frozen

from steadfall.prove.explain.events import without_power
from steadfall.quantities import clock
from steadfall.report.figure.scale import time_ticks
from steadfall.report.figure.strips import Span
from steadfall.trace.trace import Trace, Track

BLOCKS = {"true": "█", "false": "▁", "some": "░▒▓", "unknown": "╱", "moment": "│"}
NO_POWER = "no power"
PLAIN = {"true": "#", "false": "_", "some": "-+*", "unknown": "/", "moment": "|"}


@frozen
class Moment:
    """A moment to be marked, with its caption."""

    time_ms: int
    caption: str


def strips_text(
    trace: Trace,
    names: Sequence[str],
    window: tuple[int, int] | None = None,
    *,
    width: int = 100,
    plain: bool = False,
    moment: Moment | None = None,
    states: Mapping[str, Sequence[str]] | None = None,
    cuts: Sequence[Span] = (),
) -> str:
    """Strips of the named signals over a window of ms, a row each, with a time axis; `plain` keeps to ASCII.

    `states` are the words for the numbers of a signal, such as the names of stages; `cuts` the stretches
    without power.
    """
    start, end = window or (0, trace.end_ms)
    letters = PLAIN if plain else BLOCKS
    side = max([len(name) for name in names], default=0) + 2
    cells = max(10, width - side)
    edges = [start + (end - start) * index / cells for index in range(cells + 1)]
    known = states or {}
    drawn = (
        _states(trace.tracks[name], edges, known[name], cuts)
        if name in known
        else _row(trace, name, edges, letters)
        for name in names
    )
    rows = [f"{name:<{side}}{row}" for name, row in zip(names, drawn, strict=True)]
    captions = []
    fails = [Moment(begin, without_power(end - begin)) for begin, end in cuts if start <= begin <= end]
    for one in (*fails, *([moment] if moment else [])):
        place = side + min(cells - 1, max(0, int((one.time_ms - start) / max(1, end - start) * cells)))
        rows = [_cut_in(row, place, letters["moment"]) for row in rows]
        captions.append(_caption(one, place, width))
    return "\n".join([*rows, *captions, _axis(start, end, side, cells)])


def _row(trace: Trace, name: str, edges: Sequence[float], letters: Mapping[str, str]) -> str:
    track = trace.tracks[name]
    if track.kind == "bool":
        begins = track.times_ms[0] if len(track.times_ms) else trace.end_ms
        openings = trace.openings(name)
        return "".join(
            _cell(openings, a, b, letters, known=b > begins and a < trace.end_ms) for a, b in pairwise(edges)
        )
    return _numbers(track, edges)


def _cell(openings: Sequence[Span], a: float, b: float, letters: Mapping[str, str], *, known: bool) -> str:
    if not known:
        return letters["unknown"]
    held = sum(max(0.0, min(b, end) - max(a, start)) for start, end in openings)
    share = held / (b - a)
    if share >= 1 - 1e-9:
        return letters["true"]
    if share <= 0:
        return letters["false"]
    some = letters["some"]
    return some[min(len(some) - 1, int(share * len(some)))]


def _numbers(track: Track, edges: Sequence[float]) -> str:
    """A held number: written where it changes, then a line of dots while it stays."""
    row = ""
    before: object = None
    for start, end in pairwise(edges):
        value = track.at((start + end) / 2)
        if value != before:
            shown = f"{value:g}"
            row, before = row + shown, value
        elif len(row) <= int((end - edges[0]) / (end - start)) - 1:
            row += "·"
    return row[: len(edges) - 1]


def _states(track: Track, edges: Sequence[float], words: Sequence[str], cuts: Sequence[Span]) -> str:
    """A state by its name from where it is entered, cut short where the next one comes soon."""
    middles = [(start + end) / 2 for start, end in pairwise(edges)]
    states = [NO_POWER if _within(middle, cuts) else words[int(track.at(middle))] for middle in middles]
    row = ""
    for state, cells in groupby(states):
        width = len(list(cells))
        row += ("|" + state)[:width].ljust(width, "·")
    return row


def _within(ms: float, spans: Sequence[Span]) -> bool:
    return any(start <= ms < end for start, end in spans)


def _cut_in(row: str, place: int, letter: str) -> str:
    """The line of a moment in a row; a number or name that begins there is left whole."""
    return row if row[place : place + 1].isalnum() else row[:place] + letter + row[place + 1 :]


def _caption(moment: Moment, place: int, width: int) -> str:
    """The caption under the line, to its left where it would run over the edge."""
    words = f"{clock(moment.time_ms, fine=True)} {moment.caption}".rstrip()
    if place + len(words) + 2 <= width:
        return " " * place + "└ " + words
    return " " * max(0, place - len(words) - 1) + words + " ┘"


def _axis(start: int, end: int, side: int, cells: int) -> str:
    """Round moments under the strips, as many as have room."""
    moments = time_ticks(start, end, max(2, cells // 14))
    fine = len(moments) > 1 and moments[1] - moments[0] < 1000
    row = [" "] * (side + cells + 12)
    for ms in moments:
        place = side + int((ms - start) / max(1, end - start) * cells)
        label = "|" + clock(ms, fine=fine)
        if place + len(label) <= side + cells or len(moments) == 1:
            row[place : place + len(label)] = label
    return "".join(row)[: side + cells].rstrip() if moments else ""
