"""The valve commands: what the stage asks, held for the shortest times, cut by permissives and trips.

Rule of this file: a valve that has just moved stays for its shortest open or shut time, across changes of
stage too; only a permissive or trip cuts an opening short. At power-up a valve counts as long where it stands
without signal: a controller takes longer to start than a valve to get there (common practice).
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import field, frozen

from steadfall.logic.build.doses import Dosed, FreeClocks, dose_open, restarting
from steadfall.logic.build.guards import Guards
from steadfall.logic.build.sequence import Sequence
from steadfall.logic.build.shares import share_open
from steadfall.logic.build.stages import IDLE, row
from steadfall.logic.forms import all_of, boolean, choose, different, less, lookup, ms
from steadfall.logic.nodes import Node, Previous, Read, Since, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.model import Action, Dose, Open, Plan, Share, Valve
from steadfall.plan.model.setting import high_end
from steadfall.roles import Role
from steadfall.roles import command as commanded


@frozen
class Site:
    """What every valve of a plan is written with."""

    sheet: Sheet
    plan: Plan
    guards: Guards
    clocks: FreeClocks
    alike: bool = False  # circuits of one type are written alike, whatever their delays
    by_hand: Mapping[str, Node] = field(factory=dict)  # valve -> it is to be open in idle

    def longest_delay(self, circuit: str) -> int:
        """The longest delay among the circuits that are to be written like this one, in ms."""
        kind = self.plan.circuits[circuit].type
        return (
            max(high_end(one.delay_doses_ms) for one in self.plan.circuits.values() if one.type == kind)
            if self.alike
            else 0
        )


def command(site: Site, circuit: str, valve: Valve, sequence: Sequence) -> Read:
    """Writes the command of one valve, `circuit.valve`."""
    sheet, plan, wish = site.sheet, site.plan, commanded(circuit, valve.name)
    allowed = site.guards.of(wish.name)
    states = row(plan.type_of(circuit), valve)
    delay, longest = plan.circuits[circuit].delay_doses_ms, site.longest_delay(circuit)
    dosed = Dosed(circuit, valve.name, states, sequence, delay, valve.at.own, longest)
    phases = _phases(site, dosed, valve)
    in_each = [_wanted(action, phases, dosed) for action in states]
    in_each[IDLE] = site.by_hand.get(wish.name, in_each[IDLE])
    wanted = lookup(sequence.stage, in_each)
    if not (high_end(valve.shortest_open_ms) or high_end(valve.shortest_shut_ms)):
        return sheet.put(wish, all_of((allowed, wanted)), valve.at.own, valve.normally_open)
    own = sheet.named(dosed.signal(Role.WANTED), wanted, valve.at.own)
    return _held(sheet, dosed, valve, allowed, own)


def _wanted(action: Action | None, phases: dict[Action, Node], dosed: Dosed) -> Node:
    if action is None or isinstance(action, Open):
        return boolean(action is not None)
    phase = phases[action]
    if isinstance(action, Dose) and isinstance(action.then, str):
        return choose(dosed.early(action), phase, boolean(action.then == "open"))
    return phase


def _phases(site: Site, dosed: Dosed, valve: Valve) -> dict[Action, Node]:
    """For every dose or share of a valve, the signal that is true while it is open."""
    found: dict[Action, Node] = {}
    if any(restarting(action) for action in dosed.row):
        phase = dose_open(site.sheet, dosed)
        found |= {action: phase for action in dosed.row if action and restarting(action)}
    for action in dosed.row:
        if action in found:
            continue
        if isinstance(action, Share):
            found[action] = share_open(site.sheet, site.plan, dosed, action, valve)
        elif isinstance(action, Dose):
            found[action] = site.clocks.open(action, dosed.delay_ms, action.at.own)
    return found


def _held(sheet: Sheet, dosed: Dosed, valve: Valve, allowed: Node, wanted: Node) -> Read:
    moved, wish = sheet.free(dosed.signal(Role.MOVED)), commanded(dosed.circuit, dosed.valve)
    last = Previous(wish.name, Type.BOOL)
    longest = max(high_end(valve.shortest_open_ms), high_end(valve.shortest_shut_ms))
    since = Since(moved.name, longest)
    time = sheet.helper(dosed.signal(Role.HELD_TIME), since, valve.at.own, longest)
    opened = ms(valve.shortest_open_ms, f"{valve.name}.shortest_open")
    shut = ms(valve.shortest_shut_ms, f"{valve.name}.shortest_shut")
    least = choose(last, opened, shut)
    kept = all_of((allowed, choose(less(time, least), last, wanted)))
    out = sheet.put(wish, kept, valve.at.own, valve.normally_open)
    sheet.put(moved, different(out, last), valve.at.own)
    return out
