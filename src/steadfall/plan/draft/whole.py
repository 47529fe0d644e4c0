"""A commented plan out of some answers; what was not answered is typical, and the plan says so."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from steadfall.plan.draft import aims, logic, plant
from steadfall.plan.draft.sheet import Sheet

HEAD = """\
# A cool-down that was drafted from some answers. What is marked as typical was not answered: look at each,
# and put in yours. Doses and climbs are a beginning: `steadfall predict` shows what they do, `steadfall dose`
# looks for better ones.
#
# A cool-down sequence is not a safety function. Permissives and trips of this plan guard the process;
# what protects people belongs in a safety-rated system, designed by licensed practice to local codes. Think
# of steam and scald at the outlet, of stored pressure, of water hammer, of metal that is hot long after it
# looks cold.
#
# How to read it: a line is `key: value`. A quantity is a number, one space and a unit (`4 barg`, `14 degC`).
# Pressure is gauge (barg) or absolute (bara). A temperature is degC, a difference is K. `#` begins a comment.
# `steadfall check` says what is wrong with the plan, and where.
"""


def draft(answers: Mapping[str, str]) -> str:
    """The plan. Raises AskError for an answer that does not fit."""
    sheet = Sheet(answers)
    parts = (
        _head(sheet),
        plant.supplies(sheet),
        plant.bodies(sheet),
        plant.links(sheet),
        (*plant.circuit_type(sheet), *logic.stages(sheet)),
        plant.circuits(sheet),
        logic.inputs(sheet),
        logic.calls(sheet),
        logic.guards(sheet),
        aims.limits(sheet),
        aims.scenarios(sheet),
        aims.requirements(sheet),
        aims.tolerances(sheet),
    )
    texts = ("\n".join(part) for part in parts)
    return "\n\n".join([HEAD.rstrip("\n"), *(text for text in texts if text)]) + "\n"


def _head(sheet: Sheet) -> Iterator[str]:
    yield "steadfall: 1                                   # version of the plan language"
    title = sheet.said("title").replace("'", "''")
    yield f"title: '{title}'"
    yield ""
    yield "# What the controller promises: how often it runs its program, the step in which its timers count."
    yield "scan: {nominal: 20 ms, longest: 40 ms, timer_step: 10 ms}     # typical: all"
    yield f"ambient: {sheet.said('hall')}{sheet.note(hall='the hall')}"
