/* A plan as a file, and a run held against it. */
#include "claims/plan.h"

#include "base/nearest.h"
#include "base/number.h"
#include "intake/ini.h"

bool plan_clock_read(struct span words, double *ret_clock_s)
{
    double hours, minutes;
    size_t colon = 0;
    while (colon < words.n && words.p[colon] != ':')
        colon++;
    if (colon == words.n || !number_is((struct span){words.p, colon}, '.', &hours) ||
        !number_is((struct span){words.p + colon + 1, words.n - colon - 1}, '.', &minutes))
        return false;
    if (!(hours >= 0 && hours < 24 && minutes >= 0 && minutes < 60))
        return false;
    *ret_clock_s = hours * 3600 + minutes * 60;
    return true;
}

void plan_clock_print(double clock_s, char *buffer, size_t size)
{
    long minutes = (lround(clock_s / 60) % 1440 + 1440) % 1440;
    snprintf(buffer, size, "%02ld:%02ld", minutes / 60, minutes % 60);
}

void plan_save(const struct plan *plan, struct text *text)
{
    text_addf(text, "; a plan of a discharge test: hand it to `rundown assess --plan`\n[plan]\nsample = %s\n", plan->sample);
    text_addf(text, "base power = %.4g W\nrest before = %.4g s\nduration = %.5g s\n", plan->base.w, plan->rest_s,
              plan->duration_s);
    if (!isnan(plan->burst.a))
        text_addf(text, "burst current = %.4g A\nburst length = %.4g s\nburst after = %.4g Ah\n", plan->burst.a,
                  plan->burst_s, plan->burst_at_ah);
    if (!isnan(plan->start_clock_s)) {
        char start[16];
        plan_clock_print(plan->start_clock_s, start, sizeof start);
        text_addf(text, "start = %s\n", start);
    }
    if (plan->of_book)
        text_addf(text, "rig = %s\nloads = %s\n", plan->rig_paper, plan->loads_paper);
}

static enum status read_start(const struct ini *ini, const struct ini_entry *entry, struct plan *plan,
                              struct message *message)
{
    if (plan_clock_read(span_of(entry->value), &plan->start_clock_s))
        return STATUS_OK;
    ini_fault(ini, entry, 0, message, "'%s' is no time of day", entry->value);
    return status_remedy(message, "write it like `start = 9:30`");
}

static enum status read_entry(const struct ini *ini, const struct ini_entry *entry, struct plan *plan,
                              struct message *message)
{
    const struct {
        const char *key;
        enum quantity quantity;
        double *into;
    } fields[] = {
        {"base power", QUANTITY_POWER, &plan->base.w},      {"rest before", QUANTITY_TIME, &plan->rest_s},
        {"duration", QUANTITY_TIME, &plan->duration_s},     {"burst current", QUANTITY_CURRENT, &plan->burst.a},
        {"burst length", QUANTITY_TIME, &plan->burst_s},    {"burst after", QUANTITY_CHARGE, &plan->burst_at_ah},
    };
    const struct {
        const char *key;
        char *into;
        size_t size;
    } names[] = {{"sample", plan->sample, sizeof plan->sample},
                 {"rig", plan->rig_paper, sizeof plan->rig_paper},
                 {"loads", plan->loads_paper, sizeof plan->loads_paper}};
    for (size_t k = 0; k < sizeof names / sizeof *names; k++) {
        if (!name_alike(span_of(entry->key), names[k].key))
            continue;
        span_copy(span_of(entry->value), names[k].into, names[k].size);
        plan->of_book |= k > 0;
        return STATUS_OK;
    }
    if (name_alike(span_of(entry->key), "start"))
        return read_start(ini, entry, plan, message);
    for (size_t k = 0; k < sizeof fields / sizeof *fields; k++)
        if (name_alike(span_of(entry->key), fields[k].key))
            return ini_quantity(ini, entry, fields[k].quantity, fields[k].into, NULL, message);
    ini_fault(ini, entry, 0, message, "a plan has no '%s'", entry->key);
    return status_remedy(message, "write the plan anew with `rundown plan --save FILE`");
}

static enum status read_entries(const struct ini *ini, struct plan *plan, struct message *message)
{
    static const char *const sections[] = {"plan", NULL};
    const struct ini_entry *base;
    const char *remedy = "give a file that `rundown plan --save` wrote";
    enum status status = ini_known_sections(ini, sections, message);
    if (status == STATUS_OK)
        status = ini_required(ini, "plan", "base power", remedy, &base, message);
    for (size_t k = 0; k < ini->count && status == STATUS_OK; k++)
        status = read_entry(ini, &ini->entries[k], plan, message);
    return status;
}

