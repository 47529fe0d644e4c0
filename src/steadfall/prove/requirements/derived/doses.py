"""The requirements that follow from any plan without being asked, of doses.

Rule of this file: as in `derived.guards`. Times are those of the plan; a time is over in the
first scan at or after it, neither sooner nor later.
"""

from __future__ import annotations

from collections.abc import Callable

from attrs import evolve, frozen

from steadfall.logic.build.stages import FIRST
from steadfall.logic.forms import (
    all_of,
    any_of,
    at_least,
    choose,
    different,
    equal,
    less,
    ms,
    opposite,
    whole,
)
from steadfall.logic.nodes import Compare, Node, Previous, Read, Type
from steadfall.plan.meaning.names import valves
from steadfall.plan.model import Dose, Pulses
from steadfall.plan.model.setting import high_end, low_end
from steadfall.plan.text.lay_out import time
from steadfall.prove.requirements.derived.guards import circuit_of, stage_before, stage_of, valve_of
from steadfall.prove.requirements.watch import Said, Watch, command, command_before
from steadfall.roles import observer
from steadfall.roles import stage as stage_name
from steadfall.source import Mark


@frozen(eq=False)
class _Dosed:
    """A valve that doses in a stage, as its observers see it."""

    watch: Watch
    valve: str
    stage: str  # CIRCUIT.STAGE
    number: int
    dose: Dose
    first: Node | None = None  # the stage has not lasted as long as its first doses
    late: bool = False  # what the stage does after them

    @property
    def label(self) -> str:
        after = "_later" if self.late else ""
        return f"{self.stage}.{valves(self.watch.plan)[self.valve].valve}_dose{after}"

    @property
    def when(self) -> str:
        """When in its stage, after the word for it."""
        if self.dose.for_ms is None:
            return ""
        return f"{' after' if self.late else ', in'} the first {time(self.dose.for_ms)}"

    @property
    def circuit(self) -> str:
        return circuit_of(self.watch, self.valve)

    @property
    def longest(self) -> int:
        """The longest time between two scans."""
        return self.watch.plan.scan.longest_ms

    @property
    def delay(self) -> int:
        """How long the first dose waits."""
        return self.watch.plan.circuits[self.circuit].delay_doses_ms

    @property
    def early(self) -> int:
        """By how much a pause may be shorter than planned: a shared clock that runs later for this circuit
        ends its wait, and then its dose, up to a scan late, and the next time perhaps not.
        """
        return 2 * self.longest if self._behind else 0

    @property
    def later(self) -> int:
        """By how much a pause may be longer: the two timers of a free clock see each other a scan late; a
        clock that runs later for this circuit begins again up to three scans after that.
        """
        return (5 if self._behind else 2) * self.longest if self.dose.clock == "free" else 0

    @property
    def _behind(self) -> bool:
        """Whether a shared clock runs later for this circuit."""
        times = (self.delay, self.dose.open_ms, self.dose.shut_ms)
        varies = any(low_end(one) != high_end(one) for one in times)
        return self.dose.clock == "free" and bool(varies or self.delay % (times[1] + times[2]))

    def fits(self, ms_from_first: int) -> bool:
        """Whether so much after its first dose begins can lie within the part of the stage that is meant."""
        if self.first is None or self.late or self.dose.clock == "free":
            return True
        return low_end(self.delay) + low_end(ms_from_first) < high_end(self.dose.for_ms or 0)

    @property
    def mark(self) -> Mark:
        return self.dose.at.own

    @property
    def here(self) -> Node:
        """In the stage, and in the part of it that is meant."""
        in_stage = equal(stage_of(self.circuit), whole(self.number))
        if self.first is None:
            return in_stage
        return all_of((in_stage, opposite(self.first) if self.late else self.first))

    @property
    def now(self) -> Read:
        return command(self.valve)

    @property
    def before(self) -> Previous:
        return command_before(self.valve)

    @property
    def opens(self) -> Node:
        return all_of((self.now, opposite(self.before)))

    @property
    def shuts(self) -> Node:
        return all_of((self.before, opposite(self.now)))

    def since(self, what: str, event: Node, limit_ms: int) -> Read:
        """How long ago something was."""
        return self.watch.since(f"{self.label}:{what}", event, limit_ms, self.mark)

    def at_rest(self, limit_ms: int) -> Read:
        """How long the valve has been shut; after a power cut from there, as the controller counts."""
        return self.watch.since(f"{self.label}:shut", self.shuts, limit_ms, self.mark, before_power=0)

    @property
    def pause(self) -> int:
        """The shortest pause of the valve."""
        return valve_of(self.watch, self.valve).shortest_shut_ms

    @property
    def rested(self) -> list[Node]:
        """The valve has been shut for its shortest pause."""
        age = self.since("held", self.shuts, self.pause) if high_end(self.pause) else None
        return [at_least(age, ms(self.pause))] if age else []

    @property
    def excuses(self) -> str:
        """Why the first dose may be missing."""
        return "unless it is cut" + (" or in its shortest pause" if high_end(self.pause) else "")

    def latch(self, what: str, node: Callable[[Node], Node]) -> Previous:
        """A signal that is worked out from its own last value; gives that last value."""
        name = f"{self.label}:{what}"
        last = Previous(name, Type.BOOL)
        self.watch.sheet.put(observer(name), node(last), self.mark)
        return last

    def require(self, name: str, words: str, bad: Node, exercised: Node) -> None:
        """A sentence about these doses."""
        said = Said(
            f"{self.label}.{name}", words, (self.mark,), (self.valve, stage_name(self.circuit)), self.circuit
        )
        self.watch.require(said, bad, exercised)


