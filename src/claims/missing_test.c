/* What the discharge lacks that the capacity rests on. */
#include "claims/missing_parts.h"

/* What to do about a condition (battery/conditions.h) that is not known or not as the standards ask. */
struct condition_next {
    const char *name, *unknown, *departs, *next;
};

static const struct condition_next condition_nexts[] = {
    {"current", "The current cannot be told as a multiple of the rated charge", "The current was not the standards' 0.2 It",
     "Run it at a fifth of the rated charge an hour, or say why not: the rate is printed with the verdict"},
    {"temperature", "No temperature was recorded", "It was not tested at the standards' temperature",
     "Put a probe on the case, or write down the room's temperature at the start and the end; bring it to 25 °C first"},
    {"rest before", "How long it rested before the discharge is not known", "It did not rest as the standards ask",
     "Let the recording run for an hour before the load goes on"},
    {"cut-off", "Whether it was empty at the end is not known", "The test ended before the sample was empty",
     "Go on until the BMS opens or the stated cut-off is reached"},
    {"full charge before", "Nothing shows that it was full at the start", "It was not full at the start",
     "Record the charge before as well, until its current has died away, and the discharge straight after"},
};

static const struct condition_next *next_of(const char *name)
{
    for (size_t k = 0; k < sizeof condition_nexts / sizeof *condition_nexts; k++)
        if (strcmp(condition_nexts[k].name, name) == 0)
            return &condition_nexts[k];
    return NULL;
}

static void of_condition(const struct condition *condition, struct missing_list *list)
{
    const struct condition_next *next = next_of(condition->name);
    if ((condition->known && !condition->departs) || next == NULL)
        return;
    struct missing *item = missing_add(list, MISSING_DOUBT);
    MISSING_SAY(item->what, "%s", condition->known ? next->departs : next->unknown);
    MISSING_SAY(item->next, "%s", next->next);
    if (isfinite(condition->effect_lo) && isfinite(condition->effect_hi))
        MISSING_SAY(item->helps, "Its likely effect on the charge is %+.1f %% to %+.1f %%", 100 * condition->effect_lo, 100 * condition->effect_hi);
    else if (strcmp(condition->name, "full charge before") == 0)
        MISSING_SAY(item->helps, "What was not in it counts as a shortfall: a claim that is not met may be the charge's fault, one that is met stands");
    else if (strcmp(condition->name, "cut-off") == 0)
        MISSING_SAY(item->helps, "What was left in it is missing from the charge: the capacity is a least value");
    else
        MISSING_SAY(item->helps, "Nobody can say how far it moved the result, in either direction");
}

/* Share of the variance that comes from what nobody saw between readings, or how they were read. */
static double eye_share(const struct measure *measure)
{
    double eye = 0, all = 0;
    for (int k = 0; k < measure->count; k++) {
        enum cause cause = measure->parts[k].cause;
        double variance = measure->parts[k].u * measure->parts[k].u;
        bool of_eye = cause == CAUSE_GAP || cause == CAUSE_LOAD_LAW || cause == CAUSE_HEDGE || cause == CAUSE_SAMPLING ||
                      cause == CAUSE_RESOLUTION || cause == CAUSE_STEP_INSTANTS;
        eye += of_eye ? variance : 0;
        all += variance;
    }
    return measure_known(measure) && all > 0 ? eye / all : NAN;
}

static void of_eye(const struct record *record, struct missing_list *list)
{
    if (!record->by_eye)
        return;
    struct missing *item = missing_add(list, MISSING_DOUBT);
    item->share = eye_share(&record->findings.test_ah);
    MISSING_SAY(item->what, "It rests on %zu instants read by eye", record->sightings.count);
    MISSING_SAY(item->next, "Log with a meter that writes down its readings, or film the meter throughout and type more of it");
    if (isfinite(item->share))
        MISSING_SAY(item->helps, "How it was read and what nobody saw between make up %.0f %% of the variance of the charge", 100 * item->share);
    else
        MISSING_SAY(item->helps, "Anybody can then check the readings themselves");
}

static void of_tally(const struct tally_check *tally, struct missing_list *list)
{
    if (!tally->present || tally->agrees || tally->words[0] == '\0')
        return;
    struct missing *item = missing_add(list, MISSING_DOUBT);
    MISSING_SAY(item->what, "The meter's own tally and the readings do not agree");
    MISSING_SAY(item->next, "Find out which of them is wrong before anything is published: a second meter in series tells");
    MISSING_SAY(item->helps, "%s", tally->words);
}

static void of_extent(const struct findings *f, struct missing_list *list)
{
    enum ended_by by = f->runs[f->test_last_run].ended.by;
    if (f->beginning_unseen) {
        struct missing *item = missing_add(list, MISSING_DOUBT);
        MISSING_SAY(item->what, "The readings begin when the discharge was under way");
        MISSING_SAY(item->next, "Start the recording before the load goes on");
        MISSING_SAY(item->helps, "What flowed before is missing from the charge: the capacity is a least value");
    }
    if (by == ENDED_LOG) {
        struct missing *item = missing_add(list, MISSING_DOUBT);
        MISSING_SAY(item->what, "The log stopped while current still flowed");
        MISSING_SAY(item->next, "Record on until the current has stopped, and a few minutes longer");
        MISSING_SAY(item->helps, "It shows what ended the discharge and how the volts came back");
    }
    if (f->order_only) {
        struct missing *item = missing_add(list, MISSING_DOUBT);
        MISSING_SAY(item->what, "The readings have no times");
        MISSING_SAY(item->next, "Write down the clock beside each reading, or type the film's own time");
        MISSING_SAY(item->helps, "Without times durations are bounded only, and so is what comes of them");
    }
}

void missing_of_test(const struct assessment *assessment, const struct record *record, struct missing_list *list)
{
    const struct findings *f = &record->findings;
    for (int k = 0; k < f->condition_count; k++)
        of_condition(&f->conditions[k], list);
    of_eye(record, list);
    of_tally(&f->tally_ah, list);
    of_extent(f, list);
}
