"""The one table of keys: what the reader reads, the schema checks, the reference explains and near misses are
found in.

Rule of this file: a key exists when it stands here. Everything that must know the keys takes them from
`SECTIONS`.
"""

from __future__ import annotations

from collections.abc import Mapping

from steadfall.plan import model
from steadfall.plan.keys.kinds import (
    Amount,
    Either,
    Many,
    Named,
    One,
    Phrase,
    Section,
    Text,
    Words,
    may,
    must,
    section,
)
from steadfall.plan.keys.sections import aims as keys_aims
from steadfall.plan.keys.sections import circuits as keys_circuits
from steadfall.plan.keys.sections import equipment as keys_equipment
from steadfall.plan.keys.sections import feeders as keys_feeders
from steadfall.plan.keys.sections import hosts as keys_hosts
from steadfall.plan.keys.sections import inputs as keys_inputs
from steadfall.plan.keys.sections import losses as keys_losses
from steadfall.plan.keys.sections import operation as keys_operation
from steadfall.plan.keys.sections import sequence as keys_sequence

LANGUAGE = "1"

TOP = section(
    "plan",
    model.Plan,
    "The cooling plan.",
    must("steadfall", Words((LANGUAGE,)), "Version of the plan language.", LANGUAGE),
    must("title", Text(), "Title of the plan.", "Splice press 2, platen cool-down"),
    may("revised", Text(), "Date of this revision.", "2026-05-04", default=""),
    must(
        "scan", One("scan"), "What the controller promises.", "{nominal: 20 ms, longest: 40 ms}", control=True
    ),
    must(
        "ambient",
        Amount("temperature", "-20 degC", "60 degC"),
        "Temperature round the plant.",
        "22 degC",
        tolerance="ambient",
        of_plant=True,
    ),
    must("supplies", Named("supply"), "Water and air.", "{works_water: {fluid: water, ...}}"),
    may(
        "materials",
        Named("material", free=True),
        "Solids that the built-in table lacks.",
        "{tool steel: {...}}",
    ),
    may("bodies", Named("body"), "Hot metal and loads.", "{splice: {mass: 45 kg, ...}}", shows_plant=True),
    may(
        "gas_streams",
        Named("gas_stream"),
        "Gas in an oven or vessel.",
        "{oven_air: {gas: air, ...}}",
        shows_plant=True,
    ),
    may(
        "links",
        Many(("link",)),
        "Where heat passes.",
        "[{between: [a, b], conductance: 850 W/K}]",
        shows_plant=True,
    ),
    may(
        "settings",
        Named("setting"),
        "Numbers that may be changed on the panel.",
        "{first_dose: {default: 0.8 s, adjustable: 0.3 s .. 3 s}}",
        control=True,
    ),
    must(
        "circuit_types", Named("circuit_type"), "Kinds of circuit.", "{platen_circuit: {...}}", control=True
    ),
    must("circuits", Named("circuit"), "The circuits.", "{upper: {type: ..., host: ...}}", control=True),
    may(
        "valves",
        Named("main_valve"),
        "Main valves: those in a supply, of no one circuit.",
        "{water_main: {in: works_water, kv: 12 m3/h, travel: 4 s}}",
        into="main_valves",
        control=True,
    ),
    may(
        "pumps",
        Named("pump"),
        "Pumps and compressors that must run for a supply.",
        "{booster: {for: works_water, run_up: 6 s}}",
        control=True,
    ),
    must(
        "inputs",
        Named("input", dotted=True),
        "Signals into the controller.",
        "{full_call: {kind: switch}}",
        control=True,
    ),
    may("ramps", Named("ramp"), "Ramp followers.", "{zone_ramp: {...}}", control=True),
    must(
        "calls",
        Many(("call", "button_call", "demand")),
        "What asks for cooling.",
        "[{when: full_call, allows: full}]",
        control=True,
    ),
    may("done", One("done"), "What ends a cool-down.", "{when: splice_temperature < 70 degC}", control=True),
    may(
        "hand",
        One("hand"),
        "How valves are moved by hand.",
        "{while: hand_key, upper.mist: mist_by_hand}",
        control=True,
    ),
    may(
        "test",
        One("valve_test"),
        "How valves are tried from idle.",
        "{start: test_button, valves: [sweep, mist], for: 3 s, pause: 2 s}",
        control=True,
    ),
    may("hold", One("hold"), "What holds the sequence in its stage.", "{while: hold_switch}", control=True),
    may(
        "step_on",
        Many(("step_on",)),
        "Buttons by which a person steps on.",
        "[{button: step_button, from: [dosing]}]",
        into="steps_on",
        control=True,
    ),
    may(
        "restart",
        Words(("only by a new call", "by itself"), (False, True)),
        "What it takes after power-up, after a trip is reset and after a permissive for all water returns: a "
        "call that has been let go and is made again, or none where one stands.",
        "only by a new call",
        default="only by a new call",
        into="restarts",
        control=True,
    ),
    may(
        "permissives",
        Many(("permissive",)),
        "Without which there is no water.",
        "[{name: sweep air, ...}]",
        control=True,
    ),
    may("trips", Many(("trip",)), "What ends cooling.", "[{name: steam back-pressure, ...}]", control=True),
    may("alarms", Many(("alarm",)), "What a person must answer to.", "[{name: drum hot, ...}]", control=True),
    may(
        "acknowledge",
        Phrase(),
        "What acknowledges alarms. With it every trip is an alarm too.",
        "acknowledge_button",
        control=True,
    ),
    may(
        "outputs",
        Named("output"),
        "Lamps, horn, pumps, releases.",
        "{cooling_lamp: {on: running}}",
        control=True,
    ),
    may(
        "counters",
        Named("counter"),
        "Counters of openings and hours, for service.",
        "{mist_openings: {openings_of: upper.mist, due: 500000, reset: service_button}}",
        control=True,
    ),
    may(
        "limits",
        Many(("limit", "goal")),
        "What a good cool-down keeps to.",
        "[{of: splice, at least: 20 degC}]",
    ),
    may(
        "tolerances",
        Many(("tolerance",)),
        "How far numbers may be off.",
        "[{of: works_water.pressure, within: 10 %}]",
    ),
    may("scenarios", Named("scenario", free=True), "What may happen.", "{air lost: {steps: [...]}}"),
    may(
        "requirements",
        Many(("never", "whenever", "every_opening", "at_most", "exclusive")),
        "What must hold for ever.",
        "[never: upper.mist and not upper.sweep]",
    ),
    may(
        "faults",
        Many(("fault",), short=True),
        "What may go wrong: the requirements are proved without faults, and against each of these alone.",
        "[upper.flood_is_open stuck off, power cut]",
    ),
    may(
        "accepted",
        Many(("accepted",)),
        "Single failures that nothing notices and that are left so, each with its reason.",
        "[{failure: upper.sweep stuck shut, because: the air is heard}]",
    ),
    may(
        "io",
        Either((Text(), One("io_list"), One("wiring"))),
        "The wiring: signal by signal, or the list that came with the panel drawing.",
        "panel.csv",
    ),
    tall=True,
)

SECTIONS: Mapping[str, Section] = {
    section.name: section
    for section in (
        TOP,
        *keys_equipment.SECTIONS,
        *keys_circuits.SECTIONS,
        *keys_feeders.SECTIONS,
        *keys_hosts.SECTIONS,
        *keys_losses.SECTIONS,
        *keys_sequence.SECTIONS,
        *keys_inputs.SECTIONS,
        *keys_operation.SECTIONS,
        *keys_aims.SECTIONS,
    )
}
