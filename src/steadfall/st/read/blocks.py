"""The standard function blocks: a table keyed by type.

Rule of this file: edges and latches are written out, so that they may be called anywhere and as often as a
text likes. A timer that is called once in every scan is the network's timer. An on-delay timer that is called
more often, or under a condition, is written out on a clock that counts from the scan in which its time began:
within a scan no time passes, and time goes on while it is not called (its next call sees it).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Protocol

from attrs import frozen

from steadfall.logic import nodes
from steadfall.logic.forms import FALSE, TRUE, all_of, any_of, at_least, choose, less, ms
from steadfall.logic.nodes import LARGEST, Constant, Elapsed, Node, Read, Type
from steadfall.source import Mark
from steadfall.st.read.space import Learnt, Slot, Space, UnreadableError, negation

BOOL, TIME = Type.BOOL, Type.TIME


@frozen
class Standard:
    """A standard block: inputs and outputs with their types, what it keeps, what a call does."""

    inputs: Mapping[str, Type]
    outputs: Mapping[str, Type]
    kept: Mapping[str, Type]
    call: Callable[[Call], None]


class Call(Protocol):
    """A call of a block: the variables of its instance, and where it stands."""

    @property
    def path(self) -> str:
        """Of the instance."""

    @property
    def mark(self) -> Mark:
        """Of the call."""

    @property
    def space(self) -> Space:
        """What variables hold."""

    @property
    def conditional(self) -> bool:
        """Whether the call stands in a branch."""

    def get(self, name: str) -> Node:
        """What a variable of the instance holds."""

    def put(self, name: str, node: Node) -> None:
        """The variable of the instance holds this from here on."""


def _rise(call: Call) -> None:
    clock = call.get("clk")
    call.put("q", all_of((clock, negation(call.get("#m")))))
    call.put("#m", clock)


def _fall(call: Call) -> None:
    off = negation(call.get("clk"))
    call.put("q", all_of((off, negation(call.get("#m")))))
    call.put("#m", off)


def _set_dominant(call: Call) -> None:
    call.put("q1", any_of((call.get("s1"), all_of((negation(call.get("r")), call.get("q1"))))))


def _reset_dominant(call: Call) -> None:
    call.put("q1", all_of((negation(call.get("r1")), any_of((call.get("s"), call.get("q1"))))))


def _noted(call: Call) -> Learnt:
    """Notes the call for the second reading."""
    learnt = call.space.learnt
    if call.space.first_reading:
        learnt.calls[call.path] = learnt.calls.get(call.path, 0) + 1
        if call.conditional:
            learnt.conditional.add(call.path)
        preset = call.get("pt") if call.get("in") != FALSE else ms(0)  # a call that stops it needs none
        longest = int(preset.value) if isinstance(preset, Constant) else LARGEST
        learnt.longest[call.path] = max(learnt.longest.get(call.path, 0), longest)
    return learnt


def _timer(made: Callable[..., Node]) -> Callable[[Call], None]:
    def written(call: Call) -> None:
        learnt = _noted(call)
        if not _simple(learnt, call.path) and not call.space.first_reading:
            raise UnreadableError(
                call.mark,
                "timer",
                "this timer is called more than once in a scan, or under a condition",
                "one call in every scan",
            )
        _block(call, made)

    return written


def _simple(learnt: Learnt, path: str) -> bool:
    return learnt.calls.get(path, 0) == 1 and path not in learnt.conditional


def _block(call: Call, made: Callable[..., Node]) -> None:
    """A timer of the network."""
    space, path = call.space, f"{call.path}.q"
    read = space.row(path, BOOL, made(call.get("in"), call.get("pt"), mark=call.mark), call.mark)
    space.learnt.assigned |= {path, f"{call.path}.et"}
    space.write(path, read)
    space.write(f"{call.path}.et", Elapsed(read.name, mark=call.mark))


def _on_delay(call: Call) -> None:
    learnt = _noted(call)
    if _simple(learnt, call.path) and not call.space.first_reading:
        return _block(call, nodes.Ton)
    preset = call.get("pt") if call.get("in") != FALSE else ms(0)
    if not isinstance(preset, Constant) and not call.space.first_reading:
        raise UnreadableError(
            call.mark,
            "timer",
            "a timer with a changing preset is called more than once in a scan or under a condition",
            "one call in every scan, or a constant preset",
        )
    limit = max(learnt.longest.get(call.path, 0), 0)
    on, run = call.get("in"), call.get("#run")
    clock: Node = _clock(call, limit)
    if isinstance(preset, Constant) and preset.value < limit:
        preset = ms(max(int(preset.value), 0))
        clock = choose(less(clock, preset), clock, preset)
    fresh, counts = call.get("#zero"), all_of((on, run))
    call.put("et", choose(all_of((counts, negation(fresh))), clock, ms(0)))
    call.put("q", all_of((on, at_least(call.get("et"), preset))))
    call.put("#zero", any_of(dict.fromkeys((fresh, negation(on), negation(run)))))
    return call.put("#run", on)


def _clock(call: Call, limit: int) -> Read:
    """The time since the last scan in which the timer's time began anew."""
    path = f"{call.path}.#clock"
    if path not in call.space.slots:
        call.space.slots[path] = Slot(path, TIME, 0, call.mark)
        call.space.clocks[path] = call.space.row(
            path, TIME, nodes.Since(f"{call.path}.#zero", limit), call.mark
        )
    return call.space.clocks[path]


_TIMER: Mapping[str, Type] = {"in": BOOL, "pt": TIME}
_TIMED: Mapping[str, Type] = {"q": BOOL, "et": TIME}

STANDARD: Mapping[str, Standard] = {
    "R_TRIG": Standard({"clk": BOOL}, {"q": BOOL}, {"#m": BOOL}, _rise),
    "F_TRIG": Standard({"clk": BOOL}, {"q": BOOL}, {"#m": BOOL}, _fall),
    "SR": Standard({"s1": BOOL, "r": BOOL}, {"q1": BOOL}, {}, _set_dominant),
    "RS": Standard({"s": BOOL, "r1": BOOL}, {"q1": BOOL}, {}, _reset_dominant),
    "TON": Standard(_TIMER, _TIMED, {"#run": BOOL, "#zero": BOOL}, _on_delay),
    "TOF": Standard(_TIMER, _TIMED, {}, _timer(nodes.Tof)),
    "TP": Standard(_TIMER, _TIMED, {}, _timer(nodes.Tp)),
}


def begin(space: Space, path: str) -> None:
    """What an on-delay timer holds at the top of a scan: it has not begun anew, and it runs if it always
    does.
    """
    space.held[f"{path}.#zero"] = FALSE
    if path in space.learnt.running:
        space.held[f"{path}.#run"] = TRUE
