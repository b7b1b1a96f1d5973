/* Mode: what a load or a charger held constant through a phase: current, volts, power or resistance.
 *
 * Each of I, V·I, V/I and V varies over the phase by so much (5th to 95th percentile of readings spread
 * through it, relative). Current that varies no more than its noise is constant current. Otherwise, the
 * noise taken out, one quantity must vary at most half as much as every other; for volts a tenth of
 * what the current does, since a battery's volts change little anyhow. Bounds: no source. */
#ifndef RUNDOWN_BATTERY_MODE_H
#define RUNDOWN_BATTERY_MODE_H

#include "battery/rest.h"
#include "battery/runs.h"

/* MODE_VARYING when nothing stands out, and where the trace has no volts unless current is constant. */
enum phase_mode mode_of(const struct trace *trace, size_t first, size_t last);

/* A charge that ends at constant volts: the first reading of that part. False when there is none, or
 * nothing but it. */
bool mode_constant_voltage_from(const struct trace *trace, size_t first, size_t last, size_t *ret_from);

#endif
