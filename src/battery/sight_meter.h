/* What the rig's errors make of an amount: the parts of its budget that all sights share. */
#ifndef RUNDOWN_BATTERY_SIGHT_METER_H
#define RUNDOWN_BATTERY_SIGHT_METER_H

#include "battery/sight.h"

/* A part, and one told as the half-width of a rectangle. */
void sight_part(struct measure *measure, enum cause cause, enum shape shape, double u, const char *what,
                const char *remedy);
void sight_bound(struct measure *measure, enum cause cause, double half, uint32_t source, const char *what,
                 const char *remedy);

/* Whether the amps were worked out as watts over volts. */
bool sight_from_watts(const struct course *course);
/* The finest digit in which a channel was typed; 0 when it was not. */
double sight_digit(const struct course *course, enum channel channel);

/* Gains and offset of the amps, or of the watts they were worked out from: `value` is what the gain acts on,
 * `per_unit` what one ampere (one watt) of offset adds. */
void sight_add_current(const struct course *course, double value, double per_unit, struct measure *measure);
void sight_add_voltage(const struct course *course, double value, double per_volt, struct measure *measure);
void sight_add_clock(const struct course *course, double value, struct measure *measure);
/* What the leads take before the meter sees it, for ∫A² dt in A²·h. */
void sight_add_leads(const struct course *course, double square_a2h, struct measure *wh);

#endif
