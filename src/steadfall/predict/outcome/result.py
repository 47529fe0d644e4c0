"""What a prediction says: limits, goals, moments, use, books, notes, and the trace they were read from.

Rule of this file: data and its plain forms. `report` draws it, `cli` prints it; the names in `as_json` are
stable.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from enum import StrEnum
from typing import TYPE_CHECKING, Any

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from steadfall.extras import opened
from steadfall.plan.meaning.identity import VERSION, identity
from steadfall.plan.model import Goal, Limit, Plan
from steadfall.predict.outcome.spread import Bands
from steadfall.predict.outcome.verdict import Finer, FinerGrid, Verdict
from steadfall.quantities import METRIC, Units
from steadfall.source import Text
from steadfall.trace.trace import Trace

if TYPE_CHECKING:
    import pandas


@frozen
class Settings:
    """How finely to compute: cells per circuit, plant steps per scan, scan time and its jitter; how long no
    command may have changed before the plant takes longer steps, and how long these may be.
    """

    cells: int = 20
    scan_ms: int = 20
    steps_per_scan: int = 1
    jitter_seed: int | None = (
        None  # None: every scan takes scan_ms; else between it and the plan's longest, seeded
    )
    record_ms: int = 500
    calm_ms: int = 0
    stride_ms: int = 0  # 0: no step is longer than a scan

    @property
    def step(self) -> float:
        """The plant's time step in s."""
        return self.scan_ms / 1000 / self.steps_per_scan


@frozen
class LimitResult:
    """A limit with the worst value met while it applied, when, and what is known of it."""

    limit: Limit
    worst: float | None  # SI, None when the limit never applied
    time_ms: int | None
    verdict: Verdict
    finer: Finer | None = None

    @property
    def kept(self) -> bool:
        """Whether it is known to be kept."""
        return self.verdict is Verdict.KEPT


@frozen
class GoalResult:
    """A goal with the moment it was reached, or the nearest value and its moment when it was not."""

    goal: Goal
    reached_ms: int | None
    nearest: float
    nearest_ms: int
    verdict: Verdict
    finer: Finer | None = None

    @property
    def kept(self) -> bool:
        """Whether it is known to be reached in time."""
        return self.verdict is Verdict.KEPT


@frozen
class Moment:
    """A circuit enters a stage, a finish step or idle."""

    time_ms: int
    circuit: str
    stage: str


@frozen
class ValveUse:
    """How a valve was used: openings, time open, and the share of its life that this cool-down took."""

    valve: str
    openings: int
    open_s: float
    life_share: float | None


@frozen
class CircuitUse:
    """What went through one circuit, in kg and J, and its peak pressure in Pa absolute."""

    circuit: str
    water: float
    evaporated: float
    water_left: float
    air: float
    heat: float  # that the fluid took up
    peak_pressure: float
    peak_ms: int
    steam_out: float = 0.0  # kg that left through the outlet as steam
    peak_steam: float = 0.0  # kg/s behind the outlet, and when
    peak_steam_ms: int = 0
    reversals: int = 0  # times that the circuit's pressure stopped the water behind an open valve
    geysers: int = 0  # of those, by steam from metal above boiling
    liquid_left: float = 0.0  # kg of liquid at the end
    flash_volume: float = 0.0  # m3 of steam that the next heat-up makes of it, 0 when it would not boil
    flashed_out: float = 0.0  # kg that left as liquid and turned to steam behind the outlet
    heat_to_water: float = 0.0  # J of `heat` that went into liquid; the rest into air and steam
    heat_from_host: float = 0.0  # J of `heat` that came through the wall; the rest the wall itself gave up

    @property
    def steam_behind(self) -> float:
        """Kilograms of steam behind the outlet: what left as steam and what flashed there."""
        return self.steam_out + self.flashed_out

    @property
    def heat_to_gas(self) -> float:
        """J that went into air and steam."""
        return self.heat - self.heat_to_water

    @property
    def heat_from_wall(self) -> float:
        """J that the metal of the wall itself gave up."""
        return self.heat - self.heat_from_host


class Load(StrEnum):
    """What a part goes through, in the words of tables and of `as_json`."""

    PRESSURE = "pressure"
    STRESS = "thermal stress"
    UNEVEN = "uneven cooling"
    HAMMER = "water hammer"
    SHARED_HAMMER = "hammer in shared line"


