#include "battery/sight_conditions.h"

#include "battery/conditions.h"
#include "battery/efficiency.h"
#include "numeric/budget.h"

#define HELD_WITHIN 0.01
#define TAPERED_TO 0.25

/* How a charge ended, as far as it was read. */
struct taper {
    bool full;
    double held_v, end_a;
};

static struct taper taper_of(const struct course *course, const struct run *run)
{
    struct taper taper = {.held_v = NAN, .end_a = NAN};
    double peak_a = 0, peak_v = 0;
    for (size_t k = run->first; k <= run->last; k++) {
        const struct sight *sight = &course->sight[k];
        if (!is_seen(&sight->amps) || !is_seen(&sight->of[CHANNEL_VOLTAGE]))
            continue;
        taper.end_a = -sight->amps.value;
        taper.held_v = sight->of[CHANNEL_VOLTAGE].value;
        peak_a = fmax(peak_a, taper.end_a);
        peak_v = fmax(peak_v, taper.held_v);
    }
    taper.full = taper.end_a <= TAPERED_TO * peak_a && taper.held_v >= (1 - HELD_WITHIN) * peak_v;
    return taper;
}

/* Words between two instants, the first included, the second too. */
static unsigned said(const struct course *course, size_t from, size_t to)
{
    unsigned says = 0;
    for (size_t k = from; k <= to && k < course->sight_count; k++)
        says |= course->sight[k].says;
    return says;
}

static void find_full(struct course *course)
{
    struct findings *findings = course->findings;
    const struct run *test = &findings->runs[findings->test_first_run];
    size_t from = 0;
    findings->full_before = NAN;
    snprintf(findings->full_words, sizeof findings->full_words, "nothing in the readings shows that it was full");
    for (size_t k = findings->test_first_run; k-- > 0;) {
        const struct run *run = &findings->runs[k];
        if (run->kind == RUN_DISCHARGE) {
            from = run->last + 1;
            break;
        }
        struct taper taper = run->kind == RUN_CHARGE ? taper_of(course, run) : (struct taper){.full = false};
        if (taper.full) {
            findings->full_before = 1;
            snprintf(findings->full_words, sizeof findings->full_words,
                     "a charge before it held %.2f V while the current fell to %.3g A", taper.held_v, taper.end_a);
            return;
        }
    }
    if (test->first > from && said(course, from, test->first - 1) & SAYS_FULL) {
        findings->full_before = 1;
        snprintf(findings->full_words, sizeof findings->full_words, "the words say that it was full");
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

static void find_efficiency(struct course *course)
{
    struct findings *findings = course->findings;
    const struct run *charge = charge_after(findings);
    const char *why = !(findings->full_before > 0) ? "the readings do not show the sample full before the test"
                      : charge == NULL             ? "no charge follows the test"
                                                   : NULL;
    if (why == NULL && !taper_of(course, charge).full &&
        !(said(course, charge->first, charge->last + 1) & SAYS_FULL))
        why = "the readings do not show the sample full again after the test";
    if (why != NULL) {
        findings->efficiency_charge = findings->efficiency_energy = measure_unknown("%s", why);
        return;
    }
    findings->efficiency_charge = efficiency_ratio(&findings->test_ah, &charge->charge_ah);
    findings->efficiency_energy = efficiency_ratio(&findings->test_wh, &charge->energy_wh);
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
    find_efficiency(course);
    conditions_find(course->asked, ambient_of(course), findings);
}
