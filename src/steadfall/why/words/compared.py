"""Comparisons in words: a measured number against its bound, a time that is over or not."""

from __future__ import annotations

from steadfall.logic import nodes
from steadfall.logic.nodes import Node, Type
from steadfall.logic.types import type_of
from steadfall.plan.text.lay_out import time
from steadfall.roles import HELPER, Role, stage
from steadfall.source import Mark
from steadfall.why.least.justify import plain
from steadfall.why.scans.history import History
from steadfall.why.scans.moment import Moment
from steadfall.why.words.speech import RELATIONS, identity, number, since
from steadfall.why.words.wording import Wording

Told = tuple[str, Mark] | None


def told(history: History, wording: Wording, moment: Moment, node: nodes.Compare) -> Told:
    """A comparison as a sentence: empty where not worth telling, None where what it compares tells more."""
    kind = type_of(node.left)
    if kind is Type.REAL:
        return _measured(history, wording, moment, node)
    return _timed(history, wording, moment, node) if kind is Type.TIME else None


def _measured(history: History, wording: Wording, moment: Moment, node: nodes.Compare) -> Told:
    left, right = float(moment.value(node.left)), float(moment.value(node.right))
    if not isinstance(node.left, nodes.Read | nodes.Previous):
        return None
    name = node.left.name
    unit = wording.units.get(name, "")
    relation = RELATIONS[node.op][0 if moment.value(node) else 1]
    when = f" {since(history, history.compared_since(node, moment.scan))}" if plain(node) else ""
    was = "is" if isinstance(node.left, nodes.Read) else "was"
    bound = f"{node.right.name}, " if isinstance(node.right, nodes.Read | nodes.Previous) else ""
    return (
        f"{name} {was} {number(left, unit, right)}, {relation} {bound}{number(right, unit)}{when}",
        node.mark,
    )


def _timed(history: History, wording: Wording, moment: Moment, node: nodes.Compare) -> Told:
    counted, bound = int(moment.value(node.left)), int(moment.value(node.right))
    name = _name(node.left)
    holds = bool(moment.value(node))
    it = identity(history, name) if isinstance(node.left, nodes.Read | nodes.Previous) else HELPER
    if wording.plan_made and it.role is Role.HELD_TIME:
        valve = f"{it.owner} moved {time(counted)} ago and stays for its shortest time, {time(bound)}"
        return (valve if holds else "", node.mark)
    if wording.plan_made and it.role is Role.STAGE_TIME and node.op == ">=":
        own = stage(it.circuit)
        state = wording.state(own, int(moment.last.get(own, 0)))
        mark = state[1] if state and isinstance(node.right, nodes.Mux) else node.mark
        where = f"in {state[0]} " if state else ""
        if holds:
            return f"{time(bound)} {where}are over", mark
        return f"{time(bound)} {where}are not over, {time(bound - counted)} to go", mark
    return f"{name} is {time(counted)}, {RELATIONS[node.op][0 if holds else 1]} {time(bound)}", node.mark


def _name(node: Node) -> str:
    if isinstance(node, nodes.Read | nodes.Previous):
        return node.name
    return f"{node.timer}.ET" if isinstance(node, nodes.Elapsed) else "a time"