enum status plan_read_text(const char *path, struct span text, struct plan *ret_plan, struct message *message)
{
    struct ini ini;
    enum status status = ini_read_text(path, text, &ini, message);
    if (status != STATUS_OK)
        return status;
    struct plan plan = {.base.w = NAN, .burst.a = NAN, .burst_s = NAN, .burst_at_ah = NAN, .rest_s = NAN, .duration_s = NAN,
                        .start_clock_s = NAN};
    status = read_entries(&ini, &plan, message);
    ini_free(&ini);
    if (status == STATUS_OK)
        *ret_plan = plan;
    return status;
}

enum status plan_read(const char *path, struct plan *ret_plan, struct message *message)
{
    struct text text = TEXT_EMPTY;
    enum status status = ini_load(path, &text, message);
    if (status == STATUS_OK)
        status = plan_read_text(path, (struct span){text_string(&text), text.length}, ret_plan, message);
    text_free(&text);
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
    if (isnan(planned) || fabs(was - planned) <= allowed * fabs(planned))
        return;
    if (isnan(was))
        notices_add(notices, "plan", 0, "Whether %s was as planned the readings do not show.", what);
    else
        notices_add(notices, "plan", 0, "Departure from the plan: %s was %.4g %s, planned %.4g %s (%+.0f %%).", what, was,
                    symbol, planned, symbol, 100 * (was / planned - 1));
}

static double delivered_until(const struct findings *f, double at_s)
{
    double ah = 0;
    for (size_t k = 0; k < f->phase_count; k++) {
        const struct phase *p = &f->phases[k];
        if (p->kind == RUN_DISCHARGE && p->run >= f->test_first_run && p->run <= f->test_last_run && p->start_s < at_s)
            ah += p->mean_a * (fmin(p->end_s, at_s) - p->start_s) / 3600;
    }
    return isnan(at_s) ? NAN : ah;
}

static void depart_burst(const struct plan *plan, const struct findings *f, struct notices *notices)
{
    if (isnan(plan->burst.a))
        return;
    const struct burst *b = NULL;
    for (size_t k = 0; k < f->burst_count; k++)
        if (b == NULL || f->bursts[k].current_a > b->current_a)
            b = &f->bursts[k];
    if (b == NULL) {
        notices_add(notices, "plan", 0, "Departure from the plan: no burst was found; planned was %.4g A for %.0f s.",
                    plan->burst.a, plan->burst_s);
        return;
    }
    depart(notices, "the burst's current", plan->burst.a, b->current_a, "A");
    depart(notices, "the burst's length", plan->burst_s, b->end_s - b->start_s, "s");
    depart(notices, "the charge before the burst", plan->burst_at_ah, delivered_until(f, b->start_s), "Ah");
}

static void depart_rest(const struct plan *plan, const struct findings *f, struct notices *notices)
{
    const struct run *before = f->test_first_run > 0 ? &f->runs[f->test_first_run - 1] : NULL;
    double rest_s = before != NULL && before->kind == RUN_REST ? before->end_s - before->start_s : 0;
    if (rest_s < (1 - allowed) * plan->rest_s)
        notices_add(notices, "plan", 0,
                    "Departure from the plan: the readings show %.0f min of rest before the load, planned were %.0f min.",
                    rest_s / 60, plan->rest_s / 60);
}

void plan_departures(const struct plan *plan, const char *sample, const struct findings *findings,
                     struct notices *notices)
{
    const struct findings *f = findings;
    if (plan->sample[0] != '\0' && !name_alike(span_of(plan->sample), sample))
        notices_add(notices, "plan", 0, "Departure from the plan: it was made for '%s', this is '%s'.", plan->sample, sample);
    const struct phase *base = f->has_test ? base_phase(f) : NULL;
    if (base == NULL) {
        notices_add(notices, "plan", 0, "Departure from the plan: the readings hold no discharge.");
        return;
    }
    depart(notices, "the base load", plan->base.w, base->mean_a * base->mean_v, "W");
    depart_burst(plan, f, notices);
    depart_rest(plan, f, notices);
    enum ended_by by = f->runs[f->test_last_run].ended.by;
    if (by != ENDED_BMS)
        notices_add(notices, "plan", 0, "Departure from the plan: the discharge was to go on until the BMS opened; it "
                                        "ended otherwise: %s.", ended_by_name(by));
}
