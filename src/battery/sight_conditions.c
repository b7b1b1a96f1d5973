#include "battery/sight_conditions.h"

#include "battery/conditions.h"
#include "battery/efficiency.h"
#include "battery/fullness.h"
#include "numeric/budget.h"

/* Words between two instants, the first included, the second too. */
static unsigned said(const struct course *course, size_t from, size_t to)
{
    unsigned says = 0;
    for (size_t k = from; k <= to && k < course->sight_count; k++)
        says |= course->sight[k].says;
    return says;
}

/* Where no charge was read, somebody may yet have written that it was full. */
static void find_full(struct course *course)
{
    struct findings *f = course->findings;
    fullness_find(f);
    size_t first = f->runs[f->test_first_run].first, from = 0;
    for (size_t k = f->test_first_run; k-- > 0 && from == 0;)
        if (f->runs[k].kind == RUN_DISCHARGE)
            from = f->runs[k].last + 1;
    if (isnan(f->full_before) && !f->full_doubted && first > from && said(course, from, first - 1) & SAYS_FULL) {
        f->full_before = 1;
        snprintf(f->full_words, sizeof f->full_words, "full: the words say so; no charge was read");
    }
}

/* The charge after the test and before anything else is drawn; NULL when there is none. */
static const struct run *charge_after(const struct findings *findings)
{
    for (size_t k = findings->test_last_run + 1; k < findings->run_count; k++) {
        if (findings->runs[k].kind == RUN_DISCHARGE)
            break;
        if (findings->runs[k].kind == RUN_CHARGE)
            return &findings->runs[k];
    }
    return NULL;
}

static struct measure wake_of(const struct findings *findings)
{
    const struct run *last = &findings->runs[findings->test_last_run], *charge = charge_after(findings);
    if (last->ended.by != ENDED_BMS && !last->ended.dark)
        return measure_unknown("the test did not end with the BMS open");
    if (charge == NULL) {
        struct measure none = measure_of(0);
        budget_close(&none);
        return none;
    }
    if (charge->charge_ah.value > 0.25 * findings->test_ah.value)
        return measure_unknown("the sample was charged after the test, and nothing tells the waking from that");
    return charge->charge_ah;
}

/* Mean of what was read of the room from the start of the test to its end. */
static double ambient_of(const struct course *course)
{
    const struct findings *findings = course->findings;
    double sum = 0, count = 0;
    size_t last = findings->runs[findings->test_last_run].last;
    for (size_t k = findings->runs[findings->test_first_run].first; k <= last; k++) {
        const struct seen *seen = &course->sight[k].of[CHANNEL_AMBIENT];
        if (is_seen(seen))
            sum += seen->value, count++;
    }
    return count > 0 ? sum / count : NAN;
}

void sight_conditions(struct course *course)
{
    struct findings *findings = course->findings;
    find_full(course);
    findings->wake_ah = wake_of(findings);
    efficiency_find(findings);
    conditions_find(course->asked, ambient_of(course), findings);
}
