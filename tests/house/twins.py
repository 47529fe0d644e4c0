"""Twins of a plan: the same plant and the same sequence, with every name chosen anew.

Rule of this file: a twin differs from its plan in names alone. The plain twin has names that mean nothing;
any other may be called after quantities and keywords, and must behave like the plain one.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from attrs import frozen

from steadfall.plan.meaning.names import quantities
from steadfall.plan.model import Plan
from steadfall.plan.read.whole import read_text
from steadfall.source import PlanError

# What quantities are called, what plans and controllers say: every word that could be taken for a meaning.
_WORDS = """
heat pressure flow wall position stage target difference water air steam mist open shut dose sweep
idle for after at surface core is_open is_shut stage_time held_time tripped permitted set_point
disagrees cooling finish finishing drain flood outlet_temperature wall_shock wall_stress water_flow
air_flow steam_flow water_held water_used coldest hottest after_coil temperature
temperature_difference start mass kv host conductance heating leak shell area step ambient input
command call demand climb allowed share cycle ramp supply outlet relief valve circuit first last age
time now never exclusive bad exercised scan and not below on off power cut name type kind rest life
line power_up trip reset fault opens all host_conductance k first_scan true E1 T sample
"""
KEYWORDS = tuple(_WORDS.split())
PHRASES = "(?:carbon|stainless) steel|(?:lower|upper) end|all water|outlet_bypass"
FREE_OF_MEANING = ("alder", "birch", "cedar", "dogwood", "elder", "fir", "gorse", "hazel", "ivy", "juniper")


@frozen
class Named:
    """A name that a plan gives, and what it gives it to."""

    kind: str
    name: str


def named(plan: Plan) -> list[Named]:
    """Every name that may be chosen anew without changing what the plan says."""
    pairs: list[tuple[str, str]] = []
    pairs += [("body", name) for name in plan.bodies]
    pairs += [("gas stream", name) for name in plan.gas_streams]
    pairs += [("supply", name) for name in plan.supplies]
    pairs += [("circuit type", name) for name in plan.circuit_types]
    pairs += [("circuit", name) for name in plan.circuits]
    pairs += [("ramp", name) for name in plan.ramps]
    pairs += [("setting", name) for name in plan.settings]
    pairs += [("output", name) for name in plan.outputs]
    pairs += [("main valve", name) for name in plan.main_valves]
    pairs += [("pump", name) for name in plan.pumps]
    for kind in plan.circuit_types.values():
        pairs += [("valve", name) for name in kind.valves]
        pairs += [("stage", stage.name) for stage in kind.stages]
        pairs += [("finish step", step.name) for step in kind.finish]
    known = quantities(plan)
    for name in plan.inputs:
        if name not in known:  # a signal named like a quantity measures it: that name has its meaning
            pairs.append(("circuit input" if "." in name else "input", name.rpartition(".")[2]))
    return [Named(*pair) for pair in dict.fromkeys(pairs)]


def renamed(text: str, names: Mapping[str, str]) -> str:
    """A plan's text in which whole words are replaced, all at once; the plan language's own phrases stay."""
    if not names:
        return text
    words = "|".join(sorted(map(re.escape, names), key=len, reverse=True))
    pattern = re.compile(rf"{PHRASES}|(?<![A-Za-z0-9_])(?P<name>{words})(?![A-Za-z0-9_])")
    return pattern.sub(lambda found: names[found["name"]] if found["name"] else found.group(), text)


def plain(text: str) -> tuple[str, list[Named]]:
    """A plan's text with names that mean nothing, and these names."""
    body = "\n".join(line for line in text.split("\n") if not line.lstrip().startswith("#")) + "\n"
    old = named(read_text(body))
    new = [f"{FREE_OF_MEANING[i % 10]}{i // 10 or ''}" for i in range(len(old))]
    table = {row.name: word for row, word in zip(old, new, strict=True)}
    made = renamed(body, table)
    assert len(table) == len(old), "one name for two things: choose another plan"
    return made, [Named(row.kind, word) for row, word in zip(old, new, strict=True)]


def twin(text: str, names: list[Named], turn: int) -> dict[str, str]:
    """A keyword for each name: each turn others, and for one that would be refused the next."""
    table: dict[str, str] = {}
    for place, row in enumerate(names):
        begin = turn + 7 * place
        words = (KEYWORDS[(begin + more) % len(KEYWORDS)] for more in range(len(KEYWORDS)))
        free = (word for word in words if word not in table.values())
        table[row.name] = next(word for word in free if accepts(text, row.name, word))
    return table


def accepts(text: str, name: str, word: str) -> bool:
    """Whether a plan may have this word in the place of this name."""
    try:
        read_text(renamed(text, {name: word}))
    except PlanError:
        return False
    return True
