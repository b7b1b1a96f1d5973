#include "battery/efficiency.h"

#include "battery/fullness.h"
#include "numeric/budget.h"

static const double same_volts = 0.01, same_amps = 1.5;

struct measure efficiency_ratio(const struct measure *a, const struct measure *b)
{
    if (!measure_known(a))
        return *a;
    if (!measure_known(b))
        return *b;
    if (b->value == 0)
        return measure_unknown("nothing went in");
    struct measure ratio = measure_sum(a, 1 / b->value, b, -a->value / (b->value * b->value));
    ratio.value = a->value / b->value;
    budget_close(&ratio);
    return ratio;
}

bool efficiency_alike(const struct charging *a, const struct charging *b)
{
    if (!measure_known(&a->held_v) || !measure_known(&b->held_v))
        return false;
    double volts = fabs(a->held_v.value - b->held_v.value), amps = fabs(log(a->tail_a.value / b->tail_a.value));
    return volts <= same_volts * a->held_v.value && amps <= log(same_amps);
}

/* The last run of the first charge after the test that ends like the one before it, with nothing drawn between; 0: none. */
static size_t charged_again(const struct findings *f, const struct charging *before)
{
    for (size_t k = 0; k < f->charging_count; k++) {
        const struct charging *c = &f->chargings[k];
        if (c->run <= f->test_last_run)
            continue;
        for (size_t r = f->test_last_run + 1; r < c->run; r++)
            if (f->runs[r].kind == RUN_DISCHARGE)
                return 0;
        if (efficiency_alike(before, c))
            return c->run;
    }
    return 0;
}

static void add(struct measure *sum, const struct measure *more)
{
    *sum = !measure_known(sum) ? *sum : !measure_known(more) ? *more : measure_sum(sum, 1, more, 1);
}

void efficiency_find(struct findings *f)
{
    const struct charging *before = fullness_charge(f);
    size_t last = before != NULL ? charged_again(f, before) : 0;
    if (last == 0) {
        f->efficiency_charge = f->efficiency_energy = measure_unknown(
            before == NULL ? "the readings hold no charge before the test"
                           : "the readings do not show the sample charged again after the test to the same volts and tail");
        return;
    }
    struct measure out_ah = measure_of(0), out_wh = out_ah, in_ah = out_ah, in_wh = out_ah;
    for (size_t k = f->test_first_run; k <= last; k++) {
        const struct run *run = &f->runs[k];
        if (run->kind == RUN_REST)
            continue;
        add(run->kind == RUN_DISCHARGE ? &out_ah : &in_ah, &run->charge_ah);
        add(run->kind == RUN_DISCHARGE ? &out_wh : &in_wh, &run->energy_wh);
    }
    f->efficiency_charge = efficiency_ratio(&out_ah, &in_ah);
    f->efficiency_energy = efficiency_ratio(&out_wh, &in_wh);
}
