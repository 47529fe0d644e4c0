"""Where each quantity stands in the plant's arrays: the kernel's only names for its columns.

Rule of this file: numbers only. A cell's quantities lie side by side, so that a march along the circuit reads
memory in order.
"""

from __future__ import annotations

SHELLS = 4  # radial shells of the wall of each cell, from the bore outwards
MOUTH_SHELLS = 10  # of the metal that holds the bore's mouth

# state.cells[circuit, cell, :]; what a cell holds is that of as much of it as a cell of mean length has
(
    ML,  # kg of liquid
    TL,  # K, liquid
    MA,  # kg of air
    MV,  # kg of steam
    TG,  # K, gas
    PC,  # Pa, pressure of the cell at the last step
    TS,  # K, bore surface as the boiling curve sees it
    UL,  # m/s, liquid
    GG,  # kg/s, gas through the cell
    SLIP,  # gas velocity over liquid velocity
    RP,  # pressure of the cell over inlet pressure
    R4,  # fourth root of RP
    U_REF,  # m/s, velocity of the liquid at which U_POW was computed
    U_POW,  # its power 0.8
    G_REF,  # Reynolds number of the gas at which G_POW was computed
    G_POW,  # its power 0.8
    SKIN,  # K, bore surface after the step, of the wet patch where there is one
    WET,  # wetted share of the bore
    SIZE,  # length of the cell over the mean of all; never changes
    PER_SIZE,  # the mean over its length
    PATCH0,  # K, first shell under the wet patch; the others follow
) = range(21)
W0 = PATCH0 + SHELLS  # K, first shell of the wall, wet and dry together; the others follow
CELL_FIELDS = W0 + SHELLS

# state.work[cell, :], valid within one step; kg, J and W as in cells, but what passes on is all of it
(
    HL0,  # J, liquid before the step
    HG0,  # J, gas
    VG0,  # m3, gas
    VL0,  # m3, liquid
    ALPHA0,  # K, shells' temperatures if no heat went to the fluid, one column per shell
) = range(5)
PATCH_ALPHA0 = ALPHA0 + SHELLS  # K, the same of the shells under the wet patch
(
    DRY,  # K, the same of the first shell under the dry part
    DROP,  # K by which boiling cools the patch's surface
    QB,  # W, boiling
    GE,  # W/K, wet patch to liquid, convective, with the wall's own resistance
    UE,  # W/K, dry part to gas, with the wall's own resistance
    N_ML,  # after the step: as in cells
    N_TL,
    N_MA,
    N_MV,
    N_TG,
    N_QL,  # W, wall to liquid
    N_QG,  # W, wall to gas
    N_UP,  # volume of liquid that passed on over the liquid that stays
    N_OUT_L,  # kg of liquid that passed on
    N_OUT_G,  # kg of gas that passed on
    N_OUT_V,  # m3 that passed on, at inlet pressure
    HOST_T,  # K, host as the cell feels it
) = range(PATCH_ALPHA0 + SHELLS, PATCH_ALPHA0 + SHELLS + 17)
WORK_FIELDS = HOST_T + 1

# state.circuit[circuit, :]
(
    P,  # Pa, inlet
    P_LAST,  # Pa, one step earlier
    SLOPE,  # m3/s/Pa of the pressure equation
    K_EFF,  # velocity heads of the pipe friction now
    WATER_FLOW,  # kg/s in
    AIR_FLOW,  # kg/s in
    STEAM_FLOW,  # kg/s of steam behind the outlet: what left as steam, and what flashed there
    HEAT,  # W, wall to fluid
    HOST_HEAT,  # W, host to wall
    HELD,  # kg of water, liquid and steam
    WALL,  # K, mean of the bore-side shells
    COLDEST,  # K
    HOTTEST,  # K
    SHOCK,  # K by which the bore is colder than what holds it back, at the worst place
    OUTLET_T,  # K
    PEAK,  # Pa, highest inlet pressure so far
    MARCHES,  # trial marches so far
    STEPS,  # steps so far
    MISS,  # outlet law unmet in this step, over the flow
    UNMET,  # steps so far in which it was missed by more than a tenth
    MEND,  # Pa by which the next first guess mends what was left of the miss
    STOPPED_WATER,  # 1 while the circuit's pressure holds the water back behind an open valve
    REVERSALS,  # times that it began to hold the water back
    GEYSERS,  # of those, with metal above boiling
    SLOW_GAS_TIME,  # s with gas between laminar flow and the turbulent range in a cell that is mostly dry
) = range(25)
CIRCUIT_FIELDS = SLOW_GAS_TIME + 1

