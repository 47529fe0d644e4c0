"""Every single failure of a plan: what deviates, by which guide word, from what cause.

Guide words as in IEC 61882 (hazard and operability studies). How far each failure goes stands here and in
`predict.upsets`. Of circuits that fail alike (`upset.alike`) the first stands for all.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum

from attrs import evolve, frozen

from steadfall.constants import ATMOSPHERE, ZERO_CELSIUS
from steadfall.plan.meaning.names import input_identity
from steadfall.plan.model import ButtonCall, Input, Plan, Supply
from steadfall.plan.model.upset import POWER, Sort, Upset, Wrong
from steadfall.predict.inputs.scenario import MADE_MS, PRESS_MS, Course, course, inputs_of_calls, spelled
from steadfall.roles import command
from steadfall.upset.alike import stand_ins

LOW, HIGH = 0.5, 1.5  # of a supply's gauge pressure
HOTTER = 30.0  # K by which water is hotter or colder than the plan says
COLDEST, HOTTEST = ZERO_CELSIUS + 5.0, ZERO_CELSIUS + 95.0  # and the ends of that
LEAST_CHANGE = 5.0  # K below which it is not worth a row
WITHDRAWN_MS, WITHOUT_POWER_MS = 30_000, 10_000


class Guide(StrEnum):
    """The guide words that are used."""

    NO = "no"
    MORE = "more"
    LESS = "less"
    AS_WELL_AS = "as well as"
    OTHER_THAN = "other than"
    EARLY = "early"
    LATE = "late"


@frozen
class Failure:
    """One thing that goes wrong: `steps` are its upsets, with times since it begins."""

    of: str
    words: str  # what is the matter, behind the name of the thing
    guide: Guide
    deviation: str  # what the guide word is of
    cause: str
    steps: tuple[Upset, ...]
    at_start_only: bool = False

    @property
    def name(self) -> str:
        """As a person calls it: `upper.mist stuck open`."""
        return f"{self.of} {self.words}"

    @property
    def of_inputs(self) -> bool:
        """Whether the controller is shown something else, and nothing else is wrong."""
        return all(one.wrong.sort is Sort.INPUT for one in self.steps)

    def at(self, time_ms: int) -> tuple[Upset, ...]:
        """Its upsets, when it begins at a moment."""
        return tuple(evolve(one, time_ms=time_ms + one.time_ms) for one in self.steps)


def failures(plan: Plan) -> tuple[Failure, ...]:
    """All of them, in the order of the plan."""
    alike = stand_ins(plan)
    return (
        *(one for supply in plan.supplies.values() for one in _supply(supply)),
        *(one for circuit in alike for one in _circuit(plan, circuit)),
        *(one for name in plan.main_valves for one in _valve(name)),
        *(_pump(name) for name in plan.pumps),
        *(one for stream in plan.gas_streams for one in _stream(stream)),
        *(one for name in _inputs(plan, alike) for one in _input(plan.inputs[name])),
        *_call(plan),
        _power(),
    )


def _one(of: str, wrong: Wrong, guide: Guide, deviation: str, cause: str) -> Failure:
    return Failure(of, wrong.value, guide, deviation, cause, (Upset(0, of, wrong),))


def _supply(supply: Supply) -> Iterator[Failure]:
    gauge = supply.pressure - ATMOSPHERE
    pressures = (
        ("lost", Guide.NO, 0.0, "main shut, pump or compressor stopped, filter blocked"),
        ("low", Guide.LESS, LOW, "others draw from it, filter nearly blocked, pump worn"),
        ("high", Guide.MORE, HIGH, "pressure reducer failed"),
    )
    for words, guide, share, cause in pressures:
        step = Upset(0, supply.name, Wrong.PRESSURE, ATMOSPHERE + share * gauge)
        yield Failure(supply.name, words, guide, f"pressure of {supply.name}", cause, (step,))
    if supply.fluid != "water":
        return
    for words, guide, by in (("hot", Guide.MORE, HOTTER), ("cold", Guide.LESS, -HOTTER)):
        value = min(max(supply.temperature + by, COLDEST), HOTTEST)
        if abs(value - supply.temperature) >= LEAST_CHANGE:
            cause = f"the source of {supply.name} is not at its temperature"
            step = Upset(0, supply.name, Wrong.TEMPERATURE, value)
            yield Failure(supply.name, words, guide, f"temperature of {supply.name}", cause, (step,))


def _valve(name: str) -> Iterator[Failure]:
    flow = f"flow through {name}"
    yield _one(name, Wrong.STUCK_OPEN, Guide.MORE, flow, "dirt in the seat, held open by hand, output fused")
    yield _one(name, Wrong.STUCK_SHUT, Guide.NO, flow, "coil or wire broken, no pilot air, jammed")
    yield _one(name, Wrong.SLOW, Guide.LATE, flow, "pilot throttled, packing tight, air pressure low")
    yield _one(name, Wrong.LEAKS, Guide.AS_WELL_AS, f"{flow} while it is shut", "worn or dirty seat")


def _circuit(plan: Plan, circuit: str) -> Iterator[Failure]:
    for valve in plan.type_of(circuit).valves.values():
        yield from _valve(command(circuit, valve.name).name)
    outlet = f"flow through the outlet of {circuit}"
    yield _one(
        circuit, Wrong.HALF_BLOCKED, Guide.LESS, outlet, "scale, a hand valve half shut, a kinked hose"
    )
    scaled = _one(
        circuit, Wrong.SCALED, Guide.LESS, f"heat taken by {circuit}", "hard water boiled away in it"
    )
    yield evolve(scaled, at_start_only=True)


def _pump(name: str) -> Failure:
    return _one(name, Wrong.PUMP_STOPPED, Guide.NO, f"pressure of {name}", "motor tripped, coupling broken")


def _stream(stream: str) -> Iterator[Failure]:
    yield _one(stream, Wrong.FAN_STOPPED, Guide.NO, f"gas flow of {stream}", "motor tripped, belt torn")


def _inputs(plan: Plan, alike: Mapping[str, tuple[str, ...]]) -> Iterator[str]:
    """The inputs but for those of circuits for which another stands."""
    left_out = {circuit for others in alike.values() for circuit in others}
    for name in plan.inputs:
        owner = plan_circuit(plan, name)
        if owner not in left_out:
            yield name


def plan_circuit(plan: Plan, name: str) -> str:
    """The circuit that an input belongs to, or ''."""
    return input_identity(plan, name).circuit


def _input(item: Input) -> Iterator[Failure]:
    yield from _digital(item) if item.is_digital else _measured(item)


def _digital(item: Input) -> Iterator[Failure]:
    for words, value in (("stuck on", 1.0), ("stuck off", 0.0)):
        cause = "contact welded, wire to supply" if value else "wire broken, contact dirty, fuse blown"
        yield _shows(item, words, Guide.OTHER_THAN, value, cause)
    yield _one(item.name, Wrong.BOUNCES, Guide.OTHER_THAN, f"signal {item.name}", "loose wire or contact")


def _measured(item: Input) -> Iterator[Failure]:
    rows = (
        ("broken wire", Guide.NO, item.speaks[0], "wire or sensor broken, fuse blown"),
        ("at its lower end", Guide.LESS, item.low, "short circuit, sensor pulled out, impulse line shut"),
        ("at its upper end", Guide.MORE, item.high, "sensor or its supply failed"),
    )
    yield from (_shows(item, *row) for row in rows)
    reading = f"reading {item.name}"
    yield _one(item.name, Wrong.STICKS, Guide.OTHER_THAN, reading, "transmitter hung, impulse line blocked")
    yield _one(item.name, Wrong.DRIFTS_UP, Guide.MORE, reading, "ageing, moisture, reference junction")
    yield _one(
        item.name, Wrong.DRIFTS_DOWN, Guide.LESS, reading, "ageing, moisture, poor contact with the metal"
    )


def _shows(item: Input, words: str, guide: Guide, value: float, cause: str) -> Failure:
    of = "signal" if item.is_digital else "reading"
    step = Upset(0, item.name, Wrong.SHOWS, value)
    return Failure(item.name, words, guide, f"{of} {item.name}", cause, (step,))


def _call(plan: Plan) -> Iterator[Failure]:
    """What calls in the default scenario is let go, and given again."""
    steps = (*_let_go(plan, course(plan)), *_pressed_again(plan, course(plan)))
    if steps:
        words, cause = "withdrawn and given again", "an operator, another system, a contact that opens"
        yield Failure("call", words, Guide.EARLY, "end of the call", cause, steps)


def _let_go(plan: Plan, run: Course) -> Iterator[Upset]:
    made = {name: value for at, name, value in run.changes if at <= MADE_MS}
    for name in sorted(inputs_of_calls(plan)):
        item = plan.inputs[name]
        if made.get(name, run.start.get(name, item.normal)) != item.normal:
            yield Upset(0, name, Wrong.SHOWS, item.normal)
            yield Upset(WITHDRAWN_MS, name, Wrong.MEASURES)


def _pressed_again(plan: Plan, run: Course) -> Iterator[Upset]:
    pressed = {name for _, name, _ in run.changes}
    for call in plan.calls:
        if isinstance(call, ButtonCall) and call.start in pressed:
            for after, button in ((0, call.stop), (WITHDRAWN_MS, call.start)):
                yield Upset(after, button, Wrong.SHOWS, 1.0 - plan.inputs[button].normal)
                yield Upset(after + max(PRESS_MS, 2 * plan.scan.longest_ms), button, Wrong.MEASURES)


def _power() -> Failure:
    steps = Upset(0, POWER, Wrong.POWER_LOST), Upset(WITHOUT_POWER_MS, POWER, Wrong.POWER_BACK)
    words, cause = "lost and back", "the mains fail, a fuse, a restart of the controller"
    return Failure(POWER, words, Guide.NO, "power of the controller", cause, steps)


def upsets(plan: Plan, failure: Failure, time_ms: int) -> tuple[Upset, ...]:
    """What a run is given when a failure begins at a moment."""
    return spelled(plan, failure.at(time_ms))
