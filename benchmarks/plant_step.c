/* The plant's step in plain C, for comparison with the compiled kernel: same equations, same order, same arrays.

   Field numbers, physical constants and the structs of pointers come from plant_fields.h, which plant_speed.py writes from
   the package itself, so that the two cannot drift apart unnoticed. Build: gcc -O3 -march=native, no fast-math. */

#include <math.h>
#include <stdint.h>
#include "plant_fields.h"

typedef double Cell[CELL_FIELDS];
typedef double Work[WORK_FIELDS];

static inline double least(double a, double b) { return a < b ? a : b; }
static inline double most(double a, double b) { return a > b ? a : b; }

/* properties */
static inline double row_of_pressure(double x) { return least(most((x - X_LOW) * PER_X_STEP, 0.0), X_POINTS - 1.000001); }
static inline double row_of_temperature(double t) { return least(most((t - T_LOW) * PER_T_STEP, 0.0), T_POINTS - 1.000001); }
static inline double boils_at(const double *table, double at, int column) {
    int k = (int)at;
    double low = table[k * BOILING_COLUMNS + column];
    return low + (at - k) * (table[(k + 1) * BOILING_COLUMNS + column] - low);
}
static inline double flows_at(const double *table, double at, int column) {
    int k = (int)at;
    double low = table[k * LIQUID_COLUMNS + column];
    return low + (at - k) * (table[(k + 1) * LIQUID_COLUMNS + column] - low);
}
static inline double saturation_temperature(const double *table, double x) { return boils_at(table, row_of_pressure(x), T_SAT); }
static inline double heat_of_evaporation(double t) { return H_0 + (C_V - C_L) * (t - T0); }

/* losses to ambient, heating */
static double air_property(double at, double constant, double t) {
    double ratio = t / AIR_FROM;
    return at * ratio * sqrt(ratio) * (AIR_FROM + constant) / (t + constant);
}

static double surface_flux(const double *row, double surface, double ambient) {
    double t = 0.5 * (surface + ambient), mu = air_property(AIR_MU, AIR_MU_S, t), k = air_property(AIR_K, AIR_K_S, t);
    double nu = mu * t / AIR_DENSITY_T, pr = AIR_CP * mu / k, length = row[f_X_LENGTH], nusselt;
    double ra = GRAVITY * fabs(surface - ambient) / t * (length * length * length) / (nu * nu) * pr;
    if (row[f_X_FACE] == f_UPRIGHT) {
        double root = 0.825 + 0.387 * pow(ra, 1.0 / 6.0) / pow(1.0 + pow(0.492 / pr, 9.0 / 16.0), 8.0 / 27.0);
        nusselt = root * root;
    } else if ((row[f_X_FACE] == f_UP) == (surface >= ambient))
        nusselt = most(0.54 * pow(ra, 0.25), 0.15 * pow(ra, 1.0 / 3.0));
    else
        nusselt = 0.27 * pow(ra, 0.25);
    double s2 = surface * surface, a2 = ambient * ambient;
    return nusselt * k / length * (surface - ambient) + row[f_X_EMISSIVITY] * STEFAN_BOLTZMANN * (s2 * s2 - a2 * a2);
}

static double surface_temperature(const double *row, double t, double ambient) {
    double cover = row[f_X_COVER], low = ambient, high = t, low_f = -(t - ambient), high_f;
    if (cover <= 0.0 || t == ambient) return t;
    high_f = cover * surface_flux(row, t, ambient);
    int side = 0;
    for (int i = 0; i < SURFACE_TRIALS; i++) {
        double middle = (low * high_f - high * low_f) / (high_f - low_f);
        double miss = cover * surface_flux(row, middle, ambient) - (t - middle);
        if (fabs(miss) <= SURFACE_WITHIN * fabs(t - ambient)) return middle;
        if (miss * high_f > 0.0) {
            high = middle, high_f = miss;
            if (side == 1) low_f *= 0.5;
            side = 1;
        } else {
            low = middle, low_f = miss;
            if (side == -1) high_f *= 0.5;
            side = -1;
        }
    }
    return 0.5 * (low + high);
}

static void prepare_losses(const struct Constants *c, struct State *s, const struct Sizes *z) {
    double ambient = c->ambient[0];
    for (int k = 0; k < z->losses; k++) {
        const double *row = c->loss + k * LOSS_FIELDS;
        double t = s->nodes[c->loss_node[k]], heat = row[f_X_LEAK] * (1.0 - ambient / t), slope = row[f_X_LEAK] * ambient / (t * t);
        if (row[f_X_AREA] > 0.0) {
            double surface = surface_temperature(row, t, ambient);
            double film = (surface_flux(row, surface + DIFFERENCE, ambient) - surface_flux(row, surface - DIFFERENCE, ambient)) /
                          (2.0 * DIFFERENCE);
            heat += row[f_X_AREA] * surface_flux(row, surface, ambient);
            slope += row[f_X_AREA] * film / (1.0 + row[f_X_COVER] * film);
        }
        double *prepared = s->loss + k * PREPARED_FIELDS;
        prepared[f_L_AT] = t, prepared[f_L_HEAT] = heat, prepared[f_L_SLOPE] = slope;
    }
}

static double lost(const double *prepared, double t) {
    return prepared[f_L_HEAT] + prepared[f_L_SLOPE] * (t - prepared[f_L_AT]);
}

static void heat_nodes(const struct Constants *c, struct State *s, const struct Sizes *z, double dt) {
    for (int k = 0; k < z->heaters; k++) {
        const double *row = c->heater + k * HEATER_FIELDS;
        double first = least(s->clock[0], row[f_E_UNTIL]), last = least(s->clock[0] + dt, row[f_E_UNTIL]), decay = row[f_E_DECAY];
        double heat = decay > 0.0 ? row[f_E_POWER] / decay * (exp(-decay * first) - exp(-decay * last)) : row[f_E_POWER] * (last - first);
        s->source[c->heater_node[k]] += heat / dt;
        s->heating[0] += heat;
    }
}

/* network */
static void spread_stream(double *spread, const double *ua, int n1, int node, double flow) {
    double total = 0.0;
    for (int j = 0; j < n1; j++) total += ua[j];
    if (total <= 0.0) return;
    double taken = flow * (1.0 - exp(-total / flow));
    for (int j = 0; j < n1; j++) {
        if (ua[j] <= 0.0) continue;
        spread[node * n1 + j] += ua[j] / total * taken;
        spread[j * n1 + node] += ua[j] / total * taken;
        for (int k = 0; k < n1; k++)
            if (k != j && ua[k] > 0.0) spread[j * n1 + k] += ua[j] * ua[k] / total * (1.0 - taken / total);
    }
}

static void invert(double *a, int n) {
    for (int p = 0; p < n; p++) {
        double pivot = 1.0 / a[p * n + p];
        a[p * n + p] = 1.0;
        for (int j = 0; j < n; j++) a[p * n + j] *= pivot;
        for (int i = 0; i < n; i++) {
            if (i == p) continue;
            double factor = a[i * n + p];
            a[i * n + p] = 0.0;
            for (int j = 0; j < n; j++) a[i * n + j] -= factor * a[p * n + j];
        }
    }
}

static int outdated(const struct Constants *c, const struct State *s, const struct Sizes *z, double dt) {
    if (dt != s->clock[1]) return 1;
    for (int k = 0; k < z->streams; k++) {
        double flow = c->stream_flow[k] / s->nodes[c->stream_node[k]];
        if (fabs(flow - s->stream_capacity[k]) > FRESH_FLOW * flow) return 1;
    }
    for (int k = 0; k < z->losses; k++) {
        double at = s->loss[k * PREPARED_FIELDS + f_L_AT];
        if (fabs(s->nodes[c->loss_node[k]] - at) > least(FRESH_LOSS, FRESH_SHARE * fabs(at - c->ambient[0]) + FRESH_LEAST)) return 1;
    }
    return 0;
}

