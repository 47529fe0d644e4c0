"""Each kilogram of metal is counted once: the walls of the channels are part of their body."""

import pytest
from attrs import evolve

from steadfall.plan.meaning.metal import shell_shares, touched_mass, wall_mass
from steadfall.plan.model import Circuit, Inner, Plan
from steadfall.plant.grid.bodies import LEAST_SHARE
from steadfall.plant.grid.metal import shells
from steadfall.plant.grid.whole import lay_out
from tests.plant import plants
from tests.plant.running import Run

HEAT_CAPACITY = 480.0


def metal(plan: Plan) -> float:
    """Mass in kg of the steel in the nodes and shells of a laid-out plant."""
    constants = lay_out(plan).constants
    cells = constants.cells_start.shape[1]
    return float(constants.capacity.sum() + cells * constants.shell_capacity.sum()) / HEAT_CAPACITY


def test_the_walls_are_in_the_mass_of_their_body() -> None:
    plan = plants.platen(mass=800.0, in_body=True)
    two = evolve(plan, circuits={**plan.circuits, "lower": Circuit("lower", "kind", "platen")})
    assert metal(plan) == pytest.approx(800.0)
    assert metal(two) == pytest.approx(800.0)


def test_walls_on_top_come_on_top() -> None:
    plan = plants.platen(mass=800.0)
    walls = wall_mass(plan, plan.circuit_types["kind"].path)
    assert walls == pytest.approx(209.6, rel=1e-3)  # 36 m of pi (16.5^2 - 6^2) mm2, 7850 kg/m3
    assert metal(plan) == pytest.approx(800.0 + walls)


def test_tubes_in_a_gas_stream_are_their_own() -> None:
    plan = plants.oven(in_body=True)
    walls = wall_mass(plan, plan.circuit_types["kind"].path)
    gas = float(lay_out(plan).constants.capacity[1])
    assert metal(plan) == pytest.approx(600.0 + walls + gas / HEAT_CAPACITY)


def test_the_mass_of_a_wall_is_that_of_its_shells() -> None:
    plan = plants.platen()
    path, steel = plan.circuit_types["kind"].path, plan.materials[plants.STEEL.name]
    capacity = shells(path, steel, 20)[0]
    assert 20 * capacity.sum() == pytest.approx(wall_mass(plan, path) * steel.heat_capacity)


def test_walls_lie_in_the_outer_shell_of_a_body_with_an_inner_resistance() -> None:
    inner = Inner("cylinder", 0.15, 45.0, 4, 7850.0)
    plain = plants.platen(mass=1200.0, in_body=True)
    plan = evolve(plain, bodies={"platen": evolve(plain.bodies["platen"], inner=inner)})
    capacity = lay_out(plan).constants.capacity / HEAT_CAPACITY
    walls = wall_mass(plan, plan.circuit_types["kind"].path)
    shares = shell_shares(inner)
    assert sum(shares) == pytest.approx(1.0)
    assert touched_mass(plan.bodies["platen"]) == pytest.approx(1200.0 * shares[0])
    assert capacity[:4] == pytest.approx(
        [1200.0 * shares[0] - walls, *(1200.0 * part for part in shares[1:])]
    )


def test_a_body_too_light_for_its_walls_keeps_a_little_and_says_so() -> None:
    plan = plants.platen(mass=150.0, in_body=True)
    grid = lay_out(plan)
    assert grid.constants.capacity[0] == pytest.approx(LEAST_SHARE * 150.0 * HEAT_CAPACITY)
    assert any("no heavier than the walls" in note for note in grid.notes)


def test_metal_counted_once_cools_sooner() -> None:
    times = [
        Run(plants.platen(mass=800.0, in_body=counted)).until("platen", 420.0, [(5.0, "main")])
        for counted in (True, False)
    ]
    assert times[0] < 0.9 * times[1]
