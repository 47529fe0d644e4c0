"""How the signals of a plan's network are told: a table over their roles.

Rule of this file: a signal is said as a sentence, passed through to what it rests on, or kept silent because
the sentence of another signal covers it. What is not in the table is said plainly by name and value.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from attrs import frozen

from steadfall.logic import nodes
from steadfall.logic.nodes import Value
from steadfall.logic.types import walk
from steadfall.plan.text.lay_out import time
from steadfall.roles import Identity, Role, stage
from steadfall.source import NOWHERE, Mark
from steadfall.why.scans.history import History
from steadfall.why.scans.moment import Moment
from steadfall.why.words.speech import called, condition_word, identity, name_word, since, value_word
from steadfall.why.words.wording import Wording


@frozen(eq=False)
class About:
    """A signal in a scan, ready to be spoken of."""

    history: History
    wording: Wording
    moment: Moment
    name: str
    value: Value
    since: int  # the scan from which on it has had this value

    @property
    def identity(self) -> Identity:
        """What the signal is."""
        return identity(self.history, self.name)

    def beside(self, role: Role, other: Value) -> Value:
        """The value of the signal that has another role for the same; another value where there is none."""
        name = called(self.history, self.identity.beside(role))
        return self.moment.values[name] if name else other

    @property
    def action(self) -> Mark:
        """Where the present stage says what the signal's valve does."""
        name = called(self.history, self.identity.stage)
        stage = int(self.moment.values[name]) if name else 0
        return self.wording.valves.get(self.identity.owner, {}).get(stage, self.mark)

    @property
    def when(self) -> str:
        """`since 8.00 s`."""
        return since(self.history, self.since)

    @property
    def mark(self) -> Mark:
        """Where the signal comes from."""
        row = self.history.rows_by_name.get(self.name) or self.history.inputs.get(self.name)
        return row.mark if row else NOWHERE


Told = tuple[str, Mark] | None


@frozen
class Rule:
    """What is said; whether what it rests on is told below it; its place among its neighbours."""

    say: Callable[[About], Told]
    below: Callable[[About], bool]
    rank: int = 5


def plainly(about: About) -> Told:
    """Name, value and since when."""
    word = value_word(about.wording, about.history, about.name, about.value)
    return f"{name_word(about.history, about.name)} is {word} {about.when}", about.mark


def _stage(about: About) -> Told:
    state = about.wording.state(about.name, int(about.value))
    if state is None:
        return plainly(about)
    return f"{about.identity.circuit} is in {state[0]} {about.when}", state[1]


def _target(about: About) -> Told:
    circuit = about.identity.circuit
    state = about.wording.state(stage(circuit), int(about.value))
    if not about.value or state is None:
        return f"nothing may cool {circuit}", about.mark
    return f"{circuit} may cool up to {state[0]}", state[1]


def _climb(about: About) -> Told:
    does = "may climb" if about.value else "does not climb yet"
    return f"{about.identity.of} {does}", about.mark


def _titled(kind: str, yes: str, no: str) -> Callable[[About], Told]:
    def say(about: About) -> Told:
        title, mark = about.wording.titles.get(about.identity, (about.name, about.mark))
        return f"{kind} '{title}' {yes if about.value else no} {about.when}", mark

    return say


def _alarm(yes: str, no: str, any_yes: str, any_no: str) -> Callable[[About], Told]:
    """Of one alarm by its title, or of all of them."""

    def say(about: About) -> Told:
        title = about.identity.of
        one = f"the alarm '{title}' {yes if about.value else no}"
        return f"{one if title else any_yes if about.value else any_no} {about.when}", about.mark

    return say


def _held(about: About) -> Told:
    node = about.history.rows_by_name[about.name].node
    preset = int(about.moment.value(node.preset)) if isinstance(node, nodes.TIMERS) else None
    span = "long enough" if preset is None else time(preset)
    what = condition_word(about.wording, about.identity.served)
    return f"{what} has {'' if about.value else 'not '}held for {span}", about.mark


def _disagrees(about: About) -> Told:
    what = "has not followed its command" if about.value else "follows its command"
    return f"{about.identity.owner} {what} {about.when}", about.mark


def _good(about: About) -> Told:
    it = about.identity
    name = f"{it.circuit}.{it.of}" if it.circuit else it.of
    return f"{name} is {'within' if about.value else 'out of'} its range {about.when}", about.mark


def _due(about: About) -> Told:
    return f"the counter {about.identity.of} is {'' if about.value else 'not '}due {about.when}", about.mark


def _energised(about: About) -> Told:
    what = "is energised to shut the valve" if about.value else "lets go of the valve, which opens"
    return f"the output of {about.identity.owner} {what} {about.when}", about.mark


