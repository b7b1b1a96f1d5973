#include "battery/charge_parts.h"

#include "numeric/linefit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { BINS = 256, TAIL = 5, DIPS = 2, ENDS = 3 }; /* ENDS: standard deviations */
static const double bin_width = 0.02;   /* of a current's logarithm: 256 of them reach down to a 170th of the peak */
static const double still_in = 0.8;     /* share of the time between its ends that a level lasts */
static const double no_trend = 0.5;     /* of LEVEL_BAND, between the first and the last third */
static const double returns = 0.1;      /* of the current before: what it may come back by */
static const double mixed = 0.9;        /* a last reading lower than that beside the one before has caught the stop */

static double amps(const struct charge_readings *r, size_t k)
{
    return -r->a[k];
}

/* How long reading k stands for. */
static double width_s(const struct charge_readings *r, size_t k)
{
    double before = k > 0 ? r->t_s[k] - r->t_s[k - 1] : 0, after = k + 1 < r->count ? r->t_s[k + 1] - r->t_s[k] : 0;
    return (before + after) / 2;
}

static double peak_of(const struct charge_readings *r)
{
    double peak = 0;
    for (size_t k = 0; k < r->count; k++)
        peak = amps(r, k) > peak ? amps(r, k) : peak; /* passes over NaN */
    return peak;
}

/* Seconds and charge spent at each current; bin 0 is the peak. */
struct histogram {
    double peak_a, seconds[BINS], charge_c[BINS];
};

static void fill(const struct charge_readings *r, struct histogram *h)
{
    *h = (struct histogram){.peak_a = peak_of(r)};
    for (size_t k = 0; k < r->count; k++) {
        double a = amps(r, k);
        if (!(a > 0))
            continue;
        double bin = log(h->peak_a / a) / bin_width;
        if (bin < BINS) {
            h->seconds[(size_t)bin] += width_s(r, k);
            h->charge_c[(size_t)bin] += a * width_s(r, k);
        }
    }
}

static struct charge_stretch mean_of(const struct charge_readings *r, size_t first, size_t last, double lo, double hi)
{
    struct charge_stretch s = {.found = true, .first = first, .last = last, .a_scatter = NAN};
    double n = 0, about = NAN, sum = 0, square = 0; /* about the first of them, so that no digits are lost */
    for (size_t k = first; k <= last; k++) {
        double a = amps(r, k);
        if (!(a >= lo && a <= hi))
            continue;
        about = n == 0 ? a : about;
        sum += a - about;
        square += (a - about) * (a - about);
        n++;
    }
    s.found = n > 0;
    if (n > 0)
        s.a = about + sum / n;
    if (n > 1)
        s.a_scatter = sqrt(fmax(square - sum * sum / n, 0) / (n - 1));
    return s;
}

/* Without what comes and goes at its ends, by the scatter of its middle: a current that has begun to die away is within the
 * band for a while. */
static struct charge_stretch without_ends(const struct charge_readings *r, const struct charge_stretch *s, double lo, double hi)
{
    size_t third = (s->last - s->first) / 3, first = s->first, last = s->last;
    struct charge_stretch middle = mean_of(r, first + third / 2, last - third, lo, hi);
    if (!middle.found || !isfinite(middle.a_scatter))
        return *s;
    double least = middle.a * (1 - 1e-6) - ENDS * middle.a_scatter;
    while (last > middle.last && !(amps(r, last) >= least))
        last--;
    while (first < middle.first && !(amps(r, first) >= least))
        first++;
    return mean_of(r, first, last, lo, hi);
}

/* No trend from the first third to the last: a current that dies away passes through a band, it does not stay in it. */
static bool steady(const struct charge_readings *r, const struct charge_stretch *s, double lo, double hi)
{
    size_t third = (s->last - s->first) / 3;
    struct charge_stretch begin = mean_of(r, s->first, s->first + third, lo, hi);
    struct charge_stretch end = mean_of(r, s->last - third, s->last, lo, hi);
    return begin.found && end.found && fabs(begin.a - end.a) <= no_trend * LEVEL_BAND * s->a;
}

static struct charge_stretch find_level(const struct charge_readings *r, const struct histogram *h)
{
    struct charge_stretch none = {.found = false};
    int best = 0;
    double most = 0;
    for (int k = 0; k + 2 < BINS; k++) {
        double charge = h->charge_c[k] + h->charge_c[k + 1] + h->charge_c[k + 2];
        if (charge > most * 1.0001) /* of equals the highest current */
            most = charge, best = k;
    }
    if (!(most > 0))
        return none;
    double a = h->peak_a * exp(-bin_width * (best + 1.5)), inside_s = 0;
    double lo = a * (1 - LEVEL_BAND), hi = a * (1 + LEVEL_BAND);
    size_t first = r->count, last = 0;
    for (size_t k = 0; k < r->count; k++) {
        if (!(amps(r, k) >= lo && amps(r, k) <= hi))
            continue;
        first = first < k ? first : k;
        last = k;
        inside_s += width_s(r, k);
    }
    if (last - first < (r->by_eye ? 1 : 2) || !(inside_s >= still_in * (r->t_s[last] - r->t_s[first])))
        return none;
    struct charge_stretch level = mean_of(r, first, last, lo, hi);
    return steady(r, &level, lo, hi) ? without_ends(r, &level, lo, hi) : none;
}

