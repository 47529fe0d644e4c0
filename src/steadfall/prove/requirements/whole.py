"""All that must hold of a plan, with observers under its network."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from steadfall.logic.build.whole import build
from steadfall.logic.network import Network
from steadfall.plan.model import Plan
from steadfall.prove.requirements.counted import begun_anywhere
from steadfall.prove.requirements.derived.calls import CALLS
from steadfall.prove.requirements.derived.doses import DOSES
from steadfall.prove.requirements.derived.feeders import FEEDERS
from steadfall.prove.requirements.derived.filters import FILTERS
from steadfall.prove.requirements.derived.guards import VALVES_AND_GUARDS
from steadfall.prove.requirements.derived.hand import HAND
from steadfall.prove.requirements.derived.operator import OPERATOR
from steadfall.prove.requirements.derived.ramps import RAMPS
from steadfall.prove.requirements.derived.readings import READINGS
from steadfall.prove.requirements.derived.settings import SETTINGS
from steadfall.prove.requirements.derived.shares import SHARES
from steadfall.prove.requirements.derived.shown import SHOWN
from steadfall.prove.requirements.derived.steps import SEQUENCE
from steadfall.prove.requirements.derived.valve_test import VALVE_TEST
from steadfall.prove.requirements.faults import Faults
from steadfall.prove.requirements.stated import choosers, stated
from steadfall.prove.requirements.watch import Required, watch
from steadfall.prove.system.canonical import Canonical, canonical
from steadfall.prove.system.reals import works_out
from steadfall.prove.system.step import Model, model


@frozen(eq=False)
class Watched:
    """A plan, its network with the observers under it, and the requirements, the stated ones first."""

    plan: Plan
    network: Network
    required: tuple[Required, ...]
    faults: Faults = Faults()
    controller: frozenset[str] = frozenset()  # the signals that it makes, observers left out
    left_out: tuple[str, ...] = ()  # requirements that speak of signals which the network lacks

    def model(self, part: Network) -> Model:
        """A part of the network as a transition system, with the power cuts that are asked for."""
        return model(part, self.plan.scan.longest_ms, power_cut=self.faults.power_cut)

    def searched(self, part: Network) -> Model:
        """The same to look for a way through it, measured values being real numbers where it works with
        them.
        """
        cuts = self.faults.power_cut
        return model(part, self.plan.scan.longest_ms, power_cut=cuts, exact=works_out(part))

    def canonical(self, part: Network, goal: str) -> Canonical:
        """What is asked of a part of the network, without its names."""
        return canonical(part, goal, self.plan.scan.longest_ms, power_cut=self.faults.power_cut)


def watched(plan: Plan, network: Network | None = None, faults: Faults | None = None) -> Watched:
    """The requirements of a plan over its network, or over another one that claims to do what the plan
    says.
    """
    wrong = faults or Faults()
    controller = begun_anywhere(wrong.network(network or build(plan)))
    one = watch(plan, controller, choosers(plan), power_cut=wrong.power_cut)
    stated(one)
    for derive in (
        *VALVES_AND_GUARDS,
        *SEQUENCE,
        *RAMPS,
        *CALLS,
        *OPERATOR,
        *HAND,
        *VALVE_TEST,
        *DOSES,
        *SHARES,
        *SETTINGS,
        *READINGS,
        *FILTERS,
        *FEEDERS,
        *SHOWN,
    ):
        derive(one)
    own = frozenset(row.name for row in controller.assignments)
    whole = one.network(foreign=network is not None)
    asked = [row for row in one.found if set(_observers(row)) <= set(whole.types)]
    left_out = tuple(row.name for row in one.found if row not in asked)
    return Watched(plan, whole, tuple(asked), wrong, own, left_out)


def _observers(row: Required) -> Iterator[str]:
    yield from (row.bad, row.exercised, *([row.met] if row.met else []))
    yield from (term.signal for term in row.terms)
