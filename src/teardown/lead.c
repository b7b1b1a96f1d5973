#include "teardown/lead.h"

#include "teardown/air.h"

#include <math.h>

static const double jacket_w_per_m_k = 0.19; /* plasticised PVC and the like, handbook, from memory */
static const double still_k = 0.01;
const double lead_unknown_jacket_degc = 60;
enum { TURNS = 60 };

/* Of one conductor: what the solution needs and the state does not change. */
struct slice {
    double area_m2, metal_m, outside_m; /* cross-section, diameters (of a bar: perimeter / π) */
    double perimeter_m;                 /* through which it loses heat */
    double jacket_k_m_per_w;            /* of one metre */
    double dx_m, along_w_per_k;         /* to the next slice */
    int count;
};

static struct slice slice_of(const struct lead *lead)
{
    const struct gauge *gauge = &lead->gauge;
    struct slice s = {.area_m2 = gauge->area_mm2 * 1e-6, .count = gauge->parallel};
    /* Strands leave a tenth of their circle to air. */
    s.metal_m = gauge->flat ? 2e-3 * (gauge->width_mm + gauge->thickness_mm) / M_PI
                            : 2 * sqrt(s.area_m2 / (0.9 * M_PI));
    s.outside_m = s.metal_m + 2e-3 * lead->jacket_mm;
    s.jacket_k_m_per_w = log(s.outside_m / s.metal_m) / (2 * M_PI * jacket_w_per_m_k);
    if (lead->bundled && s.count > 1)
        s.outside_m *= 1.15 * sqrt(s.count); /* of the bundle: round wires fill three quarters of it */
    s.perimeter_m = M_PI * s.outside_m / (lead->bundled ? s.count : 1);
    s.dx_m = lead->length_m / LEAD_SLICES;
    s.along_w_per_k = metal_facts[lead->metal].w_per_m_k * s.area_m2 / s.dx_m;
    return s;
}

/* W/K from a metre of metal to the air, at that temperature of the metal. */
static double to_air(const struct lead *lead, const struct slice *s, double degc, double last)
{
    double outside = last * s->perimeter_m;
    double surface = lead->air_degc + (degc - lead->air_degc) / (1 + outside * s->jacket_k_m_per_w);
    double h = lead->convection * air_convection(s->outside_m, surface, lead->air_degc) +
               air_radiation(lead->emissivity, surface, lead->air_degc);
    return h;
}

/* Conductance and what it leads to at an end, for one of the parallel conductors. */
static double end_conductance(const struct lead_end *end, const struct slice *s)
{
    double joint = end->w_per_k / s->count, half = 2 * s->along_w_per_k;
    return isinf(joint) ? half : joint * half / (joint + half);
}

/* Heat made at an end spreads between the joint and the first half slice; all of it reaches the slice that is not
 * taken by the joint. */
static double end_share(const struct lead_end *end, const struct slice *s)
{
    double joint = end->w_per_k / s->count, half = 2 * s->along_w_per_k;
    return isinf(joint) ? 0 : half / (joint + half);
}

static double end_w(const struct lead_end *end, double a, const struct slice *s)
{
    return (a * a * end->ohm + end->w) / s->count;
}

