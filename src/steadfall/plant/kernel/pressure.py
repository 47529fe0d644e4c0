"""The inlet pressure of a circuit: where what the march must let out is what the outlet lets out.

f(P) = V_out(P)/dt - V_law(P) falls with P. It is solved from the last pressure and the last slope, by secant
steps until the sign changes, then by the Illinois rule, and by halving after 20 trials, since a jump of the
outlet's composition makes f jump. What is left unsolved blurs the outlet law of that one step and no balance.
"""

from __future__ import annotations

import math

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.kernel.march import march
from steadfall.plant.kernel.supply import inflow
from steadfall.plant.law.discharge import OUT_SOFT, mass_flux
from steadfall.plant.law.properties import OMEGA, R_A, row_of_pressure, saturation_temperature, tabulated
from steadfall.plant.law.valve import velocity_heads
from steadfall.plant.state import Circuit, Inlets, Tables

TOLERANCE = 1e-3  # of the greater of what must and what may leave
SLOW = 0.05  # m/s of flow below which the tolerance no longer shrinks
# of the last change of pressure in the first guess; all of it would never die out within the tolerance
CARRIED = 0.95
MOST_MENDED = 1e-3  # of the pressure, by the last slope
TRIALS = 60
STILL = 1e-5  # relative change of pressure in a step below which it is not carried on as the first guess
HALVING_FROM = 20
CLOSE = 1e-7  # relative width of the bracket at which a jump is taken as found
LOWEST, HIGHEST = 2000.0, 6.0e6  # Pa, the ends of the table of saturation
FLASH_WITHIN = 10.0  # K of subcooling at the outlet over which flashing fades away (a closure)


@lean_kernel
def solve_pressure(circuit: Circuit, inlets: Inlets, tables: Tables, dt: float) -> bool:
    """Find the pressure; `work` and `flux` are left as of the last trial, which is the one to accept."""
    own = circuit.own
    low_p = low_f = high_p = high_f = -1.0  # f > 0 at low_p, f < 0 at high_p
    before = own[f.P]
    trend = CARRIED * (before - own[f.P_LAST])
    p = before + min(max(trend, -0.2 * before), 0.25 * before) if abs(trend) > STILL * before else before
    p += own[f.MEND]
    own[f.P_LAST] = before + own[f.MEND]  # a mended miss is no trend
    own[f.MEND] = 0.0
    last_p, last_f, stride = 0.0, 0.0, 0.0
    for trial in range(TRIALS):
        way_out = inflow(inlets, p, circuit.geo[f.OUT_KV], circuit.flux)
        march(p, circuit, tables.boiling, dt)
        law = let_out(p, circuit, tables, way_out)
        must = circuit.flux[f.F_VOLUME] / dt
        miss = must - law
        own[f.P] = p
        own[f.MARCHES] += 1.0
        own[f.MISS] = abs(miss) / max(abs(must), abs(law), SLOW * circuit.geo[f.AREA])
        if trial > 0 and (miss - last_f) * (p - last_p) < 0.0:
            own[f.SLOPE] = (miss - last_f) / (p - last_p)
        if own[f.MISS] < TOLERANCE:
            if own[f.SLOPE] < 0.0:
                own[f.MEND] = min(max(-miss / own[f.SLOPE], -MOST_MENDED * p), MOST_MENDED * p)
            return True
        halve = last_f * miss > 0.0 and low_p > 0.0 and high_p > 0.0
        if miss > 0.0:
            low_p, low_f = p, miss
            high_f *= 0.5 if halve else 1.0
        else:
            high_p, high_f = p, miss
            low_f *= 0.5 if halve else 1.0
        last_p, last_f = p, miss
        if low_p < 0.0 or high_p < 0.0:
            p, stride = further(p, miss, own[f.SLOPE], stride)
        else:
            p = between(low_p, low_f, high_p, high_f, trial)
        if p == last_p or abs(high_p - low_p) < CLOSE * p or not math.isfinite(miss):
            break
    return False


@lean_kernel
def between(low_p: float, low_f: float, high_p: float, high_f: float, trial: int) -> float:
    """The next trial within the bracket: where a straight line crosses zero, or half way after many
    trials.
    """
    if trial >= HALVING_FROM:
        return 0.5 * (low_p + high_p)
    return low_p + (high_p - low_p) * low_f / (low_f - high_f)


@lean_kernel
def further(p: float, miss: float, slope: float, stride: float) -> tuple[float, float]:
    """The next trial while the sign stays: by the slope, but at least twice the last stride, at most 30 % of
    p.
    """
    wish = -miss / slope if slope < 0.0 else 0.002 * p * (1.0 if miss > 0.0 else -1.0)
    size = min(max(abs(wish) * 1.02, 2.0 * stride), 0.3 * p)
    trial = p + size if miss > 0.0 else p - size
    return min(max(trial, LOWEST), HIGHEST), size


@inlined_kernel
def let_out(p: float, circuit: Circuit, tables: Tables, way_out: float) -> float:
    """Volume that the outlet lets out at p, m3/s at inlet pressure; negative when it draws air in."""
    cells, work, own, geo, flux = circuit.cells, circuit.work, circuit.own, circuit.geo, circuit.flux
    last = cells.shape[0] - 1
    lift = min(max((p - geo[f.RELIEF_P]) / geo[f.RELIEF_BAND], 0.0), 1.0)
    kv = way_out + lift * geo[f.RELIEF_KV]
    k = own[f.K_EFF] + geo[f.K_EXIT] + velocity_heads(kv, geo[f.AREA])
    flux[f.F_K] = k
    back = geo[f.OUT_P]
    if p <= back:
        flux[f.F_ETA] = 1.0
        drop = back - p
        density = back / (R_A * geo[f.SINK_T])
        return float(-geo[f.AREA] * math.sqrt(2.0 * drop / (density * k) * drop / (drop + OUT_SOFT)))
    volume = flux[f.F_VOLUME]
    if volume > 0.0:
        gas = flux[f.F_GAS]
        rho = (flux[f.F_LIQUID] + flux[f.F_OUT_A] + flux[f.F_OUT_V]) / volume
    else:
        liquid = work[last, f.VL0]
        gas_volume = work[last, f.VG0] * cells[last, f.RP]
        gas = gas_volume / (gas_volume + liquid)
        rho = (cells[last, f.ML] + cells[last, f.MA] + cells[last, f.MV]) / (gas_volume + liquid)
    w = gas
    if gas < 1.0:
        x = math.sqrt(math.sqrt(p))
        t_sat = saturation_temperature(tables.boiling, x * cells[last, f.R4])
        ready = 1.0 - (t_sat - work[last, f.N_TL]) / FLASH_WITHIN
        if ready > 0.0:
            w += (1.0 - gas) * min(ready, 1.0) * tabulated(tables.boiling, row_of_pressure(x), OMEGA)
    flow, eta = mass_flux(p, back, rho, w, k, tables.choke)
    flux[f.F_ETA] = eta
    return float(flow * geo[f.AREA] / rho)
