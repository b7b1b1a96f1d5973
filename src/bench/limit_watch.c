#include "bench/limit_watch.h"

static const double alone_s = 5;          /* a reading that stands for longer counts by itself */
static const double quiet_s = 60;
static const double half_minute_s = 30;

static double margin(enum limit_kind kind, double at)
{
    bool degrees = kind == LIMIT_LOW_DEGC || kind == LIMIT_HIGH_DEGC;
    return degrees ? 1.5 : kind == LIMIT_RISE ? 0.5 : fabs(at) / 50;
}

static bool is_low(enum limit_kind kind)
{
    return kind == LIMIT_LOW_V || kind == LIMIT_LOW_CELL_V || kind == LIMIT_LOW_DEGC;
}

void limit_watch_init(struct limit_watch *watch, const struct limits *limits, const char *remedy)
{
    *watch = (struct limit_watch){.limits = *limits, .remedy = remedy};
    for (int k = 0; k < LIMITS; k++)
        watch->of[k] = (struct limit_state){.seen_s = NAN, .quiet_to_s = -INFINITY, .quiet_for_s = quiet_s};
}

/* °C in a minute between the oldest and the newest whole half minute of the last four minutes; NaN too few. */
static double rise_now(struct limit_watch *watch, double t_s, double degc)
{
    enum { ROOM = 2 * RISE_MINUTES };
    size_t at = watch->half_minute % ROOM;
    if (isnan(degc))
        return NAN;
    if (watch->half_minutes[at].readings > 0 && t_s - watch->half_minutes[at].from_s >= half_minute_s) {
        at = ++watch->half_minute % ROOM;
        watch->half_minutes[at].readings = 0;
    }
    if (watch->half_minutes[at].readings++ == 0) {
        watch->half_minutes[at].from_s = t_s;
        watch->half_minutes[at].sum_degc = 0;
    }
    watch->half_minutes[at].sum_degc += degc;
    if (watch->half_minute < ROOM)
        return NAN;
    size_t first = (watch->half_minute + 1) % ROOM, last = (watch->half_minute + ROOM - 1) % ROOM;
    double minutes = (watch->half_minutes[last].from_s - watch->half_minutes[first].from_s) / 60;
    double from = watch->half_minutes[first].sum_degc / (double)watch->half_minutes[first].readings;
    double to = watch->half_minutes[last].sum_degc / (double)watch->half_minutes[last].readings;
    return minutes < 2 * RISE_MINUTES ? (to - from) / minutes : NAN; /* a gap tells nothing of a minute */
}

static struct call say(const struct limit_watch *watch, enum limit_kind kind, double value, const struct limited *now)
{
    const struct limit *limit = &watch->limits.of[kind];
    const char *side = is_low(kind) ? "below" : "above", *source = limit->source, *unit = limit_unit(kind);
    switch (kind) {
    case LIMIT_LOW_V: /* where a discharge ends by itself */
        return call_make(CALL_LIMIT, now->t_s, true, "The pack is at %.2f V with %.3g A, below %.4g V (%s): if its BMS does not "
                         "open now, %s.", value, now->a, limit->at, source, watch->remedy);
    case LIMIT_HIGH_V:
        return call_make(CALL_LIMIT, now->t_s, true, "The pack is at %.2f V with %.3g A, above %.4g V (%s): %s.", value, now->a,
                         limit->at, source, watch->remedy);
    case LIMIT_LOW_CELL_V:
    case LIMIT_HIGH_CELL_V:
        return call_make(CALL_LIMIT, now->t_s, true, "A cell is at %.3f V, %s %.4g V (%s): %s.", value, side, limit->at, source,
                         watch->remedy);
    case LIMIT_MOST_A:
        return call_make(CALL_LIMIT, now->t_s, true, "The current is %.4g A, %s %.4g A (%s): %s.", value, side, limit->at,
                         source, watch->remedy);
    case LIMIT_RISE:
        return call_make(CALL_LIMIT, now->t_s, true, "The sample warms by %.2g °C in a minute and is at %.1f °C, above %.2g %s "
                         "(%s): feel the terminals, and %s if it goes on.", value, now->degc, limit->at, unit, source,
                         watch->remedy);
    default:
        return call_make(CALL_LIMIT, now->t_s, true, "The sample is at %.1f °C, %s %.4g °C (%s): %s.", value, side, limit->at,
                         source, watch->remedy);
    }
}

/* Whether this reading makes the limit one to be called. */
static bool passes(struct limit_state *state, enum limit_kind kind, double at, double value, double t_s)
{
    double by = is_low(kind) ? at - value : value - at; /* beyond it */
    bool long_ago = t_s - state->seen_s > alone_s; /* false before the first */
    if (t_s == state->seen_s)
        return false; /* the same instant again confirms nothing */
    state->seen_s = t_s;
    state->beyond = by > 0 ? state->beyond + 1 : 0;
    if (by < -margin(kind, at) && t_s >= state->quiet_to_s)
        state->passed = false;
    if (state->passed || !(by > 0) || (state->beyond < 2 && !long_ago))
        return false;
    state->passed = true;
    state->quiet_to_s = t_s + state->quiet_for_s;
    state->quiet_for_s *= 2;
    return true;
}

size_t limit_watch_reading(struct limit_watch *watch, const struct limited *now, struct call *ret_calls, size_t count,
                           size_t room)
{
    const double values[LIMITS] = {
        [LIMIT_LOW_V] = now->discharging ? now->v : NAN, /* a pack that its BMS has opened is not low */
        [LIMIT_HIGH_V] = now->v,
        [LIMIT_LOW_CELL_V] = now->cell_low_v,
        [LIMIT_HIGH_CELL_V] = now->cell_high_v,
        [LIMIT_MOST_A] = now->a,
        [LIMIT_LOW_DEGC] = now->degc,
        [LIMIT_HIGH_DEGC] = now->degc,
        [LIMIT_RISE] = rise_now(watch, now->t_s, now->degc),
    };
    for (int k = 0; k < LIMITS; k++) {
        double at = watch->limits.of[k].at;
        if (isnan(values[k]) || isnan(at))
            continue;
        if (passes(&watch->of[k], k, at, values[k], now->t_s) && count < room)
            ret_calls[count++] = say(watch, k, values[k], now);
    }
    return count;
}
