#include "battery/sight_view.h"

#include "base/memory.h"
#include "battery/rest.h"
#include "battery/sight_words.h"

static const struct seen unseen = {NAN, NAN, NAN, NAN, false};

static double middle_of(double lo, double hi)
{
    return isfinite(lo) && isfinite(hi) ? (lo + hi) / 2 : NAN;
}

static void note_conflict(struct course *course, const struct instant *instant, enum channel channel,
                          const struct seen *so_far, const struct sighted *more)
{
    const char *symbol = channel_symbol(channel);
    notices_add(course->notices, "conflict", instant->line,
                "Two readings of the %s at one instant disagree: %g..%g %s and %g..%g %s. Both are kept; what "
                "either allows counts.",
                channel_name(channel), so_far->lo, so_far->hi, symbol, more->lo, more->hi, symbol);
}

static void take_value(struct course *course, const struct instant *instant, const struct sighted *value,
                       struct seen *seen)
{
    if (isnan(value->lo) || isnan(value->hi) || value->lo > value->hi)
        return;
    bool hedged = value->hedged || value->had == HAD_REMEMBERED || value->had == HAD_INFERRED;
    if (isnan(seen->lo)) {
        *seen = (struct seen){.lo = value->lo, .hi = value->hi, .digit = value->digit, .hedged = hedged};
    } else if (value->lo > seen->hi || value->hi < seen->lo) {
        note_conflict(course, instant, value->channel, seen, value);
        seen->lo = fmin(seen->lo, value->lo);
        seen->hi = fmax(seen->hi, value->hi);
        seen->hedged = true;
    } else {
        seen->lo = fmax(seen->lo, value->lo);
        seen->hi = fmin(seen->hi, value->hi);
        seen->hedged = seen->hedged && hedged;
    }
    seen->digit = fmin(seen->digit, value->digit);
    seen->value = middle_of(seen->lo, seen->hi);
}

static void take_instant(struct course *course, size_t k)
{
    const struct instant *instant = &course->sightings->instants[k];
    struct sight *sight = &course->sight[k];
    bool timed = isfinite(instant->t_s);
    *sight = (struct sight){
        .instant = k,
        .clock = !timed ? -1 : course->sightings->tied ? 0 : instant->clip,
        .t_s = timed ? instant->t_s : NAN,
        .t_half_s = timed && isfinite(instant->halfwidth_s) ? instant->halfwidth_s : 0,
        .at_s = NAN,
        .amps = unseen,
        .says = sight_says(instant->words != NULL ? instant->words : ""),
    };
    for (int c = 0; c < CHANNELS; c++)
        sight->of[c] = unseen;
    for (size_t j = 0; j < instant->count; j++)
        take_value(course, instant, &instant->values[j], &sight->of[instant->values[j].channel]);
}

/* Turned by `sign`: bounds change places. */
static struct seen turned(struct seen seen, int sign)
{
    if (sign > 0)
        return seen;
    return (struct seen){-seen.value, -seen.hi, -seen.lo, seen.digit, seen.hedged};
}

static struct seen amps_of(const struct sight *sight)
{
    const struct seen *a = &sight->of[CHANNEL_CURRENT], *w = &sight->of[CHANNEL_POWER],
                      *v = &sight->of[CHANNEL_VOLTAGE];
    bool plain = !isnan(a->lo) && !a->hedged;
    if (plain || !is_seen(w) || !is_seen(v) || !(v->lo > 0))
        return *a;
    double q[] = {w->lo / v->lo, w->lo / v->hi, w->hi / v->lo, w->hi / v->hi};
    double lo = fmin(fmin(q[0], q[1]), fmin(q[2], q[3])), hi = fmax(fmax(q[0], q[1]), fmax(q[2], q[3]));
    return (struct seen){(lo + hi) / 2, lo, hi, w->digit / v->value, w->hedged || v->hedged};
}

