"""Blocks of the network as calls of standard function blocks: a table keyed by node class.

Rule of this file: one instance for each signal, called in every scan without any condition. The time since an
event is an on-delay timer that is read at the top of the scan and started again at its end where the event
was true (reset and start in the same scan), so that the next scan reads the time between the two.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from typing import Any, Protocol

from steadfall.logic import nodes
from steadfall.logic.nodes import Constant, Node, Type
from steadfall.st.write.expression import Words, text
from steadfall.st.write.literal import time_literal
from steadfall.st.write.split import Row

FAR_MS = 86_400_000  # a day: longer than any time that a sequence waits for; TIME of 32 bit holds 24 days


class Writer(Words, Protocol):
    """What a block needs of the unit in which it stands."""

    end: list[str]
    far: bool
    begun: Collection[str]

    def variable(self, name: str, kind: str, initial: str = "", note: str = "") -> str:
        """An inner variable."""

    def say(self, statement: str, marks: Any, place: list[str] | None = None) -> None:
        """One statement."""

    def instance(self, name: str, kind: str) -> str:
        """An instance of a standard function block for a signal."""


def _standard(kind: str, result: str, **inputs: str) -> Callable[[Any, Any], None]:
    """A block of the standard: its type, its output, and for each of its inputs the field of the node."""

    def write(unit: Writer, row: Row) -> None:
        instance = unit.instance(row.name, kind)
        given = ", ".join(f"{name} := {text(getattr(row.node, part), unit)}" for name, part in inputs.items())
        unit.say(f"{instance}({given});", row.marks)
        unit.say(f"{unit.now(row.name)} := {instance}.{result};", row.marks)

    return write


def _latch(kind: str, **inputs: str) -> Callable[[Any, Any], None]:
    """A latch; one that is set at power-up is written out, since a standard block always starts cleared."""
    standard = _standard(kind, "Q1", **inputs)

    def write(unit: Writer, row: Row) -> None:
        if not row.initial:
            return standard(unit, row)
        node: Any = row.node
        last = nodes.Previous(row.name, Type.BOOL)
        kept: Node = nodes.And((nodes.Not(node.reset), last))
        whole: Node = nodes.Or((node.set, kept))
        if isinstance(node, nodes.ResetDominant):
            whole = nodes.And((nodes.Not(node.reset), nodes.Or((node.set, last))))
        return unit.say(f"{unit.now(row.name)} := {text(whole, unit)};", row.marks)

    return write


def _since(unit: Writer, row: Row) -> None:
    node: Any = row.node
    instance = unit.instance(row.name, "TON")
    farthest = Constant(max(FAR_MS, node.limit_ms), Type.TIME, label="far")
    limit = unit.constant(farthest) if unit.far else time_literal(node.limit_ms)
    unit.say(f"{instance}(IN := TRUE, PT := {limit});", row.marks)
    reading = f"{instance}.ET"
    if row.initial:
        begun = "TRUE" if node.event in unit.begun else ""
        moved = unit.variable(f"{row.name}.known", "BOOL", begun, "the event has been seen since power-up")
        before = limit if row.initial == node.limit_ms else _longer(instance, int(row.initial), node.limit_ms)
        reading = f"SEL({moved}, {before}, {instance}.ET)"
        unit.say(f"{moved} := {moved} OR {unit.now(node.event)};", row.marks, unit.end)
    unit.say(f"{unit.now(row.name)} := {reading};", row.marks)
    unit.say(f"{instance}(IN := NOT {unit.now(node.event)}, PT := {limit});", row.marks, unit.end)
    unit.say(f"{instance}(IN := TRUE, PT := {limit});", row.marks, unit.end)


def _longer(instance: str, initial: int, limit: int) -> str:
    """The time since power-up and what it began with, at most the limit."""
    whole, most = f"{instance}.ET + {time_literal(initial)}", time_literal(limit)
    return f"SEL(({whole}) > {most}, {whole}, {most})"


BLOCKS: Mapping[type[Node], Callable[[Any, Row], None]] = {
    nodes.Rise: _standard("R_TRIG", "Q", CLK="part"),
    nodes.Fall: _standard("F_TRIG", "Q", CLK="part"),
    nodes.SetDominant: _latch("SR", S1="set", R="reset"),
    nodes.ResetDominant: _latch("RS", S="set", R1="reset"),
    nodes.Ton: _standard("TON", "Q", IN="part", PT="preset"),
    nodes.Tof: _standard("TOF", "Q", IN="part", PT="preset"),
    nodes.Tp: _standard("TP", "Q", IN="part", PT="preset"),
    nodes.Since: _since,
}
