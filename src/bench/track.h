/* Track: a run so far, in a fixed amount of memory.
 *
 * Two things are kept: what charge and energy add up to, with all that their budget needs, in the sums of
 * battery/ledger.h and therefore as the assessment will have it; and the shape of the run as at most
 * TRACK_POINTS means over equal stretches of time under load, which double in length whenever they fill up.
 * A point does not span a step of the load.
 *
 * A step is a change of the current by more than TRACK_STEP of it and six standard deviations of its noise
 * that lasts three readings or half a minute; what is shorter counts in the sums alone.
 *
 * Current is positive when it leaves the sample. Readings without volts or amps are not for this. */
#ifndef RUNDOWN_BENCH_TRACK_H
#define RUNDOWN_BENCH_TRACK_H

#include "battery/amounts.h"
#include "battery/rest.h"

#define TRACK_STEP 0.08 /* common practice, no source: a load held by hand wanders by less */
enum { TRACK_POINTS = 512, TRACK_BUFFER = 256 };

/* Means over a stretch of steady load. */
struct track_point {
    double t_s, ah, v, a; /* ah: in the direction of the run, had passed by its middle */
    double from_s, to_s;
    size_t readings;
    bool after_step;      /* the load changed between the point before and this one */
};

/* A change of the load. */
struct track_step {
    double at_s, half_s;       /* in the middle of the interval it fell in, and half of that */
    double from_a, to_a;       /* A in the direction of the run, means beside the step */
    double from_v, to_v;       /* V at the readings beside it */
};

enum track_news { TRACK_NOTHING, TRACK_BEGAN, TRACK_STEPPED, TRACK_ENDED };

struct track {
    const struct rig *rig; /* borrowed */
    int direction;         /* +1 discharge, -1 charge */
    double rest_a;         /* below it nothing of note flows */

    size_t readings;
    double t_s, v, a;   /* newest reading */
    bool flowing;       /* a load is on */
    double began_s;     /* edge at which it first went on; NaN before */
    double ended_s;     /* edge at which it last went off; NaN before, and while it is on */
    double ended_half_s; /* half of the interval in which that was; NaN likewise, and so on */
    double ended_v;     /* the last volts under load */
    double dark_v;      /* the lowest volts since */
    double resting_v;   /* the last volts before the load first went on; NaN unknown */

    struct throughput through; /* without what is still in the buffer */
    double at_t_s[TRACK_BUFFER], at_v[TRACK_BUFFER], at_a[TRACK_BUFFER];
    size_t buffered;
    double buffer_c, buffer_j;     /* charge and energy of it */
    struct digit digit_v, digit_a; /* as seen */
    double turn_v, turn_a;         /* products of neighbouring differences, summed: minus the variance of noise */
    size_t turns;

    struct track_point points[TRACK_POINTS]; /* the last one is still being filled */
    size_t count;
    double span_s;

    struct track_step step; /* the newest; at_s NaN: none yet */
    size_t steps;
    double held_s;          /* how long the load before that step had lasted */
    double sum_va, sum_aa;  /* of the steps' volts lost times amps more, and amps squared */
    double base_a;          /* mean of the load as it is, in the direction of the run */
    size_t base_readings;
    struct track_point trial; /* readings that differ from it, until they have lasted */
    double before_t_s, before_v;
};

/* `least_a`: what a load is taken to draw at least, beside what the rig's offset may feign; NaN: 0.05 A. */
void track_init(struct track *track, const struct rig *rig, int direction, double least_a);

/* What one reading has changed. `t_s` never goes back. */
enum track_news track_add(struct track *track, double t_s, double v, double a);

/* Net amounts so far in the direction of the run, and with their budgets. */
double track_ah(const struct track *track);
double track_wh(const struct track *track);
struct measure track_ah_measure(const struct track *track);
struct measure track_wh_measure(const struct track *track, const struct ripple *ripple);

/* The load went off with the terminals dead, or nearly empty by its last volts (`cells` in series; 0 unknown). */
bool track_dark(const struct track *track);
bool track_emptied(const struct track *track, int cells);

double track_ohm(const struct track *track);     /* by the steps so far, least squares; NaN none */
double track_noise_v(const struct track *track); /* standard deviation of a reading; NaN unknown */
double track_noise_a(const struct track *track);
double track_digit(const struct track *track, enum channel channel); /* 0 unknown */

#endif