/* The amount of an open or closed bound that is sure. */
static double typical(const struct seen *amps)
{
    return is_seen(amps) ? fabs(amps->value) : isfinite(amps->lo) ? fabs(amps->lo) : fabs(amps->hi);
}

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Below this nothing of note flows: a meter's zero, not a load. */
static double rest_limit(const struct course *course)
{
    double *size = memory_get((course->sight_count + 1) * sizeof *size), largest = 0;
    size_t count = 0;
    for (size_t k = 0; k < course->sight_count; k++)
        if (!isnan(course->sight[k].amps.lo))
            largest = fmax(largest, typical(&course->sight[k].amps));
    for (size_t k = 0; k < course->sight_count; k++)
        if (!isnan(course->sight[k].amps.lo) && typical(&course->sight[k].amps) > IDLE_SHARE * largest)
            size[count++] = typical(&course->sight[k].amps);
    qsort(size, count, sizeof *size, compare);
    double median = count > 0 ? size[count / 2] : 0;
    free(size);
    return IDLE_SHARE * median;
}

/* What the meter can show at zero: its offset and a digit or two, but never half of a working current. */
static enum state state_of(const struct course *course, const struct seen *amps, double limit)
{
    if (isnan(amps->lo))
        return STATE_UNKNOWN;
    double zero = accuracy_offset(&course->rig->of[CHANNEL_CURRENT], amps->digit);
    double rest = fmax(limit, fmin(zero + amps->digit, limit / IDLE_SHARE * REST_SHARE));
    double size = is_seen(amps) ? amps->value : isfinite(amps->lo) ? amps->lo : amps->hi;
    if (fabs(size) <= rest)
        return STATE_REST;
    return size > 0 ? STATE_DISCHARGE : STATE_CHARGE;
}

/* The state that an event leaves behind; STATE_UNKNOWN when it tells nothing. */
static enum state state_after(unsigned says)
{
    if (says & SAYS_CUT_OFF || says & SAYS_DARK)
        return STATE_DARK;
    if (says & SAYS_CHARGER_ON)
        return STATE_CHARGE;
    if (says & (SAYS_LOAD_ON | SAYS_BURST | SAYS_BURST_OFF))
        return STATE_DISCHARGE;
    if (says & (SAYS_LOAD_OFF | SAYS_GAVE_UP | SAYS_CHARGER_OFF | SAYS_RESTED))
        return STATE_REST;
    return STATE_UNKNOWN;
}

/* Sign evidence of two neighbours: a load pulls the volts down, at a step and along a discharge. */
static double evidence_between(const struct sight *before, const struct sight *after)
{
    const struct seen *v0 = &before->of[CHANNEL_VOLTAGE], *v1 = &after->of[CHANNEL_VOLTAGE];
    if (!is_seen(v0) || !is_seen(v1) || !is_seen(&before->amps) || !is_seen(&after->amps))
        return 0;
    double dv = v1->value - v0->value, slack = seen_half(v0) + seen_half(v1);
    if (fabs(dv) <= slack)
        return 0;
    double a0 = before->amps.value, a1 = after->amps.value, da = a1 - a0;
    if (fabs(da) > 0.3 * fmax(fabs(a0), fabs(a1)))
        return dv * da < 0 ? 1 : -1;
    return dv * (a0 + a1) < 0 ? 0.25 : -0.25; /* along a discharge volts fall: weaker, as they recover too */
}

/* +1 when positive amps leave, -1 when they enter, 0 when neither marks nor volts tell. */
static int sign_of(const struct course *course)
{
    double stated = course->sightings->direction, sum = 0, marks = 0, volts = 0;
    const struct sight *last = NULL;
    for (size_t k = 0; k < course->sight_count; k++) {
        const struct sight *sight = &course->sight[k];
        if (isnan(sight->amps.lo))
            continue;
        double size = is_seen(&sight->amps) ? sight->amps.value
                                            : isfinite(sight->amps.lo) ? sight->amps.lo : sight->amps.hi;
        double way = size > 0 ? 1 : size < 0 ? -1 : 0;
        sum += size;
        if (sight->says & (SAYS_LOAD_ON | SAYS_BURST))
            marks += way;
        if (sight->says & SAYS_CHARGER_ON)
            marks -= way;
        if (last != NULL)
            volts += evidence_between(last, sight);
        last = sight;
    }
    if (stated != 0)
        return sum * stated >= 0 ? 1 : -1;
    if (marks != 0)
        return marks > 0 ? 1 : -1;
    return volts > 0 ? 1 : volts < 0 ? -1 : 0;
}

/* Marks without amps can still say that this is a discharge. */
static bool says_discharge(const struct course *course)
{
    for (size_t k = 0; k < course->sight_count; k++)
        if (course->sight[k].says & (SAYS_LOAD_ON | SAYS_BURST | SAYS_BURST_OFF | SAYS_CUT_OFF | SAYS_GAVE_UP))
            return true;
    return false;
}

