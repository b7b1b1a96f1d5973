#include "bench/curve_seen.h"

#include "numeric/linefit.h"

static const double window_share = 0.015;                       /* of the charge so far: the slope is that of so much */
static const double plateau_from = 0.2, plateau_to = 0.6;       /* of the charge so far */
enum { WINDOW_LEAST = 4, WINDOW_MOST = 64 };

/* Volts of the plateau as they would be under the load of now. */
static double plateau_v(const struct track *track, double ohm)
{
    double q = track_ah(track), sum = 0, ah = 0;
    double drop_ohm = isnan(ohm) ? 0 : ohm;
    for (size_t k = 0; k < track->count; k++) {
        const struct track_point *point = &track->points[k];
        if (point->ah < plateau_from * q || point->ah > plateau_to * q)
            continue;
        double weight = point->a * (double)point->readings;
        sum += weight * (point->v + drop_ohm * (point->a - track->base_a));
        ah += weight;
    }
    return ah > 0 ? sum / ah : NAN;
}

/* The newest points that are settled: ret_last … back to the first of them. False when there are too few. */
static bool settled_window(const struct track *track, size_t *ret_first, size_t *ret_last)
{
    double least_ah = window_share * track_ah(track);
    size_t last = track->count;
    while (last > 0) {
        last--;
        size_t begin = last; /* of the stretch under one load */
        while (begin > 0 && !track->points[begin].after_step)
            begin--;
        double settled_s = track->points[begin].from_s + CURVE_SETTLES_S;
        size_t first = last;
        while (first > begin && track->points[first - 1].from_s >= settled_s && last - first + 1 < WINDOW_MOST &&
               (last - first + 1 < WINDOW_LEAST || track->points[last].ah - track->points[first].ah < least_ah))
            first--;
        if (track->points[first].from_s >= settled_s && last - first + 1 >= WINDOW_LEAST) {
            *ret_first = first;
            *ret_last = last;
            return true;
        }
        last = begin;
    }
    return false;
}

static void slope_of(const struct track *track, size_t first, size_t last, int cells, struct remaining_seen *seen)
{
    double ah[WINDOW_MOST], v[WINDOW_MOST], mean_ah = 0;
    size_t n = last - first + 1;
    for (size_t k = 0; k < n; k++) {
        ah[k] = track->points[first + k].ah;
        v[k] = track->points[first + k].v / cells;
        mean_ah += ah[k] / (double)n;
    }
    struct linefit fit;
    if (linefit(ah, v, NULL, n, &fit) != ANSWER_OK)
        return;
    double digit = track_digit(track, CHANNEL_VOLTAGE) / cells / sqrt(12); /* hides what it hides, all along */
    seen->slope_v_per_ah = -fit.slope;
    seen->slope_u = hypot(fit.u_slope, digit / (track->points[last].ah - track->points[first].ah));
    seen->slope_at_ah = mean_ah;
}

void curve_seen(const struct track *track, int cells, double cut_off_v, double ohm, struct remaining_seen *ret_seen)
{
    *ret_seen = (struct remaining_seen){.passed_ah = track_ah(track), .rated_ah = NAN, .slope_v_per_ah = NAN,
                                        .level_v = NAN, .plateau_v = NAN};
    size_t first, last;
    if (cells <= 0 || track->count == 0)
        return;
    ret_seen->plateau_v = plateau_v(track, ohm) / cells - cut_off_v;
    const struct track_point *newest = &track->points[track->count - 1];
    if (newest->readings < 2 && track->count > 1)
        newest--;
    ret_seen->level_v = newest->v / cells - cut_off_v;
    ret_seen->level_at_ah = newest->ah;
    ret_seen->settled = !(track->t_s - track->step.at_s < CURVE_SETTLES_S);
    if (settled_window(track, &first, &last))
        slope_of(track, first, last, cells, ret_seen);
}