# state.books[circuit, :], sums since the start
(
    WATER_IN,
    WATER_OUT,  # kg left as liquid
    STEAM_OUT,  # kg left as steam
    AIR_IN,
    AIR_OUT,
    AIR_SUCKED,  # kg of air drawn in through the outlet
    EVAPORATED,
    CONDENSED,
    H_IN,  # J with what came in
    H_OUT,  # J with what left
    Q_LIQUID,  # J from wall to liquid
    Q_GAS,  # J from wall to gas
    WORK,  # J, V dP
    Q_HOST,  # J from host to wall
    FLASHED_OUT,  # kg left as liquid and flashed behind the outlet
) = range(15)
BOOK_FIELDS = FLASHED_OUT + 1

# state.flux[:], what one trial march says of the two ends of a circuit
(
    F_WATER,  # kg/s in
    F_AIR,  # kg/s in
    F_HW,  # W in with the water
    F_HA,  # W in with the air
    F_LIQUID,  # kg out in this step
    F_OUT_A,
    F_OUT_V,
    F_H,  # J out
    F_VOLUME,  # m3 out at inlet pressure, negative when air is drawn in
    F_SUCKED,  # kg of air drawn in
    F_GAS,  # gas share of the volume out, at inlet pressure
    F_EVAPORATED,  # kg
    F_WORK,  # J, V dP
    F_ETA,  # exit pressure over inlet pressure
    F_K,  # velocity heads in all
    F_PULL,  # sum over the cells of kg passed on times m3 passed on: friction goes with it
) = range(16)
FLUX_FIELDS = F_PULL + 1

# constants.circuit[circuit, :]
(
    AREA,  # m2 of flow
    BORE,  # m
    CELL_VOLUME,  # m3
    CELL_WALL,  # m2 of bore
    CELL_LENGTH,  # m
    K_PIPE,  # velocity heads of friction and bends
    K_EXIT,  # velocity heads of the exit
    OUT_KV,  # m3/s at 1 bar
    OUT_P,  # Pa behind the outlet
    RELIEF_P,  # Pa at which the relief valve begins to lift
    RELIEF_BAND,  # Pa to full lift
    RELIEF_KV,
    R_SKIN,  # K/W from bore surface to the first shell's centre, per cell
    G_HOST,  # W/K from the outer shell's centre to the host, per cell
    SINK_T,  # K of the air behind the outlet
    SINK_BOILS,  # K at which water boils behind the outlet
    STRESS,  # Pa of elastic stress in the surface per K below what holds it back
    HELD_BY_WALL,  # share of the wall's mean in what holds the bore back
    HELD_BY_HOST,  # share of the host; what is left to 1 is that of the outer shell
    WETTING,  # liquid share of the volume that wets most of the bore
    PER_WET_ALL,  # 1/(1 - exp(-1/WETTING))
    MOST_SLIP,  # gas velocity over liquid velocity at most
    DROPS,  # W/K per m3 of liquid between gas and drops
    CONDENSING,  # s in which steam finds subcooled liquid
    R_SCALE,  # K/W of R_SKIN that are scale on the bore; 0 unless something is wrong with it
) = range(25)
GEOMETRY_FIELDS = R_SCALE + 1

# state.wall[circuit, :], what the shells' elimination needs at this step length and host conductance
(
    W_B,  # K/W: first shell's centre falls by this per watt taken
    W_BS,  # K/W: bore surface
    W_FREE,  # W/K to the host
    W_HOST,  # W/K to the host as it stands before the step, which falls while the step lasts
    W_KEEP,  # share of a shell's own temperature in what it ends at without heat to the fluid, one per shell
) = range(5)
W_PASS = W_KEEP + SHELLS  # share of that of the shell outside it
W_BETA = W_PASS + SHELLS  # how far it follows the shell inside it
W_PART = W_BETA + SHELLS  # share of the wall's heat capacity
W_EVEN = W_PART + SHELLS  # share of the difference of patch and wall that evens out round the bore in a step
WALL_FIELDS = W_EVEN + SHELLS

# constants.mouth[circuit, :], the metal that holds the bore at its mouth, for 1 m2 of bore
(
    M_SKIN,  # m2 K/W from the surface to the first shell's centre
    M_OUT,  # W/m2/K from the last shell's centre to the host; 0: as the wall of the cells
    M_CAPACITY,  # J/m2/K, one per shell
) = range(3)
M_LINK = M_CAPACITY + MOUTH_SHELLS  # W/m2/K, one between each two shells
MOUTH_FIELDS = M_LINK + MOUTH_SHELLS - 1

