/* A rehearsal of one discharge, watched: the pack, its meter and the label are invented. */
#ifndef RUNDOWN_TESTS_WATCHED_H
#define RUNDOWN_TESTS_WATCHED_H

#include "bench/watch.h"
#include "check.h"
#include "rehearsal/invented.h"
#include "rehearsal/run.h"

enum { WATCHED_CALLS = 64 };

static struct {
    struct truth truth;
    struct shown shown;
    struct label label;
    struct rig rig;
    struct plan plan;
    struct call calls[WATCHED_CALLS];
    size_t count;
} watched;

/* `claims`: lines of the label. */
static inline void watched_label(const char *claims)
{
    struct text text = TEXT_EMPTY;
    struct notices notices = {0};
    text_addf(&text, "[sample]\nname = Sample 031\nchemistry = LiFePO4\ninvented = yes\n[claims]\n%s", claims);
    CHECK(label_read_text("label", span_of(text_string(&text)), &watched.label, &notices, NULL) == STATUS_OK);
    notices_free(&notices);
    text_free(&text);
    watched.rig = rig_default();
    watched.rig.of[CHANNEL_CURRENT] = (struct accuracy){.gain = 0.008, .offset = 0.05, .resolution = 0.1, .stated = true};
    watched.rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = 0.004, .offset = 0.02, .resolution = 0.01, .stated = true};
    watched.plan = plan_make(&watched.label, &watched.rig, NULL);
}

static inline void watched_rehearse(double capacity_ah, const struct load_segment *segments, size_t count, double start)
{
    struct cell_ocv ocv;
    invented_ocv(&ocv);
    struct pack_make make = invented_pack(&ocv, 4, capacity_ah);
    struct program program = {segments, count, 1, 1e6};
    struct pack pack;
    pack_init(&pack, &make, start);
    rehearse(&pack, &program, &watched.truth);
    struct random *random = random_new(20261125);
    struct instrument_make meter = invented_meter();
    meter.needs_v = 0;
    struct instrument instrument = instrument_draw(&meter, random);
    instrument_read(&instrument, &watched.truth, random, &watched.shown);
    random_free(random);
}

static inline struct watch_setup watched_setup(enum forecast_goal goal)
{
    return (struct watch_setup){.label = &watched.label, .rig = &watched.rig, .plan = &watched.plan,
                                .limits = limits_usual(&watched.label, goal == GOAL_CHARGE), .goal = goal};
}

static inline struct reading_now watched_reading(size_t k)
{
    struct reading_now now = reading_none(watched.shown.t_s[k]);
    now.v = watched.shown.v[k];
    now.a = watched.shown.a[k];
    now.degc = watched.shown.degc[k];
    return now;
}

static inline void watched_keep(const struct call *calls, size_t count)
{
    for (size_t k = 0; k < count && watched.count < WATCHED_CALLS; k++)
        watched.calls[watched.count++] = calls[k];
}

/* All readings; the calls are kept. */
static inline void watched_run(struct watch *watch)
{
    struct call calls[WATCH_CALLS];
    watched.count = 0;
    for (size_t k = 0; k < watched.shown.count; k++) {
        struct reading_now now = watched_reading(k);
        watched_keep(calls, watch_reading(watch, &now, calls));
    }
}

/* The n-th call of a kind, from 0; NULL. */
static inline const struct call *watched_call(enum call_kind kind, size_t n)
{
    for (size_t k = 0; k < watched.count; k++)
        if (watched.calls[k].kind == kind && n-- == 0)
            return &watched.calls[k];
    return NULL;
}

static inline size_t watched_number(enum call_kind kind)
{
    size_t number = 0;
    for (size_t k = 0; k < watched.count; k++)
        number += watched.calls[k].kind == kind;
    return number;
}

static inline bool watched_says(const struct call *call, const char *words)
{
    bool says = call != NULL && strstr(call->text, words) != NULL;
    if (!says)
        printf("    \"%s\" is not in: %s\n", words, call != NULL ? call->text : "(no such call)");
    return says;
}

static inline void watched_free(void)
{
    truth_free(&watched.truth);
    shown_free(&watched.shown);
    plan_free(&watched.plan);
    label_free(&watched.label);
    watched.truth = (struct truth){0};
    watched.shown = (struct shown){0};
}

#endif
