#include "battery/sight_order.h"

#include "battery/sight_carry.h"

static bool one_clock(const struct sight *a, const struct sight *b)
{
    return a->clock >= 0 && a->clock == b->clock;
}

/* Nodes without a time between two of one clock. */
static void place_between(struct course *course, size_t a, size_t b)
{
    const struct sight *from = course_node(course, a), *to = course_node(course, b);
    double span = to->t_s - from->t_s;
    for (size_t k = a + 1; k < b; k++) {
        struct sight *sight = &course->sight[course->node[k]];
        sight->clock = from->clock;
        sight->t_s = from->t_s + span * (double)(k - a) / (double)(b - a);
        sight->t_half_s = span / 2;
    }
}

static void place_untimed(struct course *course)
{
    size_t last = SIZE_MAX;
    for (size_t k = 0; k < course->node_count; k++) {
        if (course_node(course, k)->clock < 0)
            continue;
        if (last != SIZE_MAX && one_clock(course_node(course, last), course_node(course, k)))
            place_between(course, last, k);
        last = k;
    }
}

struct window {
    double lo, hi;
    bool told;
};

static struct window narrowed(struct window window, double lo, double hi)
{
    struct window one = {fmax(window.lo, lo), fmin(window.hi, hi), true};
    return one.lo <= one.hi ? one : window;
}

/* A mark at the node before tells of what follows, unless it tells how its own phase began. */
static bool tells_of_next(const struct course *course, size_t node)
{
    const struct sight *sight = course_node(course, node);
    bool loaded = sight->state == STATE_DISCHARGE || sight->state == STATE_CHARGE;
    unsigned ends = SAYS_CUT_OFF | SAYS_LOAD_OFF | SAYS_GAVE_UP | SAYS_CHARGER_OFF;
    if (sight->says & (loaded ? ends : SAYS_LOAD_ON | SAYS_BURST | SAYS_CHARGER_ON))
        return true;
    bool goes_on = node > 0 && course->phase_of[node - 1] == course->phase_of[node];
    return goes_on && sight->says & SAYS_EVENT;
}

/* When the load changed between two nodes, on their clock. */
static struct window find_window(const struct course *course, const struct change *change)
{
    size_t i = (size_t)change->before, j = (size_t)change->after;
    const struct sight *before = course_node(course, i), *after = course_node(course, j);
    struct window window = {before->t_s - before->t_half_s, after->t_s + after->t_half_s, false};
    if (change->leg_before != NO_NODE)
        window.hi = fmin(window.hi, before->t_s + before->t_half_s + course->leg[change->leg_before].longest_s);
    if (after->says & SAYS_EVENT)
        return narrowed(window, after->t_s - MARK_SLACK_S, after->t_s + after->t_half_s);
    for (size_t k = course->node[i] + 1; k < course->node[j]; k++) {
        const struct sight *mark = &course->sight[k];
        if (mark->says & SAYS_EVENT && one_clock(mark, before))
            return narrowed(window, mark->t_s - MARK_SLACK_S, mark->t_s + MARK_SLACK_S);
    }
    if (tells_of_next(course, i))
        return narrowed(window, before->t_s - before->t_half_s, before->t_s + MARK_SLACK_S);
    return window;
}

static void set_half_leg(struct course *course, long leg, double duration_s)
{
    if (leg == NO_NODE)
        return;
    course->leg[leg].duration_s = fmax(0, duration_s);
    course->leg[leg].timed = course->leg[leg].bounded = true;
}

/* No clock and, so far, no tally; the volts on their way to empty may bound what came after the last node. */
static void open_half_leg(struct course *course, const struct change *change)
{
    long half[] = {change->leg_before, change->leg_after};
    for (int k = 0; k < 2; k++)
        if (half[k] != NO_NODE) {
            struct leg *leg = &course->leg[half[k]];
            leg->timed = leg->bounded = false;
            leg->duration_s = leg->open_s = 0;
        }
    if (change->leg_before == NO_NODE || change->leg_after != NO_NODE)
        return;
    struct leg *leg = &course->leg[change->leg_before];
    if (isinf(leg->longest_s))
        return;
    leg->bounded = true;
    leg->duration_s = leg->open_s = leg->longest_s / 2;
}

