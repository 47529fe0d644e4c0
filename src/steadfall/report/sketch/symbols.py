"""How each symbol and each box of a sketch is drawn: two tables of paths."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from steadfall.report.figure.svg import short, tag
from steadfall.report.sketch.parts import Area, Box, Sign, Sort, Symbol

TOOTH = 14.0  # px from bend to bend of a path
SLANT = 5.0  # px between the strokes of the hatching


def _d(shape: str, x: float, y: float, look: str) -> str:
    return tag("path", class_=look, d=shape, transform=f"translate({short(x)} {short(y)})")


def _valve(look: str) -> Callable[[float, float], str]:
    body = "M-14 -8V8L14 -8V8Z"
    actuator = "M0 0V-14M-7 -14H7V-27H-7Z"
    return lambda x, y: _d(body, x, y, look) + _d(actuator, x, y, "thin")


def _relief(x: float, y: float) -> str:
    body = "M-8 14H8L0 0ZM14 -8V8L0 0Z"
    spring = "M0 0V-7M-5 -9L5 -12L-5 -15L5 -18L-5 -21"
    return _d(body, x, y, "full") + _d(spring, x, y, "thin")


def _pump(x: float, y: float) -> str:
    circle = tag("circle", class_="hollow", cx=x, cy=y, r=12)
    return circle + _d("M-5 -10.9L12 0L-5 10.9", x, y, "thin")


def _compressor(x: float, y: float) -> str:
    circle = tag("circle", class_="hollow", cx=x, cy=y, r=12)
    return circle + _d("M-9 -8L10.5 -5.5M-9 8L10.5 5.5", x, y, "thin")


SIGNS: Mapping[Sign, Callable[[float, float], str]] = {
    Sign.VALVE_SHUT: _valve("full"),
    Sign.VALVE_OPEN: _valve("hollow"),
    Sign.RELIEF: _relief,
    Sign.PUMP: _pump,
    Sign.COMPRESSOR: _compressor,
    Sign.RESISTANCE: lambda x, y: _d("M-3 -9V9M3 -9V9", x, y, "bars"),
    Sign.INSTRUMENT: lambda x, y: tag("circle", class_="hollow", cx=x, cy=y, r=12.5),
    Sign.OUTSIDE: lambda x, y: _d("M0 -5L11 0L0 5Z", x, y, "full"),
    Sign.POINT: lambda x, y: tag("circle", class_="full", cx=x, cy=y, r=2.5),
}


def _rect(look: str) -> Callable[[Box], str]:
    return lambda box: tag(
        "rect", class_=look, x=box.left, y=box.top, width=box.right - box.left, height=box.bottom - box.top
    )


def _flag(look: str) -> Callable[[Box], str]:
    def drawn(box: Box) -> str:
        middle = (box.top + box.bottom) / 2
        tip = f"L{short(box.right)} {short(middle)}L{short(box.right - 10)} {short(box.bottom)}"
        d = f"M{short(box.left)} {short(box.top)}H{short(box.right - 10)}{tip}H{short(box.left)}Z"
        return tag("path", class_=look, d=d)

    return drawn


def _bends(box: Box, sharp: bool) -> str:
    """The line of a path back and forth between the ends of its box."""
    middle, count = (box.top + box.bottom) / 2, int((box.right - box.left - 20) / TOOTH)
    x = (box.left + box.right - TOOTH * count) / 2
    d = f"M{short(box.left)} {short(middle)}H{short(x)}"
    for number in range(count):
        y = box.top + 1 if number % 2 == 0 else box.bottom - 1
        if sharp:
            d += f"V{short(y)}h{short(TOOTH)}"
        else:
            d += f"Q{short(x + TOOTH / 2)} {short(2 * y - middle)} {short(x + TOOTH)} {short(middle)}"
        x += TOOTH
    return d + f"V{short(middle)}H{short(box.right)}"


def _drilled(box: Box) -> str:
    """Holes in the metal: two hidden edges, as on a drawing."""
    edges = "".join(
        f"M{short(box.left)} {short(y)}H{short(box.right)}" for y in (box.top + 4, box.bottom - 4)
    )
    middle = (box.top + box.bottom) / 2
    line = f"M{short(box.left)} {short(middle)}H{short(box.right)}"
    return tag("path", class_="hidden", d=edges) + tag("path", class_="pipe both", d=line)


def _jacket(box: Box) -> str:
    """A hollow channel on the outside."""
    middle = (box.top + box.bottom) / 2
    line = f"M{short(box.left)} {short(middle)}H{short(box.right)}"
    return _rect("jacket")(box) + tag("path", class_="pipe both", d=line)


def _shut(box: Box) -> str:
    foot = short(box.bottom - 0.5)
    return tag("path", class_="strip shut", d=f"M{short(box.left)} {foot}H{short(box.right)}")


def _open(box: Box) -> str:
    wide = f"{box.right - box.left:.2f}"
    return tag(
        "rect", class_="strip open", x=f"{box.left:.2f}", y=box.top, width=wide, height=box.bottom - box.top
    )


def _any(box: Box) -> str:
    """Slanting strokes from edge to edge."""
    tall = box.bottom - box.top
    count = int((box.right - box.left - SLANT) / SLANT) + 1
    starts = [box.left + SLANT * number for number in range(count)]
    strokes = "".join(f"M{short(x)} {short(box.bottom)}l{short(SLANT)} {short(-tall)}" for x in starts)
    return _rect("strip any")(box) + tag("path", class_="strip any", d=strokes)


SORTS: Mapping[Sort, Callable[[Box], str]] = {
    Sort.SUPPLY: _flag("flag"),
    Sort.FLAG: _flag("flag on"),
    Sort.BODY: _rect("body"),
    Sort.STREAM: _rect("body stream"),
    Sort.DRILLED: _drilled,
    Sort.COIL: lambda box: tag("path", class_="pipe both", d=_bends(box, sharp=False)),
    Sort.JACKET: _jacket,
    Sort.CHANNEL: lambda box: tag("path", class_="pipe both", d=_bends(box, sharp=True)),
    Sort.OPEN: _open,
    Sort.SHUT: _shut,
    Sort.ANY: _any,
}


def symbol(one: Symbol) -> str:
    """A symbol as markup."""
    return SIGNS[one.sign](one.x, one.y)


def area(one: Area) -> str:
    """A box as markup."""
    return SORTS[one.sort](one.box)
