"""Last year's plan and this year's: what a technician changes in the press of the examples, as text.

The changes are invented; each is a list of pieces of the text and what stands there afterwards.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from tests.prove.plans import DEMO

Edit = tuple[str, str]

LONG = (
    "      - {name: long_doses, sweep: open, mist: {open: 1.2 s, shut: 2 s}, climb: after 60 s and "
    "platen_temperature"
)
REVISIONS: Mapping[str, Sequence[Edit]] = {
    "stage added": [
        (
            LONG,
            "      - {name: short_pauses, sweep: open, mist: {open: 1.2 s, shut: 1 s}, climb: after 60 s}\n"
            + LONG,
        ),
    ],
    "stage removed": [(f"{LONG} < 125 degC}}\n", "")],
    "stage renamed": [("{name: soaking", "{name: steady_mist"), ("allows: soaking", "allows: steady_mist")],
    "valve added": [
        (
            "      sweep: {supply",
            "      vent: {opens: outlet_bypass, kv: 1 m3/h, travel: 1 s}\n      sweep: {supply",
        ),
    ],
    "valve renamed": [("mist", "spray")],
    "valve removed": [
        (
            "      drain: {opens: outlet_bypass, kv: 3 m3/h, travel: 1 s, rest: open, without_signal: open}"
            "   # nothing stays in to boil\n",
            "",
        ),
        ("      - {name: emptying, drain: open, for: 60 s}\n", ""),
    ],
    "circuit added": [
        (
            "circuits:\n",
            "circuits:\n  edge: {type: platen_circuit, host: lower_platen, delay_doses: 800 ms}\n",
        ),
        (
            "\ninputs:\n",
            "\ninputs:\n  edge.platen_temperature: {kind: temperature, range: 0 .. 250 degC, measures: "
            "lower_platen}\n"
            "  edge.flood_is_open: {kind: switch, measures: edge.flood.is_open}\n",
        ),
    ],
    "circuit renamed": [
        ("upper", "top"),
        ("at its top end", "at its upper end"),
    ],
    "call added": [
        ("\ninputs:\n", "\ninputs:\n  night_call: {kind: switch}\n"),
        ("\ncalls:\n", "\ncalls:\n  - {when: night_call, allows: first_doses}\n"),
    ],
    "dose changed": [("mist: {open: 0.4 s, shut: 3.6 s}", "mist: {open: 0.5 s, shut: 3.5 s}")],
    "permissive dropped": [
        ("permissives:\n  - {name: sweep air, needs: air_pressure_ok, for: all water}\n", "")
    ],
    "input renamed": [("full_call", "strong_call")],
    "input of another kind": [
        ("full_call: {kind: switch}", "full_call: {kind: percent, range: 0 .. 100 %}"),
        ("when: full_call,", "when: full_call > 50 %,"),
        ("at: 0 s, full_call: on", "at: 0 s, full_call: 100 %"),
        ("full_call: off}, {at: 7:12, full_call: on}", "full_call: 0 %}, {at: 7:12, full_call: 100 %}"),
        ("  - full_call bounces\n", ""),
    ],
    "finish shortened": [("for: 20 s", "for: 15 s")],
    "trip reworded": [("steam back-pressure in the upper platen", "upper platen boils over")],
    "splice heavier": [("mass: 45 kg", "mass: 50 kg")],
    "words alone": [
        ("# Cool-down of a splice press.", "# Cool-down of another splice press."),
        ("1.2 s", "1200 ms"),
    ],
}


@cache
def press() -> Plan:
    """The press as it was."""
    return read_text(DEMO.read_text(encoding="utf-8"), "last.yaml")


@cache
def revised(name: str) -> Plan:
    """The press after a change."""
    return read_text(revised_text(name), "this.yaml")


def revised_text(name: str) -> str:
    """The text after a change, each piece of which must be there."""
    text = DEMO.read_text(encoding="utf-8")
    for old, new in REVISIONS[name]:
        assert old in text, f"{name}: {old}"
        text = text.replace(old, new)
    return text
