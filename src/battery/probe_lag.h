/* Probe lag: a temperature probe of first order, τ dT/dt = T_place − T, shows where its place was a while ago.
 *
 * τ comes from a step test (the probe moved at once from one temperature to another, in the medium that it is used in)
 * or is stated. At an instant the place was at T + τ dT/dt, with T and its slope from a straight line through the
 * readings around it; a bend within them counts as doubt. What the pack's own sensor felt, behind its own lag, stays
 * unknown. */
#ifndef RUNDOWN_BATTERY_PROBE_LAG_H
#define RUNDOWN_BATTERY_PROBE_LAG_H

#include "quantity/measure.h"

#include <stddef.h>

/* The probe's lag is one and the same unknown wherever it is used (measure.source); no channel of a rig has this number. */
#define PROBE_LAG_SOURCE 1022u

/* From readings that begin at the step: T∞ + (T₀ − T∞) e^(−t/τ). Cannot tell with fewer than 6 readings, over less than
 * two of the constants found, or when nothing changed. */
struct measure probe_lag_from_step(const double *t_s, const double *degc, size_t n);

/* The place's temperature at `at_s`. `tau_s` unknown: the probe's own reading, with a doubt that says so: as if τ lay
 * anywhere up to `tau_most_s`. At least 4 readings within half_width_s of the instant. */
struct measure probe_lag_place(const double *t_s, const double *degc, size_t n, double at_s, double half_width_s,
                               const struct measure *tau_s, double tau_most_s);

#endif