def _needed(about: About) -> Told:
    return f"{about.identity.of} is {'' if about.value else 'not '}needed {about.when}", about.mark


def _ready(about: About) -> Told:
    return f"the lead of {about.identity.of} is {'' if about.value else 'not '}over {about.when}", about.mark


def _spans(about: About) -> tuple[int, int, int]:
    """Time in the present part of the dose, open span, shut span."""
    row = about.history.rows_by_name[about.name]
    spans = {"<": 0, ">=": 0}
    counted = 0
    for node in walk(row.node):
        if (
            isinstance(node, nodes.Compare)
            and isinstance(node.left, nodes.Read)
            and identity(about.history, node.left.name).role is Role.DOSE_TIME
        ):
            spans[node.op] = int(about.moment.value(node.right))
            counted = int(about.moment.value(node.left))
    turned = about.moment.last[about.name] != about.value
    return 0 if turned else counted, spans["<"], spans[">="]


def _dose(about: About) -> Told:
    valve, mark = about.identity.owner, about.action
    if not about.beside(Role.DOSING, True):
        return f"{valve} has no doses in this stage", mark
    counted, opens, shuts = _spans(about)
    if about.value:
        return f"the dose of {valve} is in its open part, {_of(counted, opens)}", mark
    if about.beside(Role.DOSE_WAIT, False):
        return f"the doses of {valve} wait their turn", mark
    return f"the dose of {valve} is in its shut part, {_of(counted, shuts)}", mark


def _of(part: int, whole: int) -> str:
    return f"{time(part)} of {time(whole)}"


def _share(about: About) -> Told:
    begins = about.beside(Role.CYCLE_BEGIN, False)
    gone = 0 if begins else int(about.beside(Role.CYCLE_TIME, 0))
    span = int(about.beside(Role.OPEN_FOR, 0))
    part = f"its {'open' if about.value else 'shut'} part, {time(gone)} gone, {time(span)} to be open"
    return f"the cycle of {about.identity.owner} is in {part}", about.action


def _clock(about: About) -> Told:
    return (
        f"the shared dose clock is in its {'open' if about.value else 'shut'} part {about.when}",
        about.mark,
    )


def _in_use(about: About) -> Told:
    word = value_word(about.wording, about.history, about.name, about.value)
    return f"the setting {about.identity.of} is {word}", about.mark


def _done(about: About) -> Told:
    return f"the cool-down is {'' if about.value else 'not '}done {about.when}", about.mark


def _on_hold(about: About) -> Told:
    return f"the sequence is {'' if about.value else 'not '}on hold {about.when}", about.mark


def _in_hand(about: About) -> Told:
    return f"valves are {'' if about.value else 'not '}in hand {about.when}", about.mark


def _in_test(about: About) -> Told:
    return f"valves are {'' if about.value else 'not '}tested {about.when}", about.mark


def _turn(about: About) -> Told:
    turn = f"is in its turn {about.value}" if about.value else "moves nothing"
    return f"the valve test {turn} {about.when}", about.mark


def _failed_test(about: About) -> Told:
    return (
        f"{about.identity.owner} has {'' if about.value else 'not '}failed its test {about.when}",
        about.mark,
    )


def _steps_on(about: About) -> Told:
    what = "has just been pressed" if about.value else "has not just been pressed"
    return f"{about.identity.of}, by which a person steps on, {what}", about.mark


def _started(about: About) -> Told:
    is_so = "has been begun by its button" if about.value else "is not begun, or has been ended"
    return f"the call for {about.identity.of} {is_so} {about.when}", about.mark


def _let_go(about: About) -> Told:
    if not about.value:
        return None
    return f"the call for {about.identity.of} must be let go before it counts {about.when}", about.mark


def _nothing_tripped(about: About) -> Told:
    return f"none of the trips is latched {about.when}", about.mark


def _always(_: About) -> bool:
    return True


def _never(_: About) -> bool:
    return False


def _if_true(about: About) -> bool:
    return bool(about.value)


def _if_false(about: About) -> bool:
    return not about.value


def _pass(_: About) -> Told:
    return None


PLAINLY = Rule(plainly, _always)
PASSED = Rule(_pass, _always)
HIDDEN = Rule(_pass, _never)
QUIET = Rule(_nothing_tripped, _never, 9)

_STANDS = _alarm("stands", "does not stand", "an alarm stands", "no alarm stands")
_WAITS = _alarm(
    "has not been acknowledged", "is not waiting", "an alarm is not acknowledged", "no alarm is waiting"
)
_FIRST = _alarm("is the first out", "is not the first out", "", "")

