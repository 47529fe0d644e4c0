"""A sketch as SVG: complete as it stands, and each thing with its name and its line of the plan for a page.

Rule of this file: `data-of` names a thing, `data-line` its line; the words of a plan are escaped.
"""

from __future__ import annotations

from functools import cache
from html import escape
from pathlib import Path

from steadfall.report.figure.svg import polyline, short, tag, title
from steadfall.report.figure.svg import text as words
from steadfall.report.sketch.parts import Part, Pipe, Sketch, Sort, Word
from steadfall.report.sketch.symbols import area, symbol

BEHIND = (Sort.BODY, Sort.STREAM)  # what pipes are drawn upon


@cache
def style() -> str:
    """The style sheet of sketches, for a page that holds several; one alone carries its own."""
    return (Path(__file__).parent / "sketch.css").read_text(encoding="utf-8")


def draw_sketch(sketch: Sketch, *, alone: bool = False) -> str:
    """The sketch as an `svg` element; `alone`: with its style sheet, to be a file of its own."""
    behind = [part for part in sketch.parts if any(one.sort in BEHIND for one in part.areas)]
    before = [part for part in sketch.parts if part not in behind]
    made: str = tag(
        "svg",
        title(sketch.title),
        f"<style>{escape(style(), quote=False)}</style>" if alone else "",
        *(_part(one) for one in behind),
        tag("g", *(_pipe(one) for one in sketch.pipes), class_="pipes", aria_hidden="true"),
        *(_part(one) for one in before),
        *(_word(one) for one in sketch.notes),
        xmlns="http://www.w3.org/2000/svg",
        class_="sketch alone" if alone else "sketch",
        viewBox=f"0 0 {short(sketch.width)} {short(sketch.height)}",
        width=short(sketch.width),
        height=short(sketch.height),
        role="group",
        aria_label=sketch.title,
    )
    return made


def _part(part: Part) -> str:
    shapes = [*map(area, part.areas), *map(symbol, part.symbols)]
    drawn = [title(part.words), *shapes, *(_word(word) for word in part.names)]
    return tag("g", *drawn, class_="part", role="img", aria_label=part.words, data_of=part.of,
               data_line=part.line or None)  # fmt: skip


def _pipe(pipe: Pipe) -> str:
    return tag("path", class_=f"pipe {pipe.carries.name.lower()}", d=polyline(pipe.points))


def _word(word: Word) -> str:
    return words(word.text, word.x, word.y, class_=f"{word.look} {word.align}")
