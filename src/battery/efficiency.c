#include "battery/efficiency.h"

#include "battery/fullness.h"
#include "numeric/budget.h"

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

static bool same_criterion(struct tail a, struct tail b)
{
    double amps = a.end_a > b.end_a ? a.end_a / b.end_a : b.end_a / a.end_a;
    return a.seen && b.seen && fabs(a.held_v - b.held_v) <= 0.01 * a.held_v && amps <= 1.5;
}

/* The charge with a tail before the test; `first` when there is none. */
static size_t charge_before(const struct delivery *delivery)
{
    size_t k = delivery->first;
    while (k-- > 0)
        if (delivery->runs[k].kind == RUN_CHARGE)
            return k;
    return delivery->first;
}

/* The first charge after the test that ends with the same tail before anything else is drawn; 0: none. */
static size_t charge_after(const struct delivery *delivery, const struct findings *findings, struct tail tail)
{
    for (size_t k = delivery->last + 1; k < findings->run_count; k++) {
        if (delivery->runs[k].kind == RUN_DISCHARGE)
            return 0;
        if (same_criterion(tail, fullness_tail(delivery, findings, k)))
            return k;
    }
    return 0;
}

static void cannot_tell(struct findings *findings, const char *why)
{
    findings->efficiency_charge = findings->efficiency_energy = measure_unknown("%s", why);
}

void efficiency_find(const struct delivery *delivery, struct findings *findings)
{
    if (!(findings->full_before > 0)) {
        cannot_tell(findings, "the log does not show the sample full before the test");
        return;
    }
    struct tail tail = fullness_tail(delivery, findings, charge_before(delivery));
    size_t last = charge_after(delivery, findings, tail);
    if (last == 0) {
        cannot_tell(findings,
                    "the log does not show the sample charged again after the test by the same criterion");
        return;
    }
    struct throughput out = {0}, in = {0};
    for (size_t k = delivery->first; k <= last; k++) {
        if (delivery->runs[k].kind == RUN_DISCHARGE)
            throughput_add(&out, &delivery->throughs[k]);
        if (delivery->runs[k].kind == RUN_CHARGE)
            throughput_add(&in, &delivery->throughs[k]);
    }
    const struct basis *basis = delivery->basis;
    struct measure out_ah = throughput_charge_ah(basis, &out, 1),
                   in_ah = throughput_charge_ah(basis, &in, -1);
    struct measure out_wh = throughput_energy_wh(basis, &out, 1),
                   in_wh = throughput_energy_wh(basis, &in, -1);
    findings->efficiency_charge = efficiency_ratio(&out_ah, &in_ah);
    findings->efficiency_energy = efficiency_ratio(&out_wh, &in_wh);
}