static void prepare(const struct Constants *c, struct State *s, const struct Sizes *z, double dt) {
    int n = z->nodes, n1 = n + 1;
    for (int i = 0; i < n1 * n1; i++) s->spread[i] = c->links[i];
    for (int k = 0; k < z->streams; k++) {
        double flow = c->stream_flow[k] / s->nodes[c->stream_node[k]];
        s->stream_capacity[k] = flow;
        spread_stream(s->spread, c->stream_links + k * n1, n1, (int)c->stream_node[k], flow);
    }
    for (int i = 0; i < n; i++) {
        double total = c->capacity[i] / dt;
        for (int j = 0; j < n; j++) s->inverse[i * n + j] = -s->spread[i * n1 + j];
        for (int j = 0; j < n1; j++) if (j != i) total += s->spread[i * n1 + j];
        s->inverse[i * n + i] = total;
    }
    prepare_losses(c, s, z);
    for (int k = 0; k < z->losses; k++) s->inverse[c->loss_node[k] * (n + 1)] += s->loss[k * PREPARED_FIELDS + f_L_SLOPE];
    invert(s->inverse, n);
    s->clock[1] = dt;
}

static double pass_coils(const struct Constants *c, struct State *s, const struct Sizes *z) {
    int n = z->nodes, n1 = n + 1;
    double to_ambient = 0.0;
    for (int k = 0; k < z->streams; k++) {
        int node = (int)c->stream_node[k];
        double flow = s->stream_capacity[k], coil = -s->source[node], total = 0.0;
        const double *ua = c->stream_links + k * n1;
        s->after_coil[k] = s->nodes[node] - coil / flow;
        for (int j = 0; j < n1; j++) total += ua[j];
        if (total > 0.0 && coil != 0.0) {
            double felt = coil * (1.0 - exp(-total / flow));
            s->source[node] += felt;
            for (int j = 0; j < n; j++) s->source[j] -= felt * ua[j] / total;
            to_ambient -= felt * ua[n] / total;
        }
    }
    return to_ambient;
}

static void advance_network(const struct Constants *c, struct State *s, const struct Sizes *z, double dt) {
    int n = z->nodes, n1 = n + 1;
    double ambient = c->ambient[0], heat = pass_coils(c, s, z);
    heat_nodes(c, s, z, dt);
    double *source = s->source, *change = s->source + n;
    for (int i = 0; i < n; i++) {
        source[i] += s->spread[i * n1 + n] * (ambient - s->nodes[i]);
        for (int j = 0; j < n; j++) source[i] += s->spread[i * n1 + j] * (s->nodes[j] - s->nodes[i]);
    }
    for (int k = 0; k < z->losses; k++)
        source[c->loss_node[k]] -= lost(s->loss + k * PREPARED_FIELDS, s->nodes[c->loss_node[k]]);
    for (int i = 0; i < n; i++) {
        change[i] = 0.0;
        for (int j = 0; j < n; j++) change[i] += s->inverse[i * n + j] * source[j];
    }
    for (int i = 0; i < n; i++) {
        s->nodes[i] += change[i];
        source[i] = 0.0;
        heat += s->spread[i * n1 + n] * (s->nodes[i] - ambient);
    }
    for (int k = 0; k < z->losses; k++) heat += lost(s->loss + k * PREPARED_FIELDS, s->nodes[c->loss_node[k]]);
    s->ambient_heat[0] += heat * dt;
}

/* walls; every host is in one piece, as in all cases that are timed */
static double host_conductance(const struct Constants *c, const struct State *s, const struct Sizes *z, int k) {
    int stream = (int)c->host_stream[k];
    if (stream < 0) return c->circuit[k * GEOMETRY_FIELDS + f_G_HOST];
    const double *film = c->film + k * f_FILM_POINTS;
    double t = s->nodes[c->stream_node[stream]], at = least(most((t - f_FILM_LOW) / f_FILM_STEP, 0.0), f_FILM_POINTS - 1.000001);
    int row = (int)at;
    double conductance = film[row] + (at - row) * (film[row + 1] - film[row]);
    double flow = s->stream_capacity[stream] * c->host_share[k] / z->cells;
    return flow * (1.0 - exp(-conductance / flow));
}

static void prepare_elimination(double *row, const double *metal, double behind, double step) {
    double outer = metal[f_M_OUT] > 0.0 ? metal[f_M_OUT] : behind, beta = 0.0;
    for (int m = MOUTH_SHELLS - 1; m >= 0; m--) {
        double inner = m > 0 ? metal[f_M_LINK + m - 1] : 0.0, stored = metal[f_M_CAPACITY + m] / step;
        double fall = 1.0 / (stored + outer * (1.0 - beta) + inner);
        row[f_E_KEEP + m] = stored * fall, row[f_E_PASS + m] = outer * fall;
        beta = inner * fall;
        row[f_E_BETA + m] = beta, row[f_E_B] = fall;
        outer = inner;
    }
}

static void prepare_mouth(double *row, const double *metal, double behind, double dt) {
    prepare_elimination(row + f_S_PART, metal, behind, dt / SUBSTEPS);
    prepare_elimination(row + f_S_WHOLE, metal, behind, dt);
}

static void prepare_walls(const struct Constants *c, struct State *s, const struct Sizes *z, double dt) {
    for (int k = 0; k < z->circuits; k++) {
        double total = 0.0, *wall = s->wall + k * WALL_FIELDS;
        for (int o = 0; o < z->circuits; o++)
            if (c->host[o] == c->host[k]) total += z->cells * host_conductance(c, s, z, o);
        wall[f_W_HOST] = host_conductance(c, s, z, k) / (1.0 + dt * total / c->capacity[c->host[k]]);
        double outer = wall[f_W_HOST], beta = 0.0, whole = 0.0;
        for (int m = 0; m < SHELLS; m++) whole += c->shell_capacity[k * SHELLS + m];
        for (int m = SHELLS - 1; m >= 0; m--) {
            double inner = m > 0 ? c->shell_link[k * (SHELLS - 1) + m - 1] : 0.0;
            double stored = c->shell_capacity[k * SHELLS + m] / dt, fall = 1.0 / (stored + outer * (1.0 - beta) + inner);
            wall[f_W_KEEP + m] = stored * fall, wall[f_W_PASS + m] = outer * fall;
            beta = inner * fall;
            wall[f_W_BETA + m] = beta;
            wall[f_W_EVEN + m] = 1.0 - exp(-dt * c->shell_even[k * SHELLS + m]);
            wall[f_W_B] = fall;
            wall[f_W_PART + m] = c->shell_capacity[k * SHELLS + m] / whole;
            outer = inner;
        }
        wall[f_W_BS] = wall[f_W_B] + c->circuit[k * GEOMETRY_FIELDS + f_R_SKIN];
        prepare_mouth(s->mouth + k * MOUTH_STATE_FIELDS, c->mouth + k * MOUTH_FIELDS, wall[f_W_HOST] / c->circuit[k * GEOMETRY_FIELDS + f_CELL_WALL], dt);
    }
}

static void eliminate(const Cell *cells, Work *work, int n, const double *wall, double host) {
    for (int i = 0; i < n; i++) {
        double alpha = host;
        for (int k = SHELLS - 1; k >= 0; k--) {
            alpha = wall[f_W_KEEP + k] * cells[i][f_W0 + k] + wall[f_W_PASS + k] * alpha;
            work[i][f_ALPHA0 + k] = alpha;
        }
    }
}

