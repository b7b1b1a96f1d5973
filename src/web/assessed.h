/* Assessed: assessments kept as long as they are true, shared by those who ask for the same at one time.
 *
 * What one rests on (book/rests_on.h) is asked of the book at each request, so that another program's change counts
 * too. Two requests for the same make it once: the second waits. Kept are the latest, within a bound of their number
 * and of their readings. For several threads. */
#ifndef RUNDOWN_WEB_ASSESSED_H
#define RUNDOWN_WEB_ASSESSED_H

#include "battery/stretch.h"
#include "book/book.h"
#include "claims/assessment.h"

struct assessed;
struct assessed *assessed_new(void);
void assessed_free(struct assessed *assessed); /* all must have been given back */

/* As workshop_assessed of workshop.h; `now_ns` of a monotonic clock, for the lag behind an open run; `book` may read. */
const struct assessment *assessed_take(struct assessed *assessed, struct book *book, int64_t sample, int64_t run,
                                       int64_t now_ns, struct message *message);
void assessed_give_back(struct assessed *assessed, const struct assessment *assessment);

/* What stretches of its first record are measured on, made when first asked for; it stands until the assessment is
 * given back. NULL with a message. */
const struct ground *assessed_ground(struct assessed *assessed, const struct assessment *assessment,
                                     struct message *message);

/* How many were made so far. */
long assessed_made(struct assessed *assessed);

#endif
