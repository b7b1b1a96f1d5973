#include "battery/ripple.h"

#include "numeric/stats.h"

#define SQUARE_MOST 0.5
#define OHM_SHARE 0.2

/* Median of the resistances that the steps show soonest; NaN when there is none. */
static double usual_ohm(const struct findings *findings)
{
    enum { MOST = 256 };
    double ohm[MOST], scratch[MOST];
    size_t count = 0;
    for (size_t k = 0; k < findings->step_count && count < MOST; k++) {
        const struct step *step = &findings->steps[k];
        int r = 0;
        while (r < step->resistances && !(step->resistance[r].ohm.value > 0))
            r++;
        if (r < step->resistances)
            ohm[count++] = step->resistance[r].ohm.value;
    }
    return stats_median(ohm, count, scratch);
}

struct ripple ripple_find(const struct rig *rig, const struct asked *asked, const struct findings *findings,
                          struct notices *notices)
{
    const struct ripple none = {0};
    double stated = isnan(asked->stated_ripple) ? rig->ripple : asked->stated_ripple;
    bool is_stated = !isnan(stated);
    enum load_law law = findings->load.law != LOAD_UNKNOWN ? findings->load.law : asked->law;
    if (isnan(findings->noise_v)) /* no volts, and no energy to take it from */
        return none;
    if (is_stated ? stated == 0 : law == LOAD_CURRENT || law == LOAD_RESISTANCE)
        return none;
    double ohm = usual_ohm(findings);
    if (isnan(ohm)) {
        notices_add(
            notices, "ripple", 0,
            "The load may draw its current in pulses, as inverters do; what that takes from the energy "
            "goes with the sample's resistance, which no step shows here. Nothing was allowed for it.");
        return none;
    }
    struct ripple ripple = {.square_lo = 0, .square_hi = SQUARE_MOST, .ohm = ohm, .ohm_u = OHM_SHARE * ohm};
    if (is_stated)
        ripple.square_lo = ripple.square_hi = stated * stated;
    else
        notices_add(
            notices, "ripple", 0,
            "The load may be an inverter, whose ripple nobody stated: the energy allows for any. State it in the "
            "rig file to narrow that.");
    return ripple;
}
