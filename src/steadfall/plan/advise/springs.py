"""Advice on how valves stand without signal.

Rule of this file: see `plan.advise.whole`.
"""

from __future__ import annotations

from steadfall.plan.advise.given import Advice, Piece
from steadfall.plan.model import Plan
from steadfall.source import Problem

STAYS = "stays"


def opens_without_signal(plan: Plan) -> Advice:
    """A water valve that opens when power fails floods whatever it feeds, with nobody to stop it."""
    for kind in plan.circuit_types.values():
        for valve in kind.valves.values():
            supply = plan.supplies.get(valve.supply or "")
            if supply and supply.fluid == "water" and valve.normally_open:
                read = f"'{valve.name}' lets water in when signal or power fails, whatever trips say"
                place = valve.at.of("without_signal")
                yield Problem(place, "floods-without-signal", "without_signal", read, "shut")


def stays_without_power(plan: Plan) -> Advice:
    """A water valve that stays open when power fails runs on, with nobody to stop it, unless something before
    it shuts.
    """
    shut = {main.supply for main in plan.main_valves.values() if main.without_signal == "shut"}
    for kind in plan.circuit_types.values():
        for valve in kind.valves.values():
            supply = plan.supplies.get(valve.supply or "")
            if (
                supply
                and supply.fluid == "water"
                and valve.without_signal == STAYS
                and supply.name not in shut
            ):
                read = f"open when power fails, '{valve.name}' stays open, and nothing before it shuts"
                place, expected = valve.at.of("without_signal"), "a main valve that shuts without signal"
                yield Problem(place, "stays-without-power", "without_signal", read, expected)


def main_energised_at_rest(plan: Plan) -> Advice:
    """A main valve that stands open without signal is energised whenever nothing is cooled."""
    for main in plan.main_valves.values():
        if main.normally_open:
            read = f"'{main.name}' is shut at rest and open without signal: it is energised all the while"
            place = main.at.of("without_signal")
            yield Problem(place, "energised-at-rest", "without_signal", read, "shut")


def energised_at_rest(plan: Plan) -> Advice:
    """A valve whose spring is against its rest is energised day and night, and moves when power fails."""
    for kind in plan.circuit_types.values():
        for valve in kind.valves.values():
            if valve.rest != valve.without_signal != STAYS:
                read = f"'{valve.name}' is {valve.rest} at rest and {valve.without_signal} without signal: it"
                read += " is energised all the while"
                place = valve.at.of("rest" if valve.rest == "open" else "without_signal")
                expected = f"a valve that stands {valve.rest} without signal"
                example = f"without_signal: {valve.rest}"
                yield Problem(place, "energised-at-rest", "rest", read, expected, example=example)


PIECES: tuple[Piece, ...] = (
    opens_without_signal,
    stays_without_power,
    main_energised_at_rest,
    energised_at_rest,
)
