"""The requirements that follow from any plan without being asked, of valves that are open for a share of each
cycle.

Rule of this file: as in `derived.guards`. Cycle and opening are worked out from the plan anew;
the percentage is read where the controller has it.
"""

from __future__ import annotations

from collections.abc import Callable

from attrs import frozen

from steadfall.logic.build.conditions import Scope, input_named
from steadfall.logic.build.stages import FIRST
from steadfall.logic.forms import (
    all_of,
    any_of,
    at_least,
    boolean,
    choose,
    different,
    equal,
    less,
    ms,
    opposite,
    real,
    whole,
)
from steadfall.logic.nodes import Compare, Multiply, Node, Previous, Read, Since, ToTime, Type
from steadfall.plan.meaning.names import valves
from steadfall.plan.model import Share, Valve
from steadfall.plan.text.lay_out import time
from steadfall.prove.requirements.derived.guards import circuit_of, stage_before, stage_of, valve_of
from steadfall.prove.requirements.watch import Said, Watch, command, command_before
from steadfall.roles import observer
from steadfall.roles import stage as stage_name


@frozen(eq=False)
class _Shared:
    """A valve that is open for a share of each cycle of a stage."""

    watch: Watch
    name: str  # of the valve
    stage: str  # CIRCUIT.STAGE
    number: int
    share: Share
    valve: Valve

    @property
    def label(self) -> str:
        return f"{self.stage}.{self.valve.name}_share"

    @property
    def circuit(self) -> str:
        return circuit_of(self.watch, self.name)

    @property
    def here(self) -> Node:
        """In the stage."""
        return equal(stage_of(self.circuit), whole(self.number))

    @property
    def entered(self) -> Node:
        """A stage begins."""
        return different(stage_of(self.circuit), stage_before(self.circuit))

    def signal(self, what: str, node: Node) -> Read:
        """An inner signal."""
        return self.watch.signal(f"{self.label}:{what}", node, self.share.at.own)

    def latch(self, what: str, node: Node) -> None:
        """A signal of which others read the last value, before it is worked out."""
        self.watch.sheet.put(observer(f"{self.label}:{what}"), node, self.share.at.own)

    def last(self, what: str, kind: Type = Type.BOOL) -> Previous:
        """The last value of one."""
        return Previous(observer(f"{self.label}:{what}").name, kind)

    def due(self) -> Read:
        """The valve is to be open, as far as its cycle goes."""
        delay = self.watch.plan.circuits[self.circuit].delay_doses_ms
        turn = Since(observer(f"{self.label}:turn").name, max(self.share.cycle_ms, delay))
        clock = self.signal("cycle", turn)
        waits = any_of((self.entered, all_of((self.last("wait"), less(clock, ms(delay))))))
        waiting = all_of((self.here, waits)) if delay else boolean(False)
        begins = any_of((self.last("wait") if delay else self.entered, at_least(clock, self._cycle)))
        begin = self.signal("begin", all_of((self.here, opposite(waiting), begins)))
        if delay:
            self.latch("wait", waiting)
        self.latch("turn", any_of((begin, self.entered)))
        span = self.signal("span", choose(begin, self.opening(), self.last("span", Type.TIME)))
        still = less(choose(begin, ms(0), clock), span)
        return self.signal("due", all_of((self.here, opposite(waiting), still)))

    def opening(self) -> Node:
        """How long the valve is open in a cycle that begins now."""
        scope = Scope(self.watch.plan, self.label, self.circuit)
        own = self.share.of in self.watch.plan.ramps
        percent = (
            Read(self.share.of, Type.REAL) if own else input_named(self.watch.sheet, scope, self.share.of)
        )
        part = Multiply(percent, real(self.share.cycle_ms / 100.0, f"{self.valve.name}.ms_per_percent"))
        raw = self.signal("raw", ToTime(part, self.watch.plan.scan.timer_step_ms))
        most = ms(self.share.cycle_ms - self.valve.shortest_shut_ms)
        longest = choose(Compare(">", raw, most), self._cycle, raw)
        return choose(less(raw, ms(self.valve.shortest_open_ms)), ms(0), longest)

    @property
    def _cycle(self) -> Node:
        return ms(self.share.cycle_ms)

    def held(self, what: str, event: Node, least_ms: int) -> list[Node]:
        """The valve has been so for its shortest time."""
        mark = self.share.at.own
        age = self.watch.since(f"{self.label}:{what}", event, least_ms, mark) if least_ms else None
        return [at_least(age, ms(least_ms))] if age else []


def shares_are_given(watch: Watch) -> None:
    """In each cycle the valve is open for its share, from the beginning of the cycle on."""
    for name in valves(watch.plan):
        valve, circuit = valve_of(watch, name), circuit_of(watch, name)
        for number, stage in enumerate(watch.plan.type_of(circuit).stages, FIRST):
            action = stage.actions.get(valve.name)
            if isinstance(action, Share):
                _given(_Shared(watch, name, f"{circuit}.{stage.name}", number, action, valve))


def _given(of: _Shared) -> None:
    now, before, valve = command(of.name), command_before(of.name), of.valve
    cut, due = of.watch.cut(of.name, of.label), of.due()
    rested = of.held("held", all_of((before, opposite(now))), valve.shortest_shut_ms)
    opened = all_of((now, opposite(before)))
    long_enough = of.held("opened", opened, valve.shortest_open_ms)
    absent = all_of((due, opposite(now), opposite(cut), *rested))
    more = all_of((of.here, opposite(due), now, any_of((opposite(before), all_of(long_enough)))))
    least, rest = time(valve.shortest_open_ms), time(valve.shortest_shut_ms)
    cycle = time(of.share.cycle_ms)
    words = (
        f"In {of.stage} {of.name} is open in each cycle of {cycle}, from its beginning on, for as many"
        f" percent as {of.share.of} then is: for nothing where that is less than {least}, for all where less"
        f" than {rest} would be left; but for its shortest opening and pause, and unless it is cut."
    )
    said = Said(f"{of.label}.given", words, (of.share.at.own,), (of.name, stage_name(of.circuit)), of.circuit)
    of.watch.require(said, any_of((absent, more)), all_of((due, now)))


SHARES: tuple[Callable[[Watch], None], ...] = (shares_are_given,)
