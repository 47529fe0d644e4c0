"""The layer of metal round a bore that a plan gives by judgement: what comes out does not hang on it."""

from __future__ import annotations

import pytest
from attrs import evolve

from steadfall.plan.model import Plan
from steadfall.plan.model.equipment import Jacket
from steadfall.plant.grid.layer import with_layers
from steadfall.plant.grid.whole import lay_out
from tests.plant import plants
from tests.plant.running import Run

PRESS = {"bore": 0.014, "length": 18.0, "passes": 2, "in_body": True}
# W/K from layers of 0.2, 8 and 16 mm to the platen, so that metal and way from bore to platen are the same
HOSTS = {0.0002: 2398.5, 0.008: 2900.0, 0.016: 3302.1}


def platen(wall: float) -> Plan:
    return plants.platen(start=438.15, mass=820.0, wall=wall, host=HOSTS[wall], **PRESS)


@pytest.mark.parametrize("wall", [0.0002, 0.016])
def test_shock_does_not_hang_on_the_layer_given(wall: float) -> None:
    """Three doses of 0.4 s; with the layer as it stood 0.2 mm gave half as much again."""
    worst = []
    for each in (0.008, wall):
        run = Run(platen(each))
        shocks = []
        for _ in range(3):
            for _ in range(20):
                run.go(0.02, "small", "air")
                shocks.append(run.see("upper.wall_shock"))
            run.go(3.6, "air")
        worst.append(max(shocks))
        assert run.closes()
    assert worst[1] == pytest.approx(worst[0], rel=0.1)


def test_the_metal_of_a_body_is_counted_once_whatever_the_layer() -> None:
    for wall in HOSTS:
        constants = lay_out(platen(wall)).constants
        whole = constants.capacity.sum() + 20 * constants.shell_capacity.sum()
        assert whole == pytest.approx(820.0 * 480.0, rel=1e-9)


def test_tubes_of_their_own_and_thick_layers_stay_as_given() -> None:
    for given in (plants.oven(), platen(0.016), plants.platen(wall=0.001)):
        assert with_layers(given) == given


def test_a_jacket_keeps_the_depth_of_its_metal() -> None:
    base = platen(0.0002)
    kind = base.circuit_types["kind"]
    path = evolve(kind.path, host_conductance=None, jacket=Jacket(0.9, 0.025))
    plan = evolve(base, circuit_types={"kind": evolve(kind, path=path)})
    laid = with_layers(plan).circuit_types["kind"].path
    assert laid.wall > 0.005
    assert laid.jacket is not None
    assert laid.wall + laid.jacket.thickness == pytest.approx(0.0252)