/* the patch under the water */
static void spread_patch(double *cell, double *w, const double *wall, double wet, double host) {
    double before = cell[f_WET], own = 1.0, joins = 0.0, alpha = host;
    cell[f_WET] = wet;
    if (wet > before) {
        own = before / wet, joins = (wet - before) / (wet * (1.0 - before));
        cell[f_TS] = own * cell[f_TS] + joins * (cell[f_W0] - before * cell[f_PATCH0]);
    }
    for (int k = SHELLS - 1; k >= 0; k--) {
        double whole = cell[f_W0 + k], patch = cell[f_PATCH0 + k];
        patch = own * patch + joins * (whole - before * patch);
        patch += (whole - patch) * wall[f_W_EVEN + k];
        cell[f_PATCH0 + k] = patch;
        alpha = wall[f_W_KEEP + k] * patch + wall[f_W_PASS + k] * alpha;
        w[f_PATCH_ALPHA0 + k] = alpha;
    }
}

static double surface(double *cell, const double *w, const double *wall, double skin) {
    double wet = cell[f_WET];
    if (wet <= 0.0) return cell[f_W0] - skin * w[f_N_QG];
    double heat = w[f_N_QL] / wet, t = w[f_PATCH_ALPHA0] - wall[f_W_B] * heat, cold = t - skin * heat;
    cell[f_PATCH0] = t;
    for (int k = 1; k < SHELLS; k++) cell[f_PATCH0 + k] = t = w[f_PATCH_ALPHA0 + k] + wall[f_W_BETA + k] * t;
    return cold;
}

static double take_heat(Cell *cells, const Work *work, const double *wall, int i, double heat, double host) {
    double t = work[i][f_ALPHA0] - wall[f_W_B] * heat;
    cells[i][f_W0] = t;
    for (int k = 1; k < SHELLS; k++) {
        t = work[i][f_ALPHA0 + k] + wall[f_W_BETA + k] * t;
        cells[i][f_W0 + k] = t;
    }
    return wall[f_W_HOST] * (host - t);
}

static double volume_of_liquid(double above) {
    double t = least(most(above, 0.0), HOTTEST_LIQUID);
    return V_0 + t * (V_1 + t * (V_2 + t * (V_3 + t * V_4)));
}

/* exchange between phases */
static double condense(double *cell, double dew, double wanted, double share) {
    double ml = cell[f_ML], mv = cell[f_MV], tl = cell[f_TL];
    double demand = least(wanted, ml * C_L * (dew - tl) / heat_of_evaporation(dew) * share), supply = mv * share;
    double amount = demand * supply / (demand + supply);
    double heat = amount * (H_0 + C_V * (cell[f_TG] - T0));
    cell[f_TL] = T0 + (ml * C_L * (tl - T0) + heat) / ((ml + amount) * C_L);
    cell[f_ML] = ml + amount;
    cell[f_MV] = mv - amount;
    return amount;
}

static double saturation(const double *liquid, double t, double x) {
    double root = flows_at(liquid, row_of_temperature(t), X_SAT) / x;
    return least(root * root * root * root, WETTEST);
}

static double rain(double *cell, double dew, double held) {
    double tg = cell[f_TG], mv = cell[f_MV], ma = cell[f_MA], ml = cell[f_ML];
    double gas = ma * C_A + mv * C_V, latent = heat_of_evaporation(tg);
    double excess = mv - held / (1.0 - held) * ma * R_A / R_V;
    double amount = 0.5 * most(least(least(excess, gas * (dew - tg) / latent), mv), 0.0);
    if (amount > 0.0) cell[f_TL] = (ml * cell[f_TL] + amount * tg) / (ml + amount);
    cell[f_ML] = ml + amount;
    cell[f_MV] = mv - amount;
    cell[f_TG] = tg + amount * latent / (gas - amount * C_V);
    return amount;
}

static double vapour(double air, double wet, double tl, double tg, double tie, double gas, double room, double cl, double share) {
    double latent = heat_of_evaporation(tl), slope = wet * latent / (R_V * tl * tl * (1.0 - wet)), side = tie + share * cl;
    double drive = log(air / (1.0 - wet)) + slope * tie * (tg - tl) / side, mass = tie / (R_V * gas);
    return mass * drive / (1.0 + mass * (R_V + room * slope * latent * (side + cl) / (side * cl)));
}

static double evaporate(double *cell, double amount, double gas) {
    double ml = cell[f_ML], tl = cell[f_TL];
    cell[f_TL] = tl - amount * heat_of_evaporation(tl) / ((ml - amount) * C_L);
    cell[f_TG] += amount * C_V * (tl - cell[f_TG]) / (gas + amount * C_V);
    cell[f_ML] = ml - amount;
    cell[f_MV] += amount;
    return amount;
}

static double exchange(double *cell, const double *boiling, const double *flow, double x, double t_sat, double conductance,
                       double share, double *evaporated) {
    double ml = cell[f_ML], ma = cell[f_MA], mv = cell[f_MV], gas = ma * C_A + mv * C_V, condensed = 0.0, passed = 0.0;
    double room = ma * R_A + mv * R_V;
    if (ml > NO_MASS && gas > 0.0) {
        double cl = ml * C_L, tl = cell[f_TL], tg = cell[f_TG];
        double tie = conductance * ml * volume_of_liquid(tl - T0), part = (tg - tl) * tie / (gas * cl + tie * (gas + cl));
        cell[f_TL] = tl = tl + part * gas;
        cell[f_TG] = tg = tg - part * cl;
        double air = most(ma * R_A / room, LEAST_AIR);
        passed = room * vapour(air, saturation(flow, tl, x), tl, tg, tie, gas, room, cl, share);
        if (passed > 0.0) {
            *evaporated += evaporate(cell, least(passed, MOST_EVAPORATED * ml), gas);
            return 0.0;
        }
    }
    if (mv <= NO_MASS || !(passed < 0.0 || cell[f_TG] < t_sat)) return 0.0;
    double steam = mv * R_V / room, dew = saturation_temperature(boiling, x * sqrt(sqrt(steam)));
    if (passed < 0.0 && cell[f_TL] < dew) condensed = condense(cell, dew, -passed, share);
    if (cell[f_TG] < dew) condensed += rain(cell, dew, saturation(flow, cell[f_TG], x));
    return condensed;
}

/* boiling and heat transfer */
static double film_flux(const double *table, double row, double dt, double wall, double t_sat) {
    double root = sqrt(dt), w2 = wall * wall, s2 = t_sat * t_sat;
    return boils_at(table, row, C_FILM) * root * sqrt(root) + EMISSIVITY * STEFAN_BOLTZMANN * (w2 * w2 - s2 * s2);
}

static double boiling_flux(const double *table, double row, double wall, double liquid, double t_sat,
                           double *share, int *regime) {
    double dt = wall - t_sat;
    *share = 1.0;
    *regime = CONVECTION;
    if (dt <= 0.0) return 0.0;
    double sub = most(t_sat - liquid, 0.0), nucleate = boils_at(table, row, C_NUCLEATE);
    double peak = boils_at(table, row, Q_PEAK) * (1.0 + boils_at(table, row, K_SUBCOOLED) * sub);
    double flux = nucleate * dt * dt * dt;
    *regime = NUCLEATE;
    if (flux <= peak) return flux;
    double dt_peak = pow(peak / nucleate, 1.0 / 3.0);
    double rise = boils_at(table, row, DT_PER_SUBCOOLED) * least(sub, MOST_SUBCOOLED);
    double dt_film = most(boils_at(table, row, DT_MINIMUM) + rise, LEAST_SPAN * dt_peak);
    double through = sub / (dt + sub);
    if (dt >= dt_film) {
        *share = through;
        *regime = FILM;
        return film_flux(table, row, dt, wall, t_sat);
    }
    double low = film_flux(table, row, dt_film, t_sat + dt_film, t_sat);
    double part = log(dt_film / dt) / log(dt_film / dt_peak);
    *share = part + (1.0 - part) * through;
    *regime = TRANSITION;
    return low * pow(peak / low, part);
}

