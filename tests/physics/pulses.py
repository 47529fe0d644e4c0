"""What experiments on pulsed cooling and quenching show, in sign and order.

All published pulse experiments found are cryogenic (nitrogen in hot tubes); they serve for trends, not for
numbers.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import evolve

from steadfall.plan.model import Plan, Supply
from steadfall.plant import fields as f
from steadfall.plant.fields import HELD_BACK
from tests.physics.check import Behaviour, Group, Row, falling, rising
from tests.plant import plants
from tests.plant.plants import BAR, K0
from tests.plant.running import Run

CHUNG_2019 = "Chung, Dong, Wang, Darr, Hartwig, Int. J. Heat Mass Transfer 141 (2019) 256"
HARTWIG_2022 = "Hartwig et al., npj Microgravity 8 (2022), doi 10.1038/s41526-022-00220-9"
REFLOOD_1981 = "quench front of rod bundle reflood, J. Heat Transfer 103 (1981) 293"
TENZER_2019 = "Tenzer, Roisman, Tropea, J. Fluid Mech. 881 (2019) 84"
DARR_2016 = "Darr et al., npj Microgravity 2 (2016) 16033"


def platen(celsius: float = 190.0) -> Plan:
    """A drilled platen; invented."""
    return plants.platen(celsius + K0, host=3500.0)


def dosed(plan: Plan, open_s: float, shut_s: float, fall: float = 20.0) -> Run:
    """Doses carried by air until the platen has fallen so many kelvin."""
    run = Run(plan, cells=20, dt=0.02)
    target = run.see("platen") - fall
    while run.see("platen") > target and run.state.clock[0] < 3600.0:
        run.go(open_s, "small", "air").go(shut_s, "air")
    return run


def per_kelvin(run: Run, start: float) -> float:
    """Water in kg per kelvin that the platen fell."""
    return run.books().circuits["upper"].water_in / (start - run.see("platen"))


def duty() -> Iterator[Row]:
    runs = [dosed(platen(), opened, 4.0 - opened) for opened in (3.2, 1.6, 0.8, 0.4)]
    used = [per_kelvin(run, 190 + K0) for run in runs]
    said = "falls as the duty falls: 80, 40, 20, 10 %"
    yield Behaviour(
        "water per kelvin", CHUNG_2019 + "; " + HARTWIG_2022, said, tuple(used), falling(used), "kg/K"
    )
    times = [float(run.state.clock[0]) / 60 for run in runs]
    yield Behaviour(
        "time for the same fall", HARTWIG_2022, "rises as the duty falls", tuple(times), rising(times), "min"
    )


def period() -> Iterator[Row]:
    used = [per_kelvin(dosed(platen(), 0.2 * cycle, 0.8 * cycle), 190 + K0) for cycle in (2.0, 4.0, 8.0)]
    nearly = max(used) / min(used) < 1.5
    yield Behaviour(
        "water per kelvin at a duty of 20 %",
        CHUNG_2019,
        "nearly independent of the period: 2, 4, 8 s",
        tuple(used),
        nearly,
        "kg/K",
    )


def swing() -> Iterator[Row]:
    falls = []
    for opened in (0.3, 0.6, 1.2, 2.4):
        run = Run(platen(), cells=40, dt=0.02).go(10, "air")
        before = run.see("upper.wall")
        run.go(opened, "small", "air")
        lowest = before
        for _ in range(20):
            lowest = min(lowest, run.go(0.1, "air").see("upper.wall"))
        falls.append(before - lowest)
    source = TENZER_2019 + ": limited by the wall's thermal inertia, not by the spray"
    yield Behaviour(
        "fall of the wall's mean in one dose",
        source,
        "grows with the dose: 0.3, 0.6, 1.2, 2.4 s",
        tuple(falls),
        rising(falls),
        "K",
    )


def geyser() -> Iterator[Row]:
    hot, cool = Run(platen(190.0)), Run(platen(95.0))
    highest, turns = [], []
    for run in (hot, cool):
        before, count, top = 1.0, 0, 0.0
        for _ in range(400):
            run.go(0.1, "main")
            now = run.see("upper.water_flow")
            count += int(now == 0.0 and before > 0.0)
            before, top = now, max(top, run.see("upper.pressure"))
        highest.append(top / BAR)
        turns.append(float(count))
    held = bool(hot.state.flags[0] & HELD_BACK) and not cool.state.flags[0] & HELD_BACK
    source = "common practice: a full stream on metal far above boiling geysers"
    yield Behaviour(
        "highest pressure of a full stream from 5 bar, metal at 190 and 95 degC",
        source,
        "above the supply on hot metal only",
        tuple(highest),
        highest[0] > 5.0 >= highest[1] and held,
        "bar",
    )
    yield Behaviour(
        "times that the stream is stopped in 40 s, metal at 190 and 95 degC",
        source,
        "some on hot metal, none below boiling",
        tuple(turns),
        turns[0] > 0 and turns[1] == 0,
    )


def front() -> Iterator[Row]:
    run = Run(platen(), cells=20, even=True).go(60, "small", "air")
    skins = [float(run.state.cells[0, i, f.W0]) - K0 for i in (0, 6, 13, 19)]
    yield Behaviour(
        "bore at the inlet, at a third, two thirds, the outlet",
        REFLOOD_1981 + "; " + DARR_2016,
        "the inlet cools first",
        tuple(skins),
        rising(skins),
        "degC",
    )


def supply() -> Iterator[Row]:
    used, times = [], []
    for bar in (8.0, 4.0, 2.0):
        base = platen()
        supplies = {**base.supplies, "water": Supply("water", "water", bar * BAR, 288.15)}
        run = Run(evolve(base, supplies=supplies))
        times.append(run.until("platen", 170 + K0, [(0.5, "main")]) / 60)
        used.append(per_kelvin(run, 190 + K0))
    said = "falls with the inlet pressure, 8, 4, 2 bar"
    yield Behaviour("water per kelvin of a full stream", CHUNG_2019, said, tuple(used), falling(used), "kg/K")
    said = "rises as the pressure falls, 8, 4, 2 bar"
    yield Behaviour(
        "time of a full stream for a fall of 20 K", CHUNG_2019, said, tuple(times), rising(times), "min"
    )


def rows() -> Iterator[Row]:
    for part in (duty, period, swing, geyser, front, supply):
        yield from part()


PULSES = Group(
    "Pulsed cooling and quenching",
    "Trends that experiments agree on. The platen is invented; the figures are ours.",
    rows,
)
