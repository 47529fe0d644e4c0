"""What is read of an input: what it measures, its range, what it is handed, and when it is bad.

Rule of this file: as in `plan.read.equipment`.
"""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.dimensions import DIFFERENCES, DIMENSIONS
from steadfall.plan.keys.held import (
    Ends,
    Instead,
    Margin,
    Measured,
    Rooted,
    Sensed,
    Spanned,
)
from steadfall.plan.meaning.handed import AS_IT_IS, WHOLE, Handed, on_line
from steadfall.plan.meaning.names import quantities_of
from steadfall.plan.model import DIGITAL, Changes, Raw
from steadfall.plan.problems import UNREAD
from steadfall.plan.read.known import Here, Known
from steadfall.units import QuantityError, exact


def measures(sentence: Sensed | None, *, here: Here) -> str | None:
    """The quantity of the plant behind an input; the one of its own name, where there is one."""
    if sentence is not None:
        return sentence.of.text
    return here.name if here.name in quantities(here.known) else None


def changes(kind: str, sentence: Sensed | None, hysteresis: Measured | None, *, here: Here) -> Changes | None:
    """When a switch that measures changes."""
    if sentence is None or sentence.bound is None or sentence.value is None:
        if hysteresis is not None and not _bound_is_missing(kind, sentence, here):
            read, example = "nothing here changes at a value", "measures: drum above 95 degC"
            here.add("hysteresis", "unused-key", read, "a bound", example=example, at="hysteresis")
        return None
    if kind != "switch":
        if kind:
            read = f"a {kind} does not change at a value"
            here.add("measures", "unused-key", read, "the quantity alone", at="measures")
        return None
    own = quantities(here.known).get(sentence.of.text, "")
    wanted = [own] if own in DIFFERENCES else list(DIFFERENCES)
    try:
        value, dimension, _ = exact(sentence.value.text, wanted)
    except QuantityError as error:
        here.problems.misread(sentence.value.mark, "measures", error)
        return Changes(sentence.bound.text, UNREAD, 0.0)
    back = distance(hysteresis, dimension, "hysteresis", here)
    if back < 0.0:
        read, example = (
            "a value does not go back by less than nothing",
            DIMENSIONS[DIFFERENCES[dimension]].example,
        )
        here.add(
            "hysteresis", "out-of-bounds", read, "0 or a distance above it", example=example, at="hysteresis"
        )
    return Changes(sentence.bound.text, float(value), back)


def _bound_is_missing(kind: str, sentence: Sensed | None, here: Here) -> bool:
    """Whether it is told of `measures` already that a bound should stand there."""
    if kind != "switch" or "measures" not in here.at.keys:
        return False
    return sentence is None or quantities(here.known).get(sentence.of.text, "") in DIFFERENCES


def distance(given: Measured | None, dimension: str, key: str, here: Here) -> float:
    """How far values of a dimension are apart, 0 where nothing is said; callers judge one below 0."""
    if given is None or given.dimension in ("", DIFFERENCES[dimension]):
        return given.value if given else 0.0
    expected = DIMENSIONS[DIFFERENCES[dimension]]
    read = f"{DIMENSIONS[given.dimension].words} is given"
    here.add(key, "wrong-dimension", read, expected.words, example=expected.example, at=key)
    return 0.0


def raw(kind: str, raw_given: Ends | None, *, here: Here) -> Raw | None:
    """What the controller is handed at the ends of a sensor's range."""
    if raw_given is None:
        return None
    if kind in DIGITAL:
        here.add("raw", "unused-key", f"a {kind} is on or off", "a measured input", at="raw")
        return None
    low, high = float(raw_given.low.text), float(raw_given.high.text)
    whole = WHOLE["DINT"]
    if raw_given.unit is None and not (low == int(low) >= whole[0] and high == int(high) <= whole[1]):
        read = "counts are whole numbers, of 32 bits at most"
        here.add("raw", "not-whole", read, "whole numbers, or a unit", example="0 .. 27648", at="raw")
        return None
    if low >= high:
        read = "the second number is that of the upper end of the range"
        here.add("raw", "out-of-order", read, "it above the first", example="4 .. 20 mA", at="raw")
        return None
    return Raw(low, high, raw_given.unit.text if raw_given.unit else "")


def cut_off(
    kind: str, span: Spanned | None, raw_given: Ends | None, rooted: Rooted | None, *, here: Here
) -> float | None:
    """Below which flow the controller reads none, where it takes the root; None where it takes none."""
    if rooted is None:
        return None
    if kind not in ("mass_flow", ""):
        read = f"a {kind.replace('_', ' ')} does not go with the root of what is handed over"
        here.add("square_root", "unused-key", read, "an input of the kind flow", at="square_root")
        return None
    if raw_given is None and "raw" in here.at.keys:
        return None
    if raw_given is None:
        read = "nothing is said of what the controller is handed"
        here.add("raw", "missing-key", read, "the key 'raw'", example="raw: 4 .. 20 mA", at="square_root")
        return None
    try:
        value = float(exact(rooted.value.text, ("mass_flow",))[0])
    except QuantityError as error:
        here.problems.misread(rooted.value.mark, "square_root", error)
        return None
    if span is not None and span.dimension and span.first != 0.0 and span.first < span.second:
        read = "the root of no pressure drop is no flow, and the range begins elsewhere"
        here.add("range", "outside-range", read, "a range that begins at 0", at="range")
    elif span is not None and span.first < span.second and not 0.0 < value < span.second:
        read = f"'{rooted.value.text}' lies outside the range"
        here.add("square_root", "outside-range", read, "a few percent of the upper end", at="square_root")
    return value