static double power_08(double *cell, double value, int base, int power) {
    if (value < 1e-9) return 0.0;
    double known = cell[base], d = value - known;
    if (fabs(d) > NEAR * known) {
        cell[base] = value;
        return cell[power] = pow(value, 0.8);
    }
    d /= known;
    return cell[power] * (1.0 + d * (0.8 + d * (-0.08 + d * 0.032)));
}

static int too_slow(const double *cell, const double *liquid, const double *geo, double share) {
    if (share < HALF_FULL) return 0;
    double re = cell[f_UL] * geo[f_BORE] / flows_at(liquid, row_of_temperature(cell[f_TL]), NU_LIQUID);
    return LAMINAR < re && re < TURBULENT;
}

static int wet_heat(double *cell, double *work, const double *boiling, double row, double t_sat, double h, double area,
                    double resistance) {
    double ts = cell[f_TS], tl = cell[f_TL], a = work[f_PATCH_ALPHA0], share, convective = 0.0, boiled = 0.0;
    int regime = 0;
    for (int k = 0; k < SECANTS; k++) {
        double flux = boiling_flux(boiling, row, ts, tl, t_sat, &share, &regime), over = ts - tl, last = ts;
        convective = h * share * area;
        boiled = flux > 0.0 && over > 0.01 ? flux * area / over : 0.0;
        double secant = (convective + boiled) * resistance;
        ts = 0.5 * (ts + (a + secant * tl) / (1.0 + secant));
        if (fabs(ts - last) < STANDS_STILL) break;
    }
    cell[f_TS] = ts;
    work[f_QB] = most(least(boiled * (ts - tl), (a - tl) / resistance), 0.0);
    work[f_GE] = convective / (1.0 + convective * resistance);
    return regime;
}

static double prepare_cells(Cell *cells, Work *work, int n, const double *geo, const double *wall, const double *boiling,
                            const double *liquid, double x, double host, int64_t known, double dt, double *evaporated, int64_t *flags) {
    double share = 1.0 - exp(-dt / geo[f_CONDENSING]), drops = geo[f_DROPS] * dt, bore = geo[f_BORE], bore_02 = pow(bore, 0.2);
    double per_gas = bore / (geo[f_AREA] * MU_GAS), per_volume = 1.0 / geo[f_CELL_VOLUME], condensed = 0.0;
    for (int i = 0; i < n; i++) {
        double *cell = cells[i], *w = work[i];
        double here = x * cell[f_R4], row = row_of_pressure(here), t_sat = boils_at(boiling, row, T_SAT), wet = 0.0;
        if (cell[f_ML] > 0.0 || cell[f_MV] > NO_MASS) {
            double gone = 0.0;
            condensed += exchange(cell, boiling, liquid, here, t_sat, drops, share, &gone) * cell[f_SIZE];
            *evaporated += gone * cell[f_SIZE];
        }
        double ml = cell[f_ML], ma = cell[f_MA], mv = cell[f_MV];
        w[f_QB] = w[f_GE] = w[f_DROP] = 0.0;
        w[f_VL0] = ml * volume_of_liquid(cell[f_TL] - T0);
        if (ml > NO_MASS) {
            double share_l = w[f_VL0] * per_volume;
            wet = share_l < 1.0 ? (1.0 - exp(-share_l / geo[f_WETTING])) * geo[f_PER_WET_ALL] : 1.0;
            double at = row_of_temperature(cell[f_TL]);
            double flow = power_08(cell, least(cell[f_UL], FASTEST), f_U_REF, f_U_POW);
            double turbulent = flows_at(liquid, at, C_TURBULENT) * flow / bore_02;
            double h = most(LAMINAR_WALL * flows_at(liquid, at, K_LIQUID) / bore, turbulent);
            spread_patch(cell, w, wall, wet, host);
            int regime = wet_heat(cell, w, boiling, row, t_sat, h, geo[f_CELL_WALL], wall[f_W_BS]);
            w[f_DROP] = wall[f_W_BS] * w[f_QB];
            w[f_QB] *= wet;
            w[f_GE] *= wet;
            if (regime >= TRANSITION) {
                *flags |= regime == FILM ? f_FILM : f_TRANSITION;
                if (t_sat - cell[f_TL] > MOST_SUBCOOLED) *flags |= f_SUBCOOLED;
            }
            if (!(known & f_SLOW_WATER) && too_slow(cell, liquid, geo, share_l)) *flags |= f_SLOW_WATER;
        } else
            cell[f_TS] = w[f_ALPHA0], cell[f_WET] = 0.0;
        if (wet < ALL_WET) {
            if (!(known & f_SLOW_GAS) && wet < HALF_DRY) {
                double re = cell[f_GG] * per_gas;
                if (LAMINAR < re && re < TURBULENT) *flags |= f_SLOW_GAS;
            }
            double gas = power_08(cell, cell[f_GG] * per_gas, f_G_REF, f_G_POW);
            double ua = geo[f_CELL_WALL] * most(LAMINAR_FLUX * K_GAS, GAS_FACTOR * gas) / bore;
            w[f_UE] = (1.0 - wet) * ua / (1.0 + ua * wall[f_W_BS]);
            w[f_DRY] = (w[f_ALPHA0] - wet * w[f_PATCH_ALPHA0]) / (1.0 - wet);
        } else
            w[f_UE] = 0.0, w[f_DRY] = w[f_ALPHA0];
        double tg = cell[f_TG];
        w[f_HL0] = ml * C_L * (cell[f_TL] - T0);
        w[f_HG0] = (ma * C_A + mv * C_V) * (tg - T0) + mv * H_0;
        w[f_VG0] = (ma * R_A + mv * R_V) * tg / cell[f_PC];
    }
    return condensed;
}

/* march */
static void store(double *w, double ml, double ma, double mv, double hl, double hg, double tg) {
    double tl = tg;
    if (ml <= NO_MASS) {
        mv += ml;
        hg += hl;
        ml = 0.0;
    } else {
        if (ma + mv < NO_GAS) {
            hl += hg;
            ma = mv = 0.0;
        }
        tl = T0 + hl / (ml * C_L);
    }
    double cg = ma * C_A + mv * C_V;
    w[f_N_ML] = ml;
    w[f_N_MA] = ma;
    w[f_N_MV] = mv;
    w[f_N_TL] = tl;
    w[f_N_TG] = cg > 0.0 ? T0 + (hg - mv * H_0) / cg : tg;
}