@frozen
class Strain:
    """The worst that a part went through, in Pa, and its bound."""

    about: str  # a circuit, or circuit.valve
    what: Load
    value: float
    time_ms: int
    bound: float | None  # None: the plan gives none
    verdict: Verdict
    how: str
    finer: Finer | None = None

    @property
    def kept(self) -> bool:
        """Whether it is known to stay within its bound."""
        return self.verdict is Verdict.KEPT


@frozen
class Note:
    """Something a reader must know: a correlation outside its range, an early end. `about` is a circuit or
    ''; `since_ms` when it began, where that is to be told.
    """

    about: str
    sentence: str
    since_ms: int | None = None


@frozen
class Prediction:
    """A predicted cool-down."""

    plan: Plan
    scenario: str
    settings: Settings
    trace: Trace
    end_ms: int
    ended: str  # why it ended, as a sentence
    complete: bool  # False when the run stopped before its scenario was over
    limits: tuple[LimitResult, ...]
    goals: tuple[GoalResult, ...]
    moments: tuple[Moment, ...]
    circuits: tuple[CircuitUse, ...]
    valves: tuple[ValveUse, ...]
    balance: Mapping[str, float]  # relative error per book: water, air, energy
    notes: tuple[Note, ...]
    strains: tuple[Strain, ...] = ()
    bands: Bands | None = None  # of many runs, where they were asked for
    code: Text | None = None  # the controller's text that stood in for the plan's own logic
    finer: tuple[FinerGrid, ...] = ()  # the finer grids beside it; none on the coarse setting
    units: Units = METRIC  # in which a person reads it

    @property
    def books_close(self) -> bool:
        """Every book closes to 0.1 %."""
        return all(abs(error) <= BOOKS_CLOSE_TO for error in self.balance.values())

    @property
    def good(self) -> bool:
        """There is a limit or a goal, every one is kept and every rating, the books close, the run is
        complete, none of it hangs on the grid; and with bands nearly all runs keep all of it.
        """
        return self.verdict is Verdict.KEPT

    @property
    def verdict(self) -> Verdict:
        """What is known of the whole: broken where anything is, else not resolved where anything is not, else
        what the odds say where there are bands.
        """
        if not self.plan.has_plant:
            return Verdict.NO_PLANT
        results: tuple[LimitResult | GoalResult | Strain, ...] = (*self.limits, *self.goals, *self.strains)
        found = {result.verdict for result in results}
        if Verdict.BROKEN in found or not (self.books_close and self.complete):
            return Verdict.BROKEN
        open_ = Verdict.NOT_RESOLVED in found or not all(grid.complete for grid in self.finer)
        if open_:
            return Verdict.NOT_RESOLVED
        if not (self.limits or self.goals):
            return Verdict.NOT_ASKED
        unsure = self.bands is not None and self.bands.good.share < SURE
        return Verdict.NOT_SURE if unsure else Verdict.KEPT

    def arrays(self, signal: str) -> tuple[NDArray[np.float64], NDArray[Any]]:
        """Times in s and values in SI of one signal; of a logic signal, its changes.

        Raises KeyError with the nearest names when there is no such signal.
        """
        if signal not in self.trace.tracks:
            near = difflib.get_close_matches(signal, self.trace.tracks, 3) or sorted(self.trace.tracks)[:5]
            raise KeyError(f"there is no signal '{signal}'; near are {', '.join(near)}")
        track = self.trace.tracks[signal]
        return track.times_ms / 1000.0, track.values

    def frame(self) -> pandas.DataFrame:
        """The trace as a pandas data frame (needs the extra `frame`)."""
        made: pandas.DataFrame = opened("steadfall.trace.frame").frame(self.trace)
        return made

    def as_json(self) -> dict[str, Any]:
        """The prediction without its trace, in stable names (docs/json.md); SI units, times in s."""
        from_limits = [_limit_json(result) for result in self.limits]
        from_goals = [_goal_json(result) for result in self.goals]
        return {
            "steadfall": VERSION,
            "plan": identity(self.plan),
            "good": self.good,
            "verdict": self.verdict.value,
            "code": None if self.code is None else self.code.as_json(),
            "scenario": self.scenario,
            "settings": {
                "cells": self.settings.cells,
                "step_s": self.settings.step,
                "scan_s": self.settings.scan_ms / 1000,
                "jitter_seed": self.settings.jitter_seed,
            },
            "finer": [grid.as_json() for grid in self.finer],
            "complete": self.complete,
            "ended": self.ended,
            "end_s": self.end_ms / 1000,
            "limits": from_limits,
            "goals": from_goals,
            "moments": [
                {"at_s": m.time_ms / 1000, "circuit": m.circuit, "stage": m.stage} for m in self.moments
            ],
            "use": {
                "water_kg": sum(use.water for use in self.circuits),
                "air_kg": sum(use.air for use in self.circuits),
                "circuits": [_circuit_json(use) for use in self.circuits],
                "valves": [_valve_json(use) for use in self.valves],
            },
            "strains": [_strain_json(strain) for strain in self.strains],
            "bands": None if self.bands is None else self.bands.as_json(),
            "balance": dict(self.balance),
            "notes": [_note_json(note) for note in self.notes],
        }


