"""A plant of eight circuits, made from the press of the examples: three types, all names and times
invented.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text

PRESS = Path(__file__).parent.parent / "examples" / "press.yaml"
CIRCUITS = {  # name: type, delay of its doses
    "north_upper": ("platen_circuit", ""),
    "north_lower": ("platen_circuit", "1.6 s"),
    "south_upper": ("platen_circuit", ""),
    "south_lower": ("platen_circuit", "1.6 s"),
    "east_edge": ("edge_circuit", ""),
    "west_edge": ("edge_circuit", "1.6 s"),
    "near_core": ("core_circuit", ""),
    "far_core": ("core_circuit", "1.6 s"),
}
OTHER_TIMES = {  # what the other two types do in another time than the press
    "edge_circuit": {"open: 0.4 s, shut: 3.6 s": "open: 0.6 s, shut: 4.4 s", "after 60 s": "after 45 s"},
    "core_circuit": {"open: 1.2 s, shut: 2 s": "open: 1.4 s, shut: 2.6 s", "for: 20 s": "for: 30 s"},
}

# Of the press's own sections those that say nothing of one circuit, or nothing to prove.
LEFT_OUT = (
    *("limits", "scenarios", "tolerances", "faults", "accepted"),
    *("done", "alarms", "acknowledge", "outputs"),
)

APART = {name: "" if not place else f"{0.2 * place:.1f} s" for place, name in enumerate(CIRCUITS)}


def eight(*, apart: bool = False) -> Plan:
    """The plan. `apart`: the doses of each circuit are delayed by another time, so no two are alike."""
    delays = APART if apart else {name: delay for name, (_, delay) in CIRCUITS.items()}
    return read_text(_text(PRESS.read_text(encoding="utf-8"), delays), "eight.yaml")


def _text(press: str, delays: Mapping[str, str]) -> str:
    sections = {
        found[2]: found[0] for found in re.finditer(r"^((\w+):.*\n(?:[ #].*\n|\n)*)", press, re.MULTILINE)
    }
    for name in LEFT_OUT:
        sections.pop(name)
    sections["title"] = "title: Works of eight circuits, invented data\n"
    sections["circuit_types"] += "".join(_type(sections["circuit_types"], name) for name in OTHER_TIMES)
    sections["circuits"] = "circuits:\n" + "".join(_circuit(name, delays[name]) for name in CIRCUITS)
    sections["inputs"] = _for_each(sections["inputs"])
    sections["trips"] = "trips:\n" + "".join(_trips(name) for name in CIRCUITS)
    sections["requirements"] = "requirements:\n" + "".join(
        line.replace("upper.", f"{name}.")
        for name in CIRCUITS
        for line in sections["requirements"].splitlines(keepends=True)
        if "upper." in line
    )
    return "".join(sections.values())


def _type(types: str, name: str) -> str:
    text = types.partition("\n")[2].replace("platen_circuit", name)
    for was, now in OTHER_TIMES[name].items():
        text = text.replace(was, now)
    return text


def _circuit(name: str, delay: str) -> str:
    kind, _ = CIRCUITS[name]
    return f"  {name}: {{type: {kind}, host: {_host(name)}{f', delay_doses: {delay}' if delay else ''}}}\n"


def _host(name: str) -> str:
    return "lower_platen" if CIRCUITS[name][1] else "upper_platen"


def _for_each(inputs: str) -> str:
    lines = inputs.splitlines(keepends=True)
    kept = [line for line in lines if "upper." not in line and "lower." not in line]
    own = [line.replace("upper_platen", "HOST") for line in lines if "upper." in line]
    each = (
        line.replace("HOST", _host(name)).replace("upper.", f"{name}.") for name in CIRCUITS for line in own
    )
    return "".join([*kept, *each])


def _trips(name: str) -> str:
    pressure = (
        f"  - {{name: pressure of {name}, when: {name}.pressure > 7 barg for 0.2 s, reset: reset_button}}\n"
    )
    valve = f"  - {{name: flood valve of {name}, when: {name}.flood.disagrees, reset: reset_button}}\n"
    return pressure + valve
