#include "battery/burst_base.h"

#include "numeric/integrate.h"
#include "numeric/regress.h"
#include "numeric/stats.h"

enum { PIECES = 96, ROWS = 2 * PIECES, LEAST_PIECES = 6, TAUS = 14 };

/* A mean of a few readings: charge since the burst began, time since it ended (below 0 before it). */
struct bin {
    double q, s, v, weight; /* weight: root of the number of readings */
};

static double held(const struct trace *trace, const struct phase *phase, bool energy)
{
    size_t f = phase->first, l = phase->last;
    double ends = (trace->t_s[f] - phase->start_s) * trace->a[f] * (energy ? trace->v[f] : 1) +
                  (phase->end_s - trace->t_s[l]) * trace->a[l] * (energy ? trace->v[l] : 1);
    const double *t = trace->t_s + f, *a = trace->a + f;
    return ends +
           (energy ? integrate_product(t, a, trace->v + f, l - f + 1) : integrate_linear(t, a, l - f + 1));
}

double burst_charge_c(const struct trace *trace, const struct phase *phase)
{
    return held(trace, phase, false);
}

double burst_energy_j(const struct trace *trace, const struct phase *phase)
{
    return held(trace, phase, true);
}

/* Pieces of readings from the burst outwards, each a sixth longer than the one before. `step` +1 goes
 * forward from reading `from` as far as `to`, -1 backward. q and s are those of the edge of the burst. */
static size_t bin_outwards(const struct trace *trace, size_t from, size_t to, int step, double edge_s,
                           double q, double s, struct bin bins[PIECES])
{
    const double *t = trace->t_s, *a = trace->a;
    double at = edge_s, amps = a[from], length = 1;
    size_t count = 0;
    for (size_t k = from; count < PIECES;) {
        struct bin bin = {0};
        double n = 0;
        while (n < length) {
            q += (t[k] - at) * (amps + a[k]) / 2;
            at = t[k];
            amps = a[k];
            bin.q += q;
            bin.s += s + (t[k] - edge_s);
            bin.v += trace->v[k];
            n++;
            if (k == to)
                break;
            k = step > 0 ? k + 1 : k - 1;
        }
        bins[count++] = (struct bin){bin.q / n, bin.s / n, bin.v / n, sqrt(n)};
        if (k == to)
            break;
        length *= 7.0 / 6;
    }
    return count;
}

/* The last reading of first…last within `seconds` of edge_s, forward or backward. */
static size_t within(const struct trace *trace, size_t from, size_t to, double edge_s, double seconds)
{
    size_t k = from;
    while (k != to && fabs(trace->t_s[from < to ? k + 1 : k - 1] - edge_s) <= seconds)
        k = from < to ? k + 1 : k - 1;
    return k;
}

static void fill_rows(const struct bin *bins, size_t count, const struct burst_base *base, double q_scale,
                      double *x, double *y)
{
    int terms = base->powers + 2;
    for (size_t k = 0; k < count; k++) {
        double power = bins[k].weight;
        for (int p = 0; p < base->powers; p++, power *= bins[k].q / q_scale)
            x[k * (size_t)terms + (size_t)p] = power;
        for (int e = 0; e < 2; e++)
            x[k * (size_t)terms + (size_t)(base->powers + e)] =
                bins[k].s > 0 ? bins[k].weight * exp(-bins[k].s / base->tau_s[e]) : 0;
        y[k] = bins[k].weight * bins[k].v;
    }
}

/* Least squares for the time constants in ret_base; the coefficients are those of q itself afterwards. */
static bool solve(const struct bin *bins, size_t count, double q_scale, struct burst_base *base)
{
    double x[ROWS * BASE_TERMS], y[ROWS], rest[ROWS];
    size_t terms = (size_t)base->powers + 2;
    struct regress fit;
    fill_rows(bins, count, base, q_scale, x, y);
    if (regress(x, y, count, terms, base->term, base->covariance, &fit) != ANSWER_OK || !(fit.dof > 0))
        return false;
    for (size_t k = 0; k < count; k++) {
        rest[k] = y[k];
        for (size_t p = 0; p < terms; p++)
            rest[k] -= x[k * terms + p] * base->term[p];
    }
    double lag = fmin(0.9, fmax(0, stats_lag1(rest, count)));
    base->spread = sqrt((1 + lag) / (1 - lag));
    base->residual_sd = fit.residual_sd;
    base->dof = fit.dof;
    for (size_t p = 0; p < terms; p++) {
        double one = p < (size_t)base->powers ? pow(q_scale, -(double)p) : 1;
        base->term[p] *= one;
        for (size_t r = 0; r < terms; r++) {
            base->covariance[p * terms + r] *= one;
            base->covariance[r * terms + p] *= one;
        }
    }
    return true;
}

