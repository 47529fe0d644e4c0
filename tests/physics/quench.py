"""Film boiling, the quench front and the wall's part in it: what experiments show, in sign and order.

Line chill-down is done with liquid near its boiling point (nitrogen); with water of 95 degC ours behaves
alike, where the metal is as many times above the superheat of collapse. Cold water is another matter: each
kelvin of subcooling lifts the wall at which the film collapses by 6 K, so that water of 15 degC wets metal of
190 degC at once. The tube is invented; the figures are ours.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import evolve, frozen

from steadfall.plan.model import Circuit, Plan, Supply
from steadfall.plan.model.materials import BUILT_IN
from steadfall.plant import fields as f
from steadfall.plant.law import properties as p
from steadfall.plant.law.boiling import FILM, boiling_flux
from tests.physics.check import Behaviour, Group, Row, falling, rising
from tests.plant import plants
from tests.plant.plants import BAR, K0
from tests.plant.running import Run

HARTWIG_2015 = "Hartwig, Hu, Styborski, Chung, Int. J. Heat Mass Transfer 88 (2015) 662"
DARR_2016 = "Darr et al., npj Microgravity 2 (2016) 16033"
REFLOOD_1981 = "quench front of rod bundle reflood, J. Heat Transfer 103 (1981) 293"
DUFFEY_1973 = "Duffey and Porthouse, Nucl. Eng. Des. 25 (1973) 379: tubes and rods of 300 .. 800 degC"
JETS = "a plate of 300 degC is wetted without film boiling: Leocadio et al., Phys. Fluids 30 (2018) 122102"
TENZER_2019 = "Tenzer, Roisman, Tropea, J. Fluid Mech. 881 (2019) 84"
CELLS, LOOK = 20, 0.1  # cells of the tube; s between looks
WET = 115.0 + K0  # wall that the front has passed


def tube(kv: float, water: float = 95.0, start: float = 350.0) -> Plan:
    """Three metres of hot steel tube of 12 by 2 mm with hardly a host, water at 3 bar behind a valve."""
    kind = plants.circuit_type(
        length=3.0,
        passes=1,
        wall=0.002,
        host=0.5,
        outlet=20.0,
        bends=0,
        valves=(plants.valve("main", "water", kv),),
    )
    return plants.make(
        supplies={"water": Supply("water", "water", 3 * BAR, water + K0)},
        bodies={"support": plants.body("support", 10.0, start + K0)},
        circuit_types={"kind": kind},
        circuits={"tube": Circuit("tube", "kind", "support")},
    )


@frozen
class Quench:
    """What each look at a tube saw: wall of every cell (K), and whether the middle boiled in film."""

    walls: list[list[float]]
    film: list[bool]

    def wets(self, cell: int) -> float:
        """Seconds until the front has passed a cell."""
        return LOOK * next(k for k, walls in enumerate(self.walls) if walls[cell] < WET)


def in_film(run: Run, cell: int) -> bool:
    """Whether a cell has water that does not touch its wall."""
    row, table = run.state.cells[0, cell], run.grid.constants.boiling
    if row[f.ML] < 1e-9:
        return False
    at = p.row_of_pressure(row[f.PC] ** 0.25)
    boils = p.tabulated(table, at, p.T_SAT)
    return boiling_flux(table, at, row[f.TS], min(row[f.TL], boils), boils)[2] == FILM


def quench(plan: Plan) -> Quench:
    """Water on until every cell is wet."""
    run = Run(plan, CELLS, even=True)
    walls: list[list[float]] = []
    film: list[bool] = []
    while not walls or max(walls[-1]) >= WET:
        run.go(LOOK, "main")
        walls.append([float(t) for t in run.state.cells[0, :, f.W0]])
        film.append(in_film(run, CELLS // 2))
    return Quench(walls, film)


def dominates() -> Iterator[Row]:
    """Share of the time until the middle is wet that it spends in film boiling."""
    runs = [quench(tube(kv, start=600.0)) for kv in (0.05, 0.2, 1.0)]
    shares = []
    for run in runs:
        until = round(run.wets(CELLS // 2) / LOOK)
        shares.append(100 * sum(run.film[:until]) / until)
    said = "above 75 % at low flow, less at high: Kv 0.05, 0.2, 1"
    good = min(shares[:2]) > 75.0 and shares[2] < min(shares[:2])
    yield Behaviour(
        "share of the quench of a tube in film boiling, 600 degC",
        HARTWIG_2015,
        said,
        tuple(shares),
        good,
        "%",
    )
    yield from knee(runs[1])
    yield from front(runs[0])


def knee(run: Quench) -> Iterator[Row]:
    """How fast the middle falls from 20 to 10 s before it is wet, and at its fastest within a second."""
    cell, second = CELLS // 2, round(1 / LOOK)
    trace = [walls[cell] for walls in run.walls]
    at = round(run.wets(cell) / LOOK)
    before = (trace[at - 20 * second] - trace[at - 10 * second]) / 10
    after = max(trace[k - second] - trace[k] for k in range(at - 3 * second, len(trace)))
    said = "a knee: slow in film, many times faster once it is wet"
    figures = (before, after)
    yield Behaviour(
        "fall of the middle before and at rewetting", DARR_2016, said, figures, after > 5 * before, "K/s"
    )


def front(run: Quench) -> Iterator[Row]:
    times = tuple(run.wets(cell) for cell in (0, 6, 13, 19))
    said = "the front moves downstream"
    yield Behaviour(
        "time to wet the inlet, a third, two thirds, the outlet",
        REFLOOD_1981,
        said,
        times,
        rising(times),
        "s",
    )


def speed() -> Iterator[Row]:
    """The same tube with colder water, and with more of it."""
    cold = tuple(quench(tube(0.2, water, 450.0)).wets(CELLS // 2) for water in (95.0, 80.0, 60.0, 40.0))
    said = "the front moves faster with subcooling: 95, 80, 60, 40 degC"
    yield Behaviour("time to wet the middle of the tube", REFLOOD_1981, said, cold, falling(cold), "s")
    more = tuple(quench(tube(kv, 60.0)).wets(CELLS // 2) for kv in (0.1, 0.2, 0.4, 0.8))
    said = "the front moves faster with more water: Kv 0.1, 0.2, 0.4, 0.8, 60 degC"
    yield Behaviour("time to wet the middle of the tube", REFLOOD_1981, said, more, falling(more), "s")


def hotter() -> Iterator[Row]:
    """The same tube from ever hotter metal: how long until its middle is wet, and what a dose takes."""
    times = tuple(quench(tube(0.2, start=start)).wets(CELLS // 2) for start in (250.0, 300.0, 350.0, 450.0))
    said = "rises with the wall, 250, 300, 350, 450 degC, for any flow"
    yield Behaviour("time to wet the middle of the tube", DUFFEY_1973, said, times, rising(times), "s")
    said = "grow with the wall up to where a film keeps the water off: 130, 160, 200, 250, 280 degC"
    taken, steam = zip(*(small_dose(celsius) for celsius in (130.0, 160.0, 200.0, 250.0, 280.0)), strict=True)
    yield Behaviour("heat taken by a dose of 10 g", JETS, said, taken, rising(taken), "kJ")
    yield Behaviour("steam of it at the outlet", JETS, said, steam, rising(steam), "g")


def small_dose(celsius: float) -> tuple[float, float]:
    """Heat (kJ) and steam (g) of a dose of some 10 g on a drilled block, until all of it has left."""
    run = (
        Run(plants.platen(celsius + K0, valves=(plants.valve("dose", "water", 0.018),))).go(1, "dose").go(60)
    )
    book = run.books().circuits["upper"]
    return (book.heat_to_liquid + book.heat_to_gas) / 1e3, 1e3 * book.steam_out


def cold() -> Iterator[Row]:
    """Time that the middle of the tube spends in film with ever colder water."""
    times = [LOOK * sum(quench(tube(0.2, water)).film) for water in (95.0, 60.0, 15.0)]
    said = "falls as the water is colder, each kelvin lifts the wall at which it collapses: 95, 60, 15 degC"
    source = "Dhir and Purohit 1978 (from memory); " + REFLOOD_1981
    yield Behaviour("time of the middle in film boiling", source, said, tuple(times), falling(times), "s")


def effusive() -> Iterator[Row]:
    """One dose on walls of stainless and carbon steel, aluminium, copper, in a platen of 190 degC."""
    dips, back = [], []
    for name in ("stainless steel", "carbon steel", "aluminium", "copper"):
        plan = plants.platen(host=3500.0)
        kind = plan.circuit_types["kind"]
        kind = evolve(kind, path=evolve(kind.path, material=name))
        run = Run(evolve(plan, materials=BUILT_IN, circuit_types={"kind": kind}), cells=40).go(10, "air")
        before, lowest = float(run.state.mouth[0, f.S_SURFACE]), 1e9
        for k in range(30):
            run.go(0.1, *(("small", "air") if k < 10 else ("air",)))
            lowest = min(lowest, float(run.state.mouth[0, f.S_SURFACE]))
        later = float(run.go(1.0, "air").state.mouth[0, f.S_SURFACE])
        dips.append(before - lowest)
        back.append(100 * (later - lowest) / (before - lowest))
    source = TENZER_2019 + ": limited by the wall's thermal inertia"
    said = "falls as the wall's effusivity rises: stainless, carbon steel, aluminium, copper"
    yield Behaviour(
        "dip of the bore at the inlet in a dose of 1 s", source, said, tuple(dips), falling(dips), "K"
    )
    said = "the wall recovers between doses"
    yield Behaviour(
        "share of the dip made good 3 s after the dose", source, said, tuple(back), min(back) > 20.0, "%"
    )


def rows() -> Iterator[Row]:
    for part in (dominates, speed, hotter, cold, effusive):
        yield from part()


QUENCH = Group(
    "Film boiling and the quench front",
    "Line chill-down is done with liquid near its boiling point, as in the tubes here: with water of 95 "
    "degC film\n"
    "boiling rules the time. It does not with cold water, since each kelvin of subcooling lifts the wall "
    "at which the\n"
    "film collapses by 6 K: water of 15 degC wets metal of 190 degC at once. The tube is invented; "
    "figures are ours.",
    rows,
)
