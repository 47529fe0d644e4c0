"""Everything that goes with a controller's program, by file name.

Rule of this file: the same plan, and the same proof, give the same bytes.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import evolve

from steadfall.lists.alarms import alarms
from steadfall.lists.io_list import io_list
from steadfall.lists.matrix import matrix
from steadfall.lists.operation import operation
from steadfall.lists.page import page
from steadfall.lists.panel import panel
from steadfall.lists.settings import settings
from steadfall.lists.sheet import csv_text
from steadfall.lists.spreadsheet import xlsx
from steadfall.lists.verdicts import Proof
from steadfall.logic.build.recorder import Extra
from steadfall.plan.model import Plan
from steadfall.plan.text.lay_out import scalar
from steadfall.st.write.whole import structured_text


def papers(
    plan: Plan, proof: Proof | None = None, extras: frozenset[Extra] = frozenset()
) -> dict[str, bytes]:
    """File name -> content: the program first, then map, lists, matrix, alarms, description."""
    wired = evolve(plan, io=panel(plan))
    code = structured_text(wired, extras)
    signals, effects, warnings = io_list(wired, code.names), matrix(wired), alarms(wired)
    origin = f"Plan digest {plan.digest or 'none'}, revised {plan.revised or 'without a date'}."
    title = f"{plan.title}: cause and effect"
    texts = {
        "controller.st": code.text,
        "map.yaml": _map(code.names),
        "io_list.csv": csv_text(signals),
        "cause_and_effect.html": page(effects, title, origin),
        "alarms.csv": csv_text(warnings),
        "operation.md": operation(wired, proof),
    }
    books = {
        "io_list.xlsx": xlsx([signals]),
        "cause_and_effect.xlsx": xlsx([effects]),
        "alarms.xlsx": xlsx([warnings]),
    }
    if plan.settings:
        sheet = settings(wired, code.names)
        texts["settings.csv"], books["settings.xlsx"] = csv_text(sheet), xlsx([sheet])
    return {name: text.encode("utf-8") for name, text in texts.items()} | books


def _map(names: Mapping[str, str]) -> str:
    lines = [f"{scalar(name)}: {scalar(signal)}" for name, signal in names.items()]
    return "\n".join(["# name in controller.st: signal of the plan", *lines, ""])
