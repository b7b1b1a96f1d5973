/* Charging: what a charge run shows of the charger, of the pack, and of whether it was full.
 *
 * A charge has a part at constant current and, where the charger goes so far, one at constant volts in which the
 * current dies away: the tail (charge_parts.h). Full is shown by the usual criteria (fullness.h), each said with its
 * source. Who ended it is the run's own ending (ending.h).
 *
 * Balancing shows at the end as a saw-tooth (the board stops the charge and lets it in again, several times near the
 * top) or as volts of one group that rise late and steeply, so that the board stops the charge while the mean of the
 * cells stands well below their limit. What a board bleeds from one group to wait for the others never shows at the
 * terminals, so 'not seen' is not 'none'. Runs after such a short stop near the top belong to the charge before. */
#ifndef RUNDOWN_BATTERY_CHARGING_H
#define RUNDOWN_BATTERY_CHARGING_H

#include "battery/charge_parts.h"
#include "quantity/measure.h"

#include <stdbool.h>
#include <stddef.h>

struct asked;
struct basis;
struct findings;
struct rig;

enum full_shown { FULL_CANNOT_TELL, FULL_NOT_SHOWN, FULL_SHOWN };
enum balancing { BALANCING_CANNOT_TELL, BALANCING_NOT_SEEN, BALANCING_SAW_TOOTH, BALANCING_LATE_RISE };

/* Instants are those of readings, `every_s` apart: a part's ends are known no better. NaN where there is none. */
struct charging {
    size_t run;
    double every_s;
    struct measure constant_a;  /* at constant current, positive */
    double constant_from_s, constant_to_s;
    struct measure held_v;      /* at constant volts */
    double held_from_s, held_to_s;
    struct measure tail_a;      /* current at the end of that part, else of the charge; positive */
    struct measure tail_it;     /* as a share of the rated Ah per hour */
    struct measure end_v, end_cell_v; /* last volts under charge; mean a cell */
    struct measure highest_a;   /* the highest current that was held, positive … */
    double highest_held_s;      /* … and for how long without a break; NaN: the readings have no clock */
    int restarts;               /* runs after a short stop near the top, counted in */
    enum full_shown full;
    char full_words[320];       /* by which criterion, or what is missing */
    bool below_knee;            /* it stopped while lithium iron phosphate cells were still on their plateau */
    enum balancing balancing;
    char balancing_words[320];
};
const char *full_shown_name(enum full_shown full);
const char *balancing_name(enum balancing balancing);

enum { CHARGINGS = 32 };
/* One a charge run, pulses (segment.h) left out, in the order of time; returns how many. Needs runs with their amounts and endings. */
size_t charging_find(const struct basis *basis, const struct asked *asked, const struct findings *findings,
                     struct charging ret_charging[static CHARGINGS]);

/* The same of readings however they were had; digits and noise are those of the meters. Leaves what only a log can
 * show. `run` is the run's index in findings. */
struct charge_meters {
    const struct rig *rig;
    double digit_v, digit_a, noise_v, noise_a; /* 0 or NaN where unknown */
};
struct charging charging_of(const struct charge_readings *readings, const struct charge_meters *meters,
                            const struct asked *asked, const struct findings *findings, size_t run);

#endif