static void march(double p, Cell *cells, Work *work, int n, const double *geo, const double *boiling, double *flux, double dt) {
    double x = sqrt(sqrt(p)), volume = geo[f_CELL_VOLUME], per_dt = 1.0 / dt;
    double per_volume = 1.0 / volume, keep = 1.0, evaporated = 0.0, pressed = 0.0, pull = 0.0, moved = 0.0, sucked = 0.0;
    double fl = flux[f_F_WATER] * dt, fa = flux[f_F_AIR] * dt, fv = 0.0, hl_in = flux[f_F_HW] * dt, hg_in = flux[f_F_HA] * dt;
    for (int i = 0; i < n; i++) {
        const double *cell = cells[i];
        double *w = work[i];
        double r = cell[f_RP], p_old = cell[f_PC], pi = p * r, size = cell[f_SIZE], per_size = cell[f_PER_SIZE];
        double boils = saturation_temperature(boiling, x * cell[f_R4]) - T0;
        double pressing = 2.0 * keep * w[f_VG0] * p_old * (pi - p_old) / (pi + p_old);
        pressed += pressing * size;
        double ml = keep * cell[f_ML] + fl * per_size, ma = keep * cell[f_MA] + fa * per_size, mv = keep * cell[f_MV] + fv * per_size;
        double hl = keep * w[f_HL0] + hl_in * per_size, hg = keep * w[f_HG0] + hg_in * per_size + pressing;
        double driving = w[f_PATCH_ALPHA0] - T0 - keep * w[f_DROP];
        double ql = 0.0, e = 0.0, qg = 0.0, warm, up = 0.0;
        if (ml > NO_MASS) {
            double ge = keep * w[f_GE] * dt, cl = ml * C_L;
            double latent = heat_of_evaporation(boils + T0), boiling_heat = least(keep * w[f_QB] * dt, most(cl * boils + ml * latent - hl, 0.0));
            hl += boiling_heat;
            double convection = ge * (driving - least((hl + ge * driving) / (cl + ge), boils));
            hl += convection;
            double over = hl - cl * boils;
            e = over > 0.0 ? least(over / latent, ml) : 0.0;
            ql = boiling_heat + convection;
        }
        if (e > 0.0) {
            ml -= e;
            mv += e;
            evaporated += e * size;
            double rest = least(hl, ml * C_L * boils);
            hg += hl - rest;
            hl = rest;
        }
        double cl = ml * C_L, cg = ma * C_A + mv * C_V;
        if (cg > THIN_GAS * cl) {
            double ue = w[f_UE] * dt, surface = w[f_DRY] - T0;
            warm = (hg - mv * H_0 + ue * surface) / (cg + ue);
            qg = ue * (surface - warm);
            hg += qg;
        } else {
            warm = (hl + hg - mv * H_0) / (cl + cg);
            hl = cl * warm;
            hg = cg * warm + mv * H_0;
        }
        double vl = ml > NO_MASS ? ml * volume_of_liquid(hl / (ml * C_L)) : 0.0, vg = (ma * R_A + mv * R_V) * (warm + T0) / pi, room = (vl + vg) * per_volume - 1.0;
        keep = 1.0;
        if (room >= 0.0) {
            double s = cell[f_SLIP], half = 0.5 * (1.0 + s - s * (vl * per_volume) - vg * per_volume);
            double root = sqrt(half * half + s * room), ul, ug;
            if (half > 0.0) {
                double under = half + root;
                ul = room / (room + under);
                ug = s * room / (s * room + under);
                up = room / under;
            } else {
                double over = root - half;
                ul = over / (s + over);
                ug = over / (1.0 + over);
                up = over / s;
            }
            fl = ml * ul, fa = ma * ug, fv = mv * ug, hl_in = hl * ul, hg_in = hg * ug;
            ml -= fl, ma -= fa, mv -= fv, hl -= hl_in, hg -= hg_in;
            fl *= size, fa *= size, fv *= size, hl_in *= size, hg_in *= size;
            moved = (vl * ul + vg * ug * r) * size;
            pull += (fl + fa + fv) * moved * size;
            if (i == n - 1) flux[f_F_GAS] = moved > 0.0 ? vg * ug * r * size / moved : 1.0;
        } else {
            fl = fa = fv = hl_in = hg_in = moved = 0.0;
            if (i < n - 1) {
                const double *next = cells[i + 1], *v = work[i + 1];
                double share = size * next[f_PER_SIZE];
                double drawn = least(-room * volume * share / (v[f_VL0] + v[f_VG0]), MOST_DRAWN), part = drawn / share;
                keep = 1.0 - drawn;
                ml += part * next[f_ML], ma += part * next[f_MA], mv += part * next[f_MV];
                hl += part * v[f_HL0], hg += part * v[f_HG0];
            } else {
                moved = room * volume * size;
                sucked = -moved * pi / (R_A * geo[f_SINK_T]);
                ma += sucked * per_size;
                hg += sucked * per_size * C_A * (geo[f_SINK_T] - T0);
            }
        }
        store(w, ml, ma, mv, hl, hg, warm + T0);
        w[f_N_QL] = ql * per_dt, w[f_N_QG] = qg * per_dt, w[f_N_UP] = up;
        w[f_N_OUT_L] = fl, w[f_N_OUT_G] = fa + fv, w[f_N_OUT_V] = moved;
    }
    flux[f_F_PULL] = pull;
    flux[f_F_LIQUID] = fl, flux[f_F_OUT_A] = fa, flux[f_F_OUT_V] = fv, flux[f_F_H] = hl_in + hg_in;
    flux[f_F_VOLUME] = moved, flux[f_F_SUCKED] = sucked, flux[f_F_EVAPORATED] = evaporated, flux[f_F_WORK] = pressed;
}

/* supplies and outlet */
static double air_per_kv(double before, double temperature, double after) {
    double drop = before - after;
    if (drop <= 0.0) return 0.0;
    double x = least(drop / before, X_T);
    return (1.0 - x / (3.0 * X_T)) * before * sqrt(1e-2 * x / (R_A * temperature));
}

static double soft_root(double drop) { return sqrt(drop / (drop + IN_SOFT)); }

static double water_through(double kv, double before, double after, double shared, double others) {
    double a = 1.0 / (shared * shared), b = 1.0 / (kv * kv), q = others / COLD_WATER, drop = (before - after) - 1e5 * a * q * q;
    if (drop <= 0.0) return 0.0;
    double half = a * q, bars = drop * 1e-5;
    return COLD_WATER * (bars / (half + sqrt(half * half + (a + b) * bars))) * soft_root(drop);
}

static double air_through(double kv, double supply, double t, double p, double shared, double others) {
    if (supply <= p) return 0.0;
    if (isinf(shared)) return kv * air_per_kv(supply, t, p) * soft_root(supply - p);
    double low = 0.0, high = sqrt(supply - p), whole = high, root = high, full = air_per_kv(supply, t, p);
    double low_f = -others - kv * full, high_f = shared * full - others;
    int side = 0;
    if (high_f <= 0.0) return 0.0;
    for (int i = 0; i < DRAWN_TRIALS; i++) {
        root = (low * high_f - high * low_f) / (high_f - low_f);
        double before = supply - root * root;
        double miss = shared * air_per_kv(supply, t, before) - others - kv * air_per_kv(before, t, p);
        if (fabs(miss) <= DRAWN_WITHIN * high_f || high - low <= DRAWN_WITHIN * whole) break;
        if (miss > 0.0) {
            high = root, high_f = miss;
            if (side == 1) low_f *= 0.5;
            side = 1;
        } else {
            low = root, low_f = miss;
            if (side == -1) high_f *= 0.5;
            side = -1;
        }
    }
    return most(shared * air_per_kv(supply, t, supply - root * root) - others, 0.0) * soft_root(supply - p);
}

static double let_in(int v, int first, int end, const int64_t *kinds, const double *valves, const double *through,
                     const double *header, const double *others, double p) {
    const double *valve = valves + VALVE_FIELDS * v;
    int h = (int)valve[f_V_HEADER];
    double kv = through[v], lift = valve[f_V_P], shared = INFINITY, drawn = 0.0;
    if (h >= 0) {
        kv = 0.0, lift = 0.0;
        for (int w = first; w < end; w++)
            if (valves[VALVE_FIELDS * w + f_V_HEADER] == h && through[w] > 0.0) {
                kv += through[w];
                lift += through[w] * valves[VALVE_FIELDS * w + f_V_P];
            }
        lift /= kv;
        shared = header[h * HEADER_FIELDS + f_H_KV], drawn = others[h];
    }
    double together = kinds[v] == f_WATER ? water_through(kv, lift, p, shared, drawn)
                                          : air_through(kv, lift, valve[f_V_T], p, shared, drawn);
    return together * (through[v] / kv);
}

