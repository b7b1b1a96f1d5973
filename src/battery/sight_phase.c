#include "battery/sight_phase.h"

#include "base/memory.h"

static bool flows(enum state state)
{
    return state == STATE_DISCHARGE || state == STATE_CHARGE;
}

static enum run_kind kind_of(enum state state)
{
    return state == STATE_DISCHARGE ? RUN_DISCHARGE : state == STATE_CHARGE ? RUN_CHARGE : RUN_REST;
}

/* Bounds of the magnitude of I·V^-n, the level under law n. */
static struct seen level_bounds(const struct sight *sight, int n)
{
    const struct seen *a = &sight->amps, *v = &sight->of[CHANNEL_VOLTAGE];
    double lo = a->lo >= 0 ? a->lo : -a->hi, hi = a->lo >= 0 ? a->hi : -a->lo;
    if (a->lo < 0 && a->hi > 0)
        lo = 0, hi = fmax(-a->lo, a->hi);
    lo *= 1 - SAME_LOAD / 2;
    hi *= 1 + SAME_LOAD / 2;
    if (n != 0)
        lo *= fmin(pow(v->lo, -n), pow(v->hi, -n)), hi *= fmax(pow(v->lo, -n), pow(v->hi, -n));
    return (struct seen){.lo = lo, .hi = hi};
}

/* Whether one load can have stood at both. Amps not seen contradict nothing. */
static bool can_be_same(const struct sight *one, const struct sight *two)
{
    if (isnan(one->amps.lo) || isnan(two->amps.lo))
        return true;
    bool volts = is_seen(&one->of[CHANNEL_VOLTAGE]) && is_seen(&two->of[CHANNEL_VOLTAGE]);
    for (int n = volts ? -1 : 0; n <= (volts ? 1 : 0); n++) {
        struct seen a = level_bounds(one, n), b = level_bounds(two, n);
        if (a.lo <= b.hi && b.lo <= a.hi)
            return true;
    }
    return false;
}

static unsigned said_between(const struct course *course, size_t k)
{
    unsigned says = 0;
    for (size_t j = course->node[k] + 1; j <= course->node[k + 1]; j++)
        says |= course->sight[j].says;
    return says;
}

/* Whether node k + 1 goes on with the phase of node k. */
static bool goes_on(const struct course *course, size_t k)
{
    const struct sight *a = course_node(course, k), *b = course_node(course, k + 1);
    if (a->state != b->state)
        return false;
    bool unseen = isnan(a->amps.lo) || isnan(b->amps.lo);
    unsigned steps = SAYS_BURST | SAYS_BURST_OFF | SAYS_LOAD_ON | SAYS_LOAD_OFF;
    if (unseen && said_between(course, k) & steps)
        return false;
    return can_be_same(a, b);
}

static void add_phase(struct course *course, size_t first, size_t last)
{
    struct findings *findings = course->findings;
    for (size_t k = first; k <= last; k++)
        course->phase_of[k] = findings->phase_count;
    findings->phases[findings->phase_count++] = (struct phase){
        .kind = kind_of(course_node(course, first)->state),
        .mode = MODE_VARYING,
        .run = findings->run_count - 1,
        .first = course_node(course, first)->instant,
        .last = course_node(course, last)->instant,
    };
}

static void add_run(struct course *course, size_t first, size_t last)
{
    struct findings *findings = course->findings;
    findings->runs[findings->run_count++] = (struct run){
        .kind = kind_of(course_node(course, first)->state),
        .first = course_node(course, first)->instant,
        .last = course_node(course, last)->instant,
        .first_phase = findings->phase_count,
    };
    for (size_t from = first; from <= last;) {
        size_t to = from;
        while (to < last && goes_on(course, to))
            to++;
        add_phase(course, from, to);
        findings->runs[findings->run_count - 1].phases++;
        from = to + 1;
    }
}

static void split(struct course *course)
{
    for (size_t from = 0; from < course->node_count;) {
        size_t to = from;
        while (to + 1 < course->node_count &&
               course_node(course, to + 1)->state == course_node(course, from)->state)
            to++;
        add_run(course, from, to);
        from = to + 1;
    }
}


/* The class of an earlier phase whose last node can be of one load with the first of this. */
static void find_classes(struct course *course)
{
    const struct findings *findings = course->findings;
    for (size_t p = 0; p < findings->phase_count; p++) {
        const struct phase *phase = &findings->phases[p];
        course->class_of[p] = course->class_count;
        for (size_t q = p; q-- > 0;) {
            const struct phase *earlier = &findings->phases[q];
            const struct sight *last = &course->sight[earlier->last], *first = &course->sight[phase->first];
            bool both = !isnan(last->amps.lo) && !isnan(first->amps.lo);
            if (earlier->kind == phase->kind && both && q + 1 != p && can_be_same(last, first)) {
                course->class_of[p] = course->class_of[q];
                break;
            }
        }
        course->class_count += course->class_of[p] == course->class_count;
    }
}

static void find_pulses(struct course *course)
{
    struct findings *findings = course->findings;
    for (size_t p = 1; p + 1 < findings->phase_count; p++) {
        struct phase *phase = &findings->phases[p];
        bool within = phase[-1].run == phase->run && phase[1].run == phase->run;
        phase->pulse = within && phase->kind != RUN_REST && !phase[-1].pulse &&
                       course->class_of[p - 1] == course->class_of[p + 1];
    }
}

/* Volts that were not read lie between those read before and after in the same phase. */
static void fill_volts(struct course *course)
{
    for (size_t k = 0; k < course->node_count; k++) {
        course->volts[k] = course_node(course, k)->of[CHANNEL_VOLTAGE];
        if (is_seen(&course->volts[k]) || !flows(course_node(course, k)->state))
            continue;
        const struct seen *before = NULL, *after = NULL;
        for (size_t j = k; j-- > 0 && before == NULL && course->phase_of[j] == course->phase_of[k];)
            if (is_seen(&course_node(course, j)->of[CHANNEL_VOLTAGE]))
                before = &course_node(course, j)->of[CHANNEL_VOLTAGE];
        for (size_t j = k + 1; j < course->node_count && after == NULL &&
                               course->phase_of[j] == course->phase_of[k]; j++)
            if (is_seen(&course_node(course, j)->of[CHANNEL_VOLTAGE]))
                after = &course_node(course, j)->of[CHANNEL_VOLTAGE];
        before = before == NULL ? after : before;
        after = after == NULL ? before : after;
        if (before != NULL) {
            double lo = fmin(before->lo, after->lo), hi = fmax(before->hi, after->hi);
            course->volts[k] = (struct seen){(lo + hi) / 2, lo, hi, before->digit, true};
        }
    }
}

void sight_phases(struct course *course)
{
    size_t room = course->node_count + 1;
    course->phase_of = memory_get(room * sizeof *course->phase_of);
    course->class_of = memory_get(room * sizeof *course->class_of);
    course->volts = memory_get(room * sizeof *course->volts);
    course->findings->runs = memory_get(room * sizeof *course->findings->runs);
    course->findings->phases = memory_get(room * sizeof *course->findings->phases);
    split(course);
    find_classes(course);
    find_pulses(course);
    fill_volts(course);
}
