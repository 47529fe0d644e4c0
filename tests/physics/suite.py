"""The sections of the validation, in the order of the document; the identities stand apart."""

from __future__ import annotations

from tests.physics.boiling import BOILING
from tests.physics.boiling_data import BOILING_DATA
from tests.physics.check import Group
from tests.physics.conduction import CONDUCTION
from tests.physics.convection import CONVECTION
from tests.physics.convergence import CONVERGENCE, INTEGRATOR
from tests.physics.damage import DAMAGE
from tests.physics.hosts import HOSTS
from tests.physics.identities import IDENTITIES
from tests.physics.limits import LIMITS
from tests.physics.lumps import LUMPS
from tests.physics.materials import MATERIALS
from tests.physics.pipe_step import PIPE_STEP
from tests.physics.psychrometry import PSYCHROMETRY
from tests.physics.pulses import PULSES
from tests.physics.quench import QUENCH
from tests.physics.restraint import RESTRAINT
from tests.physics.sizing import SIZING
from tests.physics.timers import TIMERS
from tests.physics.valves import VALVES
from tests.physics.water import WATER

GROUPS: tuple[Group, ...] = (
    WATER,
    VALVES,
    SIZING,
    CONVECTION,
    BOILING,
    BOILING_DATA,
    PSYCHROMETRY,
    LUMPS,
    LIMITS,
    CONDUCTION,
    HOSTS,
    MATERIALS,
    DAMAGE,
    RESTRAINT,
    CONVERGENCE,
    INTEGRATOR,
    PIPE_STEP,
    PULSES,
    QUENCH,
    TIMERS,
)
ALL: tuple[Group, ...] = (*GROUPS, IDENTITIES)
