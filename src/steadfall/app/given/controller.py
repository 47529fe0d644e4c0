"""A controller's text in place of the plan's own logic: read, and named as in the plan."""

from __future__ import annotations

import hashlib
from pathlib import Path

from attrs import frozen

from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.prove.system.bounds.overflow import long_times, overflows
from steadfall.source import OutsideError, Text
from steadfall.st.bring import bring

MOST_TOLD = 6


@frozen(eq=False)
class Controller:
    """What a controller does by its text, in the plan's names; `remarks` say what is odd in it."""

    text: Text
    network: Network
    remarks: tuple[str, ...] = ()


def controller(plan: Plan, code: Path, names: Path | None = None) -> Controller:
    """A controller's text brought to a plan; `names` maps its names to the plan's.

    Raises PlanError where it does not fit, OutsideError where a file cannot be read.
    """
    network = bring(plan, code, names)
    try:
        digest = hashlib.sha256(code.read_bytes()).hexdigest()
    except OSError as error:
        raise OutsideError(f"cannot read {code}: {error.strerror or error}") from error
    remarks = []
    for found in (overflows(network), long_times(network)):
        remarks += [
            f"{code.name}: {one.sentence}; a controller mostly wraps there, here it counts on"
            for one in found[:MOST_TOLD]
        ]
        if len(found) > MOST_TOLD:
            remarks.append(f"{code.name}: and {len(found) - MOST_TOLD} more such")
    return Controller(Text(str(code), digest), network, tuple(remarks))
