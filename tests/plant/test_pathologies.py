"""What once went wrong in a model of this kind, each kept from coming back."""

from __future__ import annotations

import numpy as np
import pytest
from attrs import evolve

from steadfall.constants import ATMOSPHERE
from steadfall.plan.model import Supply
from steadfall.plant import fields as f
from steadfall.plant.grid.notes import noticed, stop_reason
from steadfall.plant.kernel.heat import wet_heat
from steadfall.plant.kernel.march import heat_liquid
from steadfall.plant.law import properties as p
from steadfall.plant.law.boiling import boiling_flux
from tests.plant import plants
from tests.plant.plants import K0
from tests.plant.running import Run


def test_a_circuit_full_of_water_stays_finite() -> None:
    """The last gas dissolves to nothing: no 0/0 temperature, no pressure work on round-off volumes."""
    run = Run(plants.platen(300.0)).go(600, "main")
    cells = run.state.cells[0]
    assert np.isfinite(cells).all()
    assert cells[:, f.MA].max() < 1e-12
    np.testing.assert_allclose(cells[:, f.TG], cells[:, f.TL], atol=1e-6)
    assert run.closes()


def test_no_gas_hotter_than_compression_can_make_it() -> None:
    """Geysering on 190 degC: a cell emptied by its neighbour must not keep the heat of the water that
    left.
    """
    run = Run(plants.platen())
    hottest, jump, last = 0.0, 1.0, 1e5
    for _ in range(4000):
        run.go(0.02, "main")
        hottest = max(hottest, run.state.cells[0, :, f.TG].max())
        pressure = run.see("upper.pressure")
        jump, last = max(jump, pressure / last), pressure
    assert hottest < (190 + K0) * (run.own(f.PEAK) / ATMOSPHERE) ** 0.29
    assert jump < 3.0


def test_a_cell_that_boils_dry_does_not_make_steam_hotter_than_its_wall() -> None:
    """Boiling heat of a whole step into water that is gone after a part of it would heat the steam by
    hundreds of K.
    """
    ml, boils, latent = 1e-4, 100.0, p.heat_of_evaporation(373.15)
    start = ml * p.C_L * 15.0
    enthalpy, e, taken = heat_liquid(ml, start, 5e3, 0.0, 300.0, boils)
    assert e == pytest.approx(ml)
    assert enthalpy == pytest.approx(ml * (p.C_L * boils + latent))
    assert taken == pytest.approx(ml * (p.C_L * (boils - 15.0) + latent))


@pytest.mark.parametrize("resistance", [1e-6, 1e-5, 1e-4, 1e-3])
def test_surface_temperature_settles_for_any_wall(resistance: float) -> None:
    """On nucleate boiling (dT^3) the half-relaxed secant converges to the balance of wall and curve for any h
    R.
    """
    table = p.read_table("boiling").copy()
    row, t_sat, area, h = p.row_of_pressure(1.013e5**0.25), 373.15, 1.0, 2000.0
    cells, work = np.zeros((1, f.CELL_FIELDS)), np.zeros((1, f.WORK_FIELDS))
    cells[0, f.TL], cells[0, f.TS] = t_sat, t_sat + 8.0
    for target in (
        (3.0, 8.0, 15.0) if resistance < 1e-3 else (3.0, 8.0)
    ):  # with a poor wall the film balances too
        flux, _, _ = boiling_flux(table, row, t_sat + target, t_sat, t_sat)
        work[0, f.PATCH_ALPHA0] = t_sat + target + resistance * (flux + h * target)
        for _ in range(60):
            wet_heat(cells, work, 0, table, row, t_sat, h, area, resistance)
        assert cells[0, f.TS] - t_sat == pytest.approx(target, rel=1e-6)


def test_pressure_along_the_pipe_lets_the_exit_boil_cooler() -> None:
    """One pressure for the whole pipe would hold the exit at the inlet's boiling point."""
    run = Run(plants.platen()).go(100, "main")
    profile = run.state.cells[0, :, f.RP]
    assert profile[0] > 0.97
    assert (np.diff(profile) <= 1e-12).all()
    assert profile[-1] < 0.85


