"""One step of a network as text for the checker: a scan, or a power cut.

Rule of this file: a step is a single scan, for every run is one of single scans. A clock is kept without an
end where a proof speaks of it so (`endless`); what a signal reads of it ends at its limit all the same. A
power cut takes the controller back to its start; what watches it stays as it was, its ages so much older.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import Enum, auto
from functools import cached_property

from attrs import frozen

from steadfall.logic import nodes
from steadfall.logic.network import Network
from steadfall.logic.nodes import Value
from steadfall.prove.checker.blocks import BLOCKS
from steadfall.prove.checker.nodes import SORTS, Page, least, literal
from steadfall.prove.system.kept import STARTED, age, elapsed, last, lasting, state


class Power(Enum):
    """Whether a step is a power cut."""

    STAYS = auto()
    MAY_FAIL = auto()
    FAILS = auto()


@frozen
class Kept:
    """A part of the state: its sort, how it begins, whether a power cut spares it."""

    sort: str
    first: Value
    spared: bool = False
    limit: int | None = None  # of an age, where it has an end
    ages: bool = False


@frozen(eq=False, slots=False)
class Asked:
    """A controller about which something is asked."""

    network: Network
    longest_ms: int
    endless: frozenset[str] = frozenset()
    power: Power = Power.STAYS

    @cached_property
    def state(self) -> Mapping[str, Kept]:
        """What is kept from step to step, by key."""
        network, types = self.network, self.network.types
        first = {row.name: row.initial for row in network.inputs}
        first |= {row.name: row.initial for row in network.assignments}
        spared = {name for name, what in network.identities.items() if what.watches}
        retained = {row.name for row in network.assignments if row.retained}
        found = {STARTED: Kept("Bool", False)}
        for name in lasting(network):
            found[last(name)] = Kept(SORTS[types[name]], first[name], name in spared or name in retained)
        for row in network.assignments:
            node, own = row.node, row.name in spared
            if isinstance(node, nodes.Since):
                begins = 0 if first[node.event] else row.initial
                limit = None if row.name in self.endless else node.limit_ms
                found[age(row.name)] = Kept("Int", begins, own, limit, ages=True)
            elif isinstance(node, nodes.Rise | nodes.Fall | nodes.Ton):
                found[state(row.name)] = Kept("Bool", False, own)
            elif isinstance(node, nodes.Tof | nodes.Tp):
                found[state(row.name)] = Kept("Int", 0, own)
            if isinstance(node, nodes.TIMERS):
                found[elapsed(row.name)] = Kept("Int", 0, own)
        return found

    @property
    def begin(self) -> list[str]:
        """The state before the first scan."""
        return [literal(one.first) for one in self.state.values()]

    @property
    def parameters(self) -> str:
        """The state as what a function is given."""
        return " ".join(f"(|{key}| {one.sort})" for key, one in self.state.items())


class Step:
    """A step as text."""

    def __init__(self, of: Asked) -> None:
        self.of, self.page = of, Page(of.network)
        own, lines = self.page.own, self.page.lines
        lines.append(f"(declare-const {own('dt')} Int)")
        scan = f"(ite {own(STARTED)} (<= 1 {own('dt')} {of.longest_ms}) (= {own('dt')} 0))"
        if of.power is not Power.STAYS:
            lines += [f"(declare-const {own('cut')} Bool)", f"(declare-const {own('off')} Int)"]
            cut = f"(and {own(STARTED)} (= {own('dt')} 0) (<= 0 {own('off')}))"
            scan = f"(ite {own('cut')} {cut} {scan})"
        lines.append(f"(assert {scan})")
        lines += [f"(assert {own('cut')})"] if of.power is Power.FAILS else []
        self._write()

    def _write(self) -> None:
        page, network = self.page, self.of.network
        for given in network.inputs:
            page.lines.append(f"(declare-const {page.now(given.name)} {SORTS[given.type]})")
            if given.holds:
                low, high = map(literal, given.holds)
                page.lines.append(f"(assert (<= {low} {page.now(given.name)} {high}))")
        for row in network.assignments:
            block = BLOCKS.get(type(row.node))
            term = block(page, row.node, row.name) if block else page.of(row.node)
            page.define(page.now(row.name), row.type, term)
        page.after[STARTED] = "true"
        page.after |= {last(name): page.now(name) for name in lasting(network)}
        for row in network.assignments:
            if isinstance(row.node, nodes.Since):
                key = age(row.name)
                longer = f"(+ {page.own(key)} {page.own('dt')})"
                on = longer if row.name in self.of.endless else page.now(row.name)
                page.after[key] = f"(ite {page.now(row.node.event)} 0 {on})"

    @property
    def lines(self) -> list[str]:
        """All that it says."""
        return self.page.lines

    @property
    def before(self) -> list[str]:
        """The state before it."""
        return [self.page.own(key) for key in self.of.state]

    @property
    def after(self) -> list[str]:
        """The state after it."""
        return [self._after(key, one) for key, one in self.of.state.items()]

    def reached(self, goals: Iterable[str]) -> str:
        """That one of some signals is true in the scan."""
        some = f"(or false {' '.join(map(self.page.now, goals))})"
        return some if self.of.power is Power.STAYS else f"(and (not {self.page.own('cut')}) {some})"

    def _after(self, key: str, one: Kept) -> str:
        scan = self.page.after[key]
        if self.of.power is Power.STAYS:
            return scan
        return f"(ite {self.page.own('cut')} {self._after_cut(key, one)} {scan})"

    def _after_cut(self, key: str, one: Kept) -> str:
        if not one.spared:
            return literal(one.first)
        before = self.page.own(key)
        if not one.ages:
            return before
        older = f"(+ {before} {self.page.own('off')})"
        return older if one.limit is None else least(older, str(one.limit))
