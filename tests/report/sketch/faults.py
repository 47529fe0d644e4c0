"""What is wrong with a sketch as a drawing: words upon words, lines through words, lines that cross."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from steadfall.report.sketch.letters import Look
from steadfall.report.sketch.parts import Box, Pipe, Sketch, Sort, Symbol, Word

AREAS = (Sort.BODY, Sort.STREAM)  # in which things stand


def faults(sketch: Sketch) -> list[str]:
    """Every fault, in words; none in a good drawing."""
    return [*_words(sketch), *_lines(sketch), *_crossings(sketch.pipes), *_symbols(sketch), *_edges(sketch)]


def words(sketch: Sketch) -> list[Word]:
    """All words on the sheet."""
    return [*(word for part in sketch.parts for word in part.names), *sketch.notes]


def _words(sketch: Sketch) -> Iterator[str]:
    for one, other in combinations(words(sketch), 2):
        if one.box.overlaps(other.box):
            yield f"'{one.text}' upon '{other.text}'"
    areas = [area for part in sketch.parts for area in part.areas]
    for word in words(sketch):
        for area in areas:
            if word.box.overlaps(area.box) and not area.box.holds(word.box):
                yield f"'{word.text}' over the edge of a {area.sort}"
        if word.look is not Look.LETTERS:
            for symbol in _every_symbol(sketch):
                if word.box.overlaps(symbol.box) and not _beside(symbol, word):
                    yield f"'{word.text}' upon a {symbol.sign}"


def _beside(symbol: Symbol, word: Word) -> bool:
    """Whether words are beside the stem of a valve's actuator, or of a relief valve's spring, which is less
    wide than its box.
    """
    return word.box.left >= symbol.x + 7.5 and word.box.bottom <= symbol.y - 4


def _every_symbol(sketch: Sketch) -> list[Symbol]:
    return [symbol for part in sketch.parts for symbol in part.symbols]


def _lines(sketch: Sketch) -> Iterator[str]:
    for pipe in sketch.pipes:
        for piece in pipe.pieces:
            for word in words(sketch):
                if _thick(piece).overlaps(word.box):
                    yield f"a line of {pipe.carries} through '{word.text}'"


def _thick(piece: Box) -> Box:
    return Box(piece.left - 1, piece.top - 1, piece.right + 1, piece.bottom + 1)


def _crossings(pipes: tuple[Pipe, ...]) -> Iterator[str]:
    """Lines that cross, and lines of different content on top of each other; where one ends on another they
    meet.
    """
    for one, other in combinations(pipes, 2):
        for a in one.pieces:
            for b in other.pieces:
                across, up = (a, b) if a.top == a.bottom else (b, a)
                if across.left < up.left < across.right and up.top < across.top < up.bottom:
                    yield f"{one.carries} crosses {other.carries} at {up.left:.0f}, {across.top:.0f}"
                if one.carries is not other.carries and _upon(a, b):
                    yield f"{one.carries} upon {other.carries} at {a.left:.0f}, {a.top:.0f}"


def _upon(a: Box, b: Box) -> bool:
    level = a.top == a.bottom == b.top == b.bottom and a.left < b.right and b.left < a.right
    upright = a.left == a.right == b.left == b.right and a.top < b.bottom and b.top < a.bottom
    return level or upright


def _symbols(sketch: Sketch) -> Iterator[str]:
    for one, other in combinations(_every_symbol(sketch), 2):
        if one.box.overlaps(other.box):
            yield f"a {one.sign} upon a {other.sign} at {one.x:.0f}, {one.y:.0f}"
    boxes = [area.box for part in sketch.parts for area in part.areas]
    for symbol in _every_symbol(sketch):
        for box in boxes:
            if symbol.box.overlaps(box) and not box.holds(symbol.box):
                yield f"a {symbol.sign} over the edge of a box at {symbol.x:.0f}, {symbol.y:.0f}"
    for first, second in combinations(boxes, 2):
        if first.overlaps(second) and not (first.holds(second) or second.holds(first)):
            yield f"two boxes overlap at {first.left:.0f}, {first.top:.0f}"


def _edges(sketch: Sketch) -> Iterator[str]:
    sheet = Box(0, 0, sketch.width, sketch.height)
    for word in words(sketch):
        if not sheet.holds(word.box):
            yield f"'{word.text}' beyond the sheet"
    for symbol in _every_symbol(sketch):
        if not sheet.holds(symbol.box):
            yield f"a {symbol.sign} beyond the sheet"