def test_inflow_does_not_chatter_in_a_steady_stream() -> None:
    run = Run(plants.platen(80 + K0, mass=1e6)).go(60, "main")
    flows = [run.go(0.02, "main").see("upper.water_flow") for _ in range(200)]
    assert max(flows) - min(flows) < 1e-3 * max(flows)


@pytest.mark.parametrize("dt", [0.01, 0.04])
def test_time_to_goal_hardly_depends_on_the_step(dt: float) -> None:
    reference = Run(plants.platen(), 20, 0.02).until("platen", 60 + K0, [(2, "main")])
    assert Run(plants.platen(), 20, dt).until("platen", 60 + K0, [(2, "main")]) == pytest.approx(
        reference, rel=0.01
    )


def test_slip_lets_doses_evaporate() -> None:
    """Without slip most of a dose is thrown out as water: here over 85 % of hot doses turns to steam."""
    run = Run(plants.platen(mass=1e6))
    for _ in range(30):
        run.go(1, "small", "air").go(3, "air")
    book = run.books().circuits["upper"]
    assert book.evaporated - book.condensed > 0.85 * book.water_in


def test_jumps_of_the_outlet_are_solved_in_a_few_marches() -> None:
    run = Run(plants.platen(mass=1e6))
    for _ in range(100):
        run.go(1, "small", "air").go(3, "air")
    assert run.own(f.MARCHES) / run.own(f.STEPS) < 4.0
    assert run.own(f.UNMET) == 0


def test_a_value_that_is_not_a_number_stops_the_plant() -> None:
    run = Run(plants.platen())
    run.state.cells[0, 5, f.TL] = np.nan
    run.state.cells[0, 5, f.ML] = 0.1
    run.go(1, "main")
    reason = stop_reason(run.grid, run.state)
    assert reason is not None
    assert reason.circuit == "upper"
    assert reason.bit == f.NOT_FINITE
    assert run.state.clock[0] <= 0.04


def test_a_hot_circuit_without_a_vent_stops_at_40_bar() -> None:
    """Water into 350 degC metal behind a nearly shut outlet: the run ends with a reason, it does not
    extrapolate.
    """
    run = Run(plants.platen(350 + K0, outlet=0.02)).go(120, "main")
    reason = stop_reason(run.grid, run.state)
    assert reason is not None
    assert reason.bit == f.TOO_HIGH
    assert "40 bar" in reason.text
    clock = run.state.clock[0]
    run.go(10)
    assert run.state.clock[0] == clock  # nothing moves any more


def test_air_above_the_water_pressure_holds_the_water_back() -> None:
    """Carrier air of 6 bar through a wide valve and a tight outlet: no water enters at 3 bar, and both say
    so.
    """
    plan = plants.platen(outlet=0.2)
    weak = {**plan.supplies, "water": Supply("water", "water", 3e5, 288.15)}
    run = Run(evolve(plan, supplies=weak)).go(10, "air").go(60, "air", "main")
    assert any("hold the water back" in note for note in run.grid.notes)
    assert any(found.bit == f.HELD_BACK for found in noticed(run.grid, run.state))
    assert run.books().circuits["upper"].water_in < 0.05


def test_full_stream_on_hot_metal_is_noticed() -> None:
    run, hotter = (Run(plants.platen(celsius + K0)).go(30, "main") for celsius in (190.0, 330.0))
    bits = {found.bit: found for found in noticed(run.grid, run.state)}
    assert f.TRANSITION in bits
    assert f.FILM not in bits
    assert f.HELD_BACK in bits
    bits = {found.bit: found for found in noticed(hotter.grid, hotter.state)}
    assert 0 < bits[f.FILM].time < 5


def test_steam_condenses_only_below_its_dew_point_among_air() -> None:
    """Drops in damp air of 6 bar must not get hotter than the wall, as condensing at boiling would make
    them.
    """
    run = Run(plants.platen(150 + K0, mass=1e6, outlet=0.1))
    seen = 0.0
    for _ in range(100):
        run.go(0.4, "small", "air").go(0.6, "air")
        wet = run.state.cells[0, :, f.ML] > 1e-9
        seen = max(seen, run.state.cells[0, wet, f.TL].max(initial=0.0))
    assert run.own(f.PEAK) > 5.5e5
    assert 110 + K0 < seen < 150 + K0 + 2.0  # compressed air may warm a trace
