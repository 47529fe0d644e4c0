"""The reference of all keys, for the documents: `docs/keys.md`.

Rule of this file: everything comes from the table of keys.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from steadfall.constants import ATMOSPHERE
from steadfall.dimensions import DIMENSIONS
from steadfall.plan.keys import kinds
from steadfall.plan.keys.table import SECTIONS
from steadfall.plan.model.materials import BUILT_IN
from steadfall.units import shown

_HEAD = """# Keys of a plan

This file is generated from the table of keys (`steadfall.plan.keys.table`); do not edit it.

A plan is YAML: tables of `key: value`, lists, texts. A quantity is a number, one space and a unit. A name is
letters, digits and single underscores and begins with a letter. A condition is a sentence such as
`after 45 s and outlet_temperature < 140 degC`; its words are explained under Conditions.

A plan may be of the logic alone: it then gives no number of the plant (no `path`, `outlet`, `kv`, `host`,
`bodies`), and everything works but what needs a plant. A plan that gives any of these gives all that is
marked "with a plant".
"""

_CONDITIONS = """## Conditions

| Written | Holds when |
|---|---|
| `full_call` | the switch, valve command or other true/false signal is on |
| `X < 140 degC` (also `<=`, `>`, `>=`) | the measured value compares so |
| `X < 140 degC with hysteresis 3 K` | the same, and on until it has gone back by so much: to 143 degC |
| `full_call goes on` (also `goes off`) | a true/false signal has come on in this scan; never in the first |
| `X out of range` | the sensor shows what no good one does (`bad_below`, `bad_above`): a broken wire |
| `upper is dosing` | the circuit is in that stage or finish step; also `idle`, `finishing` |
| `permitted`, `tripped` | every permissive holds; any trip is latched |
| `trip.NAME` | that trip is latched; its name with lines for spaces |
| `running` | some circuit cools: it is in a stage (with `outputs` or `alarms`) |
| `alarm`, `unacknowledged` | some alarm stands; some alarm is not acknowledged (with `acknowledge`) |
| `alarm.NAME`, `alarm.NAME.unacknowledged` | the same of one; its name with lines for spaces |
| `alarm.NAME.first_out` | this alarm came while none stood |
| `upper.flood.disagrees` | the limit switch of a valve has disagreed with its command for too long |
| `not A`, `A and B`, `A or B`, `( )` | as in speech; `and` and `or` together need brackets |
| `A and B for 2 s` | all to the left of `for`, within its bracket, has held without a gap for so long |
| `after 45 s` | so long has passed since the stage was entered (in `climb` only) |
| `upper.stage_time >= 45 s` (also `<`, `<=`, `>`) | the time in the stage compares so (`requirements` only) |
| `upper.mist.held_time < 2 s` | the valve was told to open or shut so long ago (in `requirements` only) |
| `true`, `false` | always, never |

In a circuit type a name means `CIRCUIT.name` where there is one, else the name as it is. A condition, or a
part of one, that comes to always or never by itself (`full_call or not full_call`) is refused; a plain `true`
or `false` is not.

