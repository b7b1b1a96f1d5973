#include "battery/sight_tally.h"

#include "base/memory.h"

/* +1 when the tally grows while charge moves, -1 when it counts down. */
static int way_of(const struct course *course, enum channel tally, size_t first, size_t end)
{
    double sum = 0, last = NAN;
    for (size_t k = 0; k < course->node_count; k++) {
        const struct seen *seen = &course_node(course, k)->of[tally];
        if (!is_seen(seen) || course->position[k] < first || course->position[k] > end)
            continue;
        if (!isnan(last) && seen->value != last)
            sum += seen->value > last ? 1 : -1;
        last = seen->value;
    }
    return sum < 0 ? -1 : 1;
}

/* What the load law says flowed between two nodes, Ah or Wh; NaN when not timed. */
static double expected(const struct course *course, enum channel tally, size_t a, size_t b)
{
    double sum = 0;
    for (size_t k = course->position[a]; k < course->position[b]; k++) {
        const struct leg *leg = &course->leg[k];
        if (!leg->timed)
            return NAN;
        sum += (tally == CHANNEL_CHARGE_TALLY ? leg->amps[0] : leg->watts[0]) * leg->duration_s / 3600;
    }
    return sum;
}

enum link { LINK_GOES_ON, LINK_RESTARTS, LINK_STOOD };

static enum link link_between(const struct course *course, enum channel tally, int way, size_t a, size_t b)
{
    const struct seen *from = &course_node(course, a)->of[tally], *to = &course_node(course, b)->of[tally];
    double gain = (to->value - from->value) * way, slack = seen_half(from) + seen_half(to);
    double should = expected(course, tally, a, b);
    if (gain < -slack || course_node(course, b)->says & SAYS_TALLY_ZERO)
        return LINK_RESTARTS;
    return gain <= slack && should > 5 * slack + from->digit ? LINK_STOOD : LINK_GOES_ON;
}

/* Of the nodes at one position the tally read most closely counts. */
static size_t closest_at(const struct course *course, enum channel tally, size_t k)
{
    size_t best = k;
    for (size_t j = k + 1; j < course->node_count && course->position[j] == course->position[k]; j++) {
        const struct seen *seen = &course_node(course, j)->of[tally];
        const struct seen *so_far = &course_node(course, best)->of[tally];
        if (is_seen(seen) && (!is_seen(so_far) || seen_half(seen) < seen_half(so_far)))
            best = j;
    }
    return best;
}

static void take_link(const struct course *course, enum channel tally, size_t from, size_t to, bool goes_on,
                      struct chains *chains)
{
    const struct seen *first = &course_node(course, from)->of[tally], *last = &course_node(course, to)->of[tally];
    if (!goes_on) {
        if (chains->count == CHAINS)
            return;
        chains->chain[chains->count++] =
            (struct chain){.from = from, .from_half = seen_half(first), .hedged = first->hedged};
    }
    struct chain *chain = &chains->chain[chains->count - 1];
    chain->to = to;
    chain->to_half = seen_half(last);
    chain->hedged |= last->hedged;
    chain->gain = fabs(last->value - course_node(course, chain->from)->of[tally].value);
}

struct chains sight_chains(const struct course *course, enum channel tally, size_t first, size_t end, bool plain)
{
    struct chains chains = {.in = memory_get((course->leg_count + 1) * sizeof(bool))};
    int way = way_of(course, tally, first, end);
    size_t last = SIZE_MAX;
    bool goes_on = false;
    for (size_t k = 0; k < course->node_count; k++) {
        if (course->position[k] < first || course->position[k] > end ||
            (k > 0 && course->position[k - 1] == course->position[k]))
            continue;
        size_t node = closest_at(course, tally, k);
        const struct seen *seen = &course_node(course, node)->of[tally];
        if (!is_seen(seen) || (plain && seen->hedged))
            continue;
        bool linked = last != SIZE_MAX && link_between(course, tally, way, last, node) == LINK_GOES_ON;
        if (linked)
            take_link(course, tally, last, node, goes_on, &chains);
        goes_on = linked;
        last = node;
    }
    for (size_t k = 0; k < chains.count; k++)
        for (size_t leg = course->position[chains.chain[k].from]; leg < course->position[chains.chain[k].to]; leg++)
            chains.in[leg] = true;
    return chains;
}

void chains_free(struct chains *chains)
{
    free(chains->in);
    *chains = (struct chains){.count = 0};
}

void sight_tally_events(const struct course *course, enum channel tally, struct tally_check *check)
{
    int way = way_of(course, tally, 0, course->leg_count);
    size_t last = SIZE_MAX;
    check->event_s = NAN;
    for (size_t k = 0; k < course->node_count; k++) {
        const struct seen *seen = &course_node(course, k)->of[tally];
        if (!is_seen(seen) || seen->hedged)
            continue;
        if (last != SIZE_MAX) {
            enum link link = link_between(course, tally, way, last, k);
            if (link != LINK_GOES_ON)
                check->event_s = course_node(course, last)->at_s;
            check->reset |= link == LINK_RESTARTS;
            check->froze |= link == LINK_STOOD;
        }
        last = k;
    }
}
