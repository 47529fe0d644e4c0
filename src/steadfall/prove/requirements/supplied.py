"""Whether what a circuit draws on is there: each main valve open, each pump running, for its lead."""

from __future__ import annotations

from steadfall.logic.forms import ms
from steadfall.logic.nodes import Node, Read, Ton, Type
from steadfall.plan.meaning.feeders import feeder_named, feeding
from steadfall.plan.model import Feeder
from steadfall.prove.requirements.watch import Watch, command


def supplied(watch: Watch, circuit: str) -> list[Node]:
    """What must hold of its main valves and pumps for a circuit to cool."""
    return [lead_over(watch, one) for one in feeding(watch.plan, circuit)]


def lead_over(watch: Watch, item: Feeder) -> Read:
    """It has been open, or has run, for its lead: counted here again; a power cut ends it, as in the
    controller.
    """
    own, label = command(feeder_named(item).name), f"{item.name}:lead"
    if not item.lead_ms:
        return own
    if label not in watch.sheet.types:
        watch.forgotten(label, Ton(own, ms(item.lead_ms)), item.at.own)
    return Read(label, Type.BOOL)
