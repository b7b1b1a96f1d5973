/* The time of a log: which columns tell it, in which form. */
#ifndef RUNDOWN_INTAKE_TIME_COLUMN_H
#define RUNDOWN_INTAKE_TIME_COLUMN_H

#include "intake/choice.h"

/* Elapsed time is preferred to a wall clock (it neither jumps with the season nor is set), a clock with a
 * date to one without, any of them to the time within a step; last comes a stated period. */
enum status time_column_find(struct chooser *chooser, double period_s, struct message *message);

#endif
