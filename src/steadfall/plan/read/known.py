"""What a table of the plan is read with: the plan so far, the place, and where problems go.

Rule of this file: data only. A section of the plan may lean on those before it in the table of keys.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from attrs import evolve, field, fields_dict, frozen

from steadfall.plan.model import (
    Body,
    Circuit,
    CircuitType,
    GasStream,
    Input,
    MainValve,
    Material,
    Pump,
    Setting,
    Supply,
)
from steadfall.plan.model.materials import BUILT_IN
from steadfall.plan.problems import Problems
from steadfall.plan.read.given import Given
from steadfall.source import Marks


@frozen
class Known:
    """The parts of the plan that later parts name."""

    materials: Mapping[str, Material] = field(factory=dict)  # the plan's own
    supplies: Mapping[str, Supply] = field(factory=dict)
    bodies: Mapping[str, Body] = field(factory=dict)
    gas_streams: Mapping[str, GasStream] = field(factory=dict)
    settings: Mapping[str, Setting] = field(factory=dict)
    circuit_types: Mapping[str, CircuitType] = field(factory=dict)
    circuits: Mapping[str, Circuit] = field(factory=dict)
    main_valves: Mapping[str, MainValve] = field(factory=dict)
    pumps: Mapping[str, Pump] = field(factory=dict)
    inputs: Mapping[str, Input] = field(factory=dict)
    given: Given = Given()

    @property
    def solids(self) -> Mapping[str, Material]:
        """Every solid that the plan can name."""
        return {**BUILT_IN, **self.materials}

    def and_with(self, part: str, value: Any) -> Known:
        """With one more part of the plan, where it is one that others name."""
        return evolve(self, **{part: value}) if part in fields_dict(Known) else self


@frozen
class Here:
    """One table: its place, its name where it has one, what it says in one line."""

    known: Known
    problems: Problems
    at: Marks
    is_read: bool  # whether any key was given; of a table that could not be read nothing more is said
    name: str = ""
    said: str = ""

    def add(
        self, key: str, slug: str, read: str, expected: str = "", *, example: str = "", at: str = ""
    ) -> None:
        """A problem of a key of this table; at the table itself, or at what `at` names."""
        self.problems.add(self.at.of(at), slug, key, read, expected, example=example)
