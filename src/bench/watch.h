/* Watch: what is said while a test runs: calls, cues and the forecast.
 *
 * Pure but for its own memory of the run so far: readings in, calls out, no clock, no I/O. */
#ifndef RUNDOWN_BENCH_WATCH_H
#define RUNDOWN_BENCH_WATCH_H

#include "bench/forecast.h"
#include "claims/label.h"
#include "quantity/accuracy.h"

enum call_kind {
    CALL_CUE,          /* soon: film now, take up the camera, the burst of the plan */
    CALL_RATED_CHARGE, /* the rated Ah has passed */
    CALL_RATED_ENERGY,
    CALL_STEP,         /* the load changed */
    CALL_KNEE,
    CALL_END,          /* of the discharge or charge */
    CALL_LIMIT,        /* volts, cell volts, amps, temperature, its rate of rise */
    CALL_SILENT,       /* an instrument */
    CALL_CLOCK,
    CALL_DISK,
    CALL_TOO_WIDE,     /* the rig cannot decide the claim at hand */
    CALL_KINDS
};

struct call {
    enum call_kind kind;
    double t_s;
    bool urgent;    /* a limit, an end: to be heard across the room */
    char text[160]; /* one sentence with its numbers */
};

/* What is looked out for. NaN: not. */
struct limits {
    double low_v, high_v, low_cell_v, high_cell_v, most_a, low_degc, high_degc, rise_degc_per_min;
};

struct reading_now {
    double t_s, v, a, degc, ambient_degc; /* NaN where not heard */
    double cell_low_v, cell_high_v;       /* of named cell channels; NaN none */
};

struct watch;
struct watch *watch_new(const struct label *label, const struct rig *rig, const struct limits *limits,
                        enum forecast_goal goal);
void watch_free(struct watch *watch);
/* Up to `room` calls that this reading gives rise to. */
size_t watch_reading(struct watch *watch, const struct reading_now *reading, struct call *ret_calls, size_t room);
const struct forecast *watch_forecast(const struct watch *watch);

#endif
