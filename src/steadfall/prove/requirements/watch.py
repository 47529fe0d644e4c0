"""A plan's network with observers under it: a few more assignments for each requirement.

Rule of this file: an observer reads the controller and changes nothing in it. It gives two signals: `bad`,
which must never be true, and `exercised`, which is true when the requirement applies. So every
requirement is the same question to every engine, and the ordinary interpreter replays it. Conditions of
requirements see stages and valve commands as they are in this scan.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from attrs import field, frozen

from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.forms import TRUE, all_of, any_of, different, opposite
from steadfall.logic.network import Assignment, Input, Network
from steadfall.logic.nodes import Elapsed, Node, Previous, Read, Since, Type
from steadfall.logic.sheet import Sheet
from steadfall.logic.types import walk as every
from steadfall.plan.meaning.conditions import SEEN_BEFORE, walk
from steadfall.plan.meaning.feeders import feeder_named
from steadfall.plan.meaning.names import identities, is_water, timers, valves
from steadfall.plan.model import Plan
from steadfall.plan.model.condition import Condition, Passed
from steadfall.plan.model.setting import high_end
from steadfall.roles import HELPER, Identity, Named, Role, observer, of_plant, stage
from steadfall.source import Mark

WATCHES = Identity(Role.OBSERVER)
FORGOTTEN = frozenset(
    {"ramp", "call", "climb", "hold", "hand"}
)  # of what the controller counts for these nothing is asked after a cut
TRIPPED = of_plant(Role.TRIPPED).name


@frozen
class Required:
    """A sentence that must hold for ever: its stable name, where it was said, the two signals of its
    observer.
    """

    name: str
    sentence: str
    marks: tuple[Mark, ...]
    bad: str
    exercised: str
    shown: tuple[str, ...]  # the signals that a strip of it shows
    circuit: str = ""
    stated: bool = False  # by the plan; else it follows from the plan
    occasion: str = ""  # what it begins with, in words
    met: str = ""  # a signal: it has applied, and was kept to the end
    terms: tuple[Term, ...] = ()
    stages: tuple[str, ...] = field(default=(), repr=False)  # of the circuits of what a strip shows


@frozen
class Term:
    """A part of a sentence that is vacuous if a signal is never true: why, in words."""

    signal: str
    why: str


@frozen
class Said:
    """What a requirement is made of, before its observer has its names."""

    name: str
    sentence: str
    marks: tuple[Mark, ...]
    shown: tuple[str, ...] = ()
    circuit: str = ""
    stated: bool = False
    occasion: str = ""
    terms: tuple[Term, ...] = ()
    cuts: bool = False  # its words say what a power cut does


@frozen(eq=False)
class Watch:
    """Writes observers under a network."""

    plan: Plan
    sheet: Sheet
    outputs: tuple[str, ...]
    power_cut: bool = False
    controller: frozenset[str] = frozenset()  # the signals that are not an observer's
    found: list[Required] = field(factory=list)
    known: Mapping[str, Identity] = field(init=False)  # what the signals are that requirements speak of

    @known.default
    def _known(self) -> Mapping[str, Identity]:
        panel = {name: Identity(Role.INPUT, of=name) for name in self.plan.settings}
        return {**identities(self.plan), **panel}

    def require(self, said: Said, bad: Node, exercised: Node, met: Node | None = None) -> None:
        """Adds a requirement with what breaks it, what exercises it, and, if it is another thing, when it was
        kept.
        """
        mark, name = said.marks[0], self._free(said.name)
        one = self.sheet.helper(observer(f"{name}:bad"), bad, mark)
        two = self.sheet.helper(observer(f"{name}:exercised"), exercised, mark)
        three = two if met is None else self.sheet.helper(observer(f"{name}:met"), met, mark)
        bare = self.power_cut and not (said.stated or said.cuts) and self._looks_back(one.name)
        words = (
            f"{said.sentence[:-1]}, unless power is cut." if bare else said.sentence,
            said.marks,
            one.name,
            two.name,
            said.shown,
            said.circuit,
            said.stated,
            said.occasion,
        )
        circuits = (self.known[signal].circuit for signal in said.shown)
        stages = tuple(stage(circuit) for circuit in dict.fromkeys(circuits) if circuit)
        self.found.append(Required(name, *words, three.name, said.terms, stages))

    def _looks_back(self, name: str) -> bool:
        """Whether an observer asks what the controller did in the scan before, which a power cut ends."""
        rows = {row.name: row for row in self.sheet.rows if row.name not in self.controller}
        todo, seen = [name], set[str]()
        while todo:
            row = rows.get(todo.pop())
            if row is None or row.name in seen:
                continue
            seen.add(row.name)
            looks = [part.name for part in row.naming if isinstance(part, Previous)]
            if any(one not in rows and one in self.known for one in looks):
                return True
            todo += row.reads
        return False

    def ran(self) -> Previous:
        """The controller has run a scan since power came."""
        name = "controller:ran"
        if name not in self.sheet.types:
            self.sheet.put(Named(name, self.forgets), TRUE, self.plan.at.of("scan"))
        return Previous(name, Type.BOOL)

    @property
    def forgets(self) -> Identity:
        """What an observer's signal is that a power cut clears with all that the controller remembers."""
        return HELPER if self.power_cut else WATCHES

    def forgotten(self, name: str, node: Node, mark: Mark, *, initial: bool = False) -> Read:
        """An inner signal of an observer that a power cut clears."""
        return self.sheet.helper(Named(name, self.forgets), node, mark, initial)

    def once(self, name: str, write: Callable[[], Read]) -> Read:
        """An inner signal that several requirements ask for, written when it is asked for first."""
        return Read(name, self.sheet.types[name]) if name in self.sheet.types else write()

    @property
    def free(self) -> Read:
        """Every permissive for all water holds, and nothing has tripped."""
        name, mark = "guards:free", self.plan.at.of("permissives")

        def write() -> Read:
            everywhere = [item for item in self.plan.permissives if item.all_water]
            holds = [self.seen("permissive", item.needs, f"{name}:{item.name}") for item in everywhere]
            return self.signal(name, all_of((*holds, opposite(self.tripped))), mark)

        return self.once(name, write)

    def _free(self, name: str) -> str:
        """The name of a requirement, or one like it where another has it."""
        taken, found, number = {one.name for one in self.found}, name, 1
        while found in taken:
            number += 1
            found = f"{name}_{number}"
        return found

    def network(self, *, foreign: bool = False) -> Network:
        """The network with every observer under it; under a `foreign` one those that find what they see."""
        rows = self._sighted() if foreign else self.sheet.rows
        return Network(self.sheet.inputs, tuple(rows), self.outputs)

    def _sighted(self) -> list[Assignment]:
        """The rows without those that look at a signal which a controller of its own does not have."""
        rows, inputs = self.sheet.rows, {row.name: row.type for row in self.sheet.inputs}
        while True:
            types = inputs | {row.name: row.type for row in rows}
            kept = [row for row in rows if all(types.get(one) is kind for one, kind in _mentioned(row.node))]
            if len(kept) == len(rows):
                return kept
            rows = kept

    def condition(self, condition: Condition, label: str) -> Node:
        """A condition over the signals of this scan."""
        for part in walk(condition):
            if isinstance(part, Passed):
                self._begins(part)
        return build(condition, self.sheet, Scope(self.plan, label, serves=WATCHES))

    def _begins(self, item: Passed) -> None:
        """When a time begins that the controller counts: its stage, or the command of its valve, is
        another.
        """
        timed = timers(self.plan)[item.name].identity
        if f"{item.name}:begins" in self.sheet.types:
            return
        own = timed.role is Role.STAGE_TIME
        now = Read(stage(timed.circuit), Type.INT) if own else command(timed.owner)
        # A copy of its own: a power cut makes the controller forget what it was, not the one who watches it.
        copy = self.sheet.helper(observer(f"{item.name}:now"), now, item.mark)
        before = Previous(copy.name, now.type)
        self.sheet.helper(observer(f"{item.name}:begins"), different(now, before), item.mark)

    def seen(
        self,
        role: str,
        condition: Condition,
        label: str,
        circuit: str | None = None,
        time: Node | None = None,
    ) -> Node:
        """A condition as the controller sees it where it is a climb, a trip ...: some of it a scan late.

        What it counts for a call or a climb a power cut ends, as it does in the controller; how long a trip's
        or a permissive's condition has been so, it does not.
        """
        serves = self.forgets if role in FORGOTTEN else WATCHES
        scope = Scope(
            self.plan, label, circuit, time, before=SEEN_BEFORE[role], serves=serves, keeps=self.forgets
        )
        return build(condition, self.sheet, scope)

    def signal(self, name: str, node: Node, mark: Mark) -> Read:
        """An inner signal of an observer."""
        return self.sheet.helper(observer(name), node, mark)

    def since(
        self, label: str, event: Node, limit_ms: int, mark: Mark, *, before_power: int | None = None
    ) -> Read:
        """How long ago something last happened, at most so long; 0 ms in the scan after it counts from it.

        `before_power`: how long before power came it counts as having happened, after a power cut too.
        """
        of = WATCHES if before_power is None else self.forgets
        happened = self.sheet.helper(Named(f"{label}:event", of), event, mark)
        since, begins = Since(happened.name, high_end(limit_ms)), high_end(before_power or 0)
        return self.sheet.helper(Named(f"{label}:age", of), since, mark, begins)

    def cut(self, valve: str, label: str) -> Node:
        """A permissive of the valve does not hold, something has tripped, or a condition of the plan has shut
        its supply: what may end an opening at any time.
        """
        own = valves(self.plan)[valve]
        supply = self.plan.type_of(own.circuit).valves[own.valve].supply
        fed = [one for one in self.plan.feeders if one.supply == supply and one.when is not None]
        return any_of(
            [
                opposite(self.may(valve, label)),
                *([self.tripped] if is_water(self.plan, valve) else []),
                *(opposite(command(feeder_named(one).name)) for one in fed),
            ]
        )

    def may(self, valve: str, label: str) -> Node:
        """Every permissive of a valve holds."""
        own = [item for item in self.plan.permissives if covers(self.plan, item, valve)]
        return all_of(self.seen("permissive", item.needs, f"{label}:{item.name}") for item in own)

    @property
    def tripped(self) -> Node:
        """Something has tripped."""
        return Read(TRIPPED, Type.BOOL)


