/* Areas: one table of routes each, in `on_AREA.c`. docs/browser.md describes every route. */
#ifndef RUNDOWN_WEB_AREAS_H
#define RUNDOWN_WEB_AREAS_H

#include "web/workshop.h"

extern const struct http_route pages_routes[];   /* the pages, styles and scripts that are embedded */
extern const struct http_route door_routes[];    /* pairing, sessions, where it is shared */
extern const struct http_route shelf_routes[];   /* all samples */
extern const struct http_route compare_routes[]; /* several side by side */
extern const struct http_route sample_routes[];  /* one sample: its facts, what it comes to, corrections */
extern const struct http_route picture_routes[]; /* pictures of a sample, what is encoded in them */
extern const struct http_route opened_routes[];  /* what was seen in an opened sample, item by item */
extern const struct http_route paper_routes[];   /* papers with their history */
extern const struct http_route run_routes[];     /* one run: curves, stretches, findings */
extern const struct http_route bench_routes[];   /* recordings, rehearsals, typed lines */
extern const struct http_route plan_routes[];    /* plans and how far they were followed */
extern const struct http_route rig_routes[];     /* rigs of the workshop, probes */
extern const struct http_route check_routes[];   /* papers and lines checked as they are typed */
extern const struct http_route add_routes[];     /* logs that are dropped: preview, correct, confirm */
extern const struct http_route task_routes[];    /* long work */
extern const struct http_route publish_routes[]; /* sheet, page, figures, replies */
extern const struct http_route guide_routes[];   /* sheets for tests by hand */
extern const struct http_route calculate_routes[]; /* wire, thermistor, cellcode, casesize on their own */

/* All of them, ended by NULL; the handlers' context is the workshop. */
extern const struct http_route *const areas[];

#endif