static double inflow(int first, int end, const int64_t *kinds, const double *valves, const double *through, double *flows,
                     const double *header, const double *others, double p, double *flux) {
    double water = 0.0, air = 0.0, water_heat = 0.0, air_heat = 0.0, bypass = 0.0;
    for (int v = first; v < end; v++) {
        double kv = through[v];
        flows[v] = 0.0;
        if (kv <= 0.0) continue;
        const double *valve = valves + VALVE_FIELDS * v;
        double t = valve[f_V_T], flow;
        if (kinds[v] == f_BYPASS) {
            bypass += kv;
            continue;
        }
        flow = let_in(v, first, end, kinds, valves, through, header, others, p);
        flows[v] = flow;
        if (kinds[v] == f_WATER) {
            water += flow;
            water_heat += flow * C_L * (t - T0);
        } else {
            air += flow;
            air_heat += flow * C_A * (t - T0);
        }
    }
    flux[f_F_WATER] = water, flux[f_F_AIR] = air, flux[f_F_HW] = water_heat, flux[f_F_HA] = air_heat;
    return bypass;
}

static double choked_ratio(const double *table, double w, double k) {
    double at_w = least(most((log(w) - W_LOW) / W_STEP, 0.0), W_POINTS - 1.000001);
    double at_k = least(most((log(k) - K_LOW) / K_STEP, 0.0), K_POINTS - 1.000001);
    int i = (int)at_w, j = (int)at_k;
    double u = at_w - i, v = at_k - j;
    const double *a = table + i * K_POINTS + j, *b = a + K_POINTS;
    double low = a[0] + v * (a[1] - a[0]), high = b[0] + v * (b[1] - b[0]);
    return low + u * (high - low);
}

static double expansion_work(double w, double eta, double growth) {
    double d = 1.0 - w;
    if (fabs(d) < 0.02) {
        double e2 = eta * eta, s1 = (1.0 - e2) / 2.0, s2 = (1.0 - e2 * eta) / 3.0, s3 = (1.0 - e2 * e2) / 4.0;
        return s1 + d * (s1 - s2) + d * d * (s1 - 2.0 * s2 + s3);
    }
    return (1.0 - eta) / d + w / (d * d) * (growth + log(eta));
}

static double mass_flux(double p, double back, double rho, double w, double k, const double *choke, double *eta) {
    *eta = 1.0;
    if (p <= back) return 0.0;
    *eta = back / p;
    if (w > 1e-3) *eta = most(*eta, choked_ratio(choke, w, k));
    double squared, drop = p - back;
    if (w < 1e-6)
        squared = 2.0 * rho * p * (1.0 - *eta) / k;
    else {
        double growth = log(1.0 + w * (1.0 / *eta - 1.0));
        squared = 2.0 * rho * p * expansion_work(w, *eta, growth) / (k + 2.0 * growth);
    }
    return sqrt(squared * drop / (drop + OUT_SOFT));
}

static double let_out(double p, const Work *work, const Cell *cells, int n, const double *own, const double *geo, double *flux,
                      const double *boiling, const double *choke, double bypass) {
    const double *cell = cells[n - 1], *w_last = work[n - 1];
    double lift = least(most((p - geo[f_RELIEF_P]) / geo[f_RELIEF_BAND], 0.0), 1.0);
    double ratio = geo[f_AREA] / (geo[f_OUT_KV] + bypass + lift * geo[f_RELIEF_KV]);
    double k = own[f_K_EFF] + geo[f_K_EXIT] + HEADS * ratio * ratio, back = geo[f_OUT_P];
    flux[f_F_K] = k;
    if (p <= back) {
        flux[f_F_ETA] = 1.0;
        double drop = back - p, density = back / (R_A * geo[f_SINK_T]);
        return -geo[f_AREA] * sqrt(2.0 * drop / (density * k) * drop / (drop + OUT_SOFT));
    }
    double volume = flux[f_F_VOLUME], gas, rho;
    if (volume > 0.0) {
        gas = flux[f_F_GAS];
        rho = (flux[f_F_LIQUID] + flux[f_F_OUT_A] + flux[f_F_OUT_V]) / volume;
    } else {
        double liquid = w_last[f_VL0], gas_volume = w_last[f_VG0] * cell[f_RP];
        gas = gas_volume / (gas_volume + liquid);
        rho = (cell[f_ML] + cell[f_MA] + cell[f_MV]) / (gas_volume + liquid);
    }
    double w = gas;
    if (gas < 1.0) {
        double x = sqrt(sqrt(p));
        double ready = 1.0 - (saturation_temperature(boiling, x * cell[f_R4]) - w_last[f_N_TL]) / FLASH_WITHIN;
        if (ready > 0.0) w += (1.0 - gas) * least(ready, 1.0) * boils_at(boiling, row_of_pressure(x), OMEGA);
    }
    return mass_flux(p, back, rho, w, k, choke, &flux[f_F_ETA]) * geo[f_AREA] / rho;
}

static int solve_pressure(const struct Constants *c, struct State *s, const struct Sizes *z, int k, double dt) {
    Cell *cells = (Cell *)s->cells + k * z->cells;
    Work *work = (Work *)s->work;
    double *own = s->circuit + k * CIRCUIT_FIELDS, *wall = s->wall + k * WALL_FIELDS, *flux = s->flux;
    const double *geo = c->circuit + k * GEOMETRY_FIELDS;
    double low_p = -1.0, low_f = -1.0, high_p = -1.0, high_f = -1.0, before = own[f_P];
    double trend = CARRIED * (before - own[f_P_LAST]);
    double p = fabs(trend) > STILL * before ? before + least(most(trend, -0.2 * before), 0.25 * before) : before;
    double last_p = 0.0, last_f = 0.0, stride = 0.0;
    p += own[f_MEND];
    own[f_P_LAST] = before + own[f_MEND];
    own[f_MEND] = 0.0;
    for (int trial = 0; trial < TRIALS; trial++) {
        double bypass = inflow((int)c->first_valve[k], (int)c->first_valve[k + 1], c->valve_kind, c->valves, s->through, s->flow,
                               c->header, s->others, p, flux);
        march(p, cells, work, z->cells, geo, c->boiling, flux, dt);
        double law = let_out(p, (const Work *)work, (const Cell *)cells, z->cells, own, geo, flux, c->boiling, c->choke, bypass);
        double must = flux[f_F_VOLUME] / dt, miss = must - law;
        own[f_P] = p;
        own[f_MARCHES] += 1.0;
        own[f_MISS] = fabs(miss) / most(most(fabs(must), fabs(law)), SLOW * geo[f_AREA]);
        if (trial > 0 && (miss - last_f) * (p - last_p) < 0.0) own[f_SLOPE] = (miss - last_f) / (p - last_p);
        if (own[f_MISS] < TOLERANCE) {
            if (own[f_SLOPE] < 0.0) own[f_MEND] = least(most(-miss / own[f_SLOPE], -MOST_MENDED * p), MOST_MENDED * p);
            return 1;
        }
        int halve = last_f * miss > 0.0 && low_p > 0.0 && high_p > 0.0;
        if (miss > 0.0) {
            low_p = p, low_f = miss;
            high_f *= halve ? 0.5 : 1.0;
        } else {
            high_p = p, high_f = miss;
            low_f *= halve ? 0.5 : 1.0;
        }
        last_p = p, last_f = miss;
        if (low_p < 0.0 || high_p < 0.0) {
            double slope = own[f_SLOPE], wish = slope < 0.0 ? -miss / slope : 0.002 * p * (miss > 0.0 ? 1.0 : -1.0);
            stride = least(most(fabs(wish) * 1.02, 2.0 * stride), 0.3 * p);
            p = least(most(miss > 0.0 ? p + stride : p - stride, LOWEST), HIGHEST);
        } else
            p = trial >= HALVING_FROM ? 0.5 * (low_p + high_p) : low_p + (high_p - low_p) * low_f / (low_f - high_f);
        if (p == last_p || fabs(high_p - low_p) < CLOSE * p || !isfinite(miss)) break;
    }
    return 0;
}

