/* Workshop: what the routes share while a book is open in browsers: the book's handles, what was assessed, the
 * long work under way, the recordings, the news. For several threads.
 *
 * Each area (shelf, sample, run, bench, plan, rig, publish, add) is a file `on_AREA.c` with its table of routes;
 * docs/browser.md lists them. A handler takes a book handle, does what the command of the same work does by the same
 * floors, puts the handle back, and tells the pages (workshop_tell) when it has changed something. */
#ifndef RUNDOWN_WEB_WORKSHOP_H
#define RUNDOWN_WEB_WORKSHOP_H

#include "base/clock.h"
#include "battery/stretch.h"
#include "book/sample.h"
#include "claims/assessment.h"
#include "http/serving.h"

struct workshop;

struct workshop_setup {
    const char *book;
    const struct clock *clock; /* NULL: the machine's */
    struct events *events;
    struct door *door;
    const char *spool; /* a folder of its own for files that are not in the book yet */
};
enum status workshop_open(const struct workshop_setup *setup, struct workshop **ret_workshop, struct message *message);
/* Ends recordings, probes and tasks first. */
void workshop_close(struct workshop *workshop);

const char *workshop_path(const struct workshop *workshop);  /* of the book */
const char *workshop_spool(const struct workshop *workshop);
struct events *workshop_events(struct workshop *workshop);
struct door *workshop_door(struct workshop *workshop);
const struct clock *workshop_clock(const struct workshop *workshop);
int64_t workshop_utc_ns(const struct workshop *workshop);
struct benches *workshop_benches(struct workshop *workshop); /* benches.h: the recordings */
struct drops *workshop_drops(struct workshop *workshop); /* drops.h: files that are not in the book yet */
struct tasks *workshop_tasks(struct workshop *workshop); /* tasks.h */
struct ready_pictures *workshop_pictures(struct workshop *workshop); /* report/ready_pictures.h */
struct shelf_keeper *workshop_shelf(struct workshop *workshop); /* shelf_keeper.h */

/* A handle of the book for one request, from a pool; NULL with a message. Put it back on the same thread, whatever
 * happened: what is not committed is rolled back. */
struct book *workshop_take(struct workshop *workshop, enum book_access access, struct message *message);
void workshop_put(struct workshop *workshop, struct book *book);

/* Tells the pages what changed, as event "book": {"what": "sample"|"run"|"document"|"picture"|"digest", "id": …, "sample": …}.
 * `sample` 0: unknown, or the workshop's. Readers read again what they show of it. */
void workshop_tell(struct workshop *workshop, const char *what, int64_t id, int64_t sample);

/* An assessment, shared: of all runs of a sample (run 0), or of one run; made when it is not there or when anything
 * it rests on has changed. What `rundown assess BOOK --sample NAME` and `rundown assess BOOK:RUN` give. A sample
 * without readings is assessed from its label alone. While a run is recorded it may be some seconds behind the readings
 * (WORKSHOP_LAG_S, and four times what it takes to make). Give it back. */
enum { WORKSHOP_LAG_S = 10 };
const struct assessment *workshop_assessed(struct workshop *workshop, int64_t sample, int64_t run,
                                           struct message *message);
void workshop_give_back(struct workshop *workshop, const struct assessment *assessment);
/* What stretches of a run are measured on (battery/stretch.h): of an assessment that was not given back yet. */
const struct ground *workshop_ground(struct workshop *workshop, const struct assessment *assessment,
                                     struct message *message);

#endif
