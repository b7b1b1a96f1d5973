/* Watch: readings in, calls and the forecast out.
 *
 * It keeps its own memory of the run (bounded: track.h), and has no clock and no I/O: the same readings give the
 * same calls. A run that is resumed is watched by feeding it the stored readings first and dropping what they
 * give rise to. A value NaN is one that was not heard. */
#ifndef RUNDOWN_BENCH_WATCH_H
#define RUNDOWN_BENCH_WATCH_H

#include "bench/calls.h"
#include "bench/forecast.h"
#include "bench/limits.h"
#include "claims/plan.h"

struct watch_setup {
    const struct label *label; /* NULL: none */
    const struct rig *rig;
    const struct plan *plan;   /* NULL: none */
    struct limits limits;      /* limits_usual(), with what the operator has set */
    enum forecast_goal goal;
    double cue_ahead_s;        /* how long before an event the camera is called for; 0: 5 min */
};

struct reading_now {
    double t_s, v, a, degc, ambient_degc; /* NaN where not heard */
    double cell_low_v, cell_high_v;       /* of named cell channels; NaN none */
};
struct reading_now reading_none(double t_s); /* all else NaN */

enum { WATCH_CALLS = 12 }; /* one reading never gives rise to more */

struct watch;
/* Copies what it needs; nothing is borrowed afterwards. */
struct watch *watch_new(const struct watch_setup *setup);
void watch_free(struct watch *watch); /* NULL is fine */

/* Before the load goes on: the claims that this rig is too wide to decide, with what would. */
size_t watch_before(const struct watch_setup *setup, struct call ret_calls[WATCH_CALLS]);

/* The calls that this reading gives rise to. Times never go back: an earlier reading is left out. */
size_t watch_reading(struct watch *watch, const struct reading_now *now, struct call ret_calls[WATCH_CALLS]);

/* No reading, but time has passed (`t_s` as for readings): cues that fall due meanwhile, and a meter that went
 * dark near empty. */
size_t watch_idle(struct watch *watch, double t_s, struct call ret_calls[WATCH_CALLS]);

/* As of the newest reading; made anew at most once a second of the run. Borrowed, until the next call. */
const struct forecast *watch_forecast(struct watch *watch);

#endif