/* Thomas's elimination of the slices' balance; the result goes into `degc`. */
static void balance(const struct lead *lead, const struct slice *s, double a, const double h[LEAD_SLICES],
                    double degc[LEAD_SLICES])
{
    double upper[LEAD_SLICES], right[LEAD_SLICES], each = a / s->count;
    const struct metal_facts *metal = &metal_facts[lead->metal];
    double cold = metal->ohm_mm2_per_m * 1e-6 / s->area_m2 * s->dx_m; /* ohm of a slice at 20 °C */
    for (int k = 0; k < LEAD_SLICES; k++) {
        double outside = h[k] * s->perimeter_m;
        double air = outside / (1 + outside * s->jacket_k_m_per_w) * s->dx_m;
        double joule = each * each * cold;
        double own = air - joule * metal->per_k; /* resistance rises with the slice's own temperature */
        double source = air * lead->air_degc + joule * (1 - 20 * metal->per_k);
        for (int e = 0; e < 2; e++) {
            if (k != (e == 0 ? 0 : LEAD_SLICES - 1)) {
                own += s->along_w_per_k;
                continue;
            }
            double g = end_conductance(&lead->ends[e], s);
            own += g;
            source += g * lead->ends[e].degc + end_share(&lead->ends[e], s) * end_w(&lead->ends[e], a, s);
        }
        double before = k > 0 ? s->along_w_per_k : 0, pivot = own - before * (k > 0 ? upper[k - 1] : 0);
        upper[k] = s->along_w_per_k / pivot;
        right[k] = (source + before * (k > 0 ? right[k - 1] : 0)) / pivot;
    }
    degc[LEAD_SLICES - 1] = right[LEAD_SLICES - 1];
    for (int k = LEAD_SLICES - 2; k >= 0; k--)
        degc[k] = right[k] + upper[k] * degc[k + 1];
}

static bool settle(const struct lead *lead, const struct slice *s, double a, double h[LEAD_SLICES],
                   double degc[LEAD_SLICES])
{
    double melts = metal_facts[lead->metal].melts_degc;
    double coldest = fmin(lead->air_degc, fmin(lead->ends[0].degc, lead->ends[1].degc));
    for (int k = 0; k < LEAD_SLICES; k++) {
        degc[k] = melts; /* from above: losses are then never taken for less than they will be */
        h[k] = 30;
    }
    for (int turn = 0; turn < TURNS; turn++) {
        double last[LEAD_SLICES], moved = 0;
        for (int k = 0; k < LEAD_SLICES; k++) {
            h[k] = to_air(lead, s, fmin(degc[k], melts), h[k]);
            last[k] = degc[k];
        }
        balance(lead, s, a, h, degc);
        for (int k = 0; k < LEAD_SLICES; k++) {
            if (!(degc[k] > coldest - 1)) /* resistance rises faster than it can lose heat: it runs away */
                return false;
            degc[k] = fmin(degc[k], melts);
            moved = fmax(moved, fabs(degc[k] - last[k]));
        }
        if (moved < still_k)
            break;
    }
    for (int k = 0; k < LEAD_SLICES; k++)
        if (!(degc[k] < melts))
            return false;
    return true;
}

static void sum_up(const struct lead *lead, const struct slice *s, double a, const double h[LEAD_SLICES],
                   struct lead_state *state)
{
    double each = a / s->count, metal_ohm = 0, out = 0, mean_h = 0;
    state->hottest_degc = -INFINITY;
    for (int k = 0; k < LEAD_SLICES; k++) {
        double degc = state->profile_degc[k], outside = h[k] * s->perimeter_m;
        metal_ohm += metal_resistivity(lead->metal, degc) * 1e-6 / s->area_m2 * s->dx_m;
        out += outside / (1 + outside * s->jacket_k_m_per_w) * s->dx_m * (degc - lead->air_degc);
        mean_h += h[k] / LEAD_SLICES;
        if (degc > state->hottest_degc) {
            state->hottest_degc = degc;
            state->hottest_at_m = (k + 0.5) * s->dx_m;
        }
    }
    for (int e = 0; e < 2; e++) {
        const struct lead_end *end = &lead->ends[e];
        double joint = end->w_per_k / s->count, half = 2 * s->along_w_per_k;
        double slice = state->profile_degc[e == 0 ? 0 : LEAD_SLICES - 1];
        state->end_degc[e] = isinf(joint)
                                 ? end->degc
                                 : (joint * end->degc + half * slice + end_w(end, a, s)) / (joint + half);
        if (state->end_degc[e] > state->hottest_degc) {
            state->hottest_degc = state->end_degc[e];
            state->hottest_at_m = e == 0 ? 0 : lead->length_m;
        }
        state->joints_ohm += end->ohm;
        state->w_to_ends += isinf(joint) ? half * (slice - end->degc) * s->count + end_w(end, a, s) * s->count
                                         : joint * (state->end_degc[e] - end->degc) * s->count;
    }
    state->metal_ohm = metal_ohm / s->count;
    state->drop_v = a * (state->metal_ohm + state->joints_ohm);
    state->heat_w = each * each * metal_ohm * s->count + a * a * state->joints_ohm;
    state->w_to_air = out * s->count;
    state->decay_m = sqrt(metal_facts[lead->metal].w_per_m_k * s->area_m2 / (mean_h * s->perimeter_m));
}