def doses_are_whole(watch: Watch) -> None:
    """A dose lasts as long as its stage says, and so does the pause after it; the first begins with the
    stage.
    """
    for name in valves(watch.plan):
        valve, circuit = valve_of(watch, name), circuit_of(watch, name)
        kind = watch.plan.type_of(circuit)
        for number, stage in enumerate(kind.stages, FIRST):
            dose = stage.actions.get(valve.name)
            if isinstance(dose, Dose):
                of = _Dosed(watch, name, f"{circuit}.{stage.name}", number, dose)
                of = evolve(of, first=_first(of))
                cut = watch.cut(name, of.label)
                _lasts(of, cut)
                _comes_again(of, cut)
                if dose.clock == "restart":
                    (_waits if high_end(of.delay) else _begins)(of, cut)
                if dose.then is not None:
                    _goes_on(of, cut)


def _goes_on(of: _Dosed, cut: Node) -> None:
    """What the valve does after the first doses of its stage."""
    then, late = of.dose.then, evolve(of, late=True)
    if isinstance(then, Pulses):
        late = evolve(late, dose=evolve(of.dose, open_ms=then.open_ms, shut_ms=then.shut_ms))
        _lasts(late, cut)
        _comes_again(late, cut)
        return
    shortest = valve_of(of.watch, of.valve).shortest_open_ms
    held = (
        at_least(late.since("opened", of.opens, shortest), ms(shortest)) if high_end(shortest) else of.before
    )
    wrong = [opposite(of.now), opposite(cut), *late.rested] if then == "open" else [of.now, of.before, held]
    excuse = of.excuses if then == "open" else "but for its shortest opening"
    words = f"{of.valve} is {then} in {of.stage}{late.when}, {excuse}."
    late.require("goes_on", words, all_of((late.here, *wrong)), late.here)


def _first(of: _Dosed) -> Node | None:
    """The stage has not lasted as long as its first doses; None where they go on to its end."""
    if of.dose.for_ms is None:
        return None
    moved = different(stage_of(of.circuit), stage_before(of.circuit))
    return any_of((moved, less(of.since("stage", moved, of.dose.for_ms), ms(of.dose.for_ms))))


def _lasts(of: _Dosed, cut: Node) -> None:
    """Each dose and the pause after it."""
    open_ms, where = of.dose.open_ms, f"of {of.valve} in {of.stage}{of.when}"
    age, enough = of.since("open", of.opens, open_ms), of.pause + of.longest + 1
    rest = of.at_rest(max(high_end(of.dose.shut_ms) + of.later, high_end(enough)))
    # A dose that was due while the valve was cut, and opens late with what is left of it, is none of these.
    uncut = of.latch("uncut", lambda _: opposite(cut))
    begins = all_of((of.opens, uncut, at_least(rest, ms(enough))))
    whole_one = of.latch(
        "full", lambda last: all_of((of.here, of.now, any_of((begins, all_of((of.before, last))))))
    )
    any_one = of.latch(
        "began", lambda last: all_of((of.here, of.now, any_of((of.opens, all_of((of.before, last))))))
    )
    over = at_least(age, ms(open_ms))
    short = all_of((of.here, whole_one, of.shuts, opposite(cut), opposite(over)))
    long = all_of((of.here, any_one, of.before, of.now, over))
    words = f"Each dose {where} that begins from rest lasts {time(open_ms)}, unless the stage ends or it is"
    words += " cut; none is longer."
    applies = all_of((of.here, whole_one, of.shuts, opposite(cut))) if of.fits(open_ms) else any_one
    of.require("lasts", words, any_of((short, long)), applies)
    if not of.fits(open_ms):
        return
    # A dose that its valve's shortest pause holds back takes its time from the pause after it.
    prompt = whole_one if low_end(of.dose.shut_ms) >= high_end(enough) else any_one
    _pauses(of, cut, rest, all_of((prompt, of.shuts, opposite(cut), over)))


