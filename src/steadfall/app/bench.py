"""The bench: a controller runs its own program, and the plan's hot plant and people are played for it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from attrs import evolve, field, frozen

from steadfall.app.given.consent import CONFIRM
from steadfall.app.given.controller import Controller
from steadfall.app.given.document import document, json_text
from steadfall.app.given.files import write
from steadfall.app.given.person import person
from steadfall.bench.cases.clearing import clearing
from steadfall.bench.cases.noisy import Noisy
from steadfall.bench.cases.script import Case
from steadfall.bench.cases.told import Told
from steadfall.bench.judge.finding import Terms, terms_of
from steadfall.bench.judge.whole import Judged, judge
from steadfall.bench.link.exchange import Link
from steadfall.bench.link.file import CYCLE_MS, Access, LinkFile, has_place, joined, read_link, with_access
from steadfall.bench.link.wires import Wire, placed, signals
from steadfall.bench.session.journal import Journal, Recording, read_recording
from steadfall.bench.session.loop import DONE, INTERRUPTED, Driven, RealTime, Session, Time
from steadfall.bench.session.traced import signals_shown, traced
from steadfall.bench.soft.controller import Soft
from steadfall.bench.soft.lock_step import LockStep
from steadfall.extras import missing_packages, opened
from steadfall.logic.build.recorder import BEAT, Extra, with_extras
from steadfall.logic.build.stand_in import with_stages
from steadfall.logic.build.whole import build
from steadfall.logic.nodes import Value
from steadfall.plan.model import Plan
from steadfall.plan.model.upset import Sort
from steadfall.plan.read.whole import read_text
from steadfall.predict.inputs.scenario import course
from steadfall.predict.stepper import Stepper
from steadfall.progress import SILENT, Progress
from steadfall.quantities import clock
from steadfall.report.page.bench import NAME, session_page
from steadfall.source import AskError, OutsideError
from steadfall.words import _

MINUTES = 10.0
KNOWN = _("'{signal}' at {place} stands at {value:g} in the controller, in its own unit")
POWER_CYCLE = "switch the controller off and on again"
CAUTIONS = (
    "Outputs of the controller may move valves: disconnect or isolate the field side before you go on.",
    "A pass says that this controller did what the plan's logic does, as far as it was exercised here. It is "
    "no proof, no safety assessment and no licence to start.",
)
NO_POWER = _("scenario '{name}' cuts the power of the controller, which the bench cannot do")
NO_PANEL = _("scenario '{name}' sets numbers on the panel, which the bench cannot do")
OTHER_PLAN = _("{path} is not the plan of this session any more")
OTHER_REVISION = _("{path} holds a session with another revision of the plan")
UNSURE = _("nobody has confirmed that {value}; look at word_order, type and scale of the link")
UNFIT = _("{address} does not fit the plan:")
PLAN, VERDICTS, SAMPLES = "plan.yaml", "verdicts.json", "samples.parquet"
MS_OF_S, LOCK_STEP_LINK_MS = 1000, 2


def nobody(what: str) -> None:
    """Nobody is there who could do it."""
    raise AskError(f"somebody must {what}")


@frozen
class People:
    """Who stands at the controller: what was confirmed before the first write, and who is asked to act."""

    confirmed: str = ""
    ask: Callable[[str], None] = nobody
    knows: Callable[[str], bool] = lambda _: False  # whether a value is what stands in the controller
    access: Access = field(factory=Access)  # over what the link file says


@frozen
class How:
    """How to hold a session: which scenario, how long, how often; and whether inputs are written at all."""

    scenario: str | None = None
    lasting_s: float = 60 * MINUTES
    cycle_ms: int | None = None  # None: as the link file says, else 50
    drive: bool = False
    out: Path | None = None
    case: Case | None = None  # in place of a scenario, for as long as it lasts


@frozen(eq=False)
class Benched:
    """A session that is over, and what is said of it."""

    plan: Plan
    recording: Recording
    judged: Judged
    folder: Path | None = None
    cautions: tuple[str, ...] = field(default=CAUTIONS)

    @property
    def good(self) -> bool:
        """It came to its end, and the plan's logic explains all of it."""
        return self.judged.good and self.recording.ended == DONE

    @property
    def stopped(self) -> bool:
        """Whether somebody stopped it by hand."""
        return self.recording.ended == INTERRUPTED

    def verdicts(self) -> dict[str, Any]:
        """What is said, in stable names (docs/json.md)."""
        found = self.judged
        return {
            "ended": self.recording.ended,
            "conforms": found.conforms.as_json(),
            "judged_ms": found.judged_ms,
            "covered": [one.as_json() for one in found.covered],
            "exact": None if found.exact is None else found.exact.as_json(),
            "required": [one.as_json() for one in found.required],
            "pace": found.pace.as_json(),
        }

    def page(self, *, dated: str = "") -> str:
        """The page as text, with a date or with room for one; raises OutsideError without jinja2."""
        return session_page(self.plan, self.recording, self.judged, dated=dated)

    def write(self, folder: Path) -> None:
        """Verdicts; the page and the samples where their libraries are there. May raise OutsideError."""
        write({VERDICTS: json_text(self.verdicts())}, folder)
        if not missing_packages(["jinja2"]):
            write({NAME: self.page(dated=str(self.recording.head["begun"])[:10])}, folder)
        if not missing_packages(["pandas", "pyarrow"]):
            trace = traced(self.recording.rows, signals_shown(self.plan))
            opened("steadfall.trace.frame").write_parquet(trace, folder / SAMPLES)

    def as_json(self) -> dict[str, Any]:
        """In stable names (docs/json.md)."""
        head = {name: self.recording.head.get(name, "") for name in HEAD}
        body = {**self.verdicts(), "session": head, "cautions": list(self.cautions)}
        return document(self.plan, self.good, {**body, "folder": str(self.folder) if self.folder else None})


