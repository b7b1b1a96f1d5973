#include "battery/holding.h"

#include "base/number.h"
#include "battery/burst.h"
#include "battery/watched.h"
#include "numeric/budget.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

enum { FEW = 30 };
static const double near_end_s = 600; /* the temperature at the end of a hold may have been read so long before */
static const double same_a = 0.05;    /* of a current that goes on: it was neither raised nor eased (no source) */

const char *hold_end_name(enum hold_end end)
{
    static const char *const names[] = {"cannot tell", "the board opened",  "the current went down",
                                        "empty",       "the readings end", "the current was raised"};
    return names[end];
}

/* Phases first…last of one run, every second of which is a burst on the current of the others. */
struct stretch {
    size_t run, first, last;
};

static bool bursts(const struct findings *f, size_t phase)
{
    bool reached_end;
    return f->phases[phase].kind == RUN_DISCHARGE && burst_is(f, phase, &reached_end) && !reached_end;
}

static struct stretch stretch_from(const struct findings *f, size_t run, size_t phase)
{
    const struct run *of = &f->runs[run];
    struct stretch s = {run, phase, phase};
    if (bursts(f, phase))
        return s;
    while (s.last + 2 < of->first_phase + of->phases && bursts(f, s.last + 1) && !bursts(f, s.last + 2))
        s.last += 2;
    return s;
}

static double seconds(const struct findings *f, const struct stretch *s)
{
    return f->phases[s->last].end_s - f->phases[s->first].start_s;
}

static enum hold_end end_of_run(const struct run *run)
{
    switch (run->ended.by) {
    case ENDED_BMS: return run->kind == RUN_DISCHARGE && run->ended.low ? HOLD_EMPTY : HOLD_TRIPPED;
    case ENDED_LOAD: return run->ended.low ? HOLD_EMPTY : HOLD_EASED;
    case ENDED_LOG: return HOLD_READINGS_END;
    case ENDED_CANNOT_TELL: return HOLD_CANNOT_TELL;
    case ENDED_CHARGER:
    case ENDED_OPERATOR:
    case ENDED_BY_NEXT: break;
    }
    return HOLD_EASED;
}

static enum hold_end end_of(const struct findings *f, const struct stretch *s)
{
    const struct run *run = &f->runs[s->run];
    if (s->last + 1 == run->first_phase + run->phases)
        return end_of_run(run);
    return fabs(f->phases[s->last + 1].mean_a) > (1 + same_a) * fabs(f->phases[s->last].mean_a) ? HOLD_RAISED : HOLD_EASED;
}

/* What the way they were read by eye leaves open of their mean: any of them may be off to the same side. */
static double read_half_a(const struct watched *w, const struct stretch *s)
{
    size_t first, n;
    double sum = 0, count = 0;
    if (w->half_a == NULL || w->a == NULL ||
        !watched_rows(w, w->findings->phases[s->first].start_s, w->findings->phases[s->last].end_s, &first, &n))
        return 0;
    for (size_t k = first; k < first + n; k++) {
        if (w->a[k] != 0 && isfinite(w->half_a[k])) {
            sum += w->half_a[k];
            count++;
        }
    }
    return count > 0 ? sum / count : 0;
}

/* A hold of few readings, as a raise that tripped: the level between its edges, whose readings may be of both loads. */
static struct measure level_a(const struct watched *w, size_t first, size_t n)
{
    double sum = 0, square = 0, count = 0;
    for (size_t k = first + 1; k + 1 < first + n; k++) {
        if (isfinite(w->a[k])) {
            sum += fabs(w->a[k]);
            square += w->a[k] * w->a[k];
            count++;
        }
    }
    if (count < 2)
        return measure_unknown("fewer than two readings lie within it");
    struct measure a = measure_of(sum / count);
    measure_part(&a, (struct part){CAUSE_NOISE, SHAPE_T, sqrt(fmax(square - sum * sum / count, 0) / (count - 1) / count), count - 1,
                                   0, "scatter of the amps", "read more often"});
    return a;
}

/* Mean of the base alone. */
static struct measure mean_a(const struct watched *w, const struct stretch *s)
{
    double charge = 0, time = 0;
    size_t first, n;
    for (size_t k = s->first; k <= s->last; k += 2) {
        const struct phase *phase = &w->findings->phases[k];
        charge += fabs(phase->mean_a) * (phase->end_s - phase->start_s);
        time += phase->end_s - phase->start_s;
    }
    if (!(time > 0) || !isfinite(charge))
        return measure_unknown("the readings do not show what flowed");
    struct measure a = measure_of(charge / time);
    double from_s = w->findings->phases[s->first].start_s, to_s = w->findings->phases[s->last].end_s;
    if (!w->by_eye && w->a != NULL && watched_rows(w, from_s, to_s, &first, &n) && n >= 4 && n < FEW) {
        struct measure level = level_a(w, first, n);
        a = measure_known(&level) ? level : a;
    }
    watched_add_amps(w, a.value, read_half_a(w, s), &a);
    budget_close(&a);
    return a;
}

/* Room for one more: the shortest of those that merely eased is given up, if it is shorter than `seconds_more`. */
static bool make_room(const struct findings *f, struct stretch *list, size_t *count, double seconds_more, bool eased)
{
    size_t shortest = *count;
    for (size_t k = 0; k < *count; k++)
        if (end_of(f, &list[k]) == HOLD_EASED && (shortest == *count || seconds(f, &list[k]) < seconds(f, &list[shortest])))
            shortest = k;
    if (shortest == *count || (eased && seconds_more <= seconds(f, &list[shortest])))
        return false;
    memmove(&list[shortest], &list[shortest + 1], (--*count - shortest) * sizeof *list);
    return true;
}

