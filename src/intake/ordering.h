/* Ordering: from the clock as the log has it to one time that never decreases.
 *
 * Rows a little late (asynchronous sensors) are put where their time belongs. A clock that goes back
 * further was restarted or set: from there a new clock counts, and how long the joint lasted is not
 * known. A later row may fit a clock that ran before (two clocks in turn, one for pulses, one for rests):
 * then the joints between add up to a known sum, which bounds each of them. A step forward stays as it
 * is, unless it is such a return. A time of day that falls back by about a day has passed midnight. */
#ifndef RUNDOWN_INTAKE_ORDERING_H
#define RUNDOWN_INTAKE_ORDERING_H

#include "intake/rows.h"

struct ordering {
    bool absolute;    /* the clock tells the date */
    bool clock;       /* H:MM:SS without a date */
    bool time_of_day; /* and that does not start near zero */
    bool step_time;   /* restarts with every change of the step index */
};

struct ordered {
    size_t late, restarts, returns, midnights;
    bool reversed;  /* the log had its newest row first */
    bool senseless; /* every few rows the clock goes back: this is no time. The series is not in order */
};

/* Works in place on the series and the mode; gives the events their time; adds the series' gaps. */
void order_rows(struct rows *rows, const struct ordering *ordering, struct ordered *ret_ordered);

#endif
