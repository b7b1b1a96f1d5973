/* Trip: one stop by the pack's board, as trips.h finds it. */
#ifndef RUNDOWN_BATTERY_TRIP_H
#define RUNDOWN_BATTERY_TRIP_H

#include "quantity/measure.h"

#include <stdbool.h>
#include <stddef.h>

/* Too much current, an empty cell, a full cell; unknown: current, heat or a fault. */
enum trip_way { TRIP_UNKNOWN, TRIP_COLD, TRIP_HOT, TRIP_OVER_CURRENT, TRIP_LOW, TRIP_HIGH };
const char *trip_way_name(enum trip_way way); /* "cold", "hot", "over-current", "low voltage", "high voltage", "" */

struct trip {
    size_t run;                  /* that was stopped */
    bool charging;
    enum trip_way way;
    double at_s, at_halfwidth_s; /* when the current stopped */
    char resolution[64];         /* what that half-width is of: "readings 2 s apart", … */
    double from_a;               /* what flowed just before, positive */
    double released_s, released_halfwidth_s; /* NaN: not seen */
    char stimulus[80];           /* words of the mark that it answers; "" none, or volts were what it answered */
    char place[48];              /* that was heated or chilled, by the mark's words: "cell sensor"; "" not told */
    struct measure delay_s;      /* from that mark */
    struct measure trip_degc, release_degc; /* of the probe's place */
    struct measure hysteresis_k; /* positive; of the pack's own sensor where both thresholds are told … */
    bool hysteresis_of_place;    /* … else of the probe's place, which the sensor's lag widens */
    double slope_k_per_s, release_slope_k_per_s; /* of the place's temperature then; NaN */
    struct measure threshold_degc, release_threshold_degc; /* of the pack's own sensor: cannot tell, unless on a slow ramp */
    char words[800];             /* what was shown, and what was not, and how it stands to what is usual */
    char usual[200];             /* the last of these alone; "" until claims/usual_limits.h, or nothing is usual */
};

/* A ramp is slow when what it moves the place within TRIP_LAG_MOST_S, a pack's sensor behind its jacket and a board's
 * delay together, is TRIP_SLOW_K or less (common practice, no source). */
#define TRIP_LAG_MOST_S 120.0
#define TRIP_SLOW_K 2.0

#endif
