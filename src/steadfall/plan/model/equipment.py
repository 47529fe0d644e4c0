"""What stands in the works: supplies, bodies, gas streams, links, circuits with their paths and valves.

Frozen data in SI; see `plan.model` for the units and the rule.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from attrs import frozen

from steadfall.source import Marks, at

# Stands in a plan of the logic alone for each number and thing of the plant. Any: it stands in for all types.
NO_PLANT: Any = None


@frozen
class Line:
    """A pipe between supply and circuit: its friction, how far it rises, and the water hammer in it."""

    length: float
    bore: float
    wall: float
    material: str
    rated: float  # Pa absolute
    elevation: float = 0.0  # m that its end lies above its beginning
    at: Marks = at()


@frozen
class Supply:
    """Water or air at a pressure and temperature; `kv` and `line` lie between there and every valve of it."""

    name: str
    fluid: str  # "water" or "air"
    pressure: float
    temperature: float
    line: Line | None = None  # the pipe that all its valves share; a valve's own line branches off it
    kv: float | None = None  # m3/s at 1 bar, of what else all its valves share; None: no resistance
    at: Marks = at()


@frozen
class Material:
    """A solid: density, heat capacity, conductivity, and what thermal stress needs."""

    name: str
    density: float
    heat_capacity: float
    conductivity: float
    expansion: float
    youngs_modulus: float
    poisson: float
    allowable: float | None = None  # Pa of thermal stress
    at: Marks = at()


@frozen
class Inner:
    """Inner resistance of a body: its shape and size, cut into a few shells from surface to core."""

    shape: str  # "slab", "cylinder" or "sphere"
    size: float  # half thickness of a slab cooled on both faces, or radius, m
    conductivity: float
    shells: int
    density: float | None = (
        None  # kg/m3, gives the body's surface from its mass; None: that of water, with a note
    )
    at: Marks = at()


@frozen
class Segments:
    """A body cut into equal parts, one behind the other, each with its own temperature."""

    count: int
    length: float  # m from end to end through all parts
    section: float  # m2 that heat crosses from part to part
    conductivity: float | None = None  # W/m/K; that of the body's material where the plan gives none
    ring: bool = False  # whether the last part touches the first
    at: Marks = at()


@frozen
class Heating:
    """Heating that has not been shut off: W from the start, perhaps until a moment, perhaps dying away."""

    power: float
    until: float | None = None  # s since the start
    time_constant: float | None = None  # s in which it falls to 1/e
    at: Marks = at()


@frozen
class Insulation:
    """A layer on a surface."""

    thickness: float
    conductivity: float
    at: Marks = at()


@frozen
class Shell:
    """The surface by which a body, or the casing of a gas stream, loses heat to ambient: free convection,
    radiation.
    """

    area: float
    length: float  # height of an upright surface; area over circumference of a lying one
    face: str  # "upright", "up" or "down"
    emissivity: float
    insulation: Insulation | None = None
    inside: float | None = None  # W/m2/K from the gas to its casing; None: no resistance
    at: Marks = at()


@frozen
class Body:
    """A lump of heat: mass, heat capacity, temperature at the start."""

    name: str
    mass: float
    heat_capacity: float
    start: float
    inner: Inner | None = None
    segments: Segments | None = None
    heating: Heating | None = None
    shell: Shell | None = None
    at: Marks = at()

    @property
    def parts(self) -> int:
        """How many parts it is cut into; one where the number could not be read."""
        return self.segments.count if self.segments is not None and self.segments.count > 1 else 1


@frozen
class GasStream:
    """Gas that a fan drives round: over the coil, then over what it cools. It may be at several bar."""

    name: str
    gas: str  # "air" or "nitrogen"
    pressure: float
    volume: float
    fan_flow: float  # m3/s at the stream's own pressure and temperature
    start: float
    heating: Heating | None = None
    shell: Shell | None = None
    leak: float | None = None  # m3/s at the stream's own pressure and temperature, made up from ambient
    at: Marks = at()


@frozen
class Link:
    """A thermal conductance between two bodies, a body and a gas stream, or either and `ambient`."""

    between: tuple[str, str]
    conductance: float
    at: Marks = at()


@frozen
class Drilled:
    """A row of parallel holes below the face of a solid host: from hole to hole, and from the face to their
    axes.
    """

    spacing: float
    depth: float
    at: Marks = at()


@frozen
class Jacket:
    """A channel laid on the outside of a solid host: the area it covers, and the metal between it and the
    heat.

    `radius` is that of the surface it lies on, where that is round: a barrel, a roll, a vessel's shell.
    """

    area: float
    thickness: float
    radius: float | None = None
    at: Marks = at()


@frozen
class Fins:
    """Round fins on the tubes of a bank."""

    pitch: float
    height: float
    thickness: float
    conductivity: float
    at: Marks = at()


@frozen
class Bank:
    """Tubes that a gas stream blows across: rows one behind the other, so many tubes side by side in each
    row.
    """

    rows: int
    across: int
    pitch_across: float
    pitch_along: float
    arrangement: str  # "staggered" or "in_line"
    fins: Fins | None = None
    at: Marks = at()


class Order(StrEnum):
    """In which order a pass touches the parts of its host, in the words of a plan."""

    OUT = "out"  # from the first part to the last
    BACK = "back"
    OUT_AND_BACK = "out and back"
    BACK_AND_OUT = "back and out"


@frozen
class Run:
    """The way of a pass, or of an equal share of the passes, over the parts of its host."""

    order: Order | tuple[int, ...]  # or the numbers of the parts, each for an equal length of the pass
    share: float | None = None  # percent of the circuit's heat that it takes; None: as much as any other
    at: Marks = at()


@frozen
class Path:
    """The cooling channel of a circuit: equal parallel passes of a bore in a wall that touches the host.

    The conductance from wall to host is a number, or follows from holes, a jacket or a tube bank: one of the
    four.
    """

    bore: float
    length: float  # of each pass
    passes: int
    wall: float
    material: str
    host_conductance: float | None  # whole circuit, wall to host; None: from the geometry
    bends: int  # right-angle bends in each pass
    roughness: float
    allowable: float | None = None  # Pa of thermal stress in the wall; None: that of the material
    drilled: Drilled | None = None
    bank: Bank | None = None
    jacket: Jacket | None = None
    way: tuple[Run, ...] = ()  # over the parts of its host; (): from the first part to the last
    wall_in_body: bool = True  # whether the mass of a body that it cools counts the wall already
    host_factor: float = 1.0  # on a conductance from geometry, for tolerances
    at: Marks = at()


@frozen
class Outlet:
    """What the circuit discharges through, always open: its Kv and the pressure behind it."""

    kv: float
    pressure: float
    at: Marks = at()


@frozen
class Relief:
    """A relief valve on the circuit: where it starts to lift and its Kv when fully lifted."""

    opens_at: float
    kv: float
    at: Marks = at()


@frozen
class Feedback:
    """A limit switch on a valve: the input that shows it open, and how long it may lag the command."""

    input: str
    within_ms: int
    at: Marks = at()


@frozen
class Valve:
    """A valve of a circuit. With a supply it lets water or air in; without, it lies in the outlet, or opens a
    bypass of it (drain).
    """

    name: str
    supply: str | None
    kv: float
    travel: float  # s from shut to open
    shortest_open_ms: int
    shortest_shut_ms: int
    rest: str  # position in idle: "open" or "shut"
    life: int | None  # openings
    feedback: Feedback | None = None
    line: Line | None = None
    opens: str | None = None  # of one without a supply: "outlet_bypass", or the "outlet" that it lies in
    without_signal: str = (
        "shut"  # its spring puts it "shut" or "open" where no output holds it; or it "stays"
    )
    at: Marks = at()

    @property
    def closes_outlet(self) -> bool:
        """Whether it lies in the outlet; one without a supply that does not is a drain."""
        return self.opens == "outlet"

    @property
    def normally_open(self) -> bool:
        """Whether its output is energised to shut it, and lets go to open it."""
        return self.without_signal == "open"