static enum status turn(struct course *course, struct message *message)
{
    bool any = false;
    for (size_t k = 0; k < course->sight_count; k++) {
        struct sight *sight = &course->sight[k];
        sight->amps = amps_of(sight);
        any |= !isnan(sight->amps.lo);
    }
    if (!any)
        return STATUS_OK;
    int sign = sign_of(course);
    if (sign == 0 && says_discharge(course))
        sign = 1;
    if (sign == 0) {
        status_fail(message, STATUS_AMBIGUOUS,
                    "nothing tells whether the current left the sample or entered it");
        return status_remedy(message, "write `direction: discharge` or `direction: charge` above the readings");
    }
    for (size_t k = 0; k < course->sight_count; k++) {
        struct sight *sight = &course->sight[k];
        sight->amps = turned(sight->amps, sign);
        sight->of[CHANNEL_CURRENT] = turned(sight->of[CHANNEL_CURRENT], sign);
        sight->of[CHANNEL_POWER] = turned(sight->of[CHANNEL_POWER], sign);
    }
    return STATUS_OK;
}

static bool carries_values(const struct sight *sight)
{
    static const enum channel carrying[] = {CHANNEL_VOLTAGE, CHANNEL_POWER, CHANNEL_CHARGE_TALLY,
                                            CHANNEL_ENERGY_TALLY};
    for (size_t k = 0; k < sizeof carrying / sizeof carrying[0]; k++)
        if (!isnan(sight->of[carrying[k]].lo))
            return true;
    return !isnan(sight->amps.lo);
}

/* A tally that moved since the last one seen: something flowed. */
static bool tally_moved(const struct course *course, size_t k)
{
    static const enum channel tallies[] = {CHANNEL_CHARGE_TALLY, CHANNEL_ENERGY_TALLY};
    for (size_t c = 0; c < 2; c++) {
        const struct seen *now = &course->sight[k].of[tallies[c]];
        for (size_t j = k; is_seen(now) && j-- > 0;) {
            const struct seen *then = &course->sight[j].of[tallies[c]];
            if (is_seen(then))
                return now->lo > then->hi || now->hi < then->lo;
        }
    }
    return false;
}

static void find_states(struct course *course)
{
    double limit = rest_limit(course);
    enum state state = STATE_REST, other = course->sightings->direction < 0 ? STATE_CHARGE : STATE_DISCHARGE;
    bool charger = false;
    for (size_t k = 0; k < course->sight_count; k++) {
        struct sight *sight = &course->sight[k];
        enum state after = state_after(sight->says);
        charger = (charger || sight->says & SAYS_CHARGER_ON) && !(sight->says & SAYS_CHARGER_OFF);
        sight->state = state_of(course, &sight->amps, limit);
        if (sight->state == STATE_UNKNOWN && !carries_values(sight))
            sight->state = after == STATE_DARK || after == STATE_REST ? after : STATE_UNKNOWN;
        else if (sight->state == STATE_UNKNOWN)
            sight->state = after == STATE_DARK && !tally_moved(course, k) ? STATE_DARK
                           : after != STATE_UNKNOWN && after != STATE_DARK ? after
                           : state == STATE_REST && tally_moved(course, k) ? other
                                                                            : state;
        if (charger && sight->state == STATE_DISCHARGE && !isnan(sight->amps.lo)) { /* a meter without signs */
            sight->amps = turned(sight->amps, -1);
            sight->state = STATE_CHARGE;
        }
        if (after != STATE_UNKNOWN)
            state = after;
        else if (sight->state != STATE_UNKNOWN)
            state = sight->state;
    }
}

enum status sight_view(struct course *course, struct message *message)
{
    course->sight_count = course->sightings->count;
    course->sight = memory_get((course->sight_count + 1) * sizeof *course->sight);
    course->node = memory_get((course->sight_count + 1) * sizeof *course->node);
    for (size_t k = 0; k < course->sight_count; k++)
        take_instant(course, k);
    enum status status = turn(course, message);
    if (status != STATUS_OK)
        return status;
    find_states(course);
    for (size_t k = 0; k < course->sight_count; k++)
        if (course->sight[k].state != STATE_UNKNOWN)
            course->node[course->node_count++] = k;
    return STATUS_OK;
}