/* What the current makes of the surroundings. */
static struct lead warmed(const struct lead *lead, double a)
{
    struct lead warm = *lead;
    warm.air_degc += lead->air_k_per_a2 * a * a;
    for (int e = 0; e < 2; e++)
        warm.ends[e].degc += lead->ends[e].k_per_a2 * a * a;
    return warm;
}

bool lead_solve(const struct lead *cold, double a, struct lead_state *ret_state)
{
    struct lead warm = warmed(cold, a), *lead = &warm;
    struct slice s = slice_of(lead);
    struct lead_state state = {.a = a};
    double h[LEAD_SLICES];
    if (!settle(lead, &s, a, h, state.profile_degc)) {
        ret_state->a = a;
        return false;
    }
    sum_up(lead, &s, a, h, &state);
    *ret_state = state;
    return true;
}

enum lead_limit lead_closest(const struct lead_state *state, const struct lead_limits *limits, double *ret_margin_k)
{
    double margins[LEAD_NONE] = {limits->jacket_degc - state->hottest_degc, limits->end_degc[0] - state->end_degc[0],
                                 limits->end_degc[1] - state->end_degc[1]};
    enum lead_limit closest = LEAD_NONE;
    double margin_k = INFINITY;
    for (enum lead_limit k = LEAD_JACKET; k < LEAD_NONE; k++) {
        if (margins[k] < margin_k) { /* false for NaN */
            margin_k = margins[k];
            closest = k;
        }
    }
    *ret_margin_k = margin_k;
    return closest;
}

/* What burns through keeps to no limit, and `limit` stays what it was. */
static bool within(const struct lead *lead, double a, const struct lead_limits *limits, enum lead_limit *limit)
{
    struct lead_state state;
    double margin_k;
    if (!lead_solve(lead, a, &state))
        return false;
    *limit = lead_closest(&state, limits, &margin_k);
    return margin_k >= 0;
}

double lead_current(const struct lead *lead, const struct lead_limits *limits, enum lead_limit *ret_limit)
{
    double low = 0, high = 10000;
    enum lead_limit limit = LEAD_JACKET;
    bool cold = within(lead, 0, limits, &limit);
    if (cold && (limit == LEAD_NONE || within(lead, high, limits, &limit))) {
        *ret_limit = LEAD_NONE;
        return NAN;
    }
    while (cold && high - low > 1e-4 * high) {
        double middle = low > 0 ? 0.5 * (low + high) : high / 8;
        if (within(lead, middle, limits, &limit))
            low = middle;
        else
            high = middle;
    }
    *ret_limit = limit;
    return low;
}

double lead_usual_jacket_mm(double area_mm2)
{
    if (area_mm2 < 2.5)
        return fmax(0.8 - 0.2 * (2.5 - area_mm2), 0.4);
    return area_mm2 <= 10 ? 0.8 : fmin(0.8 + 1.2 * (area_mm2 - 10) / 110, 2.0);
}

struct lead lead_endless(const struct gauge *gauge, enum metal metal, double jacket_mm, double air_degc)
{
    struct lead_end open = {.degc = air_degc};
    return (struct lead){.gauge = *gauge, .metal = metal, .length_m = 1, .jacket_mm = jacket_mm, .ends = {open, open},
                         .air_degc = air_degc, .emissivity = 0.9, .convection = 1};
}
