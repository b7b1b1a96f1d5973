/* Plan ticks: which steps of a saved plan are done, and when they were.
 *
 * Kept in the book, as the sample's note "steps of the plan": what was done and when belongs to the record of a test,
 * and has to outlive the device that ticked it and the program. Every tick is a version. They are of one version of
 * the plan; another version starts with none. */
#ifndef RUNDOWN_CLAIMS_PLAN_TICKS_H
#define RUNDOWN_CLAIMS_PLAN_TICKS_H

#include "book/sample.h"
#include "claims/plan.h"

struct plan_ticks {
    double done_utc_s[PLAN_STEPS]; /* NaN: not done */
};

/* None at all when those of the book are of another version. */
enum status plan_ticks_read(struct book *book, int64_t sample, int64_t plan, struct plan_ticks *ret_ticks,
                            struct message *message);
/* Ticks a step (counted from 0) at a time, or (NaN) takes the tick back. */
enum status plan_ticks_set(struct book *book, int64_t sample, int64_t plan, int step, double done_utc_s, int64_t utc_ns,
                           struct message *message);

#endif
