#include "claims/full_before.h"

#include "base/number.h"
#include "battery/conditions.h"

/* What flowed last before an instant, of all records. */
struct before {
    const struct record *record;
    const struct run *run; /* NULL: nothing is known to have flowed */
    double ended_utc_s;
};

static double start_utc_s(const struct record *record, bool *ret_zone)
{
    *ret_zone = record->by_eye ? record->sightings.zone_known : record->log.series.zone_known;
    return record->by_eye ? record->sightings.start_utc_s : record->log.series.start_utc_s;
}

static struct before find_before(const struct assessment *assessment, const struct record *of, double at_utc_s)
{
    struct before before = {.run = NULL, .ended_utc_s = -INFINITY};
    bool zone, other;
    start_utc_s(of, &zone);
    for (size_t r = 0; r < assessment->record_count; r++) {
        const struct record *record = &assessment->records[r];
        double start = start_utc_s(record, &other);
        if (record == of || isnan(start) || other != zone)
            continue;
        for (size_t k = 0; k < record->findings.run_count; k++) {
            const struct run *run = &record->findings.runs[k];
            double ended = start + run->end_s;
            if (run->kind != RUN_REST && ended <= at_utc_s && ended > before.ended_utc_s)
                before = (struct before){record, run, ended};
        }
    }
    return before;
}

/* The charging that a run is of, restarts included. */
static const struct charging *charging_of_run(const struct findings *f, size_t run)
{
    const struct charging *of = NULL;
    for (size_t k = 0; k < f->charging_count && f->chargings[k].run <= run; k++)
        of = &f->chargings[k];
    return of;
}

static void tell(struct findings *f, const struct before *before, double waited_s)
{
    const struct findings *g = &before->record->findings;
    const struct charging *c = charging_of_run(g, (size_t)(before->run - g->runs));
    const char *slash = strrchr(before->record->path, '/'), *file = slash != NULL ? slash + 1 : before->record->path;
    char waited[32], *words = f->full_words;
    size_t size = sizeof f->full_words;
    number_print_duration(waited_s, waited, sizeof waited);
    if (before->run->kind == RUN_DISCHARGE || c == NULL) {
        snprintf(words, size, "cannot tell: what is seen before the test is a discharge (%.80s), and no charge since", file);
    } else if (c->full == FULL_SHOWN && waited_s > FULL_KEEPS_S) {
        snprintf(words, size, "cannot tell: the charge that filled it (%.80s) ended %.0f days before", file, waited_s / 86400);
    } else if (c->full == FULL_SHOWN) {
        f->full_before = 1;
        snprintf(words, size, "full: the charge before (%.80s, %s earlier) is shown to have filled it: %.*s", file, waited,
                 (int)strcspn(c->full_words, ":"), c->full_words); /* by which criterion, its record says */
    } else {
        f->full_before = c->below_knee ? 0 : NAN;
        f->full_doubted = true;
        snprintf(words, size, "%s: of the charge before (%.80s), %.240s",
                 c->below_knee ? "not full" : full_shown_name(c->full), file, c->full_words);
    }
    conditions_full(f);
    holds_say(f);
}

void full_before_across(struct assessment *assessment)
{
    for (size_t r = 0; r < assessment->record_count; r++) {
        struct record *record = &assessment->records[r];
        struct findings *f = &record->findings;
        bool zone, flowed = false;
        double start = start_utc_s(record, &zone);
        for (size_t k = 0; f->has_test && k < f->test_first_run; k++)
            flowed |= f->runs[k].kind != RUN_REST;
        if (!f->has_test || !isnan(f->full_before) || flowed || isnan(start))
            continue;
        double began = start + f->test_start_s;
        struct before before = find_before(assessment, record, began);
        if (before.run != NULL)
            tell(f, &before, began - before.ended_utc_s);
    }
}