/* at_s is on the clock of its nodes for now. */
static void time_change(struct course *course, struct change *change)
{
    if (change->before == NO_NODE || change->after == NO_NODE) {
        const struct sight *only = course_node(course, (size_t)(change->before == NO_NODE ? change->after : change->before));
        *change = (struct change){change->before, change->after, change->leg_before, change->leg_after,
                              only->t_s, only->t_half_s, true, true};
        set_half_leg(course, change->leg_before, 0);
        set_half_leg(course, change->leg_after, 0);
        return;
    }
    const struct sight *before = course_node(course, (size_t)change->before),
                       *after = course_node(course, (size_t)change->after);
    change->timed = one_clock(before, after);
    if (!change->timed) {
        open_half_leg(course, change);
        return;
    }
    struct window window = find_window(course, change);
    change->at_s = fmin(fmax((window.lo + window.hi) / 2, before->t_s), after->t_s);
    change->half_s = (window.hi - window.lo) / 2;
    change->told = window.told;
    set_half_leg(course, change->leg_before, change->at_s - before->t_s);
    set_half_leg(course, change->leg_after, after->t_s - change->at_s);
}

static void time_legs(struct course *course)
{
    for (size_t k = 0; k < course->leg_count; k++) {
        struct leg *leg = &course->leg[k];
        if (leg->a == NO_NODE || leg->b == NO_NODE)
            continue;
        const struct sight *a = course_node(course, (size_t)leg->a), *b = course_node(course, (size_t)leg->b);
        leg->timed = leg->bounded = one_clock(a, b);
        leg->duration_s = leg->timed ? b->t_s - a->t_s : 0;
    }
    for (size_t k = 0; k < course->change_count; k++)
        time_change(course, &course->change[k]);
}

/* Mean rate of a leg and its half-width: amps for an Ah tally, watts for one of Wh. */
static double rate_of(const struct leg *leg, enum channel tally, double *ret_half)
{
    *ret_half = tally == CHANNEL_CHARGE_TALLY ? leg->amps_half[0] : leg->watts_half[0];
    return tally == CHANNEL_CHARGE_TALLY ? leg->amps[0] : leg->watts[0];
}

/* The legs without a clock between two nodes with a tally. */
struct untimed {
    size_t first, end;  /* of all legs between */
    size_t legs, phases;
    double slow, fast;  /* rates at which they can have counted */
    double left;        /* of the tally's gain, A·s or W·s */
};

static void take_rate(const struct leg *leg, enum channel tally, struct untimed *untimed)
{
    double half, rate = rate_of(leg, tally, &half);
    untimed->slow = fmin(untimed->slow, rate - half);
    untimed->fast = fmax(untimed->fast, rate + half);
}

static struct untimed find_untimed(const struct course *course, enum channel tally, size_t x, size_t y)
{
    const struct seen *from = &course_node(course, x)->of[tally], *to = &course_node(course, y)->of[tally];
    struct untimed found = {.first = course->position[x],
                            .end = course->position[y],
                            .slow = INFINITY,
                            .left = fabs(to->value - from->value) * 3600};
    size_t last_phase = SIZE_MAX;
    double half;
    for (size_t k = found.first; k < found.end; k++) {
        const struct leg *leg = &course->leg[k];
        if (leg->timed) {
            found.left -= rate_of(leg, tally, &half) * leg->duration_s;
            continue;
        }
        found.legs++;
        found.phases += leg->phase != last_phase;
        last_phase = leg->phase;
        take_rate(leg, tally, &found);
    }
    found.left = fmax(0, found.left);
    bool one_load = course->phase_of[x] == course->phase_of[y] && found.legs == found.end - found.first;
    if (one_load && found.legs > 1) { /* how far each of them reached is not known: together they are one */
        struct leg whole = sight_leg_between(course, x, y);
        found.slow = INFINITY;
        found.fast = 0;
        take_rate(&whole, tally, &found);
    }
    return found;
}