BOOKS_CLOSE_TO = 1e-3
SURE = 0.95  # the share of the runs round a prediction that keep all, from which it is called good


def _seconds(ms: int | None) -> float | None:
    return None if ms is None else ms / 1000


def _note_json(note: Note) -> dict[str, Any]:
    return {"about": note.about, "sentence": note.sentence, "since_s": _seconds(note.since_ms)}


def _limit_json(result: LimitResult) -> dict[str, Any]:
    limit = result.limit
    return {
        "of": limit.of,
        "sentence": limit.text,
        "measure": limit.measure,
        "bound": limit.bound,
        "value": limit.value,
        "worst": result.worst,
        "at_s": _seconds(result.time_ms),
        "kept": result.kept,
        "verdict": result.verdict.value,
        "finer": None if result.finer is None else result.finer.as_json(),
        "line": limit.at.own.line,
    }


def _goal_json(result: GoalResult) -> dict[str, Any]:
    goal = result.goal
    return {
        "of": goal.of,
        "sentence": goal.text,
        "bound": goal.bound,
        "value": goal.value,
        "within_s": goal.within,
        "reached_s": _seconds(result.reached_ms),
        "worst": result.nearest,
        "at_s": _seconds(result.nearest_ms),
        "kept": result.kept,
        "verdict": result.verdict.value,
        "finer": None if result.finer is None else result.finer.as_json(),
        "line": goal.at.own.line,
    }


def _circuit_json(use: CircuitUse) -> dict[str, Any]:
    return {
        "circuit": use.circuit,
        "water_kg": use.water,
        "evaporated_kg": use.evaporated,
        "water_left_kg": use.water_left,
        "air_kg": use.air,
        "heat_J": use.heat,
        "heat_to_water_J": use.heat_to_water,
        "heat_to_gas_J": use.heat_to_gas,
        "heat_from_host_J": use.heat_from_host,
        "heat_from_wall_J": use.heat_from_wall,
        "peak_pressure_Pa": use.peak_pressure,
        "peak_at_s": _seconds(use.peak_ms),
        "steam_out_kg": use.steam_out,
        "flashed_out_kg": use.flashed_out,
        "steam_behind_kg": use.steam_behind,
        "peak_steam_kg_s": use.peak_steam,
        "peak_steam_at_s": _seconds(use.peak_steam_ms),
        "reversals": use.reversals,
        "geysers": use.geysers,
        "liquid_left_kg": use.liquid_left,
        "flash_volume_m3": use.flash_volume,
    }


def _strain_json(strain: Strain) -> dict[str, Any]:
    return {
        "about": strain.about,
        "what": strain.what,
        "value_Pa": strain.value,
        "at_s": _seconds(strain.time_ms),
        "bound_Pa": strain.bound,
        "kept": strain.kept,
        "verdict": strain.verdict.value,
        "finer": None if strain.finer is None else strain.finer.as_json(),
        "how": strain.how,
    }


def _valve_json(use: ValveUse) -> dict[str, Any]:
    return {
        "valve": use.valve,
        "openings": use.openings,
        "open_s": use.open_s,
        "life_share": use.life_share,
    }