def filtered(kind: str, filter_given_ms: int | None, *, here: Here) -> int:
    """The time of the controller's filter, 0 where there is none."""
    if filter_given_ms is not None and kind in DIGITAL:
        here.add("filter", "unused-key", f"a {kind} is on or off", "a measured input", at="filter")
    return filter_given_ms or 0 if kind not in DIGITAL else 0


def bad_below(
    kind: str,
    span: Spanned | None,
    raw_given: Ends | None,
    rooted: Rooted | None,
    below: Margin | None,
    *,
    here: Here,
) -> float | None:
    """From where down a sensor counts as out of its range, where that is not as usual."""
    return _margin(below, "bad_below", kind, _line(span, raw_given, rooted), here)


def bad_above(
    kind: str,
    span: Spanned | None,
    raw_given: Ends | None,
    rooted: Rooted | None,
    above: Margin | None,
    *,
    here: Here,
) -> float | None:
    """The same upwards."""
    return _margin(above, "bad_above", kind, _line(span, raw_given, rooted), here)


Line = tuple[Handed, str]  # how a value is handed over, and in which unit, "" of counts


def _line(span: Spanned | None, ends: Ends | None, rooted: Rooted | None) -> Line | None:
    """None where the controller is handed the value itself."""
    if span is None or ends is None:
        return None
    low, high = float(ends.low.text), float(ends.high.text)
    if low >= high:
        return AS_IT_IS, ""
    raw = on_line((span.first, span.second), (low, high), root=rooted is not None and span.second != 0.0)
    return raw, ends.unit.text if ends.unit else ""


def _margin(given: Margin | None, key: str, kind: str, line: Line | None, here: Here) -> float | None:
    """A margin in SI; as the controller is handed it, where that is another number than the value."""
    if given is None:
        return None
    if kind in DIGITAL:
        here.add(key, "unused-key", f"a {kind} has no range to be out of", "a sensor", at=key)
        return None
    if line is None:
        try:
            return float(exact(given.value.text, (kind,) if kind else tuple(DIFFERENCES))[0])
        except QuantityError as error:
            here.problems.misread(given.value.mark, key, error)
            return None
    number, _, unit = given.value.text.partition(" ")
    if unit != (wanted := line[1]):
        expected = f"a number in {wanted}" if wanted else "a number of counts"
        here.add(key, "wrong-dimension", f"'{given.value.text}' is given", f"{expected}, as 'raw' is", at=key)
        return None
    return float(line[0].si(float(number)))


def when_bad(kind: str, bad: str | Instead | None, *, here: Here) -> tuple[str, float]:
    """What becomes of a sensor out of its range, and the value with which it goes on."""
    if bad is None or bad == "":
        return "" if "when_bad" in here.at.keys else "hold", 0.0
    if kind in DIGITAL:
        here.add("when_bad", "unused-key", f"a {kind} has no range to be out of", "a sensor", at="when_bad")
        return "hold", 0.0
    if isinstance(bad, str):
        return {"hold the climb": "hold"}.get(bad, bad), 0.0
    try:
        return "go on", float(exact(bad.value.text, (kind,) if kind else tuple(DIFFERENCES))[0])
    except QuantityError as error:
        here.problems.misread(bad.value.mark, "when_bad", error)
        return "hold", 0.0


def quantities(known: Known) -> Mapping[str, str]:
    """Every quantity of the plant, with its dimension."""
    if not known.given.has_plant:
        return {}
    found = quantities_of(
        known.bodies,
        known.gas_streams,
        known.circuits,
        known.circuit_types,
        known.main_valves,
        known.supplies,
    )
    return {name: one.dimension for name, one in found.items()}


def sensed(
    kind: str, span: Spanned | None, normal: str | Measured | None, *, here: Here
) -> tuple[float, float, str, float]:
    """The ends of a sensor, the unit in which it is seen, and the value in ordinary running."""
    low, high, unit = _ends(kind, span, here)
    return low, high, unit, low if normal is None else setting(normal, kind, "normal", here)


def _ends(kind: str, span: Spanned | None, here: Here) -> tuple[float, float, str]:
    if kind in DIGITAL:
        if span is not None:
            here.add("range", "unused-key", f"a {kind} has no range", "on and off only", at="range")
        return 0.0, 1.0, ""
    if span is None:
        if kind == "percent":
            return 0.0, 100.0, "%"
        if kind:
            read = f"a {kind} input needs the range of its sensor"
            here.add("range", "missing-key", read, "its two ends", example=f"0 .. {DIMENSIONS[kind].example}")
        return UNREAD, UNREAD, ""
    if kind and span.dimension and span.dimension != kind:
        here.add("range", "wrong-dimension", f"the range is a {span.dimension}", f"a {kind}", at="range")
        return UNREAD, UNREAD, ""
    return span.first, span.second, span.unit


def setting(value: str | Measured, kind: str, key: str, here: Here) -> float:
    """The value of an input of a kind: 0 or 1 for a switch or button, SI or percent otherwise."""
    written, digital = value.dimension if isinstance(value, Measured) else "switch", kind in DIGITAL
    if not kind or value == "" or written == "":
        return float(UNREAD)
    if written != ("switch" if digital else kind):
        read = "'on' and 'off' are for switches" if written == "switch" else f"a {written} is given"
        here.add(key, "wrong-dimension", read, "on or off" if digital else f"a {kind}", at=key)
        return float(UNREAD)
    return value.value if isinstance(value, Measured) else float(value == "on")


def noise(kind: str, noise_given: Measured | None, *, here: Here) -> float:
    """The standard deviation of what a sensor shows, 0 where nothing is said."""
    if noise_given is None or not kind:
        return 0.0
    if kind in DIGITAL:
        here.add("noise", "unused-key", f"a {kind} is on or off", "a measured input", at="noise")
        return 0.0
    return distance(noise_given, kind, "noise", here)
