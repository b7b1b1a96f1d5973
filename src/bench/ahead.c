#include "bench/ahead.h"

#include "bench/remaining.h"

static const double burst_known = 0.15;
static const double mean_level_u = 0.08; /* of remaining_mean_level(), less than what one level may be off by */

/* Mean fall of the volts, as a part of them, while the charge from now to `to_ah` is drawn. */
static double mean_fall(const struct ahead *ahead, double to_ah, double end_ah)
{
    double r_now = 1 - ahead->from_ah / end_ah, r_then = fmax(0, 1 - to_ah / end_ah);
    if (!(r_now > r_then))
        return 0;
    double mean = (r_now * remaining_mean_level(r_now) - r_then * remaining_mean_level(r_then)) / (r_now - r_then);
    return ahead->fall_share * (remaining_level(r_now) - mean);
}

/* Of the charge to come, what the planned burst draws. */
static double by_burst_ah(const struct ahead *ahead, double to_ah)
{
    double start_ah = fmax(ahead->burst_at_ah, ahead->from_ah); /* fmax passes over NaN: not asked for then */
    return isnan(ahead->burst_at_ah) ? 0 : fmin(fmax(to_ah - start_ah, 0), ahead->burst_ah);
}

double ahead_at_s(const struct ahead *ahead, double load_a, double to_ah, double end_ah)
{
    double burst_ah = by_burst_ah(ahead, to_ah), base_ah = to_ah - ahead->from_ah - burst_ah;
    double longer = 1 + ahead->exponent * mean_fall(ahead, to_ah, end_ah);
    double burst_s = burst_ah > 0 ? burst_ah / ahead->burst_a * 3600 : 0;
    return ahead->from_s + base_ah / load_a * 3600 * longer + burst_s;
}

struct ahead_u ahead_u(const struct ahead *ahead, double to_ah, double end_ah)
{
    double base_s = (to_ah - ahead->from_ah) / ahead->load_a * 3600, burst_ah = by_burst_ah(ahead, to_ah);
    return (struct ahead_u){
        .law_s = base_s * hypot(mean_fall(ahead, to_ah, end_ah) * ahead->exponent_u,
                                ahead->exponent * ahead->fall_share * mean_level_u),
        .wander_s = base_s * ahead->wander,
        .burst_s = burst_known / sqrt(3) * burst_ah / ahead->load_a * 3600,
    };
}
