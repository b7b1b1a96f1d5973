#include "claims/rates.h"

#include "base/memory.h"

/* One that was shown not to have been full tells nothing of how the rate moves what a full one gives. */
static bool is_whole(const struct findings *f)
{
    return f->has_test && measure_known(&f->test_ah) && !f->beginning_unseen && f->full_before != 0;
}

static const struct capacity *capacity_to(const struct findings *f, double cut_off_v)
{
    for (size_t k = 0; k < f->capacity_count; k++) {
        const struct capacity *one = &f->capacities[k];
        if (one->asked && one->reached && one->cut_off_v == cut_off_v && measure_known(&one->charge_ah))
            return one;
    }
    return NULL;
}

/* The lowest asked cut-off that the most tests reached, two at least; NaN. */
static double common_cut_off(const struct record *records, size_t count)
{
    double best_v = NAN;
    size_t best = 1;
    for (size_t r = 0; r < count; r++) {
        const struct findings *f = &records[r].findings;
        for (size_t k = 0; k < f->capacity_count; k++) {
            double v = f->capacities[k].cut_off_v;
            size_t reached = 0;
            for (size_t j = 0; j < count; j++)
                reached += is_whole(&records[j].findings) && capacity_to(&records[j].findings, v) != NULL;
            if (reached > best || (reached == best && v < best_v))
                best = reached, best_v = v;
        }
    }
    return best_v;
}

static const struct ending *ending_of(const struct findings *f)
{
    return &f->runs[f->test_last_run].ended;
}

static bool is_empty(const struct findings *f)
{
    return is_whole(f) && ending_of(f)->low;
}

/* Whether the nearly empty tests ended alike; else from where to where. */
static bool ends_alike(const struct record *records, size_t count, double *ret_lo, double *ret_hi)
{
    bool all_bms = true;
    *ret_lo = INFINITY, *ret_hi = 0;
    for (size_t r = 0; r < count; r++) {
        if (!is_empty(&records[r].findings))
            continue;
        const struct ending *ended = ending_of(&records[r].findings);
        all_bms = all_bms && ended->by == ENDED_BMS;
        *ret_lo = fmin(*ret_lo, ended->end_v.value);
        *ret_hi = fmax(*ret_hi, ended->end_v.value);
    }
    return all_bms || *ret_hi - *ret_lo <= ENDS_ALIKE * *ret_hi;
}

static double unshared_u(const struct measure *measure)
{
    double square = 0;
    for (int k = 0; k < measure->count; k++)
        square += measure->parts[k].source == 0 ? measure->parts[k].u * measure->parts[k].u : 0;
    return sqrt(square);
}

static struct rate_point point_of(const struct record *record, const struct measure *charge_ah)
{
    const struct findings *f = &record->findings;
    double start = record->by_eye ? record->sightings.start_utc_s : record->log.series.start_utc_s;
    return (struct rate_point){
        .mean_a = f->test_mean_a,
        .duration_s = charge_ah->value / f->test_mean_a * 3600, /* under load */
        .charge_ah = charge_ah->value,
        .degc = f->test_degc,
        .order = start + f->test_start_s,
        .u_charge_ah = unshared_u(charge_ah),
    };
}

static int collect(const struct record *records, size_t count, double cut_off_v, struct rate_point *points)
{
    int found = 0;
    for (size_t r = 0; r < count; r++) {
        const struct findings *f = &records[r].findings;
        const struct capacity *to = isnan(cut_off_v) ? NULL : capacity_to(f, cut_off_v);
        if (isnan(cut_off_v) ? is_empty(f) : is_whole(f) && to != NULL)
            points[found++] = point_of(&records[r], to != NULL ? &to->charge_ah : &f->test_ah);
    }
    return found;
}

static void say_left_out(size_t tests, struct peukert *peukert)
{
    size_t used = strlen(peukert->words);
    if ((size_t)peukert->points < tests)
        snprintf(peukert->words + used, sizeof peukert->words - used,
                 "; %zu of %zu tests left out, which were not full before or did not go from a beginning that was seen to the same end",
                 tests - (size_t)peukert->points, tests);
}

struct peukert rates_fit(const struct record *records, size_t count)
{
    struct rate_point *points = memory_get((count + 1) * sizeof *points);
    double cut_off_v = common_cut_off(records, count), lo, hi;
    int found = collect(records, count, cut_off_v, points);
    struct peukert peukert;
    if (found >= 2 && isnan(cut_off_v) && !ends_alike(records, count, &lo, &hi)) {
        peukert = (struct peukert){.points = found, .confounded = true, .capacity_at_1a_ah = NAN};
        snprintf(peukert.words, sizeof peukert.words,
                 "the discharges ended at different volts, %.4g V to %.4g V: --cut-off brings them to one", lo, hi);
        peukert.exponent = measure_unknown("%.180s", peukert.words);
    } else {
        peukert = peukert_fit(points, found);
    }
    size_t tests = 0;
    for (size_t r = 0; r < count; r++)
        tests += records[r].findings.has_test;
    say_left_out(tests, &peukert);
    free(points);
    return peukert;
}
