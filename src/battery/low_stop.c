#include "battery/low_stop.h"

#include "base/number.h"
#include "battery/ending.h"
#include "battery/sight_words.h"
#include "battery/watched.h"
#include "numeric/budget.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>
#include <strings.h>

static const double put_on_s = 120; /* of the first live reading: a charger whose current flows by then woke the pack */
static const double charger_cell_v = 3.4; /* an emptied lithium iron phosphate cell does not come back so far by itself */

static const char *const itself = "by itself", *const woken_by = "woken by ";

/* The resistance of the step next before the stop that shows one; NaN. */
static double ohm_before(const struct findings *f, const struct run *run)
{
    double ohm = NAN;
    for (size_t k = 0; k < f->step_count && f->steps[k].at_s < run->end_s; k++)
        if (f->steps[k].resistances > 0 && measure_known(&f->steps[k].resistance[0].ohm))
            ohm = f->steps[k].resistance[0].ohm.value;
    return ohm;
}

/* What was read from the stop to the next load. */
struct after {
    double live_s;              /* first volts of a pack that is live again; NaN: none seen */
    double live_from_s;         /* the reading before */
    double high_v, high_s;      /* highest volts at rest; NaN */
    const struct run *charge;   /* the next run, if it is a charge */
    bool dark;                  /* a dark spell was seen */
};

static const struct run *next_of(const struct findings *f, size_t r)
{
    for (size_t k = r + 1; k < f->run_count; k++)
        if (f->runs[k].kind != RUN_REST)
            return &f->runs[k];
    return NULL;
}

static struct after look_after(const struct watched *w, size_t r)
{
    const struct run *run = &w->findings->runs[r], *next = next_of(w->findings, r);
    double live_v = COLLAPSED * run->ended.end_v.value, until_s = next != NULL ? next->start_s : INFINITY;
    struct after after = {.live_s = NAN, .live_from_s = NAN, .high_v = NAN, .high_s = NAN, .dark = run->ended.dark};
    after.charge = next != NULL && next->kind == RUN_CHARGE ? next : NULL;
    double before_s = run->end_s;
    for (size_t k = watched_before(w, run->end_s); k < w->count && w->t_s[k] <= until_s; before_s = w->t_s[k++]) {
        bool live = w->v != NULL && w->v[k] >= live_v;
        after.dark |= !live && isnan(after.live_s) && w->t_s[k] > run->end_s;
        if (!live)
            continue;
        if (isnan(after.live_s))
            after.live_s = w->t_s[k], after.live_from_s = before_s;
        if (!(w->v[k] <= after.high_v))
            after.high_v = w->v[k], after.high_s = w->t_s[k];
    }
    return after;
}

/* Volts that no emptied cell shows by itself are a charger's that has been put on. */
static bool is_chargers(const struct watched *w, double v)
{
    return w->asked->lithium_iron_phosphate && w->asked->cells > 0 && v > charger_cell_v * w->asked->cells;
}

static const struct told *told_at(const struct watched *w, double from_s, double to_s)
{
    const struct told *last = NULL;
    for (size_t k = 0; k < w->told_count; k++)
        if (w->told[k].t_s >= from_s && w->told[k].t_s <= to_s && w->told[k].words[0] != '\0' &&
            (!stimulus_is_outcome(w->told[k].words) || sight_says(w->told[k].words) & SAYS_WOKEN))
            last = &w->told[k];
    return last;
}

static void take_waking(const struct watched *w, const struct run *run, const struct after *after, struct low_stop *stop)
{
    bool charger = after->charge != NULL && !(after->charge->start_s - after->live_s > put_on_s);
    double at_s = charger ? after->charge->start_s : after->live_s;
    stop->woke_after_s = measure_unknown(after->dark ? "it was not seen to wake" : "its terminals were not seen to be dark");
    if (isnan(at_s) || !after->dark)
        return;
    stop->woke_after_s = watched_duration(w, run->end_s, at_s);
    const struct told *told = told_at(w, fmax(run->end_s, at_s - put_on_s), at_s);
    const char *words = charger ? "a charger" : told != NULL ? told->words : itself;
    size_t said = strncasecmp(words, woken_by, strlen(woken_by)) == 0 ? strlen(woken_by) : 0;
    snprintf(stop->woke_by, sizeof stop->woke_by, "%s", words + said);
}

static void take_recovery(const struct watched *w, const struct run *run, const struct after *after, struct low_stop *stop)
{
    stop->recovery_v = measure_unknown("no volts at rest were read afterwards with the terminals live");
    stop->recovery_after_s = NAN;
    if (isnan(after->high_v) || is_chargers(w, after->high_v))
        return;
    stop->recovery_v = measure_of(after->high_v);
    watched_add_volts(w, after->high_v, 0, &stop->recovery_v);
    budget_close(&stop->recovery_v);
    stop->recovery_after_s = after->high_s - run->end_s;
}

__attribute__((format(printf, 2, 3))) static void say(struct low_stop *stop, const char *format, ...)
{
    size_t used = strlen(stop->words);
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(stop->words + used, sizeof stop->words - used, format, arguments);
    va_end(arguments);
}

static void say_stop(struct low_stop *stop)
{
    char printed[48];
    measure_print(&stop->end_v, "V", printed, sizeof printed);
    say(stop, "the board stopped the discharge at %s", printed);
    if (isfinite(stop->end_cell_v))
        say(stop, " (mean %.3g V a cell)", stop->end_cell_v);
    if (measure_known(&stop->load_a))
        say(stop, " under %.3g A", stop->load_a.value);
    if (isfinite(stop->v_plus_ir))
        say(stop, "; volts and I·R together %.4g V, which at the knee is no open-circuit voltage", stop->v_plus_ir);
    if (measure_known(&stop->recovery_v)) {
        measure_print(&stop->recovery_v, "V", printed, sizeof printed);
        say(stop, "; back to %s at rest", printed);
    }
    if (stop->woke_by[0] == '\0') {
        say(stop, "; %.100s", stop->woke_after_s.why);
        return;
    }
    number_print_duration(stop->woke_after_s.value, printed, sizeof printed);
    say(stop, strcmp(stop->woke_by, itself) == 0 ? "; it came back %s" : "; woken by %s", stop->woke_by);
    if (measure_known(&stop->woke_after_s))
        say(stop, " after %s", printed);
}

size_t low_stops_find(const struct watched *watched, struct low_stop ret_stops[static LOW_STOPS])
{
    const struct findings *f = watched->findings;
    size_t count = 0;
    for (size_t r = 0; r < f->run_count && count < LOW_STOPS; r++) {
        const struct run *run = &f->runs[r];
        if (run->kind != RUN_DISCHARGE || run->ended.by != ENDED_BMS || !run->ended.low)
            continue;
        struct low_stop *stop = &ret_stops[count++];
        *stop = (struct low_stop){.run = r, .end_v = run->ended.end_v, .end_cell_v = run->ended.end_cell_v};
        stop->load_a = watched_end_a(watched, run);
        stop->v_plus_ir = stop->end_v.value + stop->load_a.value * ohm_before(f, run);
        struct after after = look_after(watched, r);
        take_recovery(watched, run, &after, stop);
        take_waking(watched, run, &after, stop);
        say_stop(stop);
    }
    return count;
}
