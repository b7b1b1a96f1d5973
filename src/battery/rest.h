/* Rest: the current below which nothing of note flows.
 *
 * Meters are off by some milliamperes at rest, electronics sip a little of a large pack, noise hides
 * the zero: no fixed number serves. The working current (the mean of the current's magnitude weighted
 * by charge, so that neither long rests nor a short burst move it) sets the scale. The threshold lies in
 * an empty stretch between the currents that do occur (a valley of their histogram, as Otsu 1979, IEEE
 * Trans. SMC 9:62 separates two classes): the uppermost below REST_SHARE of the working current,
 * unless what lies below it carries more than REST_CHARGE of the log's charge, or stands so far above
 * what lies lower still that it is a load (an inverter idling, beside a true zero). It is never within
 * five standard deviations of the noise at rest. Shares: common practice, no source. */
#ifndef RUNDOWN_BATTERY_REST_H
#define RUNDOWN_BATTERY_REST_H

#include "battery/envelope.h"
#include "quantity/series.h"

#define REST_SHARE 0.1
#define REST_CHARGE 0.1
#define IDLE_SHARE 0.015 /* of the working current: a load may be as small, an offset above it is doubtful */
#define IDLE_RATIO 10.0  /* … and is a load when so many times larger than the next level below */

/* One step of the last digit, as seen: the smallest change between neighbours, once it has come often; readings
 * that only go from one level to another show none. Begin with zeros, look at stretches, then ask. */
struct digit {
    double step;
    size_t times;
};
void digit_look(const double *x, size_t n, struct digit *digit);
double digit_found(const struct digit *digit); /* 0: none */

/* Noise of the readings first…last: the median over pieces spread through them, so that it costs the
 * same however long they are. */
struct noise {
    double sd;   /* 0 when the readings never differ, NaN when there are fewer than three */
    double step; /* one step of the last digit, as seen in these pieces; 0: none */
};
struct noise noise_between(const double *t_s, const double *x, size_t first, size_t last);

struct working {
    double current_a; /* 0 when no current flows at all */
    double charge_c;  /* moved either way, A·s */
};
struct working working_current(const struct trace *trace, const struct envelope *envelope);

/* To leave rest a current must pass enter_a, to come back to rest fall below leave_a < enter_a. */
struct rest_band {
    double enter_a, leave_a;
    double noise_a; /* standard deviation at rest; 0 when no rest was seen */
};
/* offset_a: half-width of what the meter may show at zero, which is not taken for a load while it is
 * below IDLE_SHARE of the working current. */
struct rest_band rest_band_find(const struct trace *trace, const struct envelope *envelope,
                                struct working working, double offset_a);

#endif
