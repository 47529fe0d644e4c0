"""The wet patch of each cell: the metal under the water has shells of its own beside the cell's mean wall.

A patch takes the whole flux of a wet bore, through its own skin. The cell's wall takes that times the wetted
share, so heat is booked once; the dry part is what the mean leaves, (wall - wet patch)/(1 - wet). A patch
that grows takes dry metal in, by area; one that shrinks leaves cold metal behind and keeps its own. Between
them heat runs round the bore: the slowest way of evening out, cos(angle), dies at the rate a/r^2 in a shell
of radius r, a its diffusivity (the angle's part of the Laplacian; Carslaw and Jaeger, Conduction of Heat in
Solids, chapter 8, from memory).
"""

from __future__ import annotations

from steadfall.compiled import inlined_kernel, lean_kernel
from steadfall.plant import fields as f
from steadfall.plant.state import Reals


@inlined_kernel
def spread_patch(cells: Reals, work: Reals, wall: Reals, i: int, wet: float) -> None:
    """Let the patch have its new size, even out, and eliminate its shells as those of the wall."""
    before = cells[i, f.WET]
    cells[i, f.WET] = wet
    own, joins = 1.0, 0.0
    if wet > before:
        own, joins = before / wet, (wet - before) / (wet * (1.0 - before))
        cells[i, f.TS] = own * cells[i, f.TS] + joins * (cells[i, f.W0] - before * cells[i, f.PATCH0])
    alpha = work[i, f.HOST_T]
    for k in range(f.SHELLS - 1, -1, -1):
        whole, patch = cells[i, f.W0 + k], cells[i, f.PATCH0 + k]
        patch = own * patch + joins * (whole - before * patch)
        patch += (whole - patch) * wall[f.W_EVEN + k]
        cells[i, f.PATCH0 + k] = patch
        alpha = wall[f.W_KEEP + k] * patch + wall[f.W_PASS + k] * alpha
        work[i, f.PATCH_ALPHA0 + k] = alpha


@lean_kernel
def surface(cells: Reals, work: Reals, wall: Reals, i: int, skin: float) -> float:
    """Set the shells under the patch after the liquid has taken its heat; returns the bore's surface there.

    Without a patch it is the surface of the dry wall, whose shells are set already.
    """
    wet = cells[i, f.WET]
    if wet <= 0.0:
        return float(cells[i, f.W0] - skin * work[i, f.N_QG])
    heat = work[i, f.N_QL] / wet
    t = work[i, f.PATCH_ALPHA0] - wall[f.W_B] * heat
    cold = t - skin * heat
    cells[i, f.PATCH0] = t
    for k in range(1, f.SHELLS):
        t = work[i, f.PATCH_ALPHA0 + k] + wall[f.W_BETA + k] * t
        cells[i, f.PATCH0 + k] = t
    return float(cold)