def _pauses(of: _Dosed, cut: Node, rest: Node, ended: Node) -> None:
    """The pause after a dose that has ended in its time."""
    least, most = of.dose.shut_ms - of.early, of.dose.shut_ms + of.later
    due = all_of((at_least(rest, ms(most)), at_least(rest, ms(of.pause))))
    paused = of.latch(
        "pause",
        lambda last: all_of((of.here, opposite(of.now), any_of((ended, last)), opposite(all_of((cut, due))))),
    )
    here = all_of((of.here, paused))
    soon = all_of((of.opens, less(rest, ms(max(0, least)))))
    late = all_of((opposite(of.now), opposite(cut), due))
    long = f"{time(least)}" if least == most else f"{time(max(0, least))} to {time(most)}"
    words = f"After a whole dose of {of.valve} in {of.stage}{of.when} the valve is shut for {long}, then a"
    words += " dose begins, unless the stage ends or it is cut."
    applies = all_of((here, of.opens)) if of.fits(of.dose.open_ms + of.dose.shut_ms) else here
    of.require("pauses", words, all_of((here, any_of((soon, late)))), applies)


def _comes_again(of: _Dosed, cut: Node) -> None:
    """Doses keep coming; one may be skipped where the shortest pause of the valve covers it."""
    may = all_of((of.here, opposite(cut)))
    most = 2 * of.dose.shut_ms + of.dose.open_ms + of.delay + of.pause + 8 * of.longest
    age = of.since("without", any_of((of.now, opposite(may))), most)
    words = (
        f"In {of.stage}{of.when} a dose of {of.valve} comes at least every {time(most)}, unless it is cut."
    )
    late = all_of((may, opposite(of.now), at_least(age, ms(most))))
    of.require("comes_again", words, late, all_of((may, of.now)))


def _begins(of: _Dosed, cut: Node) -> None:
    """The first dose begins in the scan that enters the stage, and is as long as the others."""
    entered = all_of((of.here, different(stage_of(of.circuit), stage_before(of.circuit))))
    absent = all_of((entered, opposite(of.now), opposite(cut), *of.rested))
    over = at_least(of.since("entry", entered, of.dose.open_ms), ms(of.dose.open_ms))
    first = of.latch("first", lambda last: all_of((of.here, of.now, any_of((entered, last)))))
    short = all_of((of.shuts, opposite(cut), opposite(over)))
    long = all_of((of.before, of.now, over))
    words = (
        f"The first dose of {of.valve} in {of.stage} begins with the stage and lasts {time(of.dose.open_ms)}"
    )
    words += f", {of.excuses}."
    bad = any_of((absent, all_of((of.here, first, any_of((short, long))))))
    of.require("begins", words, bad, all_of((entered, of.now)))


def _waits(of: _Dosed, cut: Node) -> None:
    """The first dose of a delayed circuit begins when its delay is over, and not before."""
    entered = all_of((of.here, different(stage_of(of.circuit), stage_before(of.circuit))))
    last_ms = of.delay + of.dose.open_ms
    age = of.since("entry", entered, last_ms)
    soon = any_of((entered, less(age, ms(of.delay))))
    if not low_end(of.delay):  # set to nothing, it is no delay
        soon = choose(entered, Compare(">", ms(of.delay), ms(0)), less(age, ms(of.delay)))
    early = all_of((of.here, of.opens, soon))
    wait = of.latch(
        "wait", lambda last: all_of((of.here, opposite(of.now), opposite(cut), any_of((entered, last))))
    )
    due = all_of((at_least(age, ms(of.delay)), less(age, ms(last_ms))))
    late = all_of((of.here, wait, opposite(of.now), opposite(cut), due, *of.rested))
    words = (
        f"The first dose of {of.valve} in {of.stage} begins {time(of.delay)} after the stage, {of.excuses}."
    )
    of.require("begins", words, any_of((early, late)), all_of((of.here, wait, of.now)))


DOSES: tuple[Callable[[Watch], None], ...] = (doses_are_whole,)
