#include "battery/resting.h"

#include "base/memory.h"
#include "base/number.h"
#include "battery/amounts.h"
#include "battery/ending.h"
#include "numeric/budget.h"

static const double plateau_left_v = 3.0; /* a cell at rest below it is all but empty: common practice, no source */

static void add_voltmeter(const struct rig *rig, double digit_v, struct measure *v)
{
    const struct accuracy *own = &rig->of[CHANNEL_VOLTAGE];
    const char *better = "a calibration of the voltmeter";
    measure_part(v, (struct part){CAUSE_GAIN_VOLTAGE, SHAPE_RECTANGULAR, v->value * own->gain / sqrt(3), INFINITY,
                                  rig_source(rig, CHANNEL_VOLTAGE, ERROR_GAIN), "gain of the voltage channel", better});
    measure_part(v, (struct part){CAUSE_OFFSET_VOLTAGE, SHAPE_RECTANGULAR, accuracy_offset(own, digit_v) / sqrt(3), INFINITY,
                                  rig_source(rig, CHANNEL_VOLTAGE, ERROR_OFFSET), "offset of the voltage channel", better});
    measure_part(v, (struct part){CAUSE_RESOLUTION, SHAPE_RECTANGULAR, accuracy_digit(own, digit_v) / sqrt(12), INFINITY, 0,
                                  "digits of the volts", "a meter with one more digit"});
    budget_close(v);
}

static void write_words(const struct asked *asked, struct resting *r)
{
    const struct settling *s = &r->settling;
    char volts[48], constant[32], slowest[64], lasted[32], cell[32] = "";
    double v = measure_known(&s->settled_v) ? s->settled_v.value : s->last_v;
    bool left = asked->cells > 0 && v < plateau_left_v * asked->cells;
    const char *plateau = asked->lithium_iron_phosphate && !left
                              ? "; not how full it is: between some 15 and 95 % volts at rest hardly differ"
                              : "";
    number_print_duration(s->lasted_s, lasted, sizeof lasted);
    if (!measure_known(&s->settled_v)) {
        snprintf(r->words, sizeof r->words, "cannot tell: %s; last %.4g V after %s%s", s->settled_v.why, s->last_v, lasted,
                 plateau);
        return;
    }
    measure_print(&s->settled_v, "V", volts, sizeof volts);
    if (asked->cells > 0)
        snprintf(cell, sizeof cell, " (%.3f V a cell)", s->settled_v.value / asked->cells);
    snprintf(slowest, sizeof slowest, "no movement");
    if (s->terms > 0) {
        number_print_duration(s->tau_s[s->terms - 1], constant, sizeof constant);
        snprintf(slowest, sizeof slowest, "the slowest constant %s,", constant);
    }
    snprintf(r->words, sizeof r->words, "settles at %s%s, %s seen for %s%s", volts, cell, slowest, lasted, plateau);
}

void resting_of(const double *t_s, const double *v, size_t count, const struct rig *rig, double digit_v,
                const struct asked *asked, struct resting *r)
{
    settle_find(t_s, v, count, &r->settling);
    if (r->settling.lasted_s == 0 && count > 0) {
        r->settling.lasted_s = t_s[count - 1];
        r->settling.last_v = v[count - 1];
    }
    if (measure_known(&r->settling.settled_v))
        add_voltmeter(rig, digit_v, &r->settling.settled_v);
    write_words(asked, r);
}

/* Volts that collapsed with the current are those of no cells; nor are volts that rose as a charge stopped, those of a
 * charger whose pack has opened. */
static bool cells_unseen(const struct findings *f, size_t run)
{
    if (run == 0 || !measure_known(&f->runs[run - 1].ended.end_v))
        return false;
    double before_v = f->runs[run - 1].ended.end_v.value, v = f->runs[run].end_v;
    return v < COLLAPSED * before_v || (f->runs[run - 1].kind == RUN_CHARGE && v > before_v);
}

size_t resting_find(const struct basis *basis, const struct asked *asked, const struct findings *findings,
                    struct resting ret_resting[static RESTINGS])
{
    const struct trace *trace = basis->trace;
    if (trace->v == NULL)
        return 0;
    size_t count = 0;
    double *t_s = memory_get(trace->count * sizeof *t_s);
    for (size_t k = 0; k < findings->run_count && count < RESTINGS; k++) {
        const struct run *run = &findings->runs[k];
        if (run->kind != RUN_REST || run->end_s - run->start_s < RESTS_LEAST_S || cells_unseen(findings, k))
            continue;
        struct resting *r = &ret_resting[count++];
        *r = (struct resting){.run = k, .from_s = run->start_s};
        r->after_charge = k > 0 && findings->runs[k - 1].kind == RUN_CHARGE;
        r->after_discharge = k > 0 && findings->runs[k - 1].kind == RUN_DISCHARGE;
        size_t n = run->last - run->first + 1;
        for (size_t j = 0; j < n; j++)
            t_s[j] = trace->t_s[run->first + j] - run->start_s;
        resting_of(t_s, trace->v + run->first, n, basis->rig, basis->series->resolution[CHANNEL_VOLTAGE], asked, r);
    }
    free(t_s);
    return count;
}
