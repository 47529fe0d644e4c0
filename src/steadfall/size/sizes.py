"""All sizes of a plan, and what a batch uses.

Rule of this file: data and its plain forms; the names in `as_json` are stable (docs/json.md).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from attrs import frozen

from steadfall.plan.model import Plan
from steadfall.predict.outcome.result import CircuitUse, Prediction, ValveUse
from steadfall.quantities import METRIC, Units
from steadfall.size.doses import ByHand
from steadfall.size.fluid import free_air
from steadfall.size.row import Row, Standing
from steadfall.size.rows.supplies import Sharing


@frozen
class Sizes:
    """Every row, what each supply gives to how many circuits, and the batch that they rest on."""

    plan: Plan
    rows: tuple[Row, ...]
    sharings: Mapping[str, Sharing]
    hand: tuple[ByHand, ...]
    batch: Prediction
    notes: tuple[str, ...]
    units: Units = METRIC  # in which a person reads them

    @property
    def good(self) -> bool:
        """Nothing is short."""
        return self.count(Standing.SHORT) == 0

    def count(self, standing: Standing) -> int:
        """How many rows stand so."""
        return sum(row.standing is standing for row in self.rows)

    def as_json(self) -> dict[str, Any]:
        """The body of the result, in stable names; SI."""
        return {
            "sizes": [row.as_json() for row in self.rows],
            "together": [_sharing_json(one) for one in self.sharings.values()],
            "by_hand": [_hand_json(one) for one in self.hand],
            "batch": {
                "scenario": self.batch.scenario,
                "end_s": self.batch.end_ms / 1000,
                "complete": self.batch.complete,
                "circuits": [_circuit_json(use) for use in self.batch.circuits],
                "valves": [_valve_json(use) for use in self.batch.valves],
            },
            "notes": list(self.notes),
        }


def batches(use: ValveUse) -> float | None:
    """How many such batches a valve's rated life lasts; None where no life is given or it never opened."""
    return 1.0 / use.life_share if use.life_share else None


def _sharing_json(one: Sharing) -> dict[str, Any]:
    return {
        "supply": one.supply,
        "open": [
            {"circuits": n, "pressure_Pa": at, "flow_kg_s": flow, "share": share}
            for n, (at, flow, share) in enumerate(zip(one.at, one.flows, one.kept, strict=True), 1)
        ],
    }


def _hand_json(one: ByHand) -> dict[str, Any]:
    dose = one.dose
    return {
        "circuit": one.circuit,
        "stage": one.stage,
        "valve": one.valve,
        "host_K": one.host,
        "water_kg_s": one.water,
        "heat_least_W": one.least,
        "heat_most_W": one.most,
        "heat_predicted_W": one.predicted,
        "steam_kg_s": one.steam,
        "outlet_passes_kg_s": one.passes,
        "dose": None
        if dose is None
        else {
            "mass_kg": dose.mass,
            "outlet_clears_s": dose.clears,
            "period_s": dose.period,
            "wall_falls_K": dose.dip,
            "comes_back": dose.back,
        },
    }


def _circuit_json(use: CircuitUse) -> dict[str, Any]:
    return {
        "circuit": use.circuit,
        "water_kg": use.water,
        "air_kg": use.air,
        "free_air_m3": free_air(use.air),
        "heat_J": use.heat,
        "evaporated_kg": use.evaporated,
    }


def _valve_json(use: ValveUse) -> dict[str, Any]:
    return {
        "valve": use.valve,
        "openings": use.openings,
        "open_s": use.open_s,
        "batches": batches(use),
    }
