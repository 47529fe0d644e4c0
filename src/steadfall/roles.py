"""What a signal of the controller is: its role, and whose it is.

Rule of this file: a signal's name is made here, from what it is, and is never taken apart again. Names are
for people and for looking things up; whoever must know what a signal is asks its identity.
"""

from __future__ import annotations

from enum import Enum

from attrs import evolve, frozen


class Role(Enum):
    """What a signal is for; the word is the one that its name is made with."""

    INPUT = "input"  # comes from outside
    VALUE = "value"  # a measured input as the controller works with it
    UNFILTERED = "unfiltered"  # the same before its filter, where it is worked out of what is handed over
    GOOD = "good"  # the sensor of a measured input is not out of its range
    SCAN = "scan"  # every scan, and how long ago the one before was
    SCAN_TIME = "scan_time"
    # Settings.
    IN_USE = "in_use"  # a setting as the controller works with it
    MAY_SET = "may_set"  # settings are taken over from the panel
    RAN = "ran"  # a scan has been run since power came
    # Limit switches, permissives and trips.
    DISAGREES = "disagrees"  # a valve does not follow its command
    PERMISSIVE = "permissive"  # one of them holds
    PERMITTED = "permitted"  # all of them hold; with a valve, those that are its own
    TRIP = "trip"  # one of them is latched
    TRIPPED = "tripped"  # at least one is
    MAY_COOL = "may_cool"  # nothing stands against cooling anywhere
    # Ramps, calls and demands.
    RAMP = "ramp"  # the percentage of cooling that a ramp asks for
    SET_POINT = "set_point"
    FALLING = "falling"
    FALL_TIME = "fall_time"
    RAMP_START = "start"  # where the set-point begins to fall
    CALL = "call"  # a condition that asks for a stage
    BUTTON = "pressed"  # a button is pressed
    STARTED = "started"  # a call by buttons, until it is stopped
    LET_GO = "let_go_first"  # a call must be let go before it counts
    DONE = "done"  # the cool-down has ended, until nothing calls
    IN_HAND = "in_hand"  # valves are moved by hand, and no call counts
    HAND_KEY = "hand_asked"  # hand mode is asked for
    HAND_READY = "hand_ready"  # and every circuit is idle
    HAND_OVER = "hand_over"  # hand mode has ended in this scan
    BY_HAND = "by_hand"  # a valve is to be open in idle
    IN_TEST = "in_test"  # valves are tested, until each is at rest
    TEST_STEP = "test_step"  # which of them, counted from 1; after the last the closing pause
    TEST_TURN = "test_turn"  # another one, or none
    TEST_TIME = "test_time"  # since then
    TEST_MOVES = "test_moves"  # its pause is over
    TEST_OFF = "test_off"  # something ends the test, or keeps it from beginning
    TEST_OVER = "test_over"  # it has ended in this scan
    TEST_ASKS = "asked_by_test"  # a valve is to be open, as far as the others let it
    BY_TEST = "by_test"  # a valve is to be open in idle, tested or in hand
    FAILED_TEST = "failed_test"  # a valve did not follow in the last test
    ON_HOLD = "on_hold"  # no circuit climbs
    STEP_ON = "steps_on"  # a button that steps on has just been pressed
    ALLOWS = "allows"  # a demand that has come to a stage's threshold
    # Main valves and pumps.
    MAIN = "main"  # the command of a main valve
    PUMP = "pump"  # a pump is to run
    NEEDED = "needed"  # a circuit needs what it stands in
    LAG = "lag"  # it is or was needed, so long ago at most
    READY = "ready"  # it has been open, or run, for its lead
    # The sequence of a circuit.
    STAGE = "stage"
    TARGET = "target"  # the highest stage that is allowed now
    STAGE_TIME = "stage_time"
    ENTERED = "entered"  # the stage has changed in this scan
    CALLED = "called"  # some stage is allowed
    RUNNING = "running"  # in a stage, not in the finish or idle
    CLIMB_TURN = "climb_turn"  # the time of a climb begins again
    CLIMB_TIME = "climb_time"  # in the stage, and not on hold
    CLIMB = "climb"  # a stage may give way to the next
    STEP_OVER = "step_over"  # the present one may
    # The doses of a valve.
    DOSE_TIME = "dose_time"
    DOSE_TURN = "dose_turn"  # the dose time begins again
    DOSE_OPEN = "dose_open"
    DOSE_WAIT = "dose_wait"  # the first dose is delayed
    DOSING = "dosing"  # the stage doses this valve
    CYCLE_TIME = "cycle_time"
    CYCLE_TURN = "cycle_turn"
    CYCLE_BEGIN = "cycle_begin"
    OPEN_FOR = "open_for"  # how long the valve is to be open in this cycle
    SHARE = "share"  # how long it would be open in one that begins now
    SHARE_OPEN = "share_open"
    SHARING = "sharing"
    CLOCK = "clock"  # a dose clock that runs from power-up on, or a part of it
    # The command of a valve.
    COMMAND = "command"
    WANTED = "wanted"  # before the shortest times and what cuts it
    ENERGISED = "energised"  # the output of a valve that stands open without signal: on to shut it
    HELD_TIME = "held_time"  # since the command has changed
    MOVED = "moved"  # it has changed in this scan
    # Alarms and outputs.
    ALARM = "alarm"  # one stands; of the plant: any
    ACTIVE = "active"  # its condition holds
    COMES = "comes"  # it has become active in this scan
    PRESSED = "acknowledge_pressed"
    ACKNOWLEDGE = "acknowledge"  # a person acknowledges, in this scan
    UNACKNOWLEDGED = "unacknowledged"  # nobody has yet; of the plant: any
    FIRST_OUT = "first_out"  # it came while none stood
    OUTPUT = "output"  # a lamp, horn, pump or release
    ON_DELAY = "on_delay"
    OFF_DELAY = "off_delay"
    FLASH = "flash"  # a flashing output is in its lit part
    FLASH_TIME = "flash_time"
    FLASH_TURN = "flash_turn"
    # Counters.
    COUNTER = "count"  # how many openings or whole hours
    COUNTS = "counts"  # what is counted is so
    COUNT_RESET = "count_reset"  # it is set back to 0
    GONE = "gone"  # of the present hour, this scan included
    HOUR_OVER = "hour_over"  # an hour is full in this scan
    REST = "rest"  # what is left of it
    DUE = "due"  # it has come to what is due
    # Wherever a condition needs them.
    HELD = "held"  # a condition has held for its time
    KEPT = "kept"  # a comparison with hysteresis
    WAS = "was"  # a signal of which it is asked whether it has just changed
    AGE = "time"  # how long ago something was
    # What stands beside the controller.
    OBSERVER = "observer"  # watches a requirement
    CHOICE = "choice"  # an input of an observer's own
    APART = "apart"  # an output differs between two controllers
    READ = "read"  # made while a controller's text was read
    RECORD = "record"  # a scan as it was, for a bench
    BEAT = "beat"  # of the heartbeat between a bench and the controller
    HELPER = "helper"  # none of these


