/* Time as people type it at the start of a line.
 *
 *     1:02:03   1:02:03.5   62:03   2 h 5 min   3723 s   ~90 min   62..65 min
 *     14:32   14:32:10   2:32 pm   0:12:03:14   0:12:03;14   -
 *
 * A clock or counter shows the second it is in: 1:02:03 is read as the middle of that second, ± half of
 * it. Two numbers joined by a colon can be minutes and seconds from the start or the clock; both are
 * given, and the caller, who sees the whole file, settles it or refuses. */
#ifndef RUNDOWN_INTAKE_TYPED_TIME_H
#define RUNDOWN_INTAKE_TYPED_TIME_H

#include "intake/timecode.h"

/* What the times of a file are counted from. */
enum times { TIMES_NOT_STATED, TIMES_ELAPSED, TIMES_CLOCK };

enum time_form {
    TIME_NONE,     /* the line has no time, only its place in the order */
    TIME_UNITS,    /* `2 h 5 min`: elapsed */
    TIME_TWO,      /* `14:32`: M:SS elapsed or H:MM of the clock */
    TIME_THREE,    /* `1:02:03`: the same seconds either way */
    TIME_TIMECODE, /* H:MM:SS:FF */
    TIME_CLOCK,    /* `2:32 pm`: the clock for certain */
};

struct typed_time {
    enum time_form form;
    double s, halfwidth_s;             /* as elapsed, or as the clock where the form is sure */
    double clock_s, clock_halfwidth_s; /* TIME_TWO only: as H:MM of the clock; NaN: cannot be one */
};

/* Reads a time from the start of the span; *ret_used is 0, and the form TIME_NONE, when there is none.
 * Faults as amount_read does. */
enum status typed_time_read(struct span span, char decimal, const struct frame_rate *rate,
                            struct typed_time *ret_time, size_t *ret_used, struct message *message);

/* Settles TIME_TWO in place; faults when `times` does not say. */
enum status typed_time_settle(struct typed_time *time, enum times times, struct message *message);

#endif
