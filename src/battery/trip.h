/* Trip: one stop by the pack's board, as trips.h finds it. */
#ifndef RUNDOWN_BATTERY_TRIP_H
#define RUNDOWN_BATTERY_TRIP_H

#include "quantity/measure.h"

#include <stdbool.h>
#include <stddef.h>

enum trip_way { TRIP_UNKNOWN, TRIP_COLD, TRIP_HOT };
const char *trip_way_name(enum trip_way way); /* "cold", "hot", "" */

struct trip {
    size_t run;                  /* that was stopped */
    bool charging;
    enum trip_way way;
    double at_s, at_halfwidth_s; /* when the current stopped */
    double from_a;               /* what flowed before, positive */
    double released_s, released_halfwidth_s; /* NaN: not seen */
    char stimulus[80];           /* words of the mark before it; "" none */
    struct measure delay_s;      /* from that mark */
    struct measure trip_degc, release_degc; /* of the probe's place */
    struct measure hysteresis_k; /* positive */
    double slope_k_per_s;        /* of the temperature at the trip; NaN */
};

#endif
