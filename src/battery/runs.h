/* The stretches of a log: runs, the phases within them, the steps between them, and how a run ended.
 * See battery/findings.h for how they belong together, for signs, clocks and missing values. */
#ifndef RUNDOWN_BATTERY_RUNS_H
#define RUNDOWN_BATTERY_RUNS_H

#include "quantity/measure.h"

#include <stdbool.h>
#include <stddef.h>

enum run_kind { RUN_REST, RUN_CHARGE, RUN_DISCHARGE };
const char *run_kind_name(enum run_kind kind); /* "rest", "charge", "discharge" */

enum phase_mode {
    MODE_REST,
    MODE_CONSTANT_CURRENT,
    MODE_CONSTANT_VOLTAGE,
    MODE_CONSTANT_POWER,
    MODE_CONSTANT_RESISTANCE,
    MODE_VARYING, /* none of these within the noise */
};
const char *phase_mode_name(enum phase_mode mode);

struct phase {
    enum run_kind kind;
    enum phase_mode mode;
    bool pulse;            /* a stretch of other current between two stretches of one base current */
    size_t run;            /* index into runs */
    size_t first, last;    /* trace indices, both included */
    double start_s, end_s; /* edges, in the middle of the interval in which the step fell */
    double mean_a, mean_v, start_v, end_v;
};

enum ended_by {
    ENDED_CANNOT_TELL,
    ENDED_BMS,      /* the pack's BMS opened */
    ENDED_LOAD,     /* the load or the inverter gave up */
    ENDED_CHARGER,  /* the charger ended the charge */
    ENDED_OPERATOR, /* somebody switched off */
    ENDED_LOG,      /* the log stopped while current still flowed */
    ENDED_BY_NEXT,  /* another run follows without anything to explain: the protocol went on */
};
const char *ended_by_name(enum ended_by ended); /* "BMS opened", "load gave up", … */

struct ending {
    enum ended_by by;
    char evidence[320];        /* in words: collapse, rebound, dark meter */
    struct measure end_v;      /* last volts under load */
    double end_cell_v;         /* mean per cell; NaN when the cells are unknown */
    bool fell_unseen;          /* read by eye before the end: volts went on falling, nobody saw how far */
    double recovery_v;         /* highest volts seen after the load went; NaN */
    double recovery_after_s;
    bool low;                  /* nearly empty then, by its volts before any last burst */
    bool dark;                 /* the meter showed nothing afterwards */
    double knee_s, knee_minutes; /* start of the knee, minutes from it to the end; NaN: no knee seen */
};

struct run {
    enum run_kind kind;
    size_t first, last;
    size_t first_phase, phases;
    double start_s, end_s;
    struct measure charge_ah, energy_wh, mean_v, duration_s;
    double mean_a, peak_a;      /* mean and largest magnitude, A */
    double start_v, end_v;
    double degc_mean, degc_min, degc_max; /* NaN without a temperature */
    struct ending ended;
};

enum { STEP_DELAYS = 4 };
struct resistance {
    double delay_s;      /* after the step; the first sample's delay is what the sampling gave */
    struct measure ohm;
};

struct step {
    size_t before, after;         /* last trace index before, first after */
    double at_s, at_halfwidth_s;
    double from_a, to_a;
    int resistances;
    struct resistance resistance[STEP_DELAYS]; /* first sample, 1 s, 10 s, 30 s as far as held */
};

/* The square of the load's ripple, (rms / mean)², between two bounds, and the resistance it meets. */
struct ripple {
    double square_lo, square_hi;
    double ohm, ohm_u;
};

#endif
