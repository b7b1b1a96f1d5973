/* Series and runs made by hand, for the tests of what is computed from them. */
#ifndef RUNDOWN_TESTS_HANDMADE_H
#define RUNDOWN_TESTS_HANDMADE_H

#include "battery/amounts.h"
#include "check.h"

struct handmade {
    struct series series;
    struct trace trace;
    struct ledger ledger;
    struct rig rig;
    struct basis basis;
};

/* A rig without any error. */
static inline struct rig perfect_rig(void)
{
    return (struct rig){.name = "perfect", .identity = 7, .sense_leads = true, .ripple = NAN, .skew_s = 0};
}

static inline void handmade_start(struct handmade *made, size_t capacity)
{
    *made = (struct handmade){.rig = perfect_rig()};
    CHECK(series_init(&made->series, capacity, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT));
    made->series.oriented = true;
}

static inline void handmade_reading(struct handmade *made, double t_s, double v, double a)
{
    struct series *series = &made->series;
    CHECK(series->count < series->capacity);
    series->t_s[series->count] = t_s;
    series->column[CHANNEL_VOLTAGE][series->count] = v;
    series->column[CHANNEL_CURRENT][series->count++] = a;
}

/* When all readings are in. Steps are the caller's. */
static inline void handmade_close(struct handmade *made, const struct step *steps, size_t step_count)
{
    CHECK(trace_of_series(&made->series, &made->trace));
    CHECK(ledger_init(&made->ledger, &made->trace));
    made->basis = (struct basis){.series = &made->series,
                                 .trace = &made->trace,
                                 .ledger = &made->ledger,
                                 .rig = &made->rig,
                                 .steps = steps,
                                 .step_count = step_count,
                                 .noise_a = NAN,
                                 .noise_v = NAN};
}

static inline void handmade_free(struct handmade *made)
{
    ledger_free(&made->ledger);
    trace_free(&made->trace);
    series_free(&made->series);
}

/* Standard uncertainty of all parts of one cause; NaN without any. */
static inline double u_of(const struct measure *measure, enum cause cause)
{
    double square = 0;
    bool any = false;
    for (int k = 0; k < measure->count; k++) {
        if (measure->parts[k].cause != cause)
            continue;
        square += measure->parts[k].u * measure->parts[k].u;
        any = true;
    }
    return any ? sqrt(square) : NAN;
}

#endif