What the controller works out further down is seen as the scan before left it: valve commands, stages, alarms
and outputs everywhere but in `requirements`, `alarms` and `outputs` (there: outputs; in `alarms` also
alarms); ramps in permissives, trips and ramps; `tripped` in permissives and resets.
All else, and everything in `requirements`, is seen as it is in this scan.
"""


def reference() -> str:
    """The text of `docs/keys.md`."""
    parts = [
        _HEAD,
        *(reference_of(section) for section in SECTIONS.values()),
        _CONDITIONS,
        _units(),
        _materials(),
    ]
    return "\n".join(parts)


def reference_of(section: kinds.Section) -> str:
    """The part of the reference that explains a section."""
    keys = [*section.keys, *([section.others] if section.others else [])]
    rows = "\n".join(_row(key, open_key=key is section.others) for key in keys)
    title = f"## {section.name.replace('_', ' ').capitalize()}"
    return f"{title}\n\n{section.doc}\n\n| Key | Holds | Meaning | Example |\n|---|---|---|---|\n{rows}\n"


def _row(key: kinds.Key, *, open_key: bool) -> str:
    needed = " (with a plant)" if key.of_plant else " (required)" if key.required else ""
    default = f" Default: `{key.default}`." if key.default else ""
    name = f"*{key.name}*" if open_key else f"`{key.name}`"
    cells = (f"{name}{needed}", _words(key.kind), key.doc + default, f"`{key.example}`")
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _words(kind: kinds.Kind) -> str:
    return _KINDS[type(kind)](kind)


def _link(section: str) -> str:
    name = section.replace("_", " ")
    return f"[{name}](#{name.replace(' ', '-')})"


def _bounds(kind: Any) -> str:
    return f"{'above' if getattr(kind, 'above', False) else 'from'} {kind.least} to {kind.most}"


def _or_set(kind: kinds.Amount | kinds.Time) -> str:
    return ", or a [setting](#setting)" if kind.set else ""


def _dimensions(names: tuple[str, ...]) -> str:
    return " or ".join(DIMENSIONS[name].words for name in names)


def _many(kind: kinds.Many) -> str:
    short = f", or of texts that are its `{SECTIONS[kind.sections[0]].keys[0].name}`" if kind.short else ""
    return f"a list of {' or '.join(map(_link, kind.sections))}{short}"


_KINDS: Mapping[type, Callable[[Any], str]] = {
    kinds.Text: lambda _: "text",
    kinds.Ref: lambda _: "a name",
    kinds.Solid: lambda _: "a name",
    kinds.Refs: lambda _: "a list of names",
    kinds.Words: lambda kind: " or ".join(f"`{word}`" for word in kind.words),
    kinds.Whole: lambda kind: f"a whole number from {kind.least} to {kind.most}",
    kinds.Number: lambda kind: f"a number from {kind.least} to {kind.most}",
    kinds.Amount: lambda kind: f"{DIMENSIONS[kind.dimension].words}, {_bounds(kind)}{_or_set(kind)}",
    kinds.Time: lambda kind: f"a time, {_bounds(kind)}{_or_set(kind)}",
    kinds.Measure: lambda kind: _dimensions(kind.dimensions),
    kinds.Span: lambda kind: f"a range of {_dimensions(kind.dimensions)}",
    kinds.Bound: lambda kind: f"`at most` or `at least` and {DIMENSIONS[kind.dimension].words}",
    kinds.Phrase: lambda _: "a [condition](#conditions)",
    kinds.Phrases: lambda _: "a list of [conditions](#conditions)",
    kinds.Pattern: lambda kind: kind.words,
    kinds.One: lambda kind: _link(kind.section),
    kinds.Named: lambda kind: f"names, each with a {_link(kind.section)}",
    kinds.Many: _many,
    kinds.Either: lambda kind: "; or ".join(map(_words, kind.kinds)),
}


def _units() -> str:
    rows = (
        f"| {dimension.words.partition(' ')[2]} | {', '.join(f'`{unit}`' for unit in dimension.spellings)} |"
        for dimension in DIMENSIONS.values()
    )
    return "\n".join(_unit_lines(rows))


def _unit_lines(rows: Iterator[str]) -> Iterator[str]:
    yield "## Units\n"
    yield f"Gauge pressure is over the standard atmosphere, {ATMOSPHERE:.0f} Pa.\n"
    yield "A time may also be written as manuals do: `4:40` is 4 min 40 s, `1:04:40` begins with the hours.\n"
    yield "Every result says times so from a minute on, and moments of a run at all times.\n"
    yield "| Quantity | Units |\n|---|---|"
    yield from rows
    yield ""


def _materials() -> str:
    head = (
        "## Materials\n\nValues at 100 degC; their sources stand in `steadfall.plan.model.materials`.\n\n"
        "| Material | Density | Heat capacity | Conductivity | Expansion | Young's modulus | Poisson |\n"
        "|---|---|---|---|---|---|---|"
    )
    rows = (
        f"| {item.name} | {item.density:g} kg/m3 | {item.heat_capacity:g} J/kg/K | {item.conductivity:g} "
        "W/m/K "
        f"| {item.expansion:g} 1/K | {shown(item.youngs_modulus, 'stress')} | {item.poisson:g} |"
        for item in BUILT_IN.values()
    )
    return "\n".join([head, *rows, ""])
