"""The fields of a plan that are more than the value of one key.

Rule of this file: each row names the fields, and a function whose parameters are the fields of the keys that
they are made of. A test holds the names and types against the table of keys.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from inspect import signature
from typing import Any

from attrs import frozen

from steadfall.plan import model
from steadfall.plan.model.equipment import Fins
from steadfall.plan.read import aims, equipment, inputs, sequence
from steadfall.plan.read.known import Here

HERE = "here"  # the parameter of a function that must know more than the keys


@frozen
class Fill:
    """Fields, the keys that they are made of, and how; of several fields `make` gives a tuple."""

    fields: tuple[str, ...]
    keys: tuple[str, ...]
    make: Callable[..., Any]

    def made(self, values: Mapping[str, Any], here: Here) -> dict[str, Any]:
        """The fields' values, from those of the keys."""
        found = self.make(**{key: here if key == HERE else values[key] for key in self.keys})
        return dict(zip(self.fields, found if len(self.fields) > 1 else (found,), strict=True))


def _fill(fields: str, make: Callable[..., Any]) -> Fill:
    return Fill(tuple(fields.split()), tuple(signature(make).parameters), make)


FILLS: Mapping[type, tuple[Fill, ...]] = {
    model.Body: (
        _fill("heat_capacity", equipment.heat_capacity),
        _fill("inner", equipment.inner),
        _fill("segments", equipment.segments),
        _fill("heating", equipment.heating),
    ),
    model.GasStream: (_fill("heating", equipment.heating),),
    model.Run: (_fill("order", equipment.order),),
    model.Inner: (_fill("size", equipment.size),),
    model.Link: (_fill("between", equipment.between),),
    Fins: (_fill("conductivity", equipment.conductivity),),
    model.Valve: (_fill("supply", equipment.supply),),
    model.CircuitType: (_fill("step_down_ms", sequence.step_down),),
    model.Stage: (_fill("actions", sequence.actions),),
    model.FinishStep: (_fill("actions", sequence.actions),),
    model.Setting: (_fill("dimension default low high unit", sequence.adjusted),),
    model.Input: (
        _fill("low high unit normal", inputs.sensed),
        _fill("measures", inputs.measures),
        _fill("changes", inputs.changes),
        _fill("raw", inputs.raw),
        _fill("cut_off", inputs.cut_off),
        _fill("noise", inputs.noise),
        _fill("filter_ms", inputs.filtered),
        _fill("bad_below", inputs.bad_below),
        _fill("bad_above", inputs.bad_above),
        _fill("when_bad substitute", inputs.when_bad),
    ),
    model.Counter: (_fill("of of_openings", sequence.counted), _fill("due", sequence.due)),
    model.Call: (_fill("circuits", sequence.called),),
    model.ButtonCall: (_fill("circuits", sequence.called),),
    model.StepOn: (_fill("circuits", sequence.stepped),),
    model.Demand: (_fill("circuits", sequence.demanded),),
    model.ValveTest: (_fill("valves", sequence.tested),),
    model.Permissive: (_fill("valves all_water", sequence.guarded),),
    model.Limit: (
        _fill("measure bound value window", aims.limit),
        _fill("between", aims.between),
        _fill("text", aims.limit_text),
    ),
    model.Goal: (_fill("of bound value text", aims.goal), _fill("within", aims.within)),
    model.Tolerance: (_fill("value relative", aims.tolerance),),
    model.Scenario: (_fill("panel", aims.panel),),
    model.Step: (_fill("values supplies mishaps presses", aims.values),),
    model.AtMost: (_fill("count valve in_ms", aims.openings),),
    model.Fault: (_fill("what signal", aims.fault),),
    model.Terminal: (_fill("signal", aims.signal),),
    model.Plan: (
        _fill("materials", equipment.materials),
        _fill("has_plant", equipment.has_plant),
        _fill("trips", sequence.trips),
        _fill("limits goals", aims.limits_and_goals),
        _fill("io", aims.io),
    ),
}
