#include "draw/scale.h"

#include <stdint.h>

#define MOST_STEPS 0x1p50 /* from zero to a tick, so that tick numbers are exact */

double scale_at(const struct scale *scale, double value)
{
    double span = scale->to - scale->from;
    if (span == 0)
        return isnan(value) ? value : (scale->start + scale->end) / 2;
    return scale->start + (value - scale->from) / span * (scale->end - scale->start);
}

double scale_value(const struct scale *scale, double at)
{
    double span = scale->end - scale->start;
    return span == 0 ? scale->from : scale->from + (at - scale->start) / span * (scale->to - scale->from);
}

static double step_of(int mantissa, int exponent)
{
    return exponent < 0 ? mantissa / pow(10, -exponent) : mantissa * pow(10, exponent);
}

/* A value that misses a tick by rounding alone is on it: both ends are doubles, so a relative error
 * of a few units in the last place of the larger one. */
static struct ticks place(double from, double to, int mantissa, int exponent)
{
    double step = step_of(mantissa, exponent);
    double slack = 4 * 0x1p-52 * fmax(fabs(from), fabs(to)) / step;
    double first = ceil(from / step - slack), last = floor(to / step + slack);
    struct ticks ticks = {.mantissa = mantissa, .exponent = exponent};
    if (fmax(fabs(first), fabs(last)) > MOST_STEPS) {
        ticks.count = SIZE_MAX; /* finer than doubles of this size can tell apart: too many */
        return ticks;
    }
    if (last < first)
        return ticks;
    ticks.first = (long)first;
    ticks.count = (size_t)(last - first) + 1;
    return ticks;
}

static bool has_extent(double *from, double *to)
{
    if (*from > *to) {
        double swap = *from;
        *from = *to;
        *to = swap;
    }
    return isfinite(*from) && isfinite(*to) && *from < *to;
}

struct ticks ticks_between(double from, double to, size_t most)
{
    static const int mantissas[] = {1, 2, 5};
    struct ticks ticks = {.mantissa = 1};
    if (most < 2)
        most = 2;
    if (!has_extent(&from, &to))
        return ticks;
    /* The first step tried is at most a tenth too fine, whatever the rounding of log10. */
    int exponent = (int)floor(log10((to - from) / (double)most)) - 1;
    for (;; exponent++)
        for (size_t k = 0; k < 3; k++) {
            ticks = place(from, to, mantissas[k], exponent);
            if (ticks.count <= most)
                return ticks;
        }
}

struct ticks ticks_of_time(double from_s, double to_s, size_t most)
{
    static const int steps[] = {1,   2,   5,    10,   15,   30,    60,    120,   300,
                                600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400};
    const size_t count = sizeof steps / sizeof *steps;
    struct ticks ticks = {.mantissa = 1, .time = true};
    if (most < 2)
        most = 2;
    if (!has_extent(&from_s, &to_s) || to_s - from_s > 1e9)
        return ticks;
    for (size_t k = 0;; k++) {
        int step = k < count ? steps[k] : steps[count - 1] * (int)(k - count + 2);
        ticks = place(from_s, to_s, step, 0);
        ticks.time = true;
        if (ticks.count <= most)
            return ticks;
    }
}

double tick_value(const struct ticks *ticks, size_t k)
{
    double steps = (double)(ticks->first + (long)k) * ticks->mantissa;
    return ticks->exponent < 0 ? steps / pow(10, -ticks->exponent) : steps * pow(10, ticks->exponent);
}

/* Whole numbers only, so that no locale's decimal sign can come in. */
static void print_plain(long steps, int exponent, char *buffer, size_t size)
{
    unsigned long digits = (unsigned long)labs(steps);
    if (exponent >= 0 && exponent <= 6) {
        for (int k = 0; k < exponent; k++)
            digits *= 10;
        snprintf(buffer, size, "%lu", digits);
    } else if (exponent < 0 && exponent >= -9) {
        unsigned long unit = 1;
        for (int k = 0; k < -exponent; k++)
            unit *= 10;
        snprintf(buffer, size, "%lu.%0*lu", digits / unit, -exponent, digits % unit);
    } else if (digits == 0) {
        snprintf(buffer, size, "0");
    } else {
        snprintf(buffer, size, "%lue%s%d", digits, exponent < 0 ? "−" : "", abs(exponent));
    }
}

static void print_time(long seconds, int step, char *buffer, size_t size)
{
    long s = labs(seconds);
    if (step % 60 == 0)
        snprintf(buffer, size, "%ld:%02ld", s / 3600, s / 60 % 60);
    else
        snprintf(buffer, size, "%ld:%02ld:%02ld", s / 3600, s / 60 % 60, s % 60);
}

void tick_print(const struct ticks *ticks, size_t k, const char *unit, char *buffer, size_t size)
{
    char plain[48];
    long steps = (ticks->first + (long)k) * ticks->mantissa;
    if (ticks->time)
        print_time(steps, ticks->mantissa, plain, sizeof plain);
    else
        print_plain(steps, ticks->exponent, plain, sizeof plain);
    const char *sign = steps < 0 ? "−" : steps > 0 && ticks->signed_ ? "+" : "";
    bool last = k + 1 == ticks->count && unit != NULL && *unit != '\0';
    snprintf(buffer, size, "%s%s%s%s", sign, plain, last ? "\u00a0" : "", last ? unit : "");
}

void scale_round(double *from, double *to, size_t most)
{
    if (!isfinite(*from) || !isfinite(*to))
        return;
    if (*from == *to) {
        double room = *from == 0 ? 1 : fabs(*from) / 10;
        *from -= room;
        *to += room;
    }
    struct ticks ticks = ticks_between(*from, *to, most);
    double step = step_of(ticks.mantissa, ticks.exponent);
    double low = floor(fmin(*from, *to) / step) * step, high = ceil(fmax(*from, *to) / step) * step;
    bool falls = *from > *to;
    *from = falls ? high : low;
    *to = falls ? low : high;
}