HEAD = ("begun", "held_by", "link", "peer", "scenario", "seed", "drive", "code")
SEED = 1  # of the draws of noise, and in a rehearsal of the moments of scans


def bench(
    plan: Plan,
    link: str,
    how: How | None = None,
    people: People | None = None,
    progress: Progress = SILENT,
) -> Benched:
    """Hold a session with the controller at a link (a link file, or an address), in real time.

    Without `drive` it only listens. To drive, people must have confirmed `CONFIRM`. Raises PlanError where
    the link does not fit the plan, OutsideError where the controller cannot be reached or does not fit,
    AskError without the confirmation.
    """
    asked, own = how or How(), people or People()
    if asked.drive and own.confirmed != CONFIRM:
        raise AskError(f"nothing is written before somebody confirms: {CONFIRM}")
    found = with_access(read_link(link), own.access)
    playable(plan, asked)
    wires = _wires(plan, found)
    stepper = _stepper(plan, asked)
    _warmed(plan, found.cycle_ms)
    with_link = fitting(found, wires)

    def power(last: Link) -> Link:
        nonlocal with_link
        last.close()
        own.ask(POWER_CYCLE)
        with_link = fitting(found, wires)
        return with_link

    try:
        if asked.drive and not found.is_opcua:
            _known(with_link, wires, own)
        peer = {"address": with_link.peer().address, **with_link.peer().says}
        cycle = asked.cycle_ms or found.cycle_ms
        terms = Terms(plan.scan.nominal_ms, plan.scan.longest_ms, cycle_ms=cycle)
        head = _head(plan, asked, terms, found.address, peer, {"seed": SEED, "code": None})
        beat = BEAT.name if any(wire.signal == BEAT.name and has_place(wire, found) for wire in wires) else ""
        driven = Driven(_ms(asked), cycle, asked.drive, found.settle_ms, _power(asked), clearing(plan), beat)
        return _held((stepper, power), (with_link, RealTime()), driven, asked, head, progress)
    finally:
        with_link.close()


def _wires(plan: Plan, found: LinkFile) -> list[Wire]:
    network = with_extras(plan, build(plan), frozenset(Extra))
    return joined(placed(signals(plan, network), plan), found)


@frozen
class Looked:
    """Who is at a link, all values as they stand there, and what somebody must confirm before driving."""

    peer: dict[str, str]
    values: dict[str, Value]
    known: tuple[str, ...]


def look(plan: Plan, link: str, access: Access | None = None) -> Looked:
    """Look at a controller once; nothing is written. Raises what `bench` raises before a session."""
    found = with_access(read_link(link), access or Access())
    wires = _wires(plan, found)
    made = fitting(found, wires)
    try:
        shown, peer = dict(made.shown()), made.peer()
        known = () if found.is_opcua else tuple(_numbers(wires, shown))
        return Looked({"address": peer.address, **peer.says}, shown, known)
    finally:
        made.close()


def rehearse(
    plan: Plan,
    how: How | None = None,
    code: Controller | None = None,
    seed: int = SEED,
    progress: Progress = SILENT,
) -> Benched:
    """Hold a session with a soft controller in this process, in its own time: the plan's logic, or a text."""
    asked = how or How()
    playable(plan, asked)
    network = with_stages(plan, code.network) if code else build(plan)
    shows = [wire.signal for wire in signals(plan, network) if not wire.is_input]
    scans = plan.scan.nominal_ms, plan.scan.longest_ms
    soft = LockStep(Soft(network, shows), *scans, seed=seed, settings=tuple(plan.settings))
    beat = BEAT.name if BEAT.name in network.given else ""
    cycle = asked.cycle_ms or CYCLE_MS
    driven = Driven(_ms(asked), cycle, drive=True, power_ms=_power(asked), beat=beat)
    first = 0.0, float(plan.scan.longest_ms)
    terms = Terms(plan.scan.nominal_ms, plan.scan.longest_ms, 0.0, driven.cycle_ms, first)
    own = {"seed": seed, "code": code.text.as_json() if code else None}
    head = _head(plan, evolve(asked, drive=True), terms, "rehearsal", {"address": soft.peer().address}, own)
    return _held((_stepper(plan, asked, seed), soft.power), (soft, soft), driven, asked, head, progress)


