"""Water and gas in one cell: nothing is lost, nothing overshoots, and air takes no more than it holds."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from steadfall.constants import ATMOSPHERE
from steadfall.plant import fields as f
from steadfall.plant.kernel.exchange import DROPS
from steadfall.plant.law import properties as p
from tests.physics.psychrometry import Cell, cell
from tests.plant import plants
from tests.plant.plants import K0
from tests.plant.running import Run


def heat(one: Cell) -> float:
    """J above liquid water and air at 0 degC."""
    gas = (one.of(f.MA) * p.C_A + one.of(f.MV) * p.C_V) * (one.of(f.TG) - p.T0) + one.of(f.MV) * p.H_0
    return gas + one.of(f.ML) * p.C_L * (one.of(f.TL) - p.T0)


def lacking(one: Cell) -> float:
    """Pa by which the steam in the gas lacks saturation at the water's temperature."""
    steam, air = one.of(f.MV) * p.R_V, one.of(f.MA) * p.R_A
    return float(PropsSI("P", "T", one.of(f.TL), "Q", 0, "Water")) - one.pressure * steam / (steam + air)


@given(
    st.tuples(st.floats(1.0, 250.0), st.floats(0.0, 1.0), st.floats(-9.0, 0.0)),
    st.tuples(st.floats(1.0, 98.0), st.floats(-9.0, 0.0)),
    st.sampled_from([0.01, 0.02, 0.1]),
)
def test_nothing_is_lost_and_nothing_turns_negative(
    air: tuple[float, float, float], water: tuple[float, float], dt: float
) -> None:
    celsius, humidity, mass = air
    humidity *= min(1.0, 0.9 * ATMOSPHERE / PropsSI("P", "T", celsius + K0, "Q", 0, "Water"))
    one = cell((celsius, humidity, 10.0**mass), (water[0], 10.0 ** water[1]))
    kilograms, joules = one.of(f.ML) + one.of(f.MV), heat(one)
    for _ in range(50):
        one.step(dt)
        assert one.of(f.ML) >= 0.0
        assert one.of(f.MV) >= 0.0
        assert 250.0 < one.of(f.TL) < 530.0
    assert one.of(f.ML) + one.of(f.MV) == pytest.approx(kilograms, rel=1e-12)
    assert heat(one) == pytest.approx(joules, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("celsius", [5.0, 40.0, 80.0, 97.0])
@pytest.mark.parametrize("kilograms", [1e-4, 1.0, 1e4])
def test_the_gas_comes_to_saturation_and_not_beyond(celsius: float, kilograms: float) -> None:
    """At a step, a water and a drop far beyond those of a run, too."""
    for dt, drops in ((0.02, DROPS), (0.1, 5 * DROPS)):
        one = cell((celsius, 0.0, 1.0), (celsius, kilograms))
        for _ in range(400):
            one.step(dt, drops)
            assert lacking(one) > -50.0 or one.of(f.ML) < 1e-9
        if kilograms > 1.0:
            assert lacking(one) == pytest.approx(0.0, abs=50.0)


def test_air_carries_no_more_than_it_holds_at_the_hottest_water() -> None:
    """Doses on metal of 80 degC, carried by dry air: it leaves damp, below saturation at 80 degC."""
    run = Run(plants.platen(80.0 + K0))
    for _ in range(20):
        run.go(1, "small", "air").go(4, "air")
    book = run.books().circuits["upper"]
    full = PropsSI("P", "T", 80.0 + K0, "Q", 0, "Water")
    held = p.R_A / p.R_V * full / (ATMOSPHERE - full)
    assert 0.2 * held < book.steam_out / book.air_in < held
    assert run.closes()


def test_evaporation_cools_below_boiling() -> None:
    """Water and air at 80 degC took 0.31 K of the platen in five doses as long as nothing evaporated."""
    run = Run(plants.platen(80.0 + K0))
    for _ in range(5):
        run.go(1, "small", "air").go(9, "air")
    assert 80.0 + K0 - run.see("platen") == pytest.approx(0.70, rel=0.1)
