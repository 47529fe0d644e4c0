"""The plant in the loop: outputs are read, the plant goes on by the time that passed, sensors are written.

Rule of this file: the plant follows the real time and never catches up; a cycle that comes late is counted.
Nothing is written unless the session drives, and whatever ends it, what was recorded stays.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from typing import Protocol

from attrs import frozen

from steadfall.bench.cases.clearing import Press
from steadfall.bench.link.exchange import Exchange, Link, LostError, Part
from steadfall.bench.session.journal import Row, Span
from steadfall.interrupt import ending
from steadfall.logic.nodes import Value
from steadfall.predict.stepper import Stepper
from steadfall.progress import Cancelled

MS = 1_000_000  # ns


class Time(Protocol):
    """What a session goes by."""

    def now_ns(self) -> int:
        """Now."""

    def wait_until(self, ns: int) -> None:
        """Until a moment; at once where it is past."""


class RealTime:
    """The clock on the wall."""

    def now_ns(self) -> int:
        """Now."""
        return time.monotonic_ns()

    def wait_until(self, ns: int) -> None:
        """Until a moment."""
        left = ns - time.monotonic_ns()
        if left > 0:
            time.sleep(left / 1e9)


@frozen
class Driven:
    """What to do: how long, how often, and whether inputs are written at all."""

    until_ms: int
    cycle_ms: int = 50
    drive: bool = False
    settle_ms: int = 0  # how long the controller may take to come to rest with the first inputs
    power_ms: int | None = None  # when somebody switches the controller off and on again
    presses: tuple[Press, ...] = ()  # what people press then, so that nothing of before is latched
    beat: str = ""  # the input of the controller that changes as long as the bench is there


@frozen(eq=False)
class Ended:
    """Why a session ended, and what it has recorded; `lost`: not as it was meant to."""

    why: str
    rows: tuple[Row, ...]
    lost: bool = False


DONE = "the time was over"
PLANT_STOPPED = "the plant left what can be computed"
INTERRUPTED = "it was stopped by hand"


def no_power(_: Link) -> Link:
    """Of a controller that nobody can switch off."""
    raise LostError("nobody can switch the controller off and on")


class Session:
    """One run of a controller against a plant.

    `keep` is handed each cycle as soon as it is over; `power` has the controller switched off and on, and
    gives the link to it after that.
    """

    def __init__(
        self,
        stepper: Stepper,
        at: tuple[Link, Time],
        driven: Driven,
        keep: Callable[[Row], None],
        power: Callable[[Link], Link] = no_power,
    ) -> None:
        self._stepper, self._driven, self._keep, self._power = stepper, driven, keep, power
        self._link, clock = at
        self._clock, self._power_due = clock, driven.power_ms
        self._begun = clock.now_ns()
        self._outputs: dict[str, Value] = {}
        self._inputs: dict[str, Value] = {}
        self._panel: dict[str, Value] = {}  # as it stood when the session began
        self.rows: list[Row] = []

    def run(self, tell: Callable[[int], None] = lambda _: None) -> Ended:
        """To its end; Ctrl-C, a stop and a lost link end it too. Whatever fails, nobody calls after it."""
        try:
            return Ended(self._through(tell), tuple(self.rows))
        except LostError as error:
            self._make_safe()
            return Ended(f"the link was lost: {error}", tuple(self.rows), lost=True)
        except KeyboardInterrupt:
            ending()  # what is recorded is judged in peace
            self._make_safe()
            return Ended(INTERRUPTED, tuple(self.rows), lost=True)
        except Cancelled:
            self._make_safe()
            return Ended(INTERRUPTED, tuple(self.rows), lost=True)
        except Exception:  # a disk that is full, nobody there to switch it off, a fault of ours
            self._make_safe()
            raise

    def _settled(self) -> None:
        """The first inputs are written, and the controller has its time to come to rest."""
        if self._driven.drive:
            self._rested(self._stepper.sense())
            self._begun = self._clock.now_ns()

    def _rested(self, inputs: Mapping[str, Value]) -> None:
        """With these inputs it comes to rest, and people clear what it has latched."""
        self._link.write(inputs)
        self._wait(self._driven.settle_ms)
        for press in self._driven.presses:
            for values in (press.inputs, inputs):
                self._link.write({**inputs, **values})
                self._wait(press.lasting_ms)

    def _wait(self, ms: int) -> None:
        self._clock.wait_until(self._clock.now_ns() + ms * MS)

    def _through(self, tell: Callable[[int], None]) -> str:
        self._settled()
        cycle, due, last = 0, self._begun, self._begun
        period = self._driven.cycle_ms * MS
        while True:
            self._clock.wait_until(due)
            power = self._power_cycled() if self._is_power_due() else None
            now = self._clock.now_ns()
            late = now >= due + period and power is None
            passed = (now - self._begun) // MS - (last - self._begun) // MS
            self._cycle(cycle, 0 if power else passed, late=late, power=power)
            last = now
            if self._stepper.stopped:
                return PLANT_STOPPED
            if (now - self._begun) // MS >= self._driven.until_ms:
                self._make_safe()
                return DONE
            tell((now - self._begun) // MS)
            cycle, due = cycle + 1, (now if late or power else due) + period

    def _is_power_due(self) -> bool:
        due = self._power_due
        return due is not None and self._clock.now_ns() - self._begun >= due * MS

    def _power_cycled(self) -> tuple[float, float]:
        """The controller is off and on again, and has its inputs as they were; the plant has stood still."""
        self._power_due = None
        begun = self._clock.now_ns()
        self._link = self._power(self._link)
        if self._driven.settle_ms:
            self._rested(self._without_panel())
        return (begun - self._begun) / MS, (self._clock.now_ns() - self._begun) / MS

    def _cycle(
        self, number: int, passed_ms: int, *, late: bool, power: tuple[float, float] | None = None
    ) -> None:
        """The plant goes on with the outputs as they were, then what is seen and shown now counts."""
        if number and passed_ms and self._driven.drive:
            self._stepper.step(self._known(), passed_ms)
        before = self._without_panel()
        if power:
            self._outputs, self._inputs = {}, {}
        seen, sent = self._link.read(), Exchange(())
        if self._driven.drive:
            panel = self._shown_on_panel() if power or not number else Exchange(())
            shown = before if power else self._with_a_place(self._stepper.sense())
            written = self._link.write({**shown, **self._beat(number)})
            sent = Exchange((*panel.parts, *written.parts))
        row = Row(
            number,
            self._stepper.now_ms,
            self._spans(seen, self._outputs),
            self._spans(sent, self._inputs),
            late,
            power,
        )
        self._keep(row)
        self.rows.append(row)
        self._outputs, self._inputs = seen.values, {**self._inputs, **sent.values}

    def _shown_on_panel(self) -> Exchange:
        """What is set on the panel, as it stands in the controller at the beginning, and after power."""
        settings = self._stepper.plan.settings
        if not settings:
            return Exchange(())
        begun, shown = self._clock.now_ns(), self._link.shown()
        values = {name: value for name, value in shown.items() if name in settings}
        self._panel = self._panel or values
        return Exchange((Part(begun, self._clock.now_ns(), values),) if values else ())

    def _with_a_place(self, inputs: Mapping[str, Value]) -> dict[str, Value]:
        """Without settings that the link has no place for."""
        missing = self._stepper.plan.settings.keys() - self._panel.keys()
        return {name: value for name, value in inputs.items() if name not in missing}

    def _without_panel(self) -> dict[str, Value]:
        """What is written in each cycle: nobody sets anything anew because power has come."""
        settings = self._stepper.plan.settings
        return {name: value for name, value in self._inputs.items() if name not in settings}

    def _beat(self, cycle: int) -> dict[str, Value]:
        return {self._driven.beat: cycle % 2 == 0} if self._driven.beat else {}

    def _known(self) -> dict[str, Value]:
        """The outputs that the plant has a place for."""
        where = self._stepper.run.program.where
        return {name: value for name, value in self._outputs.items() if name in where}

    def _make_safe(self) -> None:
        """Inputs as they are with nobody calling, the panel as it was, where a write is still possible."""
        if not self._driven.drive or not self._inputs:
            return
        people = [one for one in self._stepper.plan.inputs.values() if one.measures is None]
        usual = {one.name: one.normal >= 0.5 for one in people if one.is_digital}
        try:
            self._link.write({**self._inputs, **usual, **self._panel})
        except LostError:
            return

    def _spans(self, exchange: Exchange, before: Mapping[str, Value]) -> tuple[Span, ...]:
        return tuple(
            Span(
                (part.begun_ns - self._begun) / MS,
                (part.ended_ns - self._begun) / MS,
                _news(before, part.values),
            )
            for part in exchange.parts
        )


def _news(before: Mapping[str, Value], now: Mapping[str, Value]) -> dict[str, Value]:
    return {name: value for name, value in now.items() if name not in before or before[name] != value}