static struct charge_stretch find_highest(const struct charge_readings *r, const struct histogram *h)
{
    struct charge_stretch best = {.found = false};
    double least_s = fmin(HELD_LEAST_S, 0.5 * (r->t_s[r->count - 1] - r->t_s[0])), sum_s = 0, longest_s = -1;
    int bin = 0;
    while (bin < BINS && !((sum_s += h->seconds[bin]) >= least_s && sum_s > 0))
        bin++;
    if (bin == BINS)
        return best;
    double lo = h->peak_a * exp(-bin_width * (bin + 1)) * (1 - LEVEL_BAND);
    for (size_t k = 0; k < r->count; k++) {
        size_t first = k;
        while (k < r->count && amps(r, k) >= lo)
            k++;
        if (k > first && r->t_s[k - 1] - r->t_s[first] > longest_s) {
            longest_s = r->t_s[k - 1] - r->t_s[first];
            best.first = first, best.last = k - 1;
        }
    }
    return longest_s >= 0 ? without_ends(r, &best, lo, INFINITY) : best;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median_v(const struct charge_readings *r, size_t first, size_t last)
{
    double few[TAIL];
    size_t n = 0;
    for (size_t k = last + 1; k-- > first && n < TAIL;)
        if (isfinite(r->v[k]))
            few[n++] = r->v[k];
    if (n == 0)
        return NAN;
    qsort(few, n, sizeof *few, by_size);
    return few[n / 2];
}

/* The highest volts that two readings agree on, one below the other; by eye the highest. */
static double top_of(const struct charge_readings *r)
{
    double top = NAN, last = NAN;
    for (size_t k = 0; k < r->count; k++) {
        if (!isfinite(r->v[k]))
            continue;
        double v = r->by_eye || isnan(last) ? r->v[k] : fmin(r->v[k], last);
        if (!(top >= v))
            top = v;
        last = r->v[k];
    }
    return top;
}

/* The current at the last reading, by the line through the few before it: it is dying away. */
static void take_end(const struct charge_readings *r, struct charge_stretch *tail)
{
    double t[TAIL], a[TAIL], u;
    size_t n = 0;
    for (size_t k = tail->first; k <= tail->last && n < TAIL; k++)
        if (amps(r, k) >= 0)
            t[n] = r->t_s[k] - r->t_s[tail->last], a[n++] = amps(r, k);
    struct linefit line;
    if (n < 3 || linefit(t, a, NULL, n, &line) != ANSWER_OK)
        return;
    tail->a = linefit_at(&line, 0, &u);
    tail->a_scatter = u;
    tail->a_dof = line.dof;
    tail->unseen_a = fabs(line.slope) * (r->t_s[tail->last] - r->t_s[tail->last - 1]);
}

/* The last readings of first…last, without those in which a meter's averaging has caught the stop. */
static struct charge_stretch tail_of(const struct charge_readings *r, size_t first, size_t last)
{
    for (int taken = 0; taken < 2 && last > first && !r->by_eye; taken++, last--)
        if (!(amps(r, last) < mixed * amps(r, last - 1)))
            break;
    size_t from = r->by_eye || last - first < TAIL ? last : last + 1 - TAIL;
    while (from > first && isnan(r->a[from]))
        from--;
    struct charge_stretch tail = mean_of(r, from, last, 0, INFINITY);
    take_end(r, &tail);
    return tail;
}

/* Back from the last reading near the top, over no more than DIPS readings lower in a row. */
static size_t held_from(const struct charge_readings *r, size_t last, double least_v)
{
    size_t first = last, dips = 0;
    for (size_t k = last; k-- > 0;) {
        if (isnan(r->v[k]))
            continue;
        if (r->v[k] >= least_v)
            first = k, dips = 0;
        else if (++dips > DIPS || r->by_eye)
            break;
    }
    return first;
}

/* The current goes down and stays down, but for DIPS readings; the sun comes and goes. */
static bool dies_away(const struct charge_readings *r, size_t first, size_t last, double before_a)
{
    double least = before_a;
    size_t higher = 0;
    for (size_t k = first; k <= last; k++) {
        if (isnan(r->a[k]))
            continue;
        least = fmin(least, amps(r, k));
        higher = amps(r, k) > least + returns * before_a ? higher + 1 : 0;
        if (higher > DIPS || (higher > 0 && r->by_eye))
            return false;
    }
    return true;
}

static void find_held(const struct charge_readings *r, struct charge_parts *parts)
{
    double least_v = parts->top_v * (1 - HELD_SHARE);
    size_t last = r->count - 1;
    while (last > 0 && !(r->v[last] >= least_v))
        last--;
    if (!(r->v[last] >= least_v))
        return;
    size_t first = held_from(r, last, least_v);
    double before_a = 0; /* the highest in it, and just before it */
    for (size_t k = first > 0 ? first - 1 : first; k <= last; k++)
        before_a = fmax(before_a, amps(r, k));
    struct charge_stretch tail = tail_of(r, first, last);
    if (!tail.found || !(tail.a <= TAPERED * before_a))
        return;
    if (parts->level.found && parts->level.last >= first && parts->level.last < last)
        first = parts->level.last + 1;
    if (last - first < (r->by_eye ? 0 : TAIL) || !dies_away(r, first, last, before_a))
        return;
    parts->held = tail;
    parts->held.first = first, parts->held.last = last;
    parts->tail = tail;
    parts->held_v = median_v(r, first, last);
}

void charge_parts_find(const struct charge_readings *readings, struct charge_parts *ret_parts)
{
    struct charge_parts parts = {.held_v = NAN, .top_v = NAN};
    if (readings->count > 0 && peak_of(readings) > 0) {
        struct histogram histogram;
        fill(readings, &histogram);
        parts.level = find_level(readings, &histogram);
        parts.highest = find_highest(readings, &histogram);
        parts.tail = tail_of(readings, 0, readings->count - 1);
        parts.top_v = top_of(readings);
        find_held(readings, &parts);
    }
    *ret_parts = parts;
}