# state.mouth[circuit, :]
(
    S_SURFACE,  # K
    S_SHELL,  # K, one per shell
) = range(2)
S_ALPHA = S_SHELL + MOUTH_SHELLS  # valid within one step
S_PART = S_ALPHA + MOUTH_SHELLS  # the elimination for a part of a step, while water wets the mouth
(
    E_B,  # m2 K/W: the first shell's centre falls by this per W/m2 taken
    E_KEEP,  # as W_KEEP and its like
) = range(2)
E_PASS = E_KEEP + MOUTH_SHELLS
E_BETA = E_PASS + MOUTH_SHELLS
ELIMINATION = E_BETA + MOUTH_SHELLS
S_WHOLE = S_PART + ELIMINATION  # and for a whole one, while it is dry
MOUTH_STATE_FIELDS = S_WHOLE + ELIMINATION

# state.closing[valve, :], the hardest closing so far of a water valve
(
    C_FLOW,  # kg/s when it began to close
    C_OPEN,  # how far it stood open
    C_TIME,  # s since the start
    C_ALL,  # kg/s of all valves of its supply that began to close in the same step, at most
    C_ALL_OPEN,
    C_ALL_TIME,
) = range(6)
CLOSING_FIELDS = C_ALL_TIME + 1

# Valve kinds and the columns of constants.valves[valve, :]
WATER, AIR, BYPASS, OUTLET, MAIN, PUMP = range(6)
(
    V_KV,  # m3/s at 1 bar
    V_TRAVEL,  # s
    V_P,  # Pa of its supply, less the static head up to the circuit
    V_T,  # K
    V_LINE,  # 1/Kv^2 of its own line, 0 without one
    V_SUPPLY,  # number of its supply, -1 without one
    V_STANDS,  # how far it stands open without signal
    V_LEAST,  # how far it stands open at least, whatever its command; 0 unless something is wrong with it
    V_MOST,  # and at most; 1
    V_HEADER,  # number of the header that it shares, -1 without one
) = range(10)
VALVE_FIELDS = V_HEADER + 1

# constants.header[header, :], a supply whose pressure falls as more is drawn
(
    H_KV,  # m3/s at 1 bar of what its valves share, without main valves; infinite where that is nothing
    H_SUPPLY,  # number of its supply
) = range(2)
HEADER_FIELDS = H_SUPPLY + 1

# constants.loss[loss, :], a surface that loses heat to ambient
(
    X_AREA,  # m2; 0: a leak alone
    X_LENGTH,  # m
    X_FACE,
    X_EMISSIVITY,
    X_COVER,  # m2 K/W of what lies between node and surface
    X_LEAK,  # W: heat capacity flow of what is exchanged with ambient = this over the node's temperature
) = range(6)
LOSS_FIELDS = X_LEAK + 1
UPRIGHT, UP, DOWN = range(3)

# state.loss[loss, :], as prepared: heat and its slope at a temperature of the node
L_AT, L_HEAT, L_SLOPE = range(3)  # K, W, W/K
PREPARED_FIELDS = L_SLOPE + 1

# constants.heater[heater, :]
E_POWER, E_UNTIL, E_DECAY = range(3)  # W at the start, s (infinite: for ever), 1/s (0: steady)
HEATER_FIELDS = E_DECAY + 1

# constants.film[circuit, :], W/K per cell from wall to host over the host's temperature, for a gas stream
FILM_LOW, FILM_STEP, FILM_POINTS = 250.0, 25.0, 27  # K

# constants.seen[observed quantity, :]: how it is seen, in which row or node, and more where it takes more
HOW, WHERE, COLUMN, STRIDE = range(4)
SEEN_FIELDS = STRIDE + 1
(
    SEEN_NODE,
    SEEN_DIFFERENCE,  # the first node less the other
    SEEN_MEAN,  # of so many nodes from the first on, by their heat capacity
    SEEN_AVERAGE,  # of so many nodes from the first on, each so many behind the last, plain
    SEEN_SPREAD,  # highest less lowest of so many nodes
    SEEN_LEFT_BEHIND,  # mean by heat capacity less lowest of so many nodes
    SEEN_HOTTEST,
    SEEN_COLDEST,
    SEEN_AFTER_COIL,
    SEEN_FAN_FLOW,
    SEEN_OWN,  # state.circuit
    SEEN_BOOKS,  # state.books
    SEEN_STRESS,  # state.circuit times the elastic stress per K
    SEEN_POSITION,
    SEEN_OPEN,  # limit switches
    SEEN_SHUT,
    SEEN_SUPPLY,  # the pressure of a supply behind its pumps
) = range(17)

# state.stop: code, circuit, and in state.clock the moment
GOING, TOO_HIGH, NOT_FINITE = range(3)

# Bits of state.flags[circuit]
WALL_HOT = 1
FILM = 2
BELOW_TABLE = 4
ABOVE_TABLE = 8
SLOW_WATER = 16
UNSOLVED = 32
SUCKED_BACK = 64
HELD_BACK = 128
TRANSITION = 256
SUBCOOLED = 512
SLOW_GAS = 1024
