/* Live: a rehearsal shown by a clock, row by row, to servers that speak for its meters (instrument/serve.h).
 *
 * The bench stands at its first instant until somebody asks for a row (or live_begin); from then on its time is
 * the clock's. Rows were all known before: a slow listener misses some, or gets them late with the meter's own
 * time in them, and never gets others. A meter fed by the pack answers nothing while the pack is dark; at the end
 * of the program every meter is switched off. */
#ifndef RUNDOWN_REHEARSAL_LIVE_H
#define RUNDOWN_REHEARSAL_LIVE_H

#include "instrument/serve.h"
#include "rehearsal/rehearsal.h"

enum { LIVE_LISTENERS = 8 };

struct live;

/* Both are borrowed. */
struct live *live_new(const struct rehearsal *rehearsal, const struct clock *clock);
void live_free(struct live *live); /* after its servers have stopped */

/* One view for one server; at most LIVE_LISTENERS of a bench. `waits`: a row that is asked for does not start the
 * bench, as when a server speaks unasked whether anybody listens or not. */
struct serve_view live_view(struct live *live, enum script_meter meter, bool waits);

void live_begin(struct live *live); /* once; later calls do nothing */
void live_begin_at(struct live *live, double t_s); /* the same, when so much of it has gone by already */
bool live_begun(const struct live *live);
double live_s(const struct live *live); /* of the rehearsal; 0 before it has begun */
bool live_over(const struct live *live);
/* Servers that wait for a row get none any more, and soon. */
void live_stop(struct live *live);

#endif
