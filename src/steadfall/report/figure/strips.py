"""The timing strip: filled while true, a thin line while false, hatched while unknown.

Rule of this file: a strip never lies by leaving out. Doses too narrow to stand apart on the sheet are drawn
together as a shade whose darkness is the share of time open; no opening, however short, vanishes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from attrs import frozen

from steadfall.quantities import clock, how_long
from steadfall.report.figure.scale import Scale
from steadfall.report.figure.svg import short, tag, title

Span = tuple[int, int]  # from, to, ms

APART = 2.5  # px: a gap or a dose narrower than this, next to another, is drawn as a shade
BUCKET = 8.0  # px over which a shade is taken
WIDE = 12.0  # px: an opening wider than this is always drawn to scale
ALIKE = 0.08  # shares of time that are drawn as one shade
SLANT = 5.0  # px between the strokes of the hatching
HAIR = 0.8  # px: the least width of an opening that stands alone


@frozen
class Piece:
    """A piece of a strip on the sheet: its edges in px; the share of it that is open; the openings that begin
    in it.
    """

    left: float
    right: float
    share: float
    openings: tuple[Span, ...]
    alone: bool = False  # it shows one opening, to scale


def pieces(openings: Sequence[Span], x: Scale) -> list[Piece]:
    """The openings in sight, each alone where it can stand apart, else shaded together."""
    seen = [span for span in openings if span[1] > x.low and span[0] < x.high]
    found: list[Piece] = []
    for cluster in _clusters(seen, x):
        found += [_alone(cluster[0], x)] if len(cluster) == 1 else _shaded(cluster, x)
    return found


def _clusters(seen: Sequence[Span], x: Scale) -> Iterator[list[Span]]:
    """Neighbours that are too near each other to stand apart."""
    cluster: list[Span] = []
    for span in seen:
        if cluster and not _near(cluster[-1], span, x):
            yield cluster
            cluster = []
        cluster.append(span)
    if cluster:
        yield cluster


def _near(before: Span, after: Span, x: Scale) -> bool:
    gap = x(after[0]) - x(before[1])
    widths = (x(before[1]) - x(before[0]), x(after[1]) - x(after[0]))
    if max(widths) > WIDE:
        return False
    return gap < APART or (min(widths) < APART and gap < 2 * APART)


def _alone(span: Span, x: Scale) -> Piece:
    left, right = max(x.start, x(span[0])), min(x.end, x(span[1]))
    return Piece(left, max(right, left + HAIR), 1.0, (span,), alone=True)


def _shaded(cluster: Sequence[Span], x: Scale) -> list[Piece]:
    """Equal buckets from the first opening to the last, each as dark as its share of time open."""
    left, right = max(x.start, x(cluster[0][0])), min(x.end, x(cluster[-1][1]))
    count = max(1, round((right - left) / BUCKET))
    width = max(HAIR, right - left) / count
    open_px = [0.0] * count
    held: list[list[Span]] = [[] for _ in range(count)]
    for span in cluster:
        a, b = max(left, x(span[0])) - left, min(right, x(span[1])) - left
        first = min(count - 1, int(a / width))
        held[first].append(span)
        for index in range(first, min(count - 1, int(b / width)) + 1):
            open_px[index] += max(0.0, min(b, (index + 1) * width) - max(a, index * width))
    return _joined(
        Piece(left + index * width, left + (index + 1) * width, open_px[index] / width, tuple(held[index]))
        for index in range(count)
    )


def _joined(buckets: Iterator[Piece]) -> list[Piece]:
    """Neighbouring buckets of about the same darkness as one piece, with their mean."""
    joined: list[Piece] = []
    for piece in buckets:
        if joined and abs(joined[-1].share - piece.share) < ALIKE:
            before = joined[-1]
            open_px = before.share * (before.right - before.left) + piece.share * (piece.right - piece.left)
            share = open_px / (piece.right - before.left)
            joined[-1] = Piece(before.left, piece.right, share, before.openings + piece.openings)
        else:
            joined.append(piece)
    return joined


def strip(
    name: str,
    openings: Sequence[Span],
    unknown: Sequence[Span],
    x: Scale,
    box: tuple[float, float],
    *,
    opens: bool = True,
) -> str:
    """The strip of one signal as markup; `box` is its top and height on the sheet. `opens`: it is open and
    shut, as a valve is; else on and off.
    """
    top, height = box
    foot = top + height
    shut = tag("path", class_="shut", d=f"M{short(x.start)} {short(foot - 0.5)}H{short(x.end)}")
    drawn = "".join(_drawn(piece, top, height, "open" if opens else "on") for piece in pieces(openings, x))
    hatched = "".join(_hatched(span, x, top, height) for span in unknown)
    return tag("g", shut, tag("g", drawn or " ", class_="open"), hatched, class_="strip", data_strip=name,
               data_box=f"{short(top)} {short(height)}", data_signal=None if opens else "")  # fmt: skip


def _drawn(piece: Piece, top: float, height: float, said: str) -> str:
    width = f"{piece.right - piece.left:.2f}"
    place = {"x": short(piece.left), "y": short(top), "width": width, "height": short(height)}
    if piece.alone:
        start, end = piece.openings[0]
        words = f"{said} {clock(start, fine=True)} to {clock(end, fine=True)}, {how_long(end - start)}"
        return tag("rect", title(words), class_="one", data_from=start, data_to=end, **place)
    return tag("rect", class_="many", opacity=f"{shade(piece.share):.2f}", **place)


def shade(share: float) -> float:
    """The darkness of a shade: never so pale that it looks shut, never so dark that it looks open for
    good.
    """
    return 0.15 + 0.6 * share


def _hatched(span: Span, x: Scale, top: float, height: float) -> str:
    """Slanting strokes from edge to edge."""
    left, right = max(x.start, x(span[0])), min(x.end, x(span[1]))
    if right <= left:
        return ""
    starts = [left + SLANT * index for index in range(max(1, int((right - left) / SLANT)))]
    strokes = "".join(
        f"M{short(start)} {short(top + height)}l{short(SLANT)} {short(-height)}" for start in starts
    )
    edge = f"M{short(left)} {short(top)}H{short(right)}V{short(top + height)}H{short(left)}Z"
    return tag(
        "path", title("not known"), class_="unknown", d=strokes + edge, data_from=span[0], data_to=span[1]
    )