/* What a charger held at constant volts is no held current. */
static bool counts(const struct phase *phase)
{
    return phase->kind != RUN_REST && !(phase->kind == RUN_CHARGE && phase->mode == MODE_CONSTANT_VOLTAGE);
}

static void keep(const struct findings *f, struct stretch s, struct stretch *list, size_t *count)
{
    if (!counts(&f->phases[s.first]))
        return;
    if (*count == HOLDS && !make_room(f, list, count, seconds(f, &s), end_of(f, &s) == HOLD_EASED))
        return;
    list[(*count)++] = s;
}

static size_t gather(const struct findings *f, struct stretch *list)
{
    size_t count = 0;
    for (size_t r = 0; r < f->run_count; r++) {
        const struct run *run = &f->runs[r];
        size_t next = run->first_phase, end = run->first_phase + run->phases;
        while (run->kind != RUN_REST && next < end) {
            struct stretch s = stretch_from(f, r, next);
            keep(f, s, list, &count);
            for (size_t k = s.first + 1; k < s.last; k += 2)
                keep(f, (struct stretch){r, k, k}, list, &count);
            next = s.last + 1;
        }
    }
    return count;
}

size_t holds_find(const struct watched *watched, struct hold ret_holds[static HOLDS])
{
    const struct findings *f = watched->findings;
    struct stretch list[HOLDS];
    size_t count = gather(f, list);
    for (size_t k = 0; k < count; k++) {
        const struct stretch *s = &list[k];
        double from_s = f->phases[s->first].start_s, to_s = f->phases[s->last].end_s;
        ret_holds[k] = (struct hold){.run = s->run, .from_s = from_s, .charging = f->runs[s->run].kind == RUN_CHARGE,
                                     .bursts = (int)(s->last - s->first) / 2, .end = end_of(f, s)};
        ret_holds[k].a = mean_a(watched, s);
        ret_holds[k].held_s = watched_duration(watched, from_s, to_s);
        ret_holds[k].degc = watched_last(watched, watched->degc, to_s, fmin(near_end_s, to_s - from_s));
    }
    return count;
}

__attribute__((format(printf, 2, 3))) static void say(struct hold *hold, const char *format, ...)
{
    size_t used = strlen(hold->words);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(hold->words + used, sizeof hold->words - used, format, arguments);
    va_end(arguments);
}

/* From where a discharge to empty was held: full, when that was shown. */
static void say_from(const struct findings *f, struct hold *hold)
{
    const struct run *run = &f->runs[hold->run];
    char held[40];
    number_print_duration(hold->held_s.value, held, sizeof held);
    bool test_begins = f->has_test && hold->run == f->test_first_run && hold->from_s == run->start_s;
    if (test_begins && f->beginning_unseen)
        say(hold, "held from the start of the readings");
    else if (test_begins && f->full_before > 0)
        say(hold, "held from full");
    else if (test_begins)
        say(hold, "held from its start, not shown to be full,");
    else if (measure_known(&hold->held_s))
        say(hold, "held for the last %s", held);
    else
        say(hold, "held");
}

static void say_trip(const struct findings *f, struct hold *hold)
{
    char held[48];
    enum trip_way way = TRIP_UNKNOWN;
    for (size_t k = 0; k < f->trip_count; k++)
        way = f->trips[k].run == hold->run ? f->trips[k].way : way;
    say(hold, hold->charging ? "the board stopped the charge" : "the board opened");
    if (measure_known(&hold->held_s)) {
        measure_print(&hold->held_s, "s", held, sizeof held);
        say(hold, " after %s", held);
    }
    if (way != TRIP_UNKNOWN)
        say(hold, ": %s", trip_way_name(way));
}

static void say_hold(const struct findings *f, struct hold *hold)
{
    char held[40] = "a time unknown";
    hold->words[0] = '\0';
    if (measure_known(&hold->held_s))
        number_print_duration(hold->held_s.value, held, sizeof held);
    bool by_load = f->runs[hold->run].ended.by == ENDED_LOAD;
    if (hold->end == HOLD_EMPTY)
        say_from(f, hold);
    switch (hold->end) {
    case HOLD_EMPTY: say(hold, by_load ? " to where the load gave up" : " to cut-off"); break;
    case HOLD_TRIPPED: say_trip(f, hold); break;
    case HOLD_EASED: say(hold, "held for %s", held); break;
    case HOLD_RAISED: say(hold, "held for %s, then raised", held); break;
    case HOLD_READINGS_END: say(hold, "held for %s at least: the readings end under it", held); break;
    case HOLD_CANNOT_TELL: say(hold, "held for %s; what ended it is not told", held); break;
    }
    if (hold->bursts > 0)
        say(hold, hold->bursts == 1 ? ", with a burst between" : ", with %d bursts between", hold->bursts);
    if (isfinite(hold->degc))
        say(hold, ", sensor at %.3g °C", hold->degc);
    if (hold->end != HOLD_TRIPPED && hold->end != HOLD_CANNOT_TELL)
        say(hold, ", no trip");
}

void holds_say(struct findings *findings)
{
    for (size_t k = 0; k < findings->hold_count; k++)
        say_hold(findings, &findings->holds[k]);
}