@frozen
class Identity:
    """What a signal is, and whose: of which circuit and valve, and of which stage, ramp, permissive, trip,
    clock or input.

    `within` is what a helper serves, such as the trip whose condition a timer holds. `second` tells the same
    signal of the second of two controllers.
    """

    role: Role = Role.HELPER
    circuit: str = ""
    valve: str = ""  # its name in the circuit
    of: str = ""
    within: Role | None = None
    second: bool = False

    @property
    def served(self) -> Identity:
        """What a helper serves; itself where it serves nothing."""
        return self if self.within is None else evolve(self, role=self.within, within=None)

    @property
    def watches(self) -> bool:
        """Whether it belongs to what watches the controller, not to the controller."""
        return bool({self.role, self.within} & {Role.OBSERVER, Role.CHOICE, Role.APART})

    def beside(self, role: Role) -> Identity:
        """The signal of another role of the same circuit, valve and stage."""
        return evolve(self, role=role)

    @property
    def word(self) -> str:
        """What it is called beside others of its owner: `flow`, `mist`, `set_point`."""
        if self.role in (Role.INPUT, Role.RAMP, Role.OUTPUT, Role.MAIN, Role.PUMP, Role.COUNTER):
            return self.of
        return self.valve if self.role is Role.COMMAND else self.role.value

    @property
    def command(self) -> Identity:
        """The command of the valve."""
        return Identity(Role.COMMAND, self.circuit, self.valve, second=self.second)

    @property
    def stage(self) -> Identity:
        """The stage of the circuit."""
        return Identity(Role.STAGE, self.circuit, second=self.second)

    @property
    def owner(self) -> str:
        """Whose it is, as it is called: the valve, else the circuit, else what it is of."""
        if self.valve:
            return command(self.circuit, self.valve).name
        return self.circuit or self.of


HELPER = Identity()


@frozen
class Named:
    """A signal's name and what it is."""

    name: str
    identity: Identity


def command(circuit: str, valve: str) -> Named:
    """The command of a valve: `upper.mist`."""
    return Named(f"{circuit}.{valve}", Identity(Role.COMMAND, circuit, valve))


def of_input(role: Role, name: str, given: Identity) -> Named:
    """What an input is worked out into, by its name and identity: `upper.outlet_temperature.value`."""
    return Named(f"{name}.{role.value}", given.beside(role))


def of_valve(role: Role, circuit: str, valve: str, of: str = "") -> Named:
    """A signal of a valve: `upper.mist.dose_time`."""
    return Named(f"{circuit}.{valve}.{role.value}", Identity(role, circuit, valve, of))


def in_use(setting: str) -> Named:
    """A setting as the controller works with it: `first_dose.in_use`."""
    return Named(f"{setting}.{Role.IN_USE.value}", Identity(Role.IN_USE, of=setting))


def of_circuit(role: Role, circuit: str) -> Named:
    """A signal of a circuit's sequence: `upper.stage`."""
    return Named(f"{circuit}.{role.value}", Identity(role, circuit))


