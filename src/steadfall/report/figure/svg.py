"""Scalable vector graphics as text: one function that writes a tag, and short numbers."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from itertools import chain


def short(value: float) -> str:
    """A coordinate to a tenth of a pixel without needless characters."""
    text = f"{value:.1f}"
    text = text.removesuffix(".0")
    return "0" if text == "-0" else text


def fixed(value: float, digits: int) -> str:
    """A number with so many decimals, never `-0.0`."""
    shown = f"{value:.{digits}f}"
    return shown.removeprefix("-") if float(shown) == 0 else shown


def tag(name: str, *children: str, **attributes: object) -> str:
    """A tag with its children (already markup); attribute names lose a trailing `_` and `_` becomes `-`."""
    parts = [name]
    for key, value in attributes.items():
        if value is None:
            continue
        shown = short(value) if isinstance(value, float) else str(value)
        parts.append(f'{key.rstrip("_").replace("_", "-")}="{escape(shown)}"')
    head = " ".join(parts)
    return f"<{head}>{''.join(children)}</{name}>" if children else f"<{head}/>"


def text(content: str, x: float, y: float, **attributes: object) -> str:
    """A line of text, escaped."""
    return tag("text", escape(content), x=float(x), y=float(y), **attributes)


def line(x1: float, y1: float, x2: float, y2: float, **attributes: object) -> str:
    """A straight line."""
    return tag("path", d=f"M{short(x1)} {short(y1)}L{short(x2)} {short(y2)}", **attributes)


def polyline(points: Iterable[tuple[float, float]]) -> str:
    """The path through the points, as the `d` of a path; its numbers are `short`, written all at once."""
    flat = tuple(chain.from_iterable(points))
    drawn = ("L%.1f %.1f" * (len(flat) // 2) % flat)[1:] + "L"
    for long, less in ((".0 ", " "), (".0L", "L"), ("L-0 ", "L0 "), (" -0L", " 0L")):
        drawn = drawn.replace(long, less)
    return "M" + drawn.removesuffix("L").removeprefix("-" if drawn.startswith("-0 ") else "")


def title(content: str) -> str:
    """The words that a reader gets when pointing at a shape, escaped."""
    return tag("title", escape(content))
