/* Diary: what happens in a rehearsal, line by line, for whoever watches it: the program as it goes on, and what the
 * board does. */
#ifndef RUNDOWN_REHEARSAL_DIARY_H
#define RUNDOWN_REHEARSAL_DIARY_H

#include "rehearsal/rehearsal.h"

struct diary {
    const struct rehearsal *rehearsal; /* borrowed */
    size_t segment, event;             /* to be told next */
};

/* Adds, each on its line, what has happened by `t_s` and was not told before; false when there was nothing. */
bool diary_tell(struct diary *diary, double t_s, struct text *text);

/* The truth in a few lines. */
void diary_sum_up(const struct rehearsal *rehearsal, struct text *text);

#endif
