#include "battery/fullness.h"

#include <stdarg.h>

/* The volts that fill it, and whose they are; NaN when nobody states them. */
static double volts_asked(const struct asked *asked, char *words, size_t size)
{
    if (asked->charge_v > 0) {
        snprintf(words, size, "the label's %.4g V less %.0f %%", asked->charge_v, 100 * FULL_VOLTS_SHARE);
        return asked->charge_v * (1 - FULL_VOLTS_SHARE);
    }
    if (asked->lithium_iron_phosphate && asked->cells > 0) {
        snprintf(words, size, "%.2f V a cell", FULL_CELL_V);
        return FULL_CELL_V * asked->cells;
    }
    return NAN;
}

__attribute__((format(printf, 3, 4))) static void say(struct charging *c, enum full_shown full, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    vsnprintf(c->full_words, sizeof c->full_words, format, args);
    va_end(args);
    c->full = full;
}

void fullness_judge(const struct asked *asked, struct charging *c)
{
    char whose[64] = "", volts[48], amps[48];
    double least_v = volts_asked(asked, whose, sizeof whose), most_it = FULL_TAIL_IT * (1 + FULL_TAIL_SLACK);
    const struct measure *v = measure_known(&c->held_v) ? &c->held_v : &c->end_v;
    c->below_knee = asked->lithium_iron_phosphate && asked->cells > 0 && v->hi < KNEE_CELL_V * asked->cells;
    measure_print(v, "V", volts, sizeof volts);
    measure_print(&c->tail_a, "A", amps, sizeof amps);
    if (!measure_known(v) || !measure_known(&c->tail_a))
        say(c, FULL_CANNOT_TELL, "%s", measure_known(v) ? c->tail_a.why : v->why);
    else if (isnan(least_v))
        say(c, FULL_CANNOT_TELL, "it ended with %s at %s, but neither a charge voltage nor the cells are stated, so which volts "
                                 "fill it is not known", amps, volts);
    else if (v->hi < least_v)
        say(c, FULL_NOT_SHOWN, "it ended at %s, below %.4g V (%s; common practice, no source)%s", volts, least_v, whose,
            c->below_knee ? ": under charge a full cell stands higher than this" : "");
    else if (!measure_known(&c->tail_it))
        say(c, FULL_CANNOT_TELL, "it ended with %s at %s; which share of the rating that is, is not known: %s", amps, volts,
            c->tail_it.why);
    else if (c->tail_it.lo > most_it)
        say(c, FULL_NOT_SHOWN, "%s (%.2g It) still flowed at %s when it ended: a full pack takes %.2g It or less (common practice, "
                               "no source)", amps, c->tail_it.value, volts, FULL_TAIL_IT);
    else if (v->lo >= least_v && c->tail_it.hi <= most_it)
        say(c, FULL_SHOWN, "at %s the current had fallen to %s (%.2g It): at least %.4g V (%s) and at most about %.2g It, by common "
                           "practice, since the standards leave it to the maker", volts, amps, c->tail_it.value, least_v, whose,
            FULL_TAIL_IT);
    else
        say(c, FULL_CANNOT_TELL, "it ended with %s at %s, which these meters cannot tell from %.4g V (%s) and %.2g It", amps, volts,
            least_v, whose, FULL_TAIL_IT);
}

static bool drawn_since(const struct findings *f, size_t run)
{
    for (size_t k = run + 1; k < f->test_first_run; k++)
        if (f->runs[k].kind == RUN_DISCHARGE)
            return true;
    return false;
}

const struct charging *fullness_charge(const struct findings *f)
{
    const struct charging *last = NULL;
    for (size_t k = f->charging_count; k-- > 0;) {
        const struct charging *c = &f->chargings[k];
        if (c->run >= f->test_first_run)
            continue;
        if (drawn_since(f, c->run))
            break;
        if (c->full == FULL_SHOWN)
            return c;
        last = last != NULL ? last : c;
    }
    return last;
}

/* Charge taken by the last discharge before the test, and put back since; false when nothing was taken. */
static bool put_back(const struct findings *f, double *ret_taken, double *ret_u, double *ret_back)
{
    size_t taken = f->test_first_run;
    while (taken-- > 0 && f->runs[taken].kind != RUN_DISCHARGE) {
    }
    if (taken == SIZE_MAX || !measure_known(&f->runs[taken].charge_ah))
        return false;
    *ret_taken = f->runs[taken].charge_ah.value;
    *ret_u = f->runs[taken].charge_ah.u;
    *ret_back = 0;
    for (size_t k = taken + 1; k < f->test_first_run; k++)
        if (f->runs[k].kind == RUN_CHARGE)
            *ret_back += f->runs[k].charge_ah.value;
    return true;
}

__attribute__((format(printf, 4, 5))) static void find(struct findings *f, double full, bool doubted, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    vsnprintf(f->full_words, sizeof f->full_words, format, args);
    va_end(args);
    f->full_before = full;
    f->full_doubted = doubted;
}

void fullness_find(struct findings *f)
{
    const struct charging *c = fullness_charge(f);
    double taken, u, back;
    bool had = put_back(f, &taken, &u, &back);
    if (c == NULL && had && f->charging_count > 0 && f->chargings[0].run < f->test_first_run)
        find(f, 0, true, "not full: something was drawn between the charge and the test");
    else if (c == NULL)
        find(f, NAN, false, "cannot tell: the readings hold no charge before the test");
    else if (c->full == FULL_SHOWN)
        find(f, 1, false, "full: the charge before is shown to have filled it (%.4g V at its end, %.3g A)",
             measure_known(&c->held_v) ? c->held_v.value : c->end_v.value, c->tail_a.value);
    else if (had && back < taken - 2 * u)
        find(f, 0, true, "not full: the charge before put back %.3g Ah of the %.3g Ah taken", back, taken);
    else if (c->below_knee)
        find(f, 0, true, "not full: the charge before ended too low; %s", c->full_words);
    else
        find(f, NAN, true, "%s: of the charge before it, %s",
             c->full == FULL_NOT_SHOWN ? "not shown to be full" : "cannot tell", c->full_words);
}
