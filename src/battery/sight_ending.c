#include "battery/sight_ending.h"

#include "battery/ending.h"
#include "battery/trip_judge.h"
#include "numeric/budget.h"

/* What was seen after the run and before anything flowed again. */
struct aftermath {
    unsigned says;
    bool dark, any;      /* any: something was read or said */
    double high_v;       /* NaN when no volts were read */
    double high_after_s;
    long line;
};

static struct aftermath look_after(const struct course *course, size_t last)
{
    struct aftermath after = {.high_v = NAN, .high_after_s = NAN};
    const struct sight *end = course_node(course, last);
    after.says = end->says & (SAYS_CUT_OFF | SAYS_LOAD_OFF | SAYS_GAVE_UP | SAYS_CHARGER_OFF | SAYS_FULL);
    for (size_t k = course->node[last] + 1; k < course->sight_count; k++) {
        const struct sight *sight = &course->sight[k];
        if (sight->state == STATE_DISCHARGE || sight->state == STATE_CHARGE)
            break;
        after.any = true;
        after.says |= sight->says;
        after.dark |= sight->state == STATE_DARK;
        after.line = after.line != 0 ? after.line : course->sightings->instants[sight->instant].line;
        double v = sight->of[CHANNEL_VOLTAGE].value;
        if (!isnan(v) && !(v <= after.high_v)) {
            after.high_v = v;
            after.high_after_s = sight->at_s - end->at_s;
        }
    }
    return after;
}

/* As for logs: a charger whose pack has opened shows its own volts, a pack that it let go falls. */
#define LOST_LOAD 1.01

static enum ended_by judge(const struct run *run, const struct aftermath *after, bool more, double end_v)
{
    bool collapsed = after->high_v < COLLAPSED * end_v;
    if (run->kind == RUN_CHARGE && !(after->says & (SAYS_FULL | SAYS_CHARGER_OFF)) && after->high_v > LOST_LOAD * end_v)
        return ENDED_BMS;
    if (run->kind == RUN_CHARGE)
        return after->says & (SAYS_FULL | SAYS_CHARGER_OFF) ? ENDED_CHARGER : after->any ? ENDED_CANNOT_TELL : ENDED_LOG;
    if (after->says & SAYS_GAVE_UP)
        return ENDED_LOAD;
    if (after->says & SAYS_LOAD_OFF)
        return ENDED_OPERATOR;
    if (after->says & SAYS_DARK || collapsed)
        return ENDED_BMS;
    if (after->says & SAYS_CUT_OFF)
        return after->high_v >= end_v ? ENDED_LOAD : ENDED_CANNOT_TELL;
    return more && !after->any ? ENDED_BY_NEXT : after->any ? ENDED_CANNOT_TELL : ENDED_LOG;
}

static void write_evidence(const struct aftermath *after, enum run_kind kind, struct ending *ending)
{
    char line[32] = "";
    if (after->line != 0)
        snprintf(line, sizeof line, " (line %ld)", after->line);
    const char *words = "";
    switch (ending->by) {
    case ENDED_BMS:
        words = kind == RUN_CHARGE      ? "the volts went up as the current stopped: the charger lost its load"
                : after->says & SAYS_DARK ? "the meter went dark under load"
                                          : "the volts at the terminals collapsed once the current had gone";
        break;
    case ENDED_LOAD:
        words = after->says & SAYS_GAVE_UP ? "the words say that the load gave up"
                                           : "the current was cut off and the volts came back: the BMS had not opened";
        break;
    case ENDED_OPERATOR: words = "the words say that the load was switched off"; break;
    case ENDED_CHARGER: words = "the words say that the charge was over"; break;
    case ENDED_LOG: words = "the last reading still shows the load"; break;
    case ENDED_BY_NEXT: words = "the next reading shows another direction of the current"; break;
    case ENDED_CANNOT_TELL:
        words = kind == RUN_CHARGE && isnan(after->high_v)
                    ? "the current was gone; volts at the terminals then would tell who stopped it: a supply that has lost its "
                      "pack shows its own"
                : after->says & SAYS_CUT_OFF
                    ? "a cut-off was noted, but neither volts after it nor a dark meter say who cut"
                    : "the current was gone at the next reading, and no words say why";
        break;
    }
    snprintf(ending->evidence, sizeof ending->evidence, "%s%s", words, line);
}

