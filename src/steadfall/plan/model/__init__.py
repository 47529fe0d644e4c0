"""The plan as typed, checked data in SI: what every other part of Steadfall reads.

Rule of this file: frozen data without behaviour beyond look-ups. Reading rules live in `plan.read.whole`,
judgement in `plan.check.whole`. Units inside: K, Pa (absolute), kg, m, W, J, s; times that the controller
counts are integer milliseconds and end in `_ms`; `kv` is in m3/s of water at 1 bar (a Kv of 3.6 m3/h is
0.001).

A plan may be of the logic alone: it says what the controller does and nothing of the plant. Its fields of
the plant hold `NO_PLANT`, and `plan.meaning.plant` shows the rooms of the plant a plan without circuits.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import field, frozen

from steadfall.plan.model.aims import (
    Accepted,
    AtMost,
    EveryOpening,
    Exclusive,
    Fault,
    Goal,
    Io,
    Limit,
    Never,
    Requirement,
    Scenario,
    Step,
    Terminal,
    Tolerance,
    Whenever,
)
from steadfall.plan.model.condition import Condition
from steadfall.plan.model.equipment import (
    NO_PLANT,
    Body,
    Feedback,
    GasStream,
    Heating,
    Inner,
    Insulation,
    Line,
    Link,
    Material,
    Order,
    Outlet,
    Path,
    Relief,
    Run,
    Segments,
    Shell,
    Supply,
    Valve,
)
from steadfall.plan.model.feeders import Feeder, MainValve, Pump
from steadfall.plan.model.sequence import (
    DIGITAL,
    Action,
    ButtonCall,
    Call,
    Changes,
    Circuit,
    CircuitType,
    Demand,
    Done,
    Dose,
    FinishStep,
    Hand,
    Hold,
    Input,
    Open,
    Permissive,
    Pulses,
    Ramp,
    Raw,
    Scan,
    Share,
    Stage,
    StepOn,
    Trip,
    ValveTest,
)
from steadfall.plan.model.setting import Setting
from steadfall.plan.model.shown import Alarm, Counter, Output
from steadfall.source import Marks, at

__all__ = [
    "DIGITAL",
    "NO_PLANT",
    "Accepted",
    "Action",
    "Alarm",
    "AtMost",
    "Body",
    "ButtonCall",
    "Call",
    "Changes",
    "Circuit",
    "CircuitType",
    "Counter",
    "Demand",
    "Done",
    "Dose",
    "EveryOpening",
    "Exclusive",
    "Fault",
    "Feedback",
    "Feeder",
    "FinishStep",
    "GasStream",
    "Goal",
    "Hand",
    "Heating",
    "Hold",
    "Inner",
    "Input",
    "Insulation",
    "Io",
    "Limit",
    "Line",
    "Link",
    "MainValve",
    "Material",
    "Never",
    "Open",
    "Order",
    "Outlet",
    "Output",
    "Path",
    "Permissive",
    "Plan",
    "Pulses",
    "Pump",
    "Ramp",
    "Raw",
    "Relief",
    "Requirement",
    "Run",
    "Scan",
    "Scenario",
    "Segments",
    "Setting",
    "Share",
    "Shell",
    "Stage",
    "Step",
    "StepOn",
    "Supply",
    "Terminal",
    "Tolerance",
    "Trip",
    "Valve",
    "ValveTest",
    "Whenever",
]


@frozen
class Plan:
    """Everything one plan file says, checked, in SI."""

    title: str
    revised: str
    scan: Scan
    ambient: float
    supplies: Mapping[str, Supply]
    materials: Mapping[str, Material]  # built-in and the plan's own
    bodies: Mapping[str, Body]
    gas_streams: Mapping[str, GasStream]
    links: tuple[Link, ...]
    circuit_types: Mapping[str, CircuitType]
    circuits: Mapping[str, Circuit]
    inputs: Mapping[str, Input]
    ramps: Mapping[str, Ramp]
    calls: tuple[Call | ButtonCall | Demand, ...]
    permissives: tuple[Permissive, ...]
    trips: tuple[Trip, ...]
    limits: tuple[Limit, ...]
    goals: tuple[Goal, ...]
    scenarios: Mapping[str, Scenario]  # as written; the default scenario is derived in `predict`
    requirements: tuple[Requirement, ...]
    io: Io
    main_valves: Mapping[str, MainValve] = field(factory=dict)
    pumps: Mapping[str, Pump] = field(factory=dict)
    settings: Mapping[str, Setting] = field(factory=dict)
    alarms: tuple[Alarm, ...] = ()
    acknowledge: Condition | None = None
    outputs: Mapping[str, Output] = field(factory=dict)
    counters: Mapping[str, Counter] = field(factory=dict)
    tolerances: tuple[Tolerance, ...] = ()
    faults: tuple[Fault, ...] = ()
    accepted: tuple[Accepted, ...] = ()  # single failures that may go unseen, with the reason
    done: Done | None = None  # what ends a cool-down; None: the call alone
    hand: Hand | None = None  # how valves are moved by hand
    test: ValveTest | None = None  # how valves are tried from idle
    hold: Hold | None = None  # what holds the climbs
    steps_on: tuple[StepOn, ...] = ()
    has_plant: bool = True  # False: of the logic alone
    restarts: bool = False  # a call that stands goes on after power-up, a reset, a permissive's return
    digest: str = field(default="", eq=False)  # SHA-256 of the text
    text: str = field(default="", eq=False, repr=False)
    at: Marks = at()

    @property
    def feeders(self) -> tuple[Feeder, ...]:
        """What must be open or run before a supply is there."""
        return (*self.main_valves.values(), *self.pumps.values())

    def type_of(self, circuit: str) -> CircuitType:
        """The circuit type of a circuit by name."""
        return self.circuit_types[self.circuits[circuit].type]
