#include "rehearsal/truth.h"

#include "base/memory.h"

#include <assert.h>

const double truth_delays_s[TRUTH_DELAYS] = {1, 10, 30};

void truth_clear(struct truth *truth)
{
    *truth = (struct truth){.intervals = truth->intervals, .capacity = truth->capacity};
}

void truth_free(struct truth *truth)
{
    free(truth->intervals);
    *truth = (struct truth){0};
}

void truth_reserve(struct truth *truth, size_t intervals)
{
    if (intervals < truth->capacity)
        return;
    truth->capacity = intervals + 1;
    truth->intervals = memory_resize(truth->intervals, truth->capacity, sizeof *truth->intervals);
}

static double parabola(const struct truth_interval *k, double part)
{
    double b = 4 * k->mid_v - 3 * k->start_v - k->end_v, c = 2 * (k->start_v + k->end_v) - 4 * k->mid_v;
    return k->start_v + part * (b + part * c);
}

/* Mean volts over the first `part` of the interval, times that part. */
static double parabola_sum(const struct truth_interval *k, double part)
{
    double b = 4 * k->mid_v - 3 * k->start_v - k->end_v, c = 2 * (k->start_v + k->end_v) - 4 * k->mid_v;
    return part * (k->start_v + part * (b / 2 + part * c / 3));
}

static struct truth_point point_in(const struct truth_interval *k, double part)
{
    double length_s = k[1].t_s - k->t_s;
    double sum_vs = parabola_sum(k, part) * length_s;
    double ripple_wh = part * (k[1].ripple_wh - k->ripple_wh);
    return (struct truth_point){
        .v = parabola(k, part),
        .a = k->a,
        .degc = k->degc + part * (k[1].degc - k->degc),
        .sensor_degc = k->sensor_degc + part * (k[1].sensor_degc - k->sensor_degc),
        .charge_ah = k->charge_ah + k->a * part * length_s / 3600,
        .energy_wh = k->energy_wh + k->a * sum_vs / 3600 - ripple_wh,
        .ripple_wh = k->ripple_wh + ripple_wh,
        .volt_s = k->volt_s + sum_vs,
    };
}

struct truth_point truth_at(const struct truth *truth, double t_s, size_t *cursor)
{
    assert(truth->count > 0);
    const struct truth_interval *all = truth->intervals;
    size_t k = *cursor < truth->count ? *cursor : truth->count - 1;
    while (k + 1 < truth->count && all[k + 1].t_s <= t_s)
        k++;
    while (k > 0 && all[k].t_s > t_s)
        k--;
    *cursor = k;
    double part = (t_s - all[k].t_s) / (all[k + 1].t_s - all[k].t_s);
    return point_in(&all[k], fmin(fmax(part, 0), 1));
}

struct truth_passed truth_below(const struct truth *truth, double v)
{
    for (size_t i = 0; i < truth->count; i++) {
        const struct truth_interval *k = &truth->intervals[i];
        if (k->a <= 0 || fmin(k->start_v, k->end_v) >= v)
            continue;
        double part = k->start_v < v ? 0 : (k->start_v - v) / (k->start_v - k->end_v);
        struct truth_point at = point_in(k, part);
        return (struct truth_passed){k->t_s + part * (k[1].t_s - k->t_s), at.charge_ah, at.energy_wh};
    }
    return (struct truth_passed){NAN, NAN, NAN};
}

struct truth_point truth_at_charge(const struct truth *truth, size_t from, double ah)
{
    for (size_t i = from; i < truth->count; i++) {
        const struct truth_interval *k = &truth->intervals[i];
        if (k->charge_ah <= ah && ah <= k[1].charge_ah && k->a > 0)
            return point_in(k, (ah - k->charge_ah) / (k[1].charge_ah - k->charge_ah));
    }
    return (struct truth_point){NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
}