/* A first guess: the tally's gain, evenly among the phases, evenly among the legs of a phase. */
static double even_share_s(const struct course *course, enum channel tally, const struct untimed *untimed, size_t leg)
{
    double mates = 0, half;
    for (size_t k = untimed->first; k < untimed->end; k++)
        mates += !course->leg[k].timed && course->leg[k].phase == course->leg[leg].phase;
    return untimed->left / ((double)untimed->phases * mates) / rate_of(&course->leg[leg], tally, &half);
}

static void share_out(struct course *course, enum channel tally, const struct untimed *untimed)
{
    if (!(untimed->slow > 0))
        return;
    double most_s = untimed->left / untimed->slow, least_s = untimed->left / untimed->fast, even_s = 0;
    for (size_t k = untimed->first; k < untimed->end; k++)
        if (!course->leg[k].timed)
            even_s += even_share_s(course, tally, untimed, k);
    double scale = even_s > 0 ? (most_s + least_s) / 2 / even_s : 0;
    bool first = true;
    for (size_t k = untimed->first; k < untimed->end; k++) {
        struct leg *leg = &course->leg[k];
        if (leg->timed)
            continue;
        leg->duration_s = scale * even_share_s(course, tally, untimed, k);
        leg->split_s = first ? (most_s - least_s) / 2 : 0;
        leg->open_s = 0;
        leg->bounded = true;
        first = false;
    }
}

static void bound_by_tally(struct course *course, enum channel tally)
{
    size_t last = SIZE_MAX;
    for (size_t k = 0; k < course->node_count; k++) {
        if (!is_seen(&course_node(course, k)->of[tally]))
            continue;
        bool open = false;
        for (size_t j = last != SIZE_MAX ? course->position[last] : 0; last != SIZE_MAX && j < course->position[k]; j++)
            open |= !course->leg[j].timed;
        if (open) {
            struct untimed untimed = find_untimed(course, tally, last, k);
            share_out(course, tally, &untimed);
        }
        last = k;
    }
}

static double leg_span(const struct course *course, size_t from, size_t to)
{
    double span = 0;
    for (size_t k = from; k < to; k++)
        span += course->leg[k].duration_s;
    return span;
}

/* The course's clock: typed times where neighbours share one, durations of legs elsewhere. */
static void set_clock(struct course *course)
{
    double at = isnan(course_node(course, 0)->t_s) ? 0 : course_node(course, 0)->t_s;
    for (size_t k = 0; k < course->node_count; k++) {
        struct sight *sight = &course->sight[course->node[k]];
        if (k > 0) {
            const struct sight *before = course_node(course, k - 1);
            at += one_clock(before, sight) ? sight->t_s - before->t_s
                                           : leg_span(course, course->position[k - 1], course->position[k]);
        }
        sight->at_s = at;
    }
    for (size_t k = 0; k < course->change_count; k++) {
        struct change *change = &course->change[k];
        const struct sight *base = course_node(course, (size_t)(change->before == NO_NODE ? change->after : change->before));
        double after = change->leg_before != NO_NODE ? course->leg[change->leg_before].duration_s : 0;
        bool rest = change->before != NO_NODE && change->leg_before == NO_NODE && change->leg_after != NO_NODE;
        if (rest) {
            base = course_node(course, (size_t)change->after);
            after = -course->leg[change->leg_after].duration_s;
        }
        change->at_s = base->at_s + after;
    }
}

void sight_order(struct course *course)
{
    place_untimed(course);
    time_legs(course);
    bound_by_tally(course, CHANNEL_CHARGE_TALLY);
    bound_by_tally(course, CHANNEL_ENERGY_TALLY);
    set_clock(course);
}
