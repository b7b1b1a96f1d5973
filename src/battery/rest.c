#include "battery/rest.h"

#include "numeric/stats.h"

enum { PIECE = 64, PIECES = 33, OFTEN = 4, SPARSE = 8 };
static const double coarsest_digit = 0.05; /* of the largest reading; common practice, no source */

void digit_look(const double *x, size_t n, struct digit *digit)
{
    for (size_t k = 0; k + 1 < n; k++) {
        double change = fabs(x[k + 1] - x[k]);
        if (change == 0)
            continue;
        if (digit->times == 0 || change < 0.75 * digit->step) {
            digit->step = change;
            digit->times = 0;
        }
        digit->times += change < 1.5 * digit->step;
    }
}

double digit_found(const struct digit *digit)
{
    return digit->times >= OFTEN ? digit->step : 0;
}

/* Levels between steps, without noise or digits to be seen: hardly any changes, or few and too large for digits. */
static bool only_jumps(const struct stats_noise *found, const double *x, size_t n)
{
    if (found->changes < OFTEN)
        return true;
    double largest = 0;
    for (size_t k = 0; k < n; k++)
        largest = fmax(largest, fabs(x[k]));
    return found->changes * SPARSE < n && found->step > coarsest_digit * largest;
}

struct noise noise_between(const double *t_s, const double *x, size_t first, size_t last)
{
    size_t n = last - first + 1, pieces = n <= PIECE ? 1 : n / PIECE;
    if (pieces > PIECES)
        pieces = PIECES;
    double sd[PIECES], work[PIECE];
    struct noise noise = {NAN, 0};
    struct digit digit = {0, 0};
    size_t known = 0;
    for (size_t p = 0; p < pieces; p++) {
        size_t size = n < PIECE ? n : PIECE;
        size_t at = first + (pieces > 1 ? (n - size) / (pieces - 1) * p : 0);
        struct stats_noise found = stats_noise(t_s + at, x + at, size, work);
        bool jumps = only_jumps(&found, x + at, size);
        digit_look(x + at, size, &digit);
        if (size >= 3)
            sd[known++] = jumps ? 0 : found.sd;
    }
    if (known > 0)
        noise.sd = stats_median(sd, known, work);
    noise.step = digit_found(&digit);
    return noise;
}

/* Time that readings k and k + 1 stand for, cut in the middle of the intervals beside them. */
static double weight_s(const struct trace *trace, size_t k)
{
    size_t before = k > 0 ? k - 1 : k, after = k + 1 < trace->count ? k + 1 : k;
    return (trace->t_s[after] - trace->t_s[before]) / 2;
}

struct working working_current(const struct trace *trace, const struct envelope *envelope)
{
    double charge = 0, square = 0;
    for (size_t b = 0; b < envelope->blocks; b++) {
        size_t k = b * ENVELOPE_BLOCK, end = k + ENVELOPE_BLOCK;
        double lo = envelope->lo[b], hi = envelope->hi[b];
        double level = fabs(lo + hi) / 2;
        if (end < trace->count && hi - lo <= level / 10) { /* one level throughout: no need to look closer */
            double dt = trace->t_s[end] - trace->t_s[k];
            charge += level * dt;
            square += level * level * dt;
            continue;
        }
        for (; k < end && k < trace->count; k++) {
            double a = fabs(trace->a[k]), dt = weight_s(trace, k);
            charge += a * dt;
            square += a * a * dt;
        }
    }
    return (struct working){charge > 0 ? square / charge : 0, charge};
}

/* Residuals against the neighbours' mean, where eight readings in a row stay around zero. */
static double noise_at_rest(const struct trace *trace, const struct envelope *envelope, double limit_a)
{
    enum { WINDOW = 8, MOST = 2048 };
    double size[MOST], work[MOST];
    size_t found = 0;
    for (size_t b = 0; b < envelope->blocks && found < MOST; b++) {
        if (envelope->lo[b] > limit_a || envelope->hi[b] < -limit_a)
            continue;
        size_t end = (b + 1) * ENVELOPE_BLOCK;
        for (size_t k = b * ENVELOPE_BLOCK; k + WINDOW <= end && k + WINDOW <= trace->count; k += WINDOW) {
            const double *a = trace->a + k;
            double mean = stats_mean(a, WINDOW);
            for (size_t j = 1; j + 1 < WINDOW && fabs(mean) <= limit_a && found < MOST; j++)
                size[found++] = fabs(a[j] - (a[j - 1] + a[j + 1]) / 2);
        }
    }
    /* var(x1 - (x0 + x2)/2) = 3/2 var(x); for normal noise the median size is sd / STATS_MAD_TO_SD */
    return found > 0 ? stats_median(size, found, work) * STATS_MAD_TO_SD / sqrt(1.5) : NAN;
}

