#include "battery/mode.h"

enum { SAMPLES = 512 };

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Between the 5th and the 95th percentile, relative to the median. */
static double variation(double *x, size_t n)
{
    qsort(x, n, sizeof *x, by_size);
    double middle = fabs(x[n / 2]);
    return middle > 0 ? (x[n - 1 - n / 20] - x[n / 20]) / middle : INFINITY;
}

/* Variation with the noise's own taken out. */
static double excess(double variation, double noise)
{
    return variation > noise ? sqrt(variation * variation - noise * noise) : 0;
}

struct varies {
    double a, v, power, resistance; /* relative */
    double noise_a, noise_v;        /* what the noise alone would give */
};

static struct varies varies_of(const struct trace *trace, size_t first, size_t last)
{
    const double normal = 2 * 1.645; /* from the 5th to the 95th percentile, in standard deviations */
    double a[SAMPLES], v[SAMPLES], power[SAMPLES], resistance[SAMPLES];
    size_t n = last - first + 1, stride = (n + SAMPLES - 1) / SAMPLES, count = 0;
    for (size_t k = first; k <= last; k += stride, count++) {
        a[count] = trace->a[k];
        v[count] = trace->v != NULL ? trace->v[k] : NAN;
        power[count] = a[count] * v[count];
        resistance[count] = a[count] != 0 ? v[count] / a[count] : INFINITY;
    }
    struct varies varies = {
        .a = variation(a, count), .v = INFINITY, .power = INFINITY, .resistance = INFINITY};
    struct noise noise = noise_between(trace->t_s, trace->a, first, last);
    varies.noise_a = (normal * noise.sd + noise.step) / fabs(a[count / 2]);
    if (trace->v != NULL) {
        varies.v = variation(v, count);
        varies.power = variation(power, count);
        varies.resistance = variation(resistance, count);
        noise = noise_between(trace->t_s, trace->v, first, last);
        varies.noise_v = (normal * noise.sd + noise.step) / fabs(v[count / 2]);
    }
    return varies;
}

enum phase_mode mode_of(const struct trace *trace, size_t first, size_t last)
{
    if (last - first < 2)
        return MODE_CONSTANT_CURRENT;      /* two readings that the segmentation holds to be one level */
    const double noisy = 0.1, slack = 1.3; /* a quantile is itself uncertain */
    struct varies varies = varies_of(trace, first, last);
    if (varies.noise_a < noisy && varies.a <= slack * varies.noise_a)
        return MODE_CONSTANT_CURRENT;
    if (trace->v == NULL)
        return MODE_VARYING;
    if (varies.v <= varies.a / 10 && varies.v <= fmax(slack * varies.noise_v, varies.a / 500))
        return MODE_CONSTANT_VOLTAGE;
    double of[3] = {
        excess(varies.a, varies.noise_a),
        excess(varies.power, hypot(varies.noise_a, varies.noise_v)),
        excess(varies.resistance, hypot(varies.noise_a, varies.noise_v)),
    };
    const enum phase_mode modes[3] = {MODE_CONSTANT_CURRENT, MODE_CONSTANT_POWER, MODE_CONSTANT_RESISTANCE};
    for (int k = 0; k < 3; k++)
        if (2 * of[k] <= of[(k + 1) % 3] && 2 * of[k] <= of[(k + 2) % 3])
            return modes[k];
    return MODE_VARYING;
}

static double edge_median(const double *x, size_t first)
{
    double few[5];
    memcpy(few, x + first, sizeof few);
    qsort(few, 5, sizeof *few, by_size);
    return few[2];
}

bool mode_constant_voltage_from(const struct trace *trace, size_t first, size_t last, size_t *ret_from)
{
    enum { LEAST = 8 };
    if (trace->v == NULL || last - first < 2 * LEAST)
        return false;
    double held = edge_median(trace->v, last - 4);
    struct noise noise = noise_between(trace->t_s, trace->v, first, last);
    double slack = 4 * noise.sd + noise.step;
    size_t from = last;
    while (from > first && fabs(trace->v[from - 1] - held) <= slack)
        from--;
    if (from - first < LEAST || last - from < LEAST || mode_of(trace, from, last) != MODE_CONSTANT_VOLTAGE)
        return false;
    *ret_from = from;
    return true;
}
