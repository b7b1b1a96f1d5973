/* A plan as a file, and a run held against it. */
#include "claims/plan.h"

#include "base/nearest.h"
#include "intake/ini.h"

void plan_save(const struct plan *plan, struct text *text)
{
    text_addf(text, "; a plan of a discharge test: hand it to `rundown assess --plan`\n[plan]\nsample = %s\n", plan->sample);
    text_addf(text, "base power = %.4g W\nrest before = %.4g s\nduration = %.5g s\n", plan->base_w, plan->rest_s,
              plan->duration_s);
    if (!isnan(plan->burst_a))
        text_addf(text, "burst current = %.4g A\nburst length = %.4g s\nburst after = %.4g Ah\n", plan->burst_a,
                  plan->burst_s, plan->burst_at_ah);
}

static enum status read_entry(const struct ini *ini, const struct ini_entry *entry, struct plan *plan,
                              struct message *message)
{
    const struct {
        const char *key;
        enum quantity quantity;
        double *into;
    } fields[] = {
        {"base power", QUANTITY_POWER, &plan->base_w},      {"rest before", QUANTITY_TIME, &plan->rest_s},
        {"duration", QUANTITY_TIME, &plan->duration_s},     {"burst current", QUANTITY_CURRENT, &plan->burst_a},
        {"burst length", QUANTITY_TIME, &plan->burst_s},    {"burst after", QUANTITY_CHARGE, &plan->burst_at_ah},
    };
    if (name_alike(span_of(entry->key), "sample")) {
        span_copy(span_of(entry->value), plan->sample, sizeof plan->sample);
        return STATUS_OK;
    }
    for (size_t k = 0; k < sizeof fields / sizeof *fields; k++)
        if (name_alike(span_of(entry->key), fields[k].key))
            return ini_quantity(ini, entry, fields[k].quantity, fields[k].into, NULL, message);
    ini_fault(ini, entry, 0, message, "a plan has no '%s'", entry->key);
    return status_remedy(message, "write the plan anew with `rundown plan --save FILE`");
}

enum status plan_read(const char *path, struct plan *ret_plan, struct message *message)
{
    struct ini ini;
    enum status status = ini_read(path, &ini, message);
    if (status != STATUS_OK)
        return status;
    struct plan plan = {.base_w = NAN, .burst_a = NAN, .burst_s = NAN, .burst_at_ah = NAN, .rest_s = NAN,
                        .duration_s = NAN};
    for (size_t k = 0; k < ini.count && status == STATUS_OK; k++)
        status = read_entry(&ini, &ini.entries[k], &plan, message);
    ini_free(&ini);
    if (status == STATUS_OK)
        *ret_plan = plan;
    return status;
}

/* Longest phase of the test that is no pulse. */
static const struct phase *base_phase(const struct findings *f)
{
    const struct phase *best = NULL;
    for (size_t k = 0; k < f->phase_count; k++) {
        const struct phase *p = &f->phases[k];
        bool in_test = p->run >= f->test_first_run && p->run <= f->test_last_run && p->kind == RUN_DISCHARGE;
        if (in_test && !p->pulse && (best == NULL || p->end_s - p->start_s > best->end_s - best->start_s))
            best = p;
    }
    return best;
}

static const double allowed = 0.10; /* a tenth off is as planned: what a home bench can keep to */

static void depart(struct notices *notices, const char *what, double planned, double was, const char *symbol)
{
    if (isnan(planned) || isnan(was) || fabs(was - planned) <= allowed * fabs(planned))
        return;
    notices_add(notices, "plan", 0, "Departure from the plan: %s was %.4g %s, planned %.4g %s (%+.0f %%).", what, was,
                symbol, planned, symbol, 100 * (was / planned - 1));
}

static double delivered_until(const struct findings *f, double at_s)
{
    double share = (at_s - f->test_start_s) / (f->test_end_s - f->test_start_s), ah = 0;
    for (size_t k = 0; k < f->phase_count; k++) {
        const struct phase *p = &f->phases[k];
        if (p->kind == RUN_DISCHARGE && p->end_s <= at_s + 1e-6 && p->start_s >= f->test_start_s - 1e-6)
            ah += p->mean_a * (p->end_s - p->start_s) / 3600;
    }
    return share > 0 ? ah : NAN;
}

static void depart_burst(const struct plan *plan, const struct findings *f, struct notices *notices)
{
    if (isnan(plan->burst_a))
        return;
    if (f->burst_count == 0) {
        notices_add(notices, "plan", 0, "Departure from the plan: no burst was found; planned was %.4g A for %.0f s.",
                    plan->burst_a, plan->burst_s);
        return;
    }
    const struct burst *b = &f->bursts[0];
    for (size_t k = 1; k < f->burst_count; k++)
        if (f->bursts[k].current_a > b->current_a)
            b = &f->bursts[k];
    depart(notices, "the burst's current", plan->burst_a, b->current_a, "A");
    depart(notices, "the burst's length", plan->burst_s, b->end_s - b->start_s, "s");
    depart(notices, "the charge before the burst", plan->burst_at_ah, delivered_until(f, b->start_s), "Ah");
}

void plan_departures(const struct plan *plan, const struct findings *findings, struct notices *notices)
{
    const struct findings *f = findings;
    const struct phase *base = f->has_test ? base_phase(f) : NULL;
    if (base == NULL || f->runs == NULL) {
        notices_add(notices, "plan", 0, "Departure from the plan: the readings hold no discharge.");
        return;
    }
    depart(notices, "the base load", plan->base_w, base->mean_a * base->mean_v, "W");
    depart_burst(plan, f, notices);
    const struct run *before = f->test_first_run > 0 ? &f->runs[f->test_first_run - 1] : NULL;
    double rest_s = before != NULL && before->kind == RUN_REST ? before->end_s - before->start_s : 0;
    if (rest_s < (1 - allowed) * plan->rest_s)
        notices_add(notices, "plan", 0,
                    "Departure from the plan: the readings show %.0f min of rest before the load, planned were %.0f min.",
                    rest_s / 60, plan->rest_s / 60);
    enum ended_by by = f->runs[f->test_last_run].ended.by;
    if (by != ENDED_BMS)
        notices_add(notices, "plan", 0, "Departure from the plan: the discharge was to go on until the BMS opened; it "
                                        "ended otherwise: %s.", ended_by_name(by));
}