def _mentioned(node: Node) -> Iterator[tuple[str, Type]]:
    """The signals that a node looks at, and as what."""
    for part in every(node):
        if isinstance(part, Read | Previous):
            yield part.name, part.type
        elif isinstance(part, Elapsed | Since):
            yield part.timer if isinstance(part, Elapsed) else part.event, Type.BOOL


def covers(plan: Plan, permissive: object, valve: str) -> bool:
    """Whether a permissive is one of a valve's."""
    everywhere = getattr(permissive, "all_water", False)
    return is_water(plan, valve) if everywhere else valve in getattr(permissive, "valves", ())


def watch(plan: Plan, network: Network, extra: tuple[Input, ...] = (), *, power_cut: bool = False) -> Watch:
    """A sheet that begins with the plan's network."""
    sheet = Sheet((*network.inputs, *extra), [])
    sheet.rows = list(network.assignments)
    sheet.types |= network.types
    sheet.taken |= set(network.types)
    return Watch(plan, sheet, network.outputs, power_cut, frozenset(network.types))


def command(name: str) -> Read:
    """A valve command in this scan."""
    return Read(name, Type.BOOL)


def command_before(name: str) -> Previous:
    """A valve command in the last scan."""
    return Previous(name, Type.BOOL)


def of_circuit(plan: Plan, circuit: str) -> list[str]:
    """The valves of a circuit."""
    return [name for name, signal in valves(plan).items() if signal.circuit == circuit]