def stage(circuit: str) -> str:
    """The name of a circuit's stage."""
    return of_circuit(Role.STAGE, circuit).name


def target(circuit: str) -> str:
    """The name of the highest stage that a circuit is allowed now."""
    return of_circuit(Role.TARGET, circuit).name


def climb(circuit: str, stage: str) -> Named:
    """That a stage may give way to the next: `upper.mist.climb`."""
    return Named(f"{circuit}.{stage}.{Role.CLIMB.value}", Identity(Role.CLIMB, circuit, of=stage))


def of_plant(role: Role) -> Named:
    """A signal of the whole plant: `tripped`."""
    return Named(role.value, Identity(role))


def ramp(name: str) -> Named:
    """The percentage of cooling that a ramp asks for."""
    return Named(name, Identity(Role.RAMP, of=name))


def of_ramp(role: Role, name: str) -> Named:
    """A signal of a ramp: `fall.set_point`."""
    return Named(f"{name}.{role.value}", Identity(role, of=name))


def call(stage: str) -> Named:
    """A condition that asks for a stage: `mist.called`."""
    return Named(f"{stage}.called", Identity(Role.CALL, of=stage))


def allows(demand: str, stage: str) -> Named:
    """A demand that has come to a stage's threshold: `cooling.allows_mist`."""
    return Named(f"{demand}.allows_{stage}", Identity(Role.ALLOWS, of=stage))


def started(button: str, stage: str) -> Named:
    """A call by buttons, by the one that begins it: `start_button.started_full`."""
    return Named(f"{button}.{Role.STARTED.value}_{stage}", Identity(Role.STARTED, of=stage))


def pressed(button: str) -> Named:
    """That a button is pressed: `start_button.pressed`."""
    return Named(f"{button}.{Role.BUTTON.value}", Identity(Role.BUTTON, of=button))


def steps_on(button: str) -> Named:
    """That a button that steps on has just been pressed: `step_button.steps_on`."""
    return Named(f"{button}.{Role.STEP_ON.value}", Identity(Role.STEP_ON, of=button))


def let_go(owner: str) -> Named:
    """That a call must be let go before it counts, by its stage or its demand: `full.let_go_first`."""
    return Named(f"{owner}.{Role.LET_GO.value}", Identity(Role.LET_GO, of=owner))


def titled(role: Role, word: str, title: str) -> Named:
    """A permissive or a trip, by its title and the title as a word: `trip.overheated`."""
    return Named(f"{role.value}.{word}", Identity(role, of=title))


def alarm(role: Role, word: str, title: str) -> Named:
    """An alarm by its title as a word, or what belongs to one: `alarm.hot`, `alarm.hot.first_out`."""
    own = f"{Role.ALARM.value}.{word}"
    return Named(own if role is Role.ALARM else f"{own}.{role.value}", Identity(role, of=title))


def output(name: str) -> Named:
    """A lamp, horn, pump or release."""
    return Named(name, Identity(Role.OUTPUT, of=name))


def of_output(role: Role, name: str) -> Named:
    """What an output is worked out with: `horn.off_delay`."""
    return Named(f"{name}.{role.value}", Identity(role, of=name))


def counter(role: Role, name: str) -> Named:
    """A counter, or what belongs to one: `drive_mist`, `drive_mist.due`."""
    return Named(name if role is Role.COUNTER else f"{name}.{role.value}", Identity(role, of=name))


def feeder(role: Role, name: str) -> Named:
    """A main valve or a pump, or what is worked out of it: `water_main`, `water_main.ready`."""
    own = name if role in (Role.MAIN, Role.PUMP) else f"{name}.{role.value}"
    return Named(own, Identity(role, of=name))


def clock(open_ms: int, shut_ms: int, part: str) -> Named:
    """A part of a dose clock that runs from power-up on: `clock_2000_8000.open`."""
    name = f"clock_{open_ms}_{shut_ms}"
    return Named(f"{name}.{part}", Identity(Role.CLOCK, of=name))


def later_clock(clock: str, lag_ms: int, part: str = "") -> Named:
    """The same clock, that much later for delayed circuits."""
    name = f"{clock}_after_{lag_ms}"
    return Named(f"{name}.{part}" if part else name, Identity(Role.CLOCK, of=name))


def helper(role: Role, label: str, serves: Identity) -> Named:
    """What a condition needs to remember, under the label of what it stands in: `trip.overheated.held`."""
    return Named(f"{label}.{role.value}", evolve(serves, role=role, within=serves.role))


def observer(name: str) -> Named:
    """A signal that watches a requirement: `stated.1:bad`."""
    return Named(name, Identity(Role.OBSERVER))


def choice(name: str) -> Named:
    """An input by which an observer chooses where a stretch of time begins."""
    return Named(name, Identity(Role.CHOICE))


def within(name: str, circuit: str) -> str:
    """What a signal is called in its circuit, where the circuit goes without saying."""
    return name.removeprefix(f"{circuit}.") if circuit else name