/* Keeps the better of what is there and a fit with these time constants. */
static void better(const struct bin *bins, size_t count, double q_scale, double fast_s, double slow_s,
                   struct burst_base *best)
{
    struct burst_base one = *best;
    one.tau_s[0] = fast_s;
    one.tau_s[1] = slow_s;
    if (fast_s < slow_s && slow_s <= best->window_s / 2 && solve(bins, count, q_scale, &one) &&
        one.residual_sd < best->residual_sd)
        *best = one;
}

/* The pairs of a grid, then ever closer around the best. */
static bool search(const struct bin *bins, size_t count, double q_scale, double shortest_s,
                   struct burst_base *base)
{
    struct burst_base best = *base;
    best.residual_sd = INFINITY;
    for (int slow = 1; slow < TAUS; slow++)
        for (int fast = 0; fast < slow; fast++)
            better(bins, count, q_scale, shortest_s * pow(2, fast), shortest_s * pow(2, slow), &best);
    if (!isfinite(best.residual_sd))
        return false;
    for (int halvings = 1; halvings <= 3; halvings++) { /* half an octave, a quarter, an eighth */
        double fast_s = best.tau_s[0], slow_s = best.tau_s[1], ratio = pow(2, ldexp(1, -halvings));
        for (int f = -1; f <= 1; f++)
            for (int s = -1; s <= 1; s++)
                better(bins, count, q_scale, fast_s * pow(ratio, f), slow_s * pow(ratio, s), &best);
    }
    *base = best;
    base->cramped = best.tau_s[1] > 0.8 * best.window_s / 2;
    return true;
}

double burst_base_window_s(const struct phase *burst)
{
    return fmax(4 * (burst->end_s - burst->start_s), 1200);
}

bool burst_base_fit(const struct trace *trace, const struct phase *burst, double window_s, int powers,
                    struct burst_base *ret_base)
{
    const struct phase *before = burst - 1, *after = burst + 1;
    double length = burst->end_s - burst->start_s, q = burst_charge_c(trace, burst);
    size_t first = after->first + (after->first < after->last); /* the first reading may be a mixture */
    struct bin bins[ROWS];
    double back_s = fmin(fmax(2 * length, 600), window_s);
    size_t from = within(trace, before->last, before->first, burst->start_s, back_s);
    size_t to = within(trace, first, after->last, burst->end_s, window_s);
    size_t count = bin_outwards(trace, before->last, from, -1, burst->start_s, 0, -length, bins);
    size_t later = bin_outwards(trace, first, to, 1, burst->end_s, q, 0, bins + count);
    if (count < LEAST_PIECES || later < LEAST_PIECES)
        return false;
    struct burst_base base = {.powers = powers, .window_s = trace->t_s[to] - burst->end_s};
    base.after_a = integrate_linear(trace->t_s + first, trace->a + first, to - first + 1) /
                   (trace->t_s[to] - trace->t_s[first]);
    double spacing = base.window_s / (double)(to - first + 1);
    if (!search(bins, count + later, fmax(q, fabs(bins[count - 1].q)), fmax(1, spacing), &base))
        return false;
    *ret_base = base;
    return true;
}

/* weightᵀ term, and its u from weightᵀ covariance weight. */
static double combine(const struct burst_base *base, const double weight[BASE_TERMS], double *ret_u)
{
    double value = 0, square = 0;
    int terms = base->powers + 2;
    for (int p = 0; p < terms; p++) {
        value += weight[p] * base->term[p];
        for (int r = 0; r < terms; r++)
            square += weight[p] * weight[r] * base->covariance[p * terms + r];
    }
    *ret_u = base->spread * sqrt(fmax(0, square));
    return value;
}

double burst_base_at(const struct burst_base *base, double q, double *ret_u)
{
    double weight[BASE_TERMS] = {0};
    for (int p = 0; p < base->powers; p++)
        weight[p] = pow(q, p);
    return combine(base, weight, ret_u);
}

double burst_base_energy_j(const struct burst_base *base, double q, double *ret_u)
{
    double weight[BASE_TERMS];
    for (int p = 0; p < base->powers; p++)
        weight[p] = pow(q, p + 1) / (p + 1);
    for (int e = 0; e < 2; e++) /* V = base + A exp(-s / tau), A below zero */
        weight[base->powers + e] =
            -base->after_a * base->tau_s[e] * (1 - exp(-base->window_s / base->tau_s[e]));
    return combine(base, weight, ret_u);
}

double burst_base_missing_v(const struct burst_base *base, double s)
{
    const double *sag = base->term + base->powers;
    return -(sag[0] * exp(-s / base->tau_s[0]) + sag[1] * exp(-s / base->tau_s[1]));
}

double burst_base_joined_s(const struct burst_base *base, double volts)
{
    enum { LOOKS = 512 };
    double joined = 0;
    for (int k = 0; k <= LOOKS; k++) { /* the last moment at which more is missing */
        double s = base->window_s * k * k / (LOOKS * LOOKS);
        if (burst_base_missing_v(base, s) > volts)
            joined = k < LOOKS ? s : NAN;
    }
    return joined;
}