/* settle */
static void settle(Cell *cells, Work *work, int n, double *own, const double *geo, const double *wall, double *books,
                   const double *flux, double host, double dt) {
    double liquid_heat = 0.0, gas_heat = 0.0, host_heat = 0.0, held = 0.0, mean = 0.0;
    double coldest = INFINITY, hottest = 0.0, shock = -INFINITY, per_dt = 1.0 / dt, length = geo[f_CELL_LENGTH] * per_dt, slip_lag = least(dt / LAG_SLIP, 1.0);
    for (int i = 0; i < n; i++) {
        double *cell = cells[i], *w = work[i];
        double ml = w[f_N_ML], ma = w[f_N_MA], mv = w[f_N_MV], tg = w[f_N_TG], pi = own[f_P] * cell[f_RP];
        double out_l = w[f_N_OUT_L], out_g = w[f_N_OUT_G];
        if (out_l + out_g > 0.0 && ma + mv > 0.0) {
            double gas = (ma * R_A + mv * R_V) * tg, liquid = (ma + mv) * pi * volume_of_liquid(w[f_N_TL] - T0);
            double slip = sqrt(1.0 + out_g * (gas - liquid) / ((out_l + out_g) * liquid));
            cell[f_SLIP] += (least(most(slip, 1.0), geo[f_MOST_SLIP]) - cell[f_SLIP]) * slip_lag;
        }
        cell[f_ML] = ml, cell[f_MA] = ma, cell[f_MV] = mv, cell[f_TL] = w[f_N_TL], cell[f_TG] = tg, cell[f_PC] = pi;
        double size = cell[f_SIZE];
        cell[f_UL] = w[f_N_UP] * length * size;
        cell[f_GG] = out_g * per_dt;
        double heat = w[f_N_QL] + w[f_N_QG];
        liquid_heat += w[f_N_QL] * size;
        gas_heat += w[f_N_QG] * size;
        host_heat += take_heat(cells, (const Work *)work, wall, i, heat, host) * size;
        held += (ml + mv) * size;
        double first = cell[f_W0], whole = 0.0;
        cell[f_SKIN] = surface(cell, w, wall, geo[f_R_SKIN]);
        mean += first * size;
        coldest = least(coldest, first);
        hottest = most(hottest, first);
        for (int k = 0; k < SHELLS; k++) whole += wall[f_W_PART + k] * cell[f_W0 + k];
        double last = cell[f_W0 + SHELLS - 1], by_wall = geo[f_HELD_BY_WALL], by_host = geo[f_HELD_BY_HOST];
        double cold = cell[f_WET] >= TRICKLE ? cell[f_SKIN] : first - geo[f_R_SKIN] * heat;
        shock = most(shock, by_wall * whole + by_host * host + (1.0 - by_wall - by_host) * last - cold);
    }
    double pull = flux[f_F_PULL];
    double lag = least(dt / LAG_PROFILE, 1.0), eta = flux[f_F_ETA], gas = flux[f_F_GAS], before = 0.0;
    double per = pull > 0.0 ? own[f_K_EFF] / (flux[f_F_K] * pull) : 0.0;
    for (int i = 0; i < n; i++) {
        double part = (work[i][f_N_OUT_L] + work[i][f_N_OUT_G]) * work[i][f_N_OUT_V] * cells[i][f_SIZE], y = (before + 0.5 * part) * per;
        before += part;
        double target = (1.0 - gas) * (1.0 - y * (1.0 - eta)) + gas * sqrt(most(1.0 - y * (1.0 - eta * eta), 0.0));
        cells[i][f_RP] += (target - cells[i][f_RP]) * lag;
        cells[i][f_R4] = sqrt(sqrt(cells[i][f_RP]));
    }
    double end = (flux[f_F_LIQUID] + flux[f_F_OUT_A] + flux[f_F_OUT_V]) * flux[f_F_VOLUME];
    if (end > 0.0) {
        double ratio = least(most(pull / n / end, 0.02), 2.0);
        own[f_K_EFF] += (ratio * geo[f_K_PIPE] - own[f_K_EFF]) * least(dt / LAG_FRICTION, 1.0);
    }
    own[f_WALL] = mean / n, own[f_COLDEST] = coldest, own[f_HOTTEST] = hottest, own[f_SHOCK] = shock;
    own[f_HEAT] = liquid_heat + gas_heat, own[f_HOST_HEAT] = host_heat, own[f_HELD] = held;
    books[f_Q_LIQUID] += liquid_heat * dt;
    books[f_Q_GAS] += gas_heat * dt;
    books[f_Q_HOST] += host_heat * dt;
    double out_l = flux[f_F_LIQUID], out_v = flux[f_F_OUT_V], back = geo[f_SINK_BOILS];
    double boiling = (flux[f_F_OUT_A] * C_A + (out_l + out_v) * C_L) * (back - T0);
    double flashed = least(most((flux[f_F_H] - boiling) / heat_of_evaporation(back) - out_v, 0.0), out_l);
    own[f_WATER_FLOW] = flux[f_F_WATER], own[f_AIR_FLOW] = flux[f_F_AIR], own[f_STEAM_FLOW] = (flux[f_F_OUT_V] + flashed) / dt;
    books[f_WATER_IN] += flux[f_F_WATER] * dt;
    books[f_AIR_IN] += flux[f_F_AIR] * dt;
    books[f_WATER_OUT] += flux[f_F_LIQUID];
    books[f_STEAM_OUT] += flux[f_F_OUT_V];
    books[f_FLASHED_OUT] += flashed;
    books[f_AIR_OUT] += flux[f_F_OUT_A];
    books[f_AIR_SUCKED] += flux[f_F_SUCKED];
    books[f_EVAPORATED] += flux[f_F_EVAPORATED];
    books[f_H_IN] += (flux[f_F_HW] + flux[f_F_HA]) * dt + flux[f_F_SUCKED] * C_A * (geo[f_SINK_T] - T0);
    books[f_H_OUT] += flux[f_F_H];
    books[f_WORK] += flux[f_F_WORK];
    const double *cell = cells[n - 1];
    double cl = cell[f_ML] * C_L, cg = cell[f_MA] * C_A + cell[f_MV] * C_V;
    own[f_OUTLET_T] = (cl * cell[f_TL] + cg * cell[f_TG]) / (cl + cg);
    own[f_PEAK] = most(own[f_PEAK], own[f_P]);
    own[f_STEPS] += 1.0;
}