enum { BINS = 128 };

/* Magnitudes of the current in equal ratios from floor to cap. */
struct histogram {
    double floor_a, ratio; /* bin k begins at floor_a · exp(k · ratio) */
    size_t count[BINS];
    double charge[BINS]; /* A·s */
};

static double bin_start(const struct histogram *histogram, int k)
{
    return histogram->floor_a * exp(k * histogram->ratio);
}

static void fill(const struct trace *trace, const struct envelope *envelope, double floor_a, double cap_a,
                 struct histogram *ret_histogram)
{
    *ret_histogram = (struct histogram){.floor_a = floor_a, .ratio = log(cap_a / floor_a) / BINS};
    for (size_t b = 0; b < envelope->blocks; b++) {
        double lo = envelope->lo[b], hi = envelope->hi[b];
        if (lo >= cap_a || hi <= -cap_a || (hi <= floor_a && lo >= -floor_a))
            continue;
        size_t end = (b + 1) * ENVELOPE_BLOCK;
        for (size_t k = b * ENVELOPE_BLOCK; k < end && k < trace->count; k++) {
            double a = fabs(trace->a[k]);
            if (a <= floor_a || a >= cap_a)
                continue;
            int bin = (int)fmin(BINS - 1, log(a / floor_a) / ret_histogram->ratio);
            ret_histogram->count[bin]++;
            ret_histogram->charge[bin] += a * weight_s(trace, k);
        }
    }
}

/* The bins empty…top - 1 hold next to nothing, and bin empty - 1 does (or there is none below). */
struct valley {
    int empty, top;
};

/* The next valley below bin `top` that is half as wide again at its top as at its bottom. */
static bool next_valley(const struct histogram *histogram, size_t few, int top, struct valley *ret_valley)
{
    for (int k = top - 1; k >= -1; k--) {
        if (k >= 0 && histogram->count[k] <= few)
            continue;
        if ((top - 1 - k) * histogram->ratio >= log(1.5)) {
            *ret_valley = (struct valley){k + 1, top};
            return true;
        }
        top = k;
    }
    return false;
}

/* Does what lies below the valley count as rest? */
static bool is_rest_below(const struct histogram *histogram, struct valley valley, size_t few,
                          double working_a, double whole_charge)
{
    double charge = 0;
    for (int k = 0; k < valley.empty; k++)
        charge += histogram->charge[k];
    if (charge > REST_CHARGE * whole_charge)
        return false;
    struct valley below;
    if (bin_start(histogram, valley.empty) < IDLE_SHARE * working_a ||
        !next_valley(histogram, few, valley.empty, &below))
        return true;
    double level = bin_start(histogram, below.top), lower = bin_start(histogram, below.empty);
    return level < IDLE_SHARE * working_a || level < IDLE_RATIO * lower;
}

struct rest_band rest_band_find(const struct trace *trace, const struct envelope *envelope,
                                struct working working, double offset_a)
{
    const double hysteresis = 1.2; /* within a valley of 1.5 */
    double cap = REST_SHARE * working.current_a;
    double noise = noise_at_rest(trace, envelope, 2 * IDLE_SHARE * working.current_a);
    double least = isnan(noise) ? noise_between(trace->t_s, trace->a, 0, trace->count - 1).sd : noise;
    double floor_a = fmax(cap / 50, 5 * (isnan(least) ? 0 : least));
    floor_a = fmax(floor_a, fmin(offset_a, IDLE_SHARE * working.current_a));
    double middle = floor_a * hysteresis;
    if (floor_a < cap) {
        struct histogram histogram;
        struct valley valley = {0, BINS};
        size_t few = trace->count / 2000;
        fill(trace, envelope, floor_a, cap, &histogram);
        middle = fmax(middle, IDLE_SHARE * working.current_a);
        for (int top = BINS; next_valley(&histogram, few, top, &valley); top = valley.empty) {
            if (is_rest_below(&histogram, valley, few, working.current_a, working.charge_c)) {
                middle = bin_start(&histogram, valley.empty) * bin_start(&histogram, valley.top);
                middle = sqrt(middle);
                break;
            }
        }
    }
    return (struct rest_band){middle * hysteresis, middle / hysteresis, isnan(noise) ? 0 : noise};
}
