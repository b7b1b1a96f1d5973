/* A rehearsed test as a log would hold it, with the truth beside it. */
#ifndef RUNDOWN_TESTS_REHEARSED_H
#define RUNDOWN_TESTS_REHEARSED_H

#include "battery/findings.h"
#include "check.h"
#include "quantity/series.h"
#include "rehearsal/invented.h"
#include "rehearsal/run.h"

#include <stdlib.h>

struct rehearsed {
    struct cell_ocv ocv;
    struct pack_make make;
    struct pack fresh;
    struct program program;
    struct truth truth;
    struct shown shown;
    struct series series;
    struct trace trace;
    struct rig rig;
};

/* When not NaN, how far the cold raises the resistance (rehearsal/pack.h) instead of the usual. */
static double rehearsed_cold_k = NAN;

/* A pack of four cells and 102.5 Ah, filled to `soc`, put through the segments and watched by an
 * instrument of the make that `random` draws. */
static inline void rehearsed_run(struct rehearsed *one, const struct load_segment *segments, size_t count,
                                 double soc, const struct instrument_make *meter, struct random *random)
{
    invented_ocv(&one->ocv);
    one->make = invented_pack(&one->ocv, 4, 102.5);
    if (!isnan(rehearsed_cold_k))
        one->make.cold_k = rehearsed_cold_k;
    one->program = (struct program){segments, count, 0.5, 2e5};
    pack_init(&one->fresh, &one->make, soc);
    struct pack pack = one->fresh;
    rehearse(&pack, &one->program, &one->truth);
    struct instrument instrument = instrument_draw(meter, random);
    instrument_read(&instrument, &one->truth, random, &one->shown);
}

/* The rows as a series. The rig knows the limits that the instrument was drawn from. */
static inline void rehearsed_log(struct rehearsed *one, const struct instrument_make *meter)
{
    CHECK(series_init(&one->series, one->shown.count, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT));
    one->series.count = one->shown.count;
    for (size_t k = 0; k < one->shown.count; k++) {
        one->series.t_s[k] = one->shown.t_s[k];
        one->series.column[CHANNEL_VOLTAGE][k] = one->shown.v[k];
        one->series.column[CHANNEL_CURRENT][k] = one->shown.a[k];
    }
    one->series.oriented = true;
    one->series.resolution[CHANNEL_VOLTAGE] = meter->v.digit;
    one->series.resolution[CHANNEL_CURRENT] = meter->a.digit;
    CHECK(trace_of_series(&one->series, &one->trace));
    one->rig = (struct rig){.name = "rehearsed",
                            .identity = 3,
                            .sense_leads = true,
                            .ripple = NAN,
                            .averaging_s = meter->average_s,
                            .skew_s = meter->amp_lag_s.u * sqrt(3)};
    one->rig.of[CHANNEL_VOLTAGE] =
        (struct accuracy){.gain = meter->v.gain.u * sqrt(3), .offset = meter->v.offset.u * sqrt(3)};
    one->rig.of[CHANNEL_CURRENT] =
        (struct accuracy){.gain = meter->a.gain.u * sqrt(3), .offset = meter->a.offset.u * sqrt(3)};
}

static inline void rehearsed_close(struct rehearsed *one)
{
    trace_free(&one->trace);
    series_free(&one->series);
}

static inline void rehearsed_free(struct rehearsed *one)
{
    truth_free(&one->truth);
    shown_free(&one->shown);
}

#endif
