/* Rest: the current below which nothing of note flows.
 *
 * Meters are off by some milliamperes at rest, electronics sip a little of a large pack, noise hides
 * the zero: no fixed number serves. The working current (the mean of the current's magnitude weighted
 * by charge, so that neither long rests nor a short burst move it) sets the scale. Below REST_SHARE of it
 * the threshold lies in the uppermost empty stretch between the currents that do occur (a valley of
 * their histogram, as Otsu 1979, IEEE Trans. SMC 9:62 separates two classes), but never within five
 * standard deviations of the noise at rest. Shares: common practice, no source. */
#ifndef RUNDOWN_BATTERY_REST_H
#define RUNDOWN_BATTERY_REST_H

#include "battery/envelope.h"
#include "quantity/series.h"

#define REST_SHARE 0.03

/* Noise of the readings first…last: the median over pieces spread through them, so that it costs the
 * same however long they are. */
struct noise {
    double sd;   /* 0 when the readings never differ, NaN when there are fewer than three */
    double step; /* smallest difference seen between neighbours; 0: none */
};
struct noise noise_between(const double *t_s, const double *x, size_t first, size_t last);

/* A; 0 when no current flows at all. */
double working_current(const struct trace *trace, const struct envelope *envelope);

/* To leave rest a current must pass enter_a, to come back to rest fall below leave_a < enter_a. */
struct rest_band {
    double enter_a, leave_a;
    double noise_a; /* standard deviation at rest; 0 when no rest was seen */
};
/* offset_a: half-width of what the meter may show at zero, which is never taken for a load while it is
 * below REST_SHARE of the working current. */
struct rest_band rest_band_find(const struct trace *trace, const struct envelope *envelope,
                                double working_a, double offset_a);

#endif