def again(folder: Path, asked: Plan | None = None, progress: Progress = SILENT) -> Benched:
    """Judge a session anew from its folder, by the plan in it. Raises OutsideError where there is none.

    `asked`: the plan that it must be.
    """
    recording = read_recording(folder)
    try:
        text = (folder / PLAN).read_text(encoding="utf-8")
    except OSError as error:
        raise OutsideError(f"cannot read {folder / PLAN}: {error.strerror or error}") from error
    plan = read_text(text, str(folder / PLAN))
    if hashlib.sha256(text.encode()).hexdigest() != recording.head["digest"]:
        raise OutsideError(OTHER_PLAN.format(path=folder / PLAN))
    if asked is not None and asked.digest != plan.digest:
        raise OutsideError(OTHER_REVISION.format(path=folder))
    judged = judge(plan, build(plan), recording.rows, terms_of(recording.head), progress)
    return Benched(plan, recording, judged, folder)


def new_keys(folder: Path) -> tuple[Path, Path]:
    """A key and a certificate for OPC UA. Raises OutsideError where they are there, or cannot be written."""
    made: tuple[Path, Path] = opened("steadfall.bench.link.opcua.keys").new_keys(folder)
    return made


def playable(plan: Plan, how: How) -> None:
    """Raises AskError where a scenario asks for what inputs cannot play: a power cut, a hand at the panel."""
    found = how.case.course if how.case else course(plan, how.scenario)
    if any(one.wrong.sort is Sort.POWER for one in found.upsets):
        raise AskError(NO_POWER.format(name=found.name))
    if found.panel:
        raise AskError(NO_PANEL.format(name=found.name))


def connected(link: LinkFile, wires: list[Wire]) -> Link:
    """The connection that a link file asks for. Raises OutsideError where there is none."""
    door = ("opcua.client", "OpcUaLink") if link.is_opcua else ("modbus.client", "ModbusLink")
    if link.listen and not link.is_opcua:
        door = ("modbus.listen", "ListeningLink")
    made: Link = getattr(opened(f"steadfall.bench.link.{door[0]}"), door[1])(link, wires)
    return made


def _known(link: Link, wires: Sequence[Wire], people: People) -> None:
    """Somebody confirms a value: over Modbus a wrong order of words is no error, but another number.

    Raises AskError where nobody does.
    """
    for value in _numbers(wires, link.shown()):
        if not people.knows(value):
            raise AskError(UNSURE.format(value=value))


def _numbers(wires: Sequence[Wire], shown: Mapping[str, Value]) -> Iterator[str]:
    """One number of more than one register, as it was read."""
    for wire in [wire for wire in wires if wire.register and wire.form.words > 1][:1]:
        yield KNOWN.format(signal=wire.signal, place=wire.register, value=shown[wire.signal])


def fitting(link: LinkFile, wires: list[Wire]) -> Link:
    """The connection, once everything is found at its place. Raises OutsideError with all that is not."""
    made = connected(link, wires)
    problems = made.problems()
    if problems:
        made.close()
        raise OutsideError("\n".join([UNFIT.format(address=link.address), *problems]))
    return made


def _stepper(plan: Plan, how: How, seed: int = SEED) -> Stepper:
    return Told(plan, how.case, seed) if how.case else Noisy(plan, how.scenario, seed)


def _power(how: How) -> int | None:
    return how.case.power_ms if how.case else None


def _warmed(plan: Plan, ms: int) -> None:
    """All that is compiled is there before a controller waits for it."""
    apart = Stepper(plan)
    for _scan in range(2):
        apart.sense()
        apart.step({}, ms)


def _ms(how: How) -> int:
    return how.case.lasting_ms if how.case else round(how.lasting_s * MS_OF_S)


def _held(
    of: tuple[Stepper, Callable[[Link], Link]],
    at: tuple[Link, Time],
    driven: Driven,
    how: How,
    head: dict[str, Any],
    told: Progress,
) -> Benched:
    stepper, power = of
    plan, until = stepper.plan, driven.until_ms
    journal = Journal(how.out, head, {PLAN: plan.text}) if how.out else None
    session = Session(stepper, at, driven, journal.add if journal else lambda _: None, power)
    ended = session.run(lambda ms: told.step(ms, until, f"in the loop, {clock(ms)}"))
    if journal:
        journal.end(ended.why)
    recording = Recording(head, ended.rows, ended.why)
    asked = SILENT if ended.why == INTERRUPTED else told  # it was stopped once; what there is, is judged
    judged = judge(plan, build(plan), ended.rows, terms_of(head), asked)
    made = Benched(plan, recording, judged, how.out)
    if how.out:
        made.write(how.out)
    return made


def _head(
    plan: Plan, how: How, terms: Terms, link: str, peer: dict[str, str], own: Mapping[str, Any]
) -> dict[str, Any]:
    return {
        "steadfall": 1,
        "begun": datetime.now(UTC).isoformat(timespec="seconds"),
        "held_by": person(),
        "digest": plan.digest,
        "scenario": how.case.name if how.case else course(plan, how.scenario).name,
        "link": link,
        "peer": peer,
        "drive": how.drive,
        **own,
        **terms.as_json(),
    }
