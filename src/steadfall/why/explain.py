"""Why a signal has its value: `explain(network, history, signal, scan)`."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Any

from attrs import frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.quantities import moment
from steadfall.source import Mark
from steadfall.why.facts.facts import CLOCK, ELAPSED, INPUT, PREVIOUS, Fact, Valued
from steadfall.why.least.justify import age, justify
from steadfall.why.otherwise.change import Change
from steadfall.why.otherwise.otherwise import Want, otherwise
from steadfall.why.scans.history import History
from steadfall.why.words.speech import change_told, value_word
from steadfall.why.words.tell import Reason, Teller
from steadfall.why.words.wording import PLAIN, Wording

SHOWN = 3  # ways in which it would be otherwise


@frozen
class Explanation:
    """A signal's value in a scan, the reasons, and the least set of facts of that scan behind them."""

    signal: str
    value: Value
    scan: int
    at_ms: int
    head: str
    reasons: tuple[Reason, ...]
    facts: tuple[Valued, ...]
    otherwise: tuple[
        tuple[tuple[str, Mark], ...], ...
    ] = ()  # ways in which this scan would have made it `hoped`
    hoped: str = "otherwise"
    more: int = 0  # ways that were found besides

    def sentences(self, *, places: bool = True) -> list[str]:
        """The answer, a line each; what a reason rests on stands indented below it, its plan line behind
        it.
        """
        head = f"{self.head}{' because' if self.reasons else ''}"
        return [head, *_lines(self.reasons, 1, places), *self._last(places)]

    def _last(self, places: bool) -> Iterable[str]:
        if self.otherwise:
            ways = (
                ", and ".join(text + _place(mark, places) for text, mark in way) for way in self.otherwise
            )
            besides = [f"  and {self.more} more way{'s' * (self.more > 1)}"] if self.more else []
            return (f"it would be {self.hoped} in this scan with", *(f"  {way}" for way in ways), *besides)
        if self.hoped and self.reasons:
            return (f"nothing within this scan alone would make it {self.hoped}",)
        return ()

    def as_json(self) -> dict[str, Any]:
        """The answer in stable names; times in s."""
        return {
            "signal": self.signal,
            "value": self.value,
            "scan": self.scan,
            "at_s": self.at_ms / 1000,
            "sentence": self.head,
            "reasons": [_reason_json(reason) for reason in self.reasons],
            "hoped": self.hoped,
            "otherwise": [
                [{"sentence": text, "file": mark.file, "line": mark.line} for text, mark in way]
                for way in self.otherwise
            ],
            "more_ways": self.more,
            "facts": [
                {
                    "kind": row.fact.kind,
                    "name": row.fact.name,
                    "value": list(row.value) if isinstance(row.value, tuple) else row.value,
                    "since_s": None if row.since_ms is None else row.since_ms / 1000,
                }
                for row in self.facts
            ],
        }


def explain(
    network: Network, history: History, signal: str, scan: int, wording: Wording = PLAIN
) -> Explanation:
    """Why a signal has its value in a scan of a history.

    Raises KeyError, with the nearest names, when the network has no such signal.
    """
    if signal not in network.types:
        raise KeyError(unknown(network, signal))
    now = history.moment(scan)
    value = now.values[signal]
    word = value_word(wording, history, signal, value)
    head = f"{signal} is {word} at {moment(now.time_ms)}"
    if signal in history.inputs:
        since = moment(int(history.times_ms[history.since(signal, scan)]))
        return Explanation(signal, value, scan, now.time_ms, f"{head}: an input, so since {since}", (), ())
    facts = tuple(_valued(history, fact, scan) for fact in justify(history, signal, scan).facts)
    reasons = Teller(history, wording).all(signal, scan)
    want = _hoped(wording, signal, value)
    ways = _ways(history, signal, scan, want) if want else ()
    shown = tuple(tuple(change_told(history, wording, scan, one) for one in way) for way in ways[:SHOWN])
    hoped = value_word(wording, history, signal, want.value) if want else ""
    more = len(ways) - len(shown)
    return Explanation(signal, value, scan, now.time_ms, head, reasons, facts, shown, hoped, more)


def _hoped(wording: Wording, signal: str, value: Value) -> Want | None:
    """What one may have hoped for: the opposite, or the next stage."""
    if isinstance(value, bool):
        return Want("=", not value)
    return Want("=", value + 1) if isinstance(value, int) and wording.state(signal, value + 1) else None


def _ways(history: History, signal: str, scan: int, want: Want) -> tuple[tuple[Change, ...], ...]:
    """The ways that can be taken; one that needs another past only where there is no other."""
    found = otherwise(history, signal, scan, want)
    return tuple(way for way in found if all(change.kind != PREVIOUS for change in way)) or found


def unknown(network: Network, signal: str) -> str:
    """That there is no such signal, and what is near."""
    near = difflib.get_close_matches(signal, network.types, 3) or sorted(network.outputs or network.types)[:5]
    return f"there is no signal '{signal}'; near are {', '.join(near)}"


def _valued(history: History, fact: Fact, scan: int) -> Valued:
    now = history.moment(scan)
    since = age(history, fact, scan)
    value: Value | tuple[int, int]
    if fact.kind == INPUT:
        value = now.values[fact.name]
    elif fact.kind == ELAPSED:
        value = now.dt
    elif fact.kind == CLOCK and fact.name in now.before:
        value = (now.before[fact.name].et, now.before[fact.name].state)
    elif fact.kind == CLOCK:
        part = history.rows_by_name[fact.name].node.part  # type: ignore[union-attr]
        value = bool(history.moment(scan - 1).value(part)) if scan else False
    else:
        value = now.last[fact.name]
    return Valued(fact, value, None if since < 0 else int(history.times_ms[since]))


def _lines(reasons: Iterable[Reason], depth: int, places: bool) -> Iterable[str]:
    for reason in reasons:
        yield f"{'  ' * depth}{reason.sentence}{_place(reason.mark, places)}"
        yield from _lines(reason.reasons, depth + 1, places)


def _place(mark: Mark, places: bool) -> str:
    return f"   ({mark.file}:{mark.line})" if places and mark.line else ""


def _reason_json(reason: Reason) -> dict[str, Any]:
    return {
        "sentence": reason.sentence,
        "signal": reason.signal,
        "value": reason.value,
        "at_s": reason.at_ms / 1000,
        "since_s": None if reason.since_ms is None else reason.since_ms / 1000,
        "file": reason.mark.file,
        "line": reason.mark.line,
        "reasons": [_reason_json(inner) for inner in reason.reasons],
    }
