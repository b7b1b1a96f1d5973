/* Charging: what a charge run shows of the charger, of the pack, and of whether it was full.
 *
 * A charge has a part at constant current and, where the charger goes so far, one at constant volts in which the
 * current dies away: the tail. Full is shown by the usual criteria, each said with its source in `criteria`: the volts
 * held at what the label or the cells ask for, and a tail that fell to the stated share of the rated current. Volts at
 * rest never show it: between some 15 and 95 % they hardly differ.
 *
 * Balancing shows at the end as a saw-tooth of the current (the board opens and closes again) or as volts of one group
 * that rise late and steeply: seen only where the readings are dense enough for it. */
#ifndef RUNDOWN_BATTERY_CHARGING_H
#define RUNDOWN_BATTERY_CHARGING_H

#include "quantity/measure.h"

#include <stdbool.h>
#include <stddef.h>

struct asked;
struct findings;
struct rig;
struct series;

enum full_shown { FULL_CANNOT_TELL, FULL_NOT_SHOWN, FULL_SHOWN };
enum balancing { BALANCING_CANNOT_TELL, BALANCING_NOT_SEEN, BALANCING_SAW_TOOTH, BALANCING_LATE_RISE };

struct charging {
    size_t run;
    double constant_a, constant_from_s, constant_to_s; /* the part at constant current; NaN: none */
    double held_v, held_from_s, held_to_s;             /* the part at constant volts; NaN: none */
    struct measure tail_a;      /* current at the end of that part, positive */
    double tail_it;             /* as a share of the rated Ah per hour; NaN */
    struct measure end_v;
    double end_cell_v;          /* mean a cell; NaN when the cells are unknown */
    struct measure highest_a;   /* the highest current that was held, positive … */
    double highest_held_s;      /* … and for how long without a break */
    enum full_shown full;
    char full_words[240];       /* by which criterion, or what is missing */
    enum balancing balancing;
    char balancing_words[240];
};
const char *full_shown_name(enum full_shown full);
const char *balancing_name(enum balancing balancing);

enum { CHARGINGS = 32 };
/* One a charge run, in the order of time; returns how many. Needs runs, phases and endings. */
size_t charging_find(const struct series *series, const struct rig *rig, const struct asked *asked,
                     const struct findings *findings, struct charging ret_charging[static CHARGINGS]);

#endif
