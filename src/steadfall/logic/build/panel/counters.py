"""Counters of openings and of hours, kept while power is off.

Rule of this file: a count is a REAL of whole numbers, exact in 32 bit up to `MOST`; there it stands. Hours
are whole ones; what has run of the next is kept in ms. A time counts by what was so in the scan before it, as
a command acts from the scan that gave it.
"""

from __future__ import annotations

from steadfall.logic.build.conditions import Scope, build
from steadfall.logic.build.readings import scan_time
from steadfall.logic.forms import all_of, at_least, choose, opposite, real
from steadfall.logic.nodes import Add, Least, Node, Previous, Read, Subtract, ToReal, Type
from steadfall.logic.sheet import Sheet
from steadfall.plan.meaning.conditions import SEEN_BEFORE
from steadfall.plan.model import Counter, Plan
from steadfall.roles import Role, counter

MOST = 9_999_999.0  # 32 bit tell whole numbers apart up to 16 777 216
HOUR_MS = 3_600_000.0
NOUGHT = real(0.0)


def counters(sheet: Sheet, plan: Plan) -> None:
    """Writes every counter, and whether it has come to what is due."""
    for item in plan.counters.values():
        _counter(sheet, plan, item)


def _counter(sheet: Sheet, plan: Plan, item: Counter) -> None:
    mark, own = item.at.own, counter(Role.COUNTER, item.name)
    reset = _asked(sheet, plan, item, Role.COUNT_RESET)
    on = _asked(sheet, plan, item, Role.COUNTS)
    was = Previous(on.name, Type.BOOL)
    more = all_of((on, opposite(was))) if item.of_openings else _hour(sheet, plan, item, (reset, was))
    last = Previous(own.name, Type.REAL)
    one_more = Least(Add(last, real(1.0)), real(MOST, "most_counted"))
    now = sheet.put(own, choose(reset, NOUGHT, choose(more, one_more, last)), mark, retained=True)
    if item.due is not None:
        due = at_least(now, real(item.due, f"{item.name}.due_from"))
        sheet.put(counter(Role.DUE, item.name), due, item.at.of("due"))


def _asked(sheet: Sheet, plan: Plan, item: Counter, role: Role) -> Read:
    """Whether what is counted is so, or whether the counter is set back."""
    own = counter(role, item.name)
    scope = Scope(plan, own.name, before=SEEN_BEFORE["counter"], serves=own.identity)
    said = item.reset if role is Role.COUNT_RESET else item.of
    return sheet.helper(own, build(said, sheet, scope), item.at.own)


def _hour(sheet: Sheet, plan: Plan, item: Counter, held: tuple[Read, Previous]) -> Node:
    """An hour is over in this scan; what is left of the time is kept."""
    mark, (reset, was) = item.at.own, held
    rest = sheet.free(counter(Role.REST, item.name))
    before = Previous(rest.name, Type.REAL)
    longer = choose(was, Add(before, ToReal(scan_time(sheet, plan))), before)
    gone = sheet.helper(counter(Role.GONE, item.name), choose(reset, NOUGHT, longer), mark)
    full = at_least(gone, real(HOUR_MS, "hour_ms"))
    over = sheet.helper(counter(Role.HOUR_OVER, item.name), full, mark)
    sheet.put(rest, choose(over, Subtract(gone, real(HOUR_MS, "hour_ms")), gone), mark, retained=True)
    return over
