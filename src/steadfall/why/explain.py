"""Why a signal has its value: `explain(network, history, signal, scan)`."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Any

from attrs import frozen

from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.source import Mark
from steadfall.why.facts import CLOCK, ELAPSED, INPUT, Fact, Valued
from steadfall.why.history import History
from steadfall.why.justify import age, justify
from steadfall.why.otherwise import Change, otherwise
from steadfall.why.speech import change_word, moment, value_word
from steadfall.why.tell import Reason, Teller
from steadfall.why.wording import PLAIN, Wording

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
    otherwise: tuple[str, ...] = ()  # ways in which it would have been otherwise in this scan

    def sentences(self) -> list[str]:
        """The answer, a line each; what a reason rests on stands indented below it, its plan line behind it."""
        head = f"{self.head}{' because' if self.reasons else ''}"
        return [head, *_lines(self.reasons, 1), *self._last()]

    def _last(self) -> Iterable[str]:
        if self.otherwise:
            return ("it would be otherwise in this scan with", *(f"  {way}" for way in self.otherwise))
        if isinstance(self.value, bool) and self.reasons:
            return ("nothing within this scan alone would make it otherwise",)
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
            "otherwise": list(self.otherwise),
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


def explain(network: Network, history: History, signal: str, scan: int, wording: Wording = PLAIN) -> Explanation:
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
    ways = tuple(_way(history, wording, way) for way in otherwise(history, signal, scan)[:SHOWN])
    return Explanation(signal, value, scan, now.time_ms, head, reasons, facts, ways)


def _way(history: History, wording: Wording, way: Iterable[Change]) -> str:
    return ", and ".join(f"{change_word(history, wording, one)}{_place(one.mark)}" for one in way)


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


def _lines(reasons: Iterable[Reason], depth: int) -> Iterable[str]:
    for reason in reasons:
        yield f"{'  ' * depth}{reason.sentence}{_place(reason.mark)}"
        yield from _lines(reason.reasons, depth + 1)


def _place(mark: Mark) -> str:
    return f"   ({mark.file}:{mark.line})" if mark.line else ""


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