/* the mouth, where every dose begins */
static double cool_mouth(const struct Constants *c, struct State *s, const struct Sizes *z, int k, double host) {
    const double *cell = s->cells + (int64_t)k * z->cells * CELL_FIELDS, *flux = s->flux, *geo = c->circuit + k * GEOMETRY_FIELDS;
    const double *metal = c->mouth + k * MOUTH_FIELDS, *own = s->circuit + k * CIRCUIT_FIELDS;
    double *row = s->mouth + k * MOUTH_STATE_FIELDS, water = flux[f_F_WATER], air = flux[f_F_AIR], tl, u, wet;
    if (water > 0.0) {
        tl = T0 + flux[f_F_HW] / (water * C_L), wet = 1.0;
        double thick = volume_of_liquid(tl - T0);
        u = water * thick / geo[f_AREA];
        if (air > 0.0) {
            double thin = R_A * (T0 + flux[f_F_HA] / (air * C_A)) / own[f_P];
            double slip = sqrt(1.0 + air / (air + water) * (thin / thick - 1.0));
            u += air * thin / geo[f_AREA] / least(most(slip, 1.0), geo[f_MOST_SLIP]);
        }
    } else
        tl = cell[f_TL], u = cell[f_UL], wet = cell[f_WET];
    double warm = row_of_temperature(tl), bore = geo[f_BORE], x = sqrt(sqrt(own[f_P])), at = row_of_pressure(x);
    double h = most(LAMINAR_WALL * flows_at(c->liquid, warm, K_LIQUID) / bore,
                    flows_at(c->liquid, warm, C_TURBULENT) * pow(least(u, FASTEST), 0.8) / pow(bore, 0.2));
    double t_sat = boils_at(c->boiling, at, T_SAT), dry = wet < 1.0 ? s->work[f_N_QG] / geo[f_CELL_WALL] : 0.0;
    const double *by = row + (wet > 0.0 ? f_S_PART : f_S_WHOLE);
    double resistance = by[f_E_B] + metal[f_M_SKIN], ts = row[f_S_SURFACE];
    for (int part = 0; part < (wet > 0.0 ? SUBSTEPS : 1); part++) {
        double alpha = host, share;
        int regime;
        for (int m = MOUTH_SHELLS - 1; m >= 0; m--)
            row[f_S_ALPHA + m] = alpha = by[f_E_KEEP + m] * row[f_S_SHELL + m] + by[f_E_PASS + m] * alpha;
        alpha -= resistance * dry;
        if (wet > 0.0)
            for (int round = 0; round < ROUNDS; round++) {
                double boiled = boiling_flux(c->boiling, at, ts, tl, t_sat, &share, &regime), film = h * share;
                if (boiled > 0.0 && ts - tl > 0.01) film += boiled / (ts - tl);
                double secant = wet * film * resistance;
                ts = 0.5 * (ts + (alpha + secant * tl) / (1.0 + secant));
            }
        else
            ts = alpha;
        double t = row[f_S_ALPHA] - by[f_E_B] * (dry + (alpha - ts) / resistance);
        row[f_S_SHELL] = t;
        for (int m = 1; m < MOUTH_SHELLS; m++) row[f_S_SHELL + m] = t = row[f_S_ALPHA + m] + by[f_E_BETA + m] * t;
    }
    row[f_S_SURFACE] = ts;
    double heat = 0.0, whole = 0.0;
    for (int m = 0; m < MOUTH_SHELLS; m++) heat += metal[f_M_CAPACITY + m] * row[f_S_SHELL + m], whole += metal[f_M_CAPACITY + m];
    return heat / whole - ts;
}

static void advance_circuit(const struct Constants *c, struct State *s, const struct Sizes *z, int k, double dt) {
    Cell *cells = (Cell *)s->cells + k * z->cells;
    Work *work = (Work *)s->work;
    double *own = s->circuit + k * CIRCUIT_FIELDS, *wall = s->wall + k * WALL_FIELDS, *books = s->books + k * BOOK_FIELDS;
    const double *geo = c->circuit + k * GEOMETRY_FIELDS;
    int64_t node = c->host[k], flags = 0;
    double host = s->nodes[node];
    eliminate((const Cell *)cells, work, z->cells, wall, host);
    books[f_CONDENSED] += prepare_cells(cells, work, z->cells, geo, wall, c->boiling, c->liquid, sqrt(sqrt(own[f_P])), host, s->flags[k],
                                        dt, &books[f_EVAPORATED], &flags);
    if (flags & f_SLOW_GAS) {
        own[f_SLOW_GAS_TIME] += dt;
        if (own[f_SLOW_GAS_TIME] < PASSING) flags &= ~(int64_t)f_SLOW_GAS;
    }
    int solved = solve_pressure(c, s, z, k, dt);
    settle(cells, work, z->cells, own, geo, wall, books, s->flux, host, dt);
    own[f_SHOCK] = most(own[f_SHOCK], cool_mouth(c, s, z, k, host));
    s->source[node] -= own[f_HOST_HEAT];
    if (own[f_HOTTEST] > HOT_WALL) flags |= f_WALL_HOT;
    if (own[f_P] <= LOWEST) flags |= f_BELOW_TABLE;
    if (own[f_P] >= HIGHEST) flags |= f_ABOVE_TABLE;
    if (s->flux[f_F_SUCKED] > BREATH * geo[f_AREA] * dt) flags |= f_SUCKED_BACK;
    for (int v = (int)c->first_valve[k]; v < c->first_valve[k + 1]; v++)
        if (c->valve_kind[v] == f_WATER && s->position[v] > 0.0 &&
            (own[f_P] >= c->valves[VALVE_FIELDS * v + f_V_P] || s->flow[v] <= 0.0))
            flags |= f_HELD_BACK;
    if (!solved && own[f_MISS] > UNMET) {
        own[f_UNMET] += 1.0;
        flags |= f_UNSOLVED;
    }
    int64_t fresh = flags & ~s->flags[k];
    for (int bit = 0; fresh && bit < 16; bit++)
        if (fresh >> bit & 1) s->flagged_at[16 * k + bit] = s->clock[0] + dt;
    s->flags[k] |= fresh;
    if (!isfinite(own[f_P] + own[f_HEAT] + own[f_HELD] + own[f_OUTLET_T])) {
        s->stop[0] = f_NOT_FINITE, s->stop[1] = k;
    } else if (own[f_P] > STOP_PRESSURE) {
        s->stop[0] = f_TOO_HIGH, s->stop[1] = k;
    }
}

static void move_valves(const struct Constants *c, struct State *s, const struct Sizes *z, const uint8_t *commands, double dt) {
    for (int v = 0; v < z->valves; v++) {
        const double *valve = c->valves + VALVE_FIELDS * v;
        double travel = valve[f_V_TRAVEL], stroke = travel > dt ? dt / travel : 1.0;
        if (commands[v]) {
            if (!s->commanded[v]) s->openings[v]++;
            s->open_time[v] += dt;
            s->position[v] = least(s->position[v] + stroke, 1.0);
        } else
            s->position[v] = most(s->position[v] - stroke, 0.0);
        s->commanded[v] = commands[v];
        double kv = valve[f_V_KV] * s->position[v];
        s->through[v] = valve[f_V_LINE] > 0.0 ? kv / sqrt(1.0 + kv * kv * valve[f_V_LINE]) : kv;
    }
}

void plant_steps(const struct Constants *c, struct State *s, const struct Sizes *z, const uint8_t *commands, double dt, int64_t n) {
    for (int64_t i = 0; i < n && s->stop[0] == f_GOING; i++) {
        move_valves(c, s, z, commands, dt);
        if (outdated(c, s, z, dt)) {
            prepare(c, s, z, dt);
            prepare_walls(c, s, z, dt);
        }
        for (int k = 0; k < z->circuits; k++) {
            for (int h = 0; h < z->headers; h++) {
                double others = 0.0;
                for (int64_t m = c->header_first[h]; m < c->header_first[h + 1]; m++)
                    if (c->valve_circuit[c->header_valve[m]] != k) others += s->flow[c->header_valve[m]];
                s->others[h] = others;
            }
            advance_circuit(c, s, z, k, dt);
        }
        advance_network(c, s, z, dt);
        s->clock[0] += dt;
    }
}
