"""From a plan to its network: what the controller does in one scan, in order.

1. settings, measured inputs; 2. disagreements between limit switches and commands; 3. permissives, trips,
hand mode; 4. ramps; 5. calls and demands, what ends a cool-down, the valve test, what a person holds or steps
on; 6. main valves and pumps, free dose clocks; 7. for each circuit the stage, then the doses, then the valve
commands; 8. counters, alarms, outputs; 9. the outputs of valves that stand open without signal.
"""

from __future__ import annotations

from attrs import evolve

from steadfall.logic.build.buttons import Buttons
from steadfall.logic.build.calls import Desk, asked, done
from steadfall.logic.build.doses import FreeClocks
from steadfall.logic.build.feedback import disagreements
from steadfall.logic.build.feeders import ByHand, feeders
from steadfall.logic.build.guards import guards
from steadfall.logic.build.outputs import Site, command
from steadfall.logic.build.panel.alarms import alarms
from steadfall.logic.build.panel.counters import counters
from steadfall.logic.build.panel.energised import turned_round
from steadfall.logic.build.panel.lamps import lamps, running
from steadfall.logic.build.panel.settings import panel, settings
from steadfall.logic.build.person.by_hand import hands
from steadfall.logic.build.person.hand import hand_mode
from steadfall.logic.build.person.valve_test import valve_test
from steadfall.logic.build.ramp import ramps
from steadfall.logic.build.readings import readings
from steadfall.logic.build.sequence import sequence
from steadfall.logic.network import Input, Network
from steadfall.logic.nodes import Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.feeders import feeder_named
from steadfall.plan.meaning.names import input_identity, quantities, shown, signals, valves
from steadfall.plan.model import Dose, Plan
from steadfall.roles import Role, stage, target


def build(plan: Plan, *, alike: bool = False) -> Network:
    """The network of a checked plan; its outputs are the valve commands, circuit by circuit.

    `alike`: circuits of one type are written alike where their delays differ, so that one block of code
    serves them all; it does the same.
    """
    states = [name(circuit) for circuit in plan.circuits for name in (stage, target)]
    sheet = Sheet(_inputs(plan), {*signals(plan), *quantities(plan), *plan.counters, *states})
    settings(sheet, plan)
    readings(sheet, plan)
    disagreements(sheet, plan)
    guarded = guards(sheet, plan)
    hand = hand_mode(sheet, plan)
    guarded = evolve(guarded, in_hand=hand.on)
    ramps(sheet, plan)
    desk = Desk(sheet, plan, guarded, Buttons(sheet, plan))
    asks = asked(desk)
    guarded = evolve(guarded, done=done(desk, asks))
    hand = valve_test(evolve(desk, guards=guarded), asks, hand)
    guarded = evolve(guarded, tested=hand.tested)
    by_hand = hands(desk, hand)
    guarded = feeders(sheet, plan, guarded, asks, ByHand(hand.wanted, by_hand.hand_over))
    site = Site(sheet, plan, guarded, FreeClocks(sheet), alike, hand.moved)
    _start_clocks(site)
    outputs = (*valves(plan), *(feeder_named(one).name for one in plan.feeders))
    for circuit in plan.circuits:
        run = sequence(sheet, plan, circuit, guarded, asks[circuit], by_hand)
        for valve in plan.type_of(circuit).valves.values():
            command(site, circuit, valve, run)
    running(sheet, plan)
    counters(sheet, plan)
    alarms(sheet, plan)
    shown_on = lamps(sheet, plan)
    return sheet.network((*outputs, *shown_on, *_wired(plan), *turned_round(sheet, plan)))


def _wired(plan: Plan) -> list[str]:
    """Alarms and trips that the wiring names."""
    names = [made.name for made in shown(plan) if made.identity.role is not Role.OUTPUT]
    return [name for name in names if name in plan.io.terminals]


def _start_clocks(site: Site) -> None:
    """Writes the free dose clocks above everything that reads them."""
    for circuit in site.plan.circuits.values():
        for step in site.plan.circuit_types[circuit.type].stages:
            for action in step.actions.values():
                if isinstance(action, Dose) and action.clock == "free":
                    site.clocks.open(action, circuit.delay_doses_ms, action.at.own)


def _inputs(plan: Plan) -> list[Input]:
    given = [
        Input(
            item.name,
            Type.BOOL if item.is_digital else Type.REAL,
            mark=item.at.own,
            identity=input_identity(plan, item.name),
        )
        for item in plan.inputs.values()
    ]
    return [*given, *panel(plan)]