/* The last volts read under load. The end came after them, so they bound the volts at the end from above. */
static struct measure end_volts(const struct course *course, size_t last)
{
    const struct sight *sight = course_node(course, last);
    size_t k = last;
    while (!is_seen(&sight->of[CHANNEL_VOLTAGE])) {
        if (k == 0 || course->phase_of[k - 1] != course->phase_of[last])
            return measure_unknown("no volts were read under the last load");
        sight = course_node(course, --k);
    }
    const struct seen *seen = &sight->of[CHANNEL_VOLTAGE];
    const struct accuracy *own = &course->rig->of[CHANNEL_VOLTAGE];
    uint32_t gain = rig_source(course->rig, CHANNEL_VOLTAGE, ERROR_GAIN);
    uint32_t offset = rig_source(course->rig, CHANNEL_VOLTAGE, ERROR_OFFSET);
    struct measure v = measure_of(seen->value);
    measure_part(&v, (struct part){CAUSE_GAIN_VOLTAGE, SHAPE_RECTANGULAR, seen->value * own->gain / sqrt(3), INFINITY,
                                   gain, "gain of the voltage channel", ""});
    measure_part(&v, (struct part){CAUSE_OFFSET_VOLTAGE, SHAPE_RECTANGULAR, accuracy_offset(own, seen->digit) / sqrt(3),
                                   INFINITY, offset, "offset of the voltage channel", ""});
    measure_part(&v, (struct part){seen->hedged ? CAUSE_HEDGE : CAUSE_RESOLUTION, SHAPE_RECTANGULAR,
                                   seen_half(seen) / sqrt(3), INFINITY, 0, "the volts as they were read", ""});
    budget_close(&v);
    return v;
}

/* It ended in a raise of the current: then the volts sag, and a cut-off is not for an empty cell. */
static bool ends_raised(const struct course *course, const struct run *run)
{
    const struct phase *phase = &course->findings->phases[run->first_phase + run->phases - 1];
    return run->phases > 1 && fabs(phase->mean_a) > RAISED_BY * fabs(phase[-1].mean_a) &&
           phase->end_s - phase->start_s <= RAISE_ACTS_S;
}

/* As for logs: by the cells, else by the volts half way through; a raise at the end is left aside. */
static bool is_low(const struct course *course, size_t last, const struct run *run, unsigned says)
{
    bool raised = ends_raised(course, run);
    double v = run->ended.end_v.value;
    for (size_t k = last; raised && k > 0 && course->phase_of[k] != run->first_phase + run->phases - 2; k--)
        v = course->volts[k - 1].value;
    if (run->kind == RUN_CHARGE)
        return false;
    if (says & SAYS_CUT_OFF && !raised)
        return true;
    if (course->asked->lithium_iron_phosphate && isfinite(course->cells) && isfinite(v))
        return v < LOW_CELL_V * course->cells;
    size_t first = last;
    while (first > 0 && course_node(course, first - 1)->state == course_node(course, last)->state)
        first--;
    return v < LOW_SHARE * course->volts[first + (last - first) / 2].value;
}

void sight_ending(const struct course *course, size_t last, struct run *run)
{
    struct aftermath after = look_after(course, last);
    struct ending *ending = &run->ended;
    *ending = (struct ending){.end_cell_v = NAN, .recovery_v = NAN, .recovery_after_s = NAN, .knee_s = NAN,
                              .knee_minutes = NAN, .dark = after.dark};
    bool more = last + 1 < course->node_count;
    if (run->kind == RUN_REST) {
        ending->by = more ? ENDED_BY_NEXT : ENDED_LOG;
        ending->end_v = measure_unknown("nothing flowed");
        snprintf(ending->evidence, sizeof ending->evidence, "%s",
                 more ? "the next reading shows a current" : "the readings end at rest");
        return;
    }
    const struct sight *end = course_node(course, last);
    ending->fell_unseen = !is_seen(&end->of[CHANNEL_VOLTAGE]) || !(end->says & SAYS_CUT_OFF);
    ending->end_v = end_volts(course, last);
    ending->end_cell_v = ending->end_v.value / course->cells;
    ending->low = is_low(course, last, run, after.says);
    ending->by = judge(run, &after, more, ending->end_v.value);
    if (after.high_v > ending->end_v.value) {
        ending->recovery_v = after.high_v;
        ending->recovery_after_s = after.high_after_s;
    }
    write_evidence(&after, run->kind, ending);
}
