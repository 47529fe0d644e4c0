"""Time-proportioned doses: in each cycle the valve is open for as many percent as its signal says at the
start.

Rule of this file: the opening is rounded to the controller's timer step. One shorter than the valve's
shortest opening is skipped; one that would leave less than the shortest pause stays open to the end of the
cycle.
"""

from __future__ import annotations

from steadfall.logic.build.conditions import Scope, input_named
from steadfall.logic.build.doses import Dosed, waiting
from steadfall.logic.forms import all_of, any_of, at_least, choose, less, ms, real
from steadfall.logic.nodes import Compare, Multiply, Node, Previous, Read, Since, ToTime, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.model import Plan, Share, Valve
from steadfall.plan.model.setting import high_end
from steadfall.roles import Role


def share_open(sheet: Sheet, plan: Plan, dosed: Dosed, share: Share, valve: Valve) -> Read:
    """Writes the cycle of one share; true while it is open."""
    mark, of = dosed.mark, dosed.first(share)
    turned, open_for = (sheet.free(dosed.signal(role, of)) for role in (Role.CYCLE_TURN, Role.OPEN_FOR))
    longest = max(share.cycle_ms, high_end(dosed.delay_ms), dosed.longest_delay_ms)
    time = sheet.helper(dosed.signal(Role.CYCLE_TIME, of), Since(turned.name, longest), mark)
    sharing = sheet.helper(dosed.signal(Role.SHARING, of), dosed.during(lambda action: action == share), mark)
    begins, may = waiting(sheet, dosed, sharing, time)
    over = at_least(time, ms(share.cycle_ms, f"{dosed.valve}.cycle"))
    due = all_of((sharing, may, any_of((begins, over))))
    begin = sheet.helper(dosed.signal(Role.CYCLE_BEGIN, of), due, mark)
    sheet.put(turned, any_of((begin, dosed.sequence.entered)), mark)
    opening = _opening(sheet, plan, dosed, share, valve)
    span = sheet.put(open_for, choose(begin, opening, Previous(open_for.name, Type.TIME)), mark)
    still = less(choose(begin, ms(0), time), span)
    return sheet.helper(dosed.signal(Role.SHARE_OPEN, of), all_of((sharing, may, still)), mark)


def _opening(sheet: Sheet, plan: Plan, dosed: Dosed, share: Share, valve: Valve) -> Node:
    """How long the valve would be open in a cycle that begins now."""
    percent = _percent(sheet, plan, dosed, share)
    per_percent = real(share.cycle_ms / 100.0, f"{dosed.valve}.ms_per_percent")
    exact = ToTime(Multiply(percent, per_percent), plan.scan.timer_step_ms)
    raw = sheet.helper(dosed.signal(Role.SHARE, dosed.first(share)), exact, dosed.mark)
    whole_cycle = Compare(
        ">", raw, ms(share.cycle_ms - valve.shortest_shut_ms, f"{dosed.valve}.longest_part")
    )
    longest = choose(whole_cycle, ms(share.cycle_ms, f"{dosed.valve}.cycle"), raw)
    return choose(less(raw, ms(valve.shortest_open_ms, f"{dosed.valve}.shortest_open")), ms(0), longest)


def _percent(sheet: Sheet, plan: Plan, dosed: Dosed, share: Share) -> Read:
    if share.of in plan.ramps:
        return Read(share.of, Type.REAL)
    return input_named(sheet, Scope(plan, dosed.command, dosed.circuit), share.of)
