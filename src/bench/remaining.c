#include "bench/remaining.h"

#include <stddef.h>

/* Capacity over rating: how many in a hundred lie below. 95 of 100 lie between 0.84 and 1.07, as evenly as
 * nobody knows better; the others may be anything. Common practice, no source. */
static const struct {
    double ratio, below;
} prior[] = {{0, 0}, {0.5, 0.006}, {0.84, 0.025}, {1.07, 0.975}, {1.25, 0.996}, {2, 1}};
enum { PRIORS = sizeof prior / sizeof *prior };

static const double most_unrated = 4; /* times what has passed, where nothing is rated */
static const double unrated = 1.5;     /* likewise, what it is then taken for where the volts lie on the plateau */
static const double plateau_left = 0.2; /* part of the charge with more than which left no knee has begun */

/* By the part r of the charge that is left: how far the cell has to fall yet and how steeply it does, both in
 * units of the fall from the plateau to the cut-off (slope: for all its charge). `slope_u` is the standard
 * deviation of ln(slope + plateau_slope). */
static const struct shape {
    double r, level, slope, slope_u;
} shape[] = {
    {0.000, 0.00, 18.0, 0.45}, {0.005, 0.10, 16.0, 0.42}, {0.010, 0.18, 13.5, 0.38}, {0.020, 0.32, 10.7, 0.30},
    {0.030, 0.42, 8.5, 0.26},  {0.040, 0.50, 6.8, 0.24},  {0.050, 0.56, 5.4, 0.24},  {0.060, 0.61, 4.6, 0.24},
    {0.080, 0.69, 3.6, 0.26},  {0.100, 0.76, 3.0, 0.28},  {0.120, 0.82, 2.2, 0.32},  {0.150, 0.87, 1.2, 0.40},
    {0.200, 0.91, 0.5, 0.42},  {0.300, 0.96, 0.5, 0.42},  {0.400, 1.00, 0.5, 0.42},  {0.700, 1.04, 0.5, 0.42},
    {1.000, 1.09, 0.5, 0.42},
};
enum { SHAPES = sizeof shape / sizeof *shape };
static const double plateau_slope = 0.5;                   /* slopes below it are all one */
static const double level_u = 0.105, unsettled_level_u = 0.3;

static size_t shape_before(double r)
{
    size_t k = 0;
    while (k + 2 < SHAPES && shape[k + 1].r <= r)
        k++;
    return k;
}

static struct shape shape_at(double r)
{
    r = fmin(fmax(r, 0), 1);
    size_t k = shape_before(r);
    const struct shape *a = &shape[k], *b = &shape[k + 1];
    double part = (r - a->r) / (b->r - a->r);
    return (struct shape){r, a->level + part * (b->level - a->level), a->slope + part * (b->slope - a->slope),
                          a->slope_u + part * (b->slope_u - a->slope_u)};
}

double remaining_level(double r)
{
    return shape_at(r).level;
}

double remaining_mean_level(double r)
{
    double area = 0;
    r = fmin(fmax(r, 0), 1);
    for (size_t k = 0; k + 1 < SHAPES && shape[k].r < r; k++) {
        struct shape end = shape_at(fmin(r, shape[k + 1].r));
        area += (end.r - shape[k].r) * (shape[k].level + end.level) / 2;
    }
    return r > 0 ? area / r : 0;
}

double remaining_left_at(double level)
{
    size_t k = 0;
    while (k + 2 < SHAPES && shape[k + 1].level < level)
        k++;
    double part = (level - shape[k].level) / (shape[k + 1].level - shape[k].level);
    return shape[k].r + fmin(fmax(part, 0), 1) * (shape[k + 1].r - shape[k].r);
}

static double prior_below(double ratio)
{
    size_t k = 0;
    if (!(ratio < prior[PRIORS - 1].ratio))
        return 1;
    while (k + 2 < PRIORS && prior[k + 1].ratio <= ratio)
        k++;
    double part = (ratio - prior[k].ratio) / (prior[k + 1].ratio - prior[k].ratio);
    return prior[k].below + fmax(part, 0) * (prior[k + 1].below - prior[k].below);
}

/* Of the capacities between two bounds. What a cut-off above empty leaves in the cells is not had; the meter's gain shifts the whole scale by an unknown part, taken as
 * five equally likely ones (the means of the fifths of a normal distribution). */
