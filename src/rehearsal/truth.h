/* What truly happened in a rehearsal, interval by interval, on the grid it was computed on.
 *
 * Within an interval the current is constant and the volts lie on a parabola through start, middle
 * and end. Volts jump where the current does, so each interval has its own. Charge and energy count
 * from the start, positive out of the pack (charging makes them fall).
 *
 * A load's ripple is too fast for any row: volts and amps here are means over it, and the energy that
 * truly left is less than the product of the means by R times the variance of the current. That part
 * is kept apart as ripple_wh. */
#ifndef RUNDOWN_REHEARSAL_TRUTH_H
#define RUNDOWN_REHEARSAL_TRUTH_H

#include "rehearsal/bms.h"

#include <stddef.h>

enum { TRUTH_MOST_SEGMENTS = 32, TRUTH_MOST_STEPS = 64, TRUTH_MOST_EVENTS = 64, TRUTH_DELAYS = 3 };
extern const double truth_delays_s[TRUTH_DELAYS]; /* 1, 10, 30 s */

enum truth_end {
    END_OPERATOR,      /* the program was over, pack and load still willing */
    END_UNDER_VOLTAGE, /* the board opened for its weakest cell */
    END_OVER_CURRENT,  /* the board opened for too much current */
    END_LOAD,          /* the load gave up first */
};

/* A jump of the current, with the pack's resistance at that moment by the model. */
struct truth_step {
    double at_s, from_a, to_a;
    double ohm[TRUTH_DELAYS];
};

/* The board changed its mind: what it is now, and the terminal just before. */
struct truth_event {
    double at_s, v, a, sensor_degc;
    enum bms_state state;
    enum bms_climate climate;
};

struct truth_interval {
    double t_s, degc, sensor_degc, charge_ah, energy_wh, ripple_wh,
        volt_s; /* at its start; volt_s: integral of v dt */
    double a, start_v, mid_v, end_v;
};

/* Set to zeros before first use, then used again and again: the array is kept. */
struct truth {
    struct truth_interval *intervals; /* owned; intervals[count] is the closing instant */
    size_t count, capacity;
    struct truth_step steps[TRUTH_MOST_STEPS];
    size_t steps_count;
    struct truth_event events[TRUTH_MOST_EVENTS];
    size_t events_count;
    double segment_s[TRUTH_MOST_SEGMENTS + 1]; /* when each segment of the program began; then the close */
    double discharge_ah, discharge_wh, charge_in_ah, charge_in_wh; /* each as positive amounts */
    double heat_wh;                                                /* lost inside the pack */
    /* The first discharge that ended by itself; when none did, the last that the operator ended. */
    enum truth_end end;
    double end_s, end_v;   /* when, and the terminal volts just before */
    double end_ah, end_wh; /* what had left the pack by then */
};

void truth_clear(struct truth *truth); /* keeps the array */
void truth_free(struct truth *truth);
void truth_reserve(struct truth *truth, size_t intervals); /* room for so many */

/* One instant, read off the parabola. At a jump: the later value. */
struct truth_point {
    double v, a, degc, sensor_degc, charge_ah, energy_wh, ripple_wh, volt_s;
};

/* `cursor` is where the last look-up ended (0 to begin): following instants are found at once.
 * Instants before the start or after the end give the first or last there is; there must be one. */
struct truth_point truth_at(const struct truth *truth, double t_s, size_t *cursor);

/* Charge and energy that had left when the terminal first fell below `v` with current leaving;
 * all NaN when it never did. */
struct truth_passed {
    double t_s, charge_ah, energy_wh;
};
struct truth_passed truth_below(const struct truth *truth, double v);

/* The point at which the charge that had left was `ah`, looked for from interval `from` on; all NaN when
 * it never was. */
struct truth_point truth_at_charge(const struct truth *truth, size_t from, double ah);

#endif