# What has no row here is said plainly.
RULES: Mapping[Role, Rule] = {
    Role.STAGE: Rule(_stage, _always, 0),
    Role.TARGET: Rule(_target, _always, 3),
    Role.CLIMB: Rule(_climb, _always, 4),
    Role.DOSE_OPEN: Rule(_dose, _never, 1),
    Role.SHARE_OPEN: Rule(_share, _never, 1),
    Role.CLOCK: Rule(_clock, _never, 1),
    Role.PERMISSIVE: Rule(_titled("permissive", "holds", "does not hold"), _always, 7),
    Role.TRIP: Rule(_titled("trip", "has been latched", "has not been latched"), _if_true, 8),
    Role.STARTED: Rule(_started, _always, 4),
    Role.LET_GO: Rule(_let_go, _if_true, 4),
    Role.BUTTON: PASSED,
    Role.DONE: Rule(_done, _always, 6),
    Role.IN_HAND: Rule(_in_hand, _if_true, 5),
    **dict.fromkeys((Role.HAND_KEY, Role.HAND_READY, Role.HAND_OVER, Role.BY_HAND), PASSED),
    Role.IN_TEST: Rule(_in_test, _if_true, 5),
    Role.TEST_STEP: Rule(_turn, _if_true, 5),
    Role.FAILED_TEST: Rule(_failed_test, _if_true, 6),
    **dict.fromkeys((Role.TEST_MOVES, Role.TEST_OFF, Role.TEST_OVER), PASSED),
    **dict.fromkeys((Role.TEST_ASKS, Role.BY_TEST, Role.TEST_TURN), PASSED),
    Role.TEST_TIME: HIDDEN,
    Role.ON_HOLD: Rule(_on_hold, _if_true, 5),
    Role.STEP_ON: Rule(_steps_on, _never, 5),
    Role.KEPT: PASSED,
    **dict.fromkeys((Role.SCAN, Role.SCAN_TIME, Role.UNFILTERED), HIDDEN),
    **dict.fromkeys((Role.RECORD, Role.BEAT), HIDDEN),
    Role.WAS: PASSED,
    Role.HELD: Rule(_held, _always, 5),
    Role.DISAGREES: Rule(_disagrees, _if_true, 6),
    Role.DUE: Rule(_due, _always, 6),
    Role.COUNTS: PASSED,
    **dict.fromkeys((Role.COUNT_RESET, Role.GONE, Role.HOUR_OVER, Role.REST), HIDDEN),
    Role.GOOD: Rule(_good, _if_false, 6),
    Role.ALARM: Rule(_STANDS, _always, 2),
    Role.UNACKNOWLEDGED: Rule(_WAITS, _if_true, 6),
    Role.FIRST_OUT: Rule(_FIRST, _always, 2),
    **dict.fromkeys((Role.ACTIVE, Role.COMES, Role.ON_DELAY, Role.OFF_DELAY), PASSED),
    **dict.fromkeys((Role.ACKNOWLEDGE, Role.PRESSED), PASSED),
    **dict.fromkeys((Role.FLASH_TIME, Role.FLASH_TURN), HIDDEN),
    Role.FLASH: PASSED,
    Role.IN_USE: Rule(_in_use, _never, 6),
    Role.MAY_SET: HIDDEN,
    Role.RAN: HIDDEN,
    Role.MAY_COOL: PASSED,
    Role.PERMITTED: PASSED,
    Role.TRIPPED: PASSED,
    Role.CALLED: PASSED,
    Role.RUNNING: PASSED,
    Role.STEP_OVER: PASSED,
    Role.ENTERED: PASSED,
    Role.DOSING: PASSED,
    Role.SHARING: PASSED,
    Role.NEEDED: Rule(_needed, _always, 2),
    Role.READY: Rule(_ready, _always, 3),
    Role.LAG: PASSED,
    Role.WANTED: PASSED,
    Role.ENERGISED: Rule(_energised, _always, 1),
    Role.CYCLE_BEGIN: PASSED,
    Role.STAGE_TIME: HIDDEN,
    Role.CLIMB_TIME: HIDDEN,
    Role.CLIMB_TURN: HIDDEN,
    Role.DOSE_TIME: HIDDEN,
    Role.HELD_TIME: HIDDEN,
    Role.CYCLE_TIME: HIDDEN,
    Role.DOSE_TURN: HIDDEN,
    Role.CYCLE_TURN: HIDDEN,
    Role.MOVED: HIDDEN,
    Role.OPEN_FOR: HIDDEN,
    Role.DOSE_WAIT: HIDDEN,
}


def rule_of(history: History, wording: Wording, name: str, value: Value) -> Rule:
    """How a signal is told."""
    role = identity(history, name).role
    if not wording.plan_made or name in wording.valves:
        return PLAINLY
    return QUIET if role is Role.TRIPPED and not value else RULES.get(role, PLAINLY)