static double prior_share(const struct remaining_seen *seen, double lo_ah, double hi_ah)
{
    enum { FIFTHS = 5 };
    static const double fifths[FIFTHS] = {-1.40, -0.53, 0, 0.53, 1.40};
    if (isnan(seen->rated_ah))
        return log(hi_ah / lo_ah);
    double share = 0, left = 0;
    if (seen->cut_off_over_empty_v > 0 && seen->plateau_v > 0)
        left = remaining_left_at(seen->cut_off_over_empty_v / (seen->plateau_v + seen->cut_off_over_empty_v));
    for (size_t k = 0; k < FIFTHS; k++) {
        double rated_ah = seen->rated_ah * (1 - left) * (1 + fifths[k] * seen->gain_u);
        share += prior_below(hi_ah / rated_ah) - prior_below(lo_ah / rated_ah);
    }
    return share / FIFTHS;
}

/* ln of how well a slope goes with an end at that charge. Anywhere on the plateau it goes as well as anywhere
 * else: only where the knee would have to be does it tell one end from another. */
static double slope_goes_with(const struct remaining_seen *seen, double end_ah)
{
    double r = (end_ah - seen->slope_at_ah) / end_ah;
    double usual_ah = isnan(seen->rated_ah) ? unrated * seen->passed_ah : seen->rated_ah;
    double per_fall = (r < plateau_left ? end_ah : usual_ah) / seen->plateau_v;
    double slope = plateau_slope + fmax(0, seen->slope_v_per_ah) * per_fall;
    struct shape at = shape_at(fmin(r, plateau_left));
    double u = hypot(at.slope_u, seen->slope_u * per_fall / slope);
    double off = log(slope / (plateau_slope + at.slope)) / u;
    return -off * off / 2 - log(u);
}

static double goes_with(const struct remaining_seen *seen, double end_ah)
{
    double fit = 0;
    if (!(seen->plateau_v > 0))
        return 0;
    if (!isnan(seen->slope_v_per_ah))
        fit += slope_goes_with(seen, end_ah);
    if (!isnan(seen->level_v)) {
        double r = (end_ah - seen->level_at_ah) / end_ah;
        double level = fmin(seen->level_v / seen->plateau_v, 1);
        double off = (level - fmin(remaining_level(r), 1)) / (seen->settled ? level_u : unsettled_level_u);
        fit -= off * off / 2;
    }
    return fit;
}

void remaining_find(const struct remaining_seen *seen, struct remaining *ret_remaining)
{
    double q = seen->passed_ah;
    double most = isnan(seen->rated_ah) ? most_unrated * q : fmax(prior[PRIORS - 1].ratio * seen->rated_ah, 1.2 * q);
    double best = -INFINITY, sum = 0;
    double *edge = ret_remaining->edge_ah, *share = ret_remaining->share;
    edge[0] = q;
    for (size_t k = 0; k < REMAINING_GRID; k++) {
        edge[k + 1] = q + (most - q) * pow((double)(k + 1) / REMAINING_GRID, 2);
        /* beyond every rating there is little, but never nothing: what is seen has the last word */
        double before = prior_share(seen, edge[k], edge[k + 1]) + 1e-6 * (edge[k + 1] - edge[k]) / most;
        share[k] = log(before) + goes_with(seen, (edge[k] + edge[k + 1]) / 2);
        best = fmax(best, share[k]);
    }
    for (size_t k = 0; k < REMAINING_GRID; k++)
        sum += share[k] = exp(share[k] - best);
    for (size_t k = 0; k < REMAINING_GRID; k++)
        share[k] /= sum;
}

double remaining_reaches(const struct remaining *remaining, double ah)
{
    double reaches = 0;
    for (size_t k = REMAINING_GRID; k-- > 0;) {
        double lo = remaining->edge_ah[k], hi = remaining->edge_ah[k + 1];
        reaches += remaining->share[k] * fmin(fmax((hi - ah) / (hi - lo), 0), 1);
    }
    return reaches;
}

double remaining_quantile(const struct remaining *remaining, double p)
{
    double below = 0;
    size_t k = 0;
    while (k + 1 < REMAINING_GRID && below + remaining->share[k] < p)
        below += remaining->share[k++];
    double part = remaining->share[k] > 0 ? (p - below) / remaining->share[k] : 0;
    return remaining->edge_ah[k] + fmin(part, 1) * (remaining->edge_ah[k + 1] - remaining->edge_ah[k]);
}
