"""Judges the parts of a body, and the way of a circuit's passes over them.

Rule of this file: see `plan.check.whole`.
"""

from __future__ import annotations

from collections.abc import Callable
from math import isclose

from steadfall.plan.meaning.way import parts_in_order
from steadfall.plan.model import Plan
from steadfall.plan.problems import Problems

ALL = 100.0  # percent
MOST_NODES = 60  # of a body: the network's cost grows with the square of its nodes


def parts_are_few(plan: Plan, problems: Problems) -> None:
    """The parts of a body times their shells stay within what a run can carry."""
    for body in plan.bodies.values():
        shells = 1 if body.inner is None else body.inner.shells
        if body.segments is not None and body.parts * shells > MOST_NODES:
            read = f"{body.parts} segments of {shells} shells are {body.parts * shells} temperatures"
            expected = f"at most {MOST_NODES}: fewer segments, or fewer shells in its inner resistance"
            problems.add(body.segments.at.of("count"), "too-fine", "count", read, expected, example="8")


def runs_fit_the_passes(plan: Plan, problems: Problems) -> None:
    """Each run of a path is that of an equal number of passes; their shares are given for all or for none."""
    for kind in plan.circuit_types.values():
        path, runs = kind.path, len(kind.path.way)
        if runs and path.passes % runs != 0:
            read = f"{runs} ways for {path.passes} {'pass' if path.passes == 1 else 'passes'}"
            expected = "one way for all passes, or one for each equal group of them"
            problems.add(path.at.of("way"), "ways-and-passes", "way", read, expected, example="[out, back]")
        given = [run.share for run in path.way if run.share is not None]
        if given and len(given) < runs:
            read = f"{len(given)} of {runs} ways have a share"
            problems.add(path.at.of("way"), "shares", "way", read, "a share for each way, or for none")
        elif given and not isclose(sum(given), ALL, abs_tol=0.01):
            read = f"the shares add up to {sum(given):.4g} %"
            problems.add(path.at.of("way"), "shares", "way", read, "shares that add up to 100 %")


def ways_lead_over_parts(plan: Plan, problems: Problems) -> None:
    """The parts that a way names are parts of every host of its circuits, and some host is cut at all."""
    for kind in plan.circuit_types.values():
        hosts = [plan.bodies.get(one.host) for one in plan.circuits.values() if one.type == kind.name]
        parts = [1 if host is None else host.parts for host in hosts]
        least = min(parts, default=1)
        for run in kind.path.way:
            odd = next((part + 1 for part in parts_in_order(run, least) if not 0 <= part < least), None)
            if odd is not None:
                read = f"there is no part {odd} of a host with {least}"
                expected = "numbers of its parts, 1 the first"
                problems.add(run.at.of("order"), "no-such-part", "order", read, expected, example="1 2 3 4")
        if kind.path.way and hosts and max(parts) == 1:
            read = "no host of this path is cut into parts"
            expected = "a host with `segments`, or no `way`"
            problems.add(kind.path.at.of("way"), "unused-key", "way", read, expected)


OF_PLANT: tuple[Callable[[Plan, Problems], None], ...] = (
    parts_are_few,
    runs_fit_the_passes,
    ways_lead_over_parts,
)
