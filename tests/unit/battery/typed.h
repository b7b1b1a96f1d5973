/* Readings as a person types them, examined: for the tests of what is made of sightings. */
#ifndef RUNDOWN_TESTS_TYPED_H
#define RUNDOWN_TESTS_TYPED_H

#include "check.h"

#include "battery/examine.h"
#include "intake/readings.h"

/* One examination; typed_end releases it. */
struct typed {
    struct sightings sightings;
    struct rig rig;
    struct asked asked;
    struct findings findings;
    struct notices notices;
    struct message message;
    enum status status;
};

static inline struct typed typed_start(void)
{
    return (struct typed){.rig = rig_default(), .asked = asked_nothing()};
}

static inline void typed_examine(struct typed *typed, const char *text)
{
    typed->status =
        readings_read_text("hut.readings", span_of(text), &typed->sightings, &typed->notices, &typed->message);
    if (typed->status != STATUS_OK)
        printf("    the text: %ld:%ld %s. %s\n", typed->message.line, typed->message.column, typed->message.what,
               typed->message.remedy);
    CHECK(typed->status == STATUS_OK);
    if (typed->status == STATUS_OK)
        typed->status = examine_sightings(&typed->sightings, &typed->rig, &typed->asked, &typed->findings,
                                          &typed->notices, &typed->message);
}

static inline void typed_end(struct typed *typed)
{
    if (typed->status == STATUS_OK)
        findings_free(&typed->findings);
    sightings_free(&typed->sightings);
    notices_free(&typed->notices);
}

static inline bool typed_notice(const struct typed *typed, const char *topic)
{
    for (size_t k = 0; k < typed->notices.count; k++)
        if (strcmp(typed->notices.items[k].topic, topic) == 0)
            return true;
    return false;
}

/* Within its interval, which is no wider than `share` of the value. */
static inline bool typed_holds(const struct measure *measure, double truth, double share)
{
    bool holds = measure->lo <= truth && truth <= measure->hi && measure->hi - measure->lo <= 2 * share * truth;
    if (!holds)
        printf("    %g in [%g, %g]: %s\n", truth, measure->lo, measure->hi, measure->why);
    return holds;
}

#endif
