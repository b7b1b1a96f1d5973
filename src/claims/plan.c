#include "claims/plan.h"

#include "base/memory.h"
#include "base/number.h"
#include "numeric/budget.h"

#include <stdarg.h>

static const double rest_before_s = 3600;  /* IEC 61960-3: 1 h to 4 h between charge and discharge */
static const double burst_default_s = 240; /* long enough for a resistance at 30 s and a settled sag */
static const double base_rate_it = 0.2;    /* IEC 62620 and IEC 61960-3: reference rate of a capacity test */
/* An inverter without capacitors has σ_I²/I² = 1/2 (battery/ripple.h); a sample with its leads drops about an
 * eighth of its volts at 1 I_t: common practice, no source. */
#define RIPPLE_SQUARE 0.5
#define SAMPLE_OHM_SHARE 0.12
static const double slack = 0.10;          /* of the expected time: packs differ from their rating by some */

const char *outlook_name(enum outlook outlook)
{
    static const char *const names[] = {"can be decided", "only if it is clear", "out of reach", "needs another test"};
    return names[outlook];
}

void plan_free(struct plan *plan)
{
    free(plan->prospects);
    *plan = (struct plan){0};
}

static double nominal_of(const struct label *label)
{
    return label->nominal_v > 0 ? label->nominal_v : 12.8;
}

static void name_loads(const struct loads *loads, unsigned on, char *buffer, size_t size)
{
    size_t used = 0;
    buffer[0] = '\0';
    for (size_t k = 0; k < loads->count && k < 16 && used < size; k++)
        if ((on & 1u << k) != 0)
            used += (size_t)snprintf(buffer + used, size - used, "%s%s", used > 0 ? " + " : "", loads->loads[k].name);
}

static unsigned combinations(const struct loads *loads)
{
    return 1u << (loads->count < 12 ? loads->count : 12);
}

static double fills_after_s(const struct loads *loads, unsigned on)
{
    double soonest = NAN;
    for (size_t k = 0; k < loads->count && k < 12; k++) {
        const struct load *load = &loads->loads[k];
        if ((on & 1u << k) != 0 && load->fills_wh > 0 && load->power_w > 0)
            soonest = fmin(isnan(soonest) ? INFINITY : soonest, load->fills_wh / load->power_w * 3600);
    }
    return soonest;
}

/* The combination nearest to `wanted_w` among those that can be kept on until `energy_wh` have left the
 * sample; among all when there is none. */
static unsigned choose_base(const struct loads *loads, double wanted_w, double energy_wh, double nominal_v)
{
    unsigned best = 0;
    double best_w = 0;
    bool best_lasts = false;
    for (unsigned on = 1; on < combinations(loads); on++) {
        if (!loads_carried(loads, on))
            continue;
        double w = loads_draw_w(loads, on, nominal_v);
        bool lasts = !(fills_after_s(loads, on) < energy_wh / w * 3600);
        bool nearer = fabs(w - wanted_w) < fabs(best_w - wanted_w);
        if (best == 0 || (lasts && !best_lasts) || (lasts == best_lasts && nearer))
            best = on, best_w = w, best_lasts = lasts;
    }
    return best;
}

/* The smallest combination with the base still on that reaches `wanted_w`, else the largest. */
static unsigned choose_burst(const struct loads *loads, unsigned base, double wanted_w, double nominal_v)
{
    unsigned best = 0;
    double best_w = 0;
    for (unsigned on = 1; on < combinations(loads); on++) {
        double w = loads_draw_w(loads, on, nominal_v);
        bool better = best_w >= wanted_w ? w >= wanted_w && w < best_w : w > best_w;
        if ((on & base) == base && loads_carried(loads, on) && better)
            best = on, best_w = w;
    }
    return best;
}

static void plan_base(const struct label *label, const struct rig *rig, const struct loads *loads, struct plan *plan)
{
    double v = nominal_of(label), wanted_w = base_rate_it * label->rated_ah * v;
    plan->base_w = wanted_w;
    snprintf(plan->base_words, sizeof plan->base_words, "any steady load of about %.0f W at the sample", wanted_w);
    plan->fills_after_s = NAN;
    if (loads != NULL) {
        unsigned on = choose_base(loads, wanted_w, label->rated_ah * v, v);
        plan->base_on = on;
        name_loads(loads, on, plan->base_words, sizeof plan->base_words);
        plan->base_w = loads_draw_w(loads, on, v);
        plan->fills_after_s = fills_after_s(loads, on);
    }
    plan->base_a = plan->base_w / v;
    if (isnan(rig->ripple) && (loads == NULL || loads->inverter))
        plan->ripple_share = RIPPLE_SQUARE * SAMPLE_OHM_SHARE * plan->base_a / label->rated_ah;
    plan->duration_s = label->rated_ah / plan->base_a * 3600;
    if (plan->fills_after_s < plan->duration_s)
        snprintf(plan->warning, sizeof plan->warning,
                 "A load of the base is itself a battery and will be full after about %.1f h, before the sample is empty "
                 "(%.1f h): have a second one at hand, or the discharge stops short and capacity stays undecided.",
                 plan->fills_after_s / 3600, plan->duration_s / 3600);
}

static void plan_burst(const struct label *label, const struct loads *loads, struct plan *plan)
{
    double v = 0.94 * nominal_of(label); /* volts sag under a burst: common practice, no source */
    double wanted_a = !isnan(label->continuous_a) ? label->continuous_a : label->rated_ah;
    plan->burst_a = plan->burst_w = NAN;
    plan->burst_s = burst_default_s;
    plan->burst_at_ah = 0.5 * label->rated_ah;
    if (isnan(wanted_a))
        return;
    plan->burst_w = wanted_a * v;
    snprintf(plan->burst_words, sizeof plan->burst_words, "loads of about %.0f W at the sample", plan->burst_w);
    if (loads != NULL) {
        unsigned on = choose_burst(loads, plan->base_on, plan->burst_w, v);
        name_loads(loads, on, plan->burst_words, sizeof plan->burst_words);
        plan->burst_w = loads_draw_w(loads, on, v);
    }
    plan->burst_a = plan->burst_w / v;
}

/* What this rig would make of a quantity: gains, and offsets as a share. */
static struct measure expected(double value, const struct rig *rig, const struct plan *plan, bool energy)
{
    struct measure m = measure_of(value);
    const struct accuracy *a = &rig->of[CHANNEL_CURRENT], *v = &rig->of[CHANNEL_VOLTAGE];
    double volts = plan->base_w / plan->base_a, share_a = accuracy_offset(a, a->resolution > 0 ? a->resolution : 0.01);
    struct part gain = {.cause = CAUSE_GAIN_CURRENT, .shape = SHAPE_RECTANGULAR, .dof = INFINITY,
                        .what = "gain of the current channel", .remedy = "a calibrated shunt or a better current meter"};
    gain.u = a->gain * value / sqrt(3);
    measure_part(&m, gain);
    gain.what = "shunt", gain.u = a->shunt_gain * value / sqrt(3);
    measure_part(&m, gain);
    struct part offset = {.cause = CAUSE_OFFSET_CURRENT, .shape = SHAPE_RECTANGULAR, .dof = INFINITY,
                          .what = "offset of the current channel", .remedy = "zero the current meter before the test"};
    offset.u = share_a / plan->base_a * value / sqrt(3);
    measure_part(&m, offset);
    if (energy) {
        struct part divider = {.cause = CAUSE_GAIN_VOLTAGE, .shape = SHAPE_RECTANGULAR, .dof = INFINITY,
                               .what = "gain of the voltage channel", .remedy = "a better voltmeter at the terminals"};
        divider.u = v->gain * value / sqrt(3);
        measure_part(&m, divider);
        divider.cause = CAUSE_OFFSET_VOLTAGE, divider.what = "offset of the voltage channel";
        divider.u = accuracy_offset(v, v->resolution > 0 ? v->resolution : 0.01) / volts * value / sqrt(3);
        measure_part(&m, divider);
        struct part ripple = {.cause = CAUSE_RIPPLE, .shape = SHAPE_RECTANGULAR, .dof = INFINITY,
                              .what = "ripple of an inverter, unknown", .remedy = "state the ripple, or use a load without one"};
        ripple.u = plan->ripple_share * value / sqrt(3);
        measure_part(&m, ripple);
    }
    measure_part(&m, (struct part){.cause = CAUSE_CLOCK, .shape = SHAPE_RECTANGULAR, .u = rig->clock * value / sqrt(3),
                                   .dof = INFINITY, .what = "clock", .remedy = "a better clock"});
    budget_close(&m);
    return m;
}

static const struct part *largest_of(const struct measure *m)
{
    const struct part *largest = NULL;
    for (int k = 0; k < m->count; k++)
        if (largest == NULL || fabs(m->parts[k].u) > fabs(largest->u))
            largest = &m->parts[k];
    return largest;
}

static void foresee_amount(const struct claim *claim, const struct rig *rig, const struct plan *plan, bool energy,
                           struct prospect *p)
{
    struct measure m = expected(claim->stated, rig, plan, energy);
    const struct part *largest = largest_of(&m);
    p->half_width = 0.5 * (m.hi - m.lo);
    double percent = 100 * p->half_width / claim->stated;
    p->outlook = percent <= 2 ? OUTLOOK_DECIDES : OUTLOOK_ONLY_IF_CLEAR;
    snprintf(p->reason, sizeof p->reason,
             "expected ±%.2g %%: a sample that lies further than %.2g %s from its claim will be decided", percent,
             p->half_width, quantity_symbol(claim->quantity));
    if (largest != NULL)
        snprintf(p->cheapest, sizeof p->cheapest, "%s (%s is %.0f %% of the variance)", largest->remedy, largest->what,
                 100 * pow(largest->u / m.u, 2));
    if (plan->warning[0] != '\0') {
        p->outlook = OUTLOOK_CANNOT_REACH;
        snprintf(p->cheapest, sizeof p->cheapest, "a base load that does not fill up");
    }
}

static void foresee_current(const struct claim *claim, const struct rig *rig, const struct loads *loads,
                            const struct plan *plan, bool whole, struct prospect *p)
{
    double bound = accuracy_bound(&rig->of[CHANNEL_CURRENT], claim->stated, 0.01);
    p->half_width = 0.95 * bound;
    double have = isnan(plan->burst_a) ? 0 : plan->burst_a;
    if (have < claim->stated + bound) {
        double short_w = (claim->stated + bound - have) * 0.94 * plan->base_w / plan->base_a;
        p->outlook = OUTLOOK_CANNOT_REACH;
        snprintf(p->reason, sizeof p->reason,
                 "the loads reach about %.0f A; a reading of %.0f A is needed to be sure of %.4g A with this meter", have,
                 claim->stated + bound, claim->stated);
        snprintf(p->cheapest, sizeof p->cheapest, "another load of about %.0f W at the sample%s", short_w,
                 loads != NULL && loads->inverter_w > 0 ? " (mind what the inverter carries)" : "");
        return;
    }
    p->outlook = OUTLOOK_DECIDES;
    snprintf(p->reason, sizeof p->reason, "the loads reach about %.0f A", have);
    if (whole) {
        p->outlook = OUTLOOK_ONLY_IF_CLEAR;
        snprintf(p->reason + strlen(p->reason), sizeof p->reason - strlen(p->reason),
                 ", but a burst proves no continuous rating");
        snprintf(p->cheapest, sizeof p->cheapest, "a second discharge wholly at %.4g A, with a temperature at the terminals",
                 claim->stated);
    }
}

static void foresee_load(const struct claim *claim, const struct plan *plan, struct prospect *p)
{
    bool power = claim->quantity == QUANTITY_POWER;
    double have = power ? plan->burst_w : plan->burst_a;
    const char *symbol = quantity_symbol(claim->quantity);
    p->outlook = have >= claim->stated ? OUTLOOK_ONLY_IF_CLEAR : OUTLOOK_CANNOT_REACH;
    snprintf(p->reason, sizeof p->reason, "the loads reach about %.0f %s", isnan(have) ? 0 : have, symbol);
    if (p->outlook == OUTLOOK_ONLY_IF_CLEAR)
        snprintf(p->cheapest, sizeof p->cheapest, "a second discharge wholly at %.4g %s", claim->stated, symbol);
    else
        snprintf(p->cheapest, sizeof p->cheapest, "loads of %.4g %s at the sample", claim->stated, symbol);
}

static struct prospect foresee(const struct claim *claim, const struct rig *rig, const struct loads *loads,
                               const struct plan *plan)
{
    struct prospect p = {.claim = claim, .outlook = OUTLOOK_OTHER_TEST, .half_width = NAN};
    switch (claim->kind) {
    case CLAIM_CAPACITY: foresee_amount(claim, rig, plan, false, &p); break;
    case CLAIM_ENERGY: foresee_amount(claim, rig, plan, true, &p); break;
    case CLAIM_CONTINUOUS_CURRENT: foresee_current(claim, rig, loads, plan, true, &p); break;
    case CLAIM_PEAK_CURRENT: foresee_current(claim, rig, loads, plan, false, &p); break;
    case CLAIM_SUITS_LOAD: foresee_load(claim, plan, &p); break;
    case CLAIM_NOMINAL_VOLTAGE:
    case CLAIM_CUT_OFF_VOLTAGE:
        p.outlook = OUTLOOK_DECIDES;
        p.half_width = accuracy_bound(&rig->of[CHANNEL_VOLTAGE], claim->stated, 0.01);
        snprintf(p.reason, sizeof p.reason, "comes with the discharge, ±%.2g V", p.half_width);
        break;
    case CLAIM_MASS:
    case CLAIM_LENGTH:
    case CLAIM_WIDTH:
    case CLAIM_HEIGHT:
        snprintf(p.reason, sizeof p.reason, "weigh or measure it and note it in the label file under [measured]");
        break;
    case CLAIM_CYCLE_LIFE: snprintf(p.reason, sizeof p.reason, "one discharge says nothing about it"); break;
    case CLAIM_CHARGE_CURRENT:
    case CLAIM_CHARGE_VOLTAGE: snprintf(p.reason, sizeof p.reason, "log the charge too"); break;
    default: snprintf(p.reason, sizeof p.reason, "not part of a discharge test"); break;
    }
    return p;
}

__attribute__((format(printf, 5, 6)))
static void add_step(struct plan *plan, double at_s, double within_s, const char *write_down, const char *what, ...)
{
    if (plan->step_count == PLAN_STEPS)
        return;
    struct plan_step *step = &plan->steps[plan->step_count++];
    *step = (struct plan_step){.at_s = at_s, .within_s = within_s};
    va_list args;
    va_start(args, what);
    vsnprintf(step->what, sizeof step->what, what, args);
    va_end(args);
    snprintf(step->write_down, sizeof step->write_down, "%s", write_down);
}

static void plan_protocol(const struct label *label, struct plan *plan)
{
    double v = nominal_of(label), charge_a = plan->base_a;
    double half_s = plan->burst_at_ah / charge_a * 3600;
    double more_s = isnan(plan->burst_a) ? 0 : plan->burst_s * (plan->burst_a / charge_a - 1);
    double end_s = plan->duration_s - more_s;
    add_step(plan, -plan->rest_s, 0, "how the charge ended, volts and amps then; volts a minute later",
             "The charger meant for it has filled it and ended the charge by itself: take it off. Rest for 1 h (IEC 61960-3: "
             "1 h to 4 h).");
    add_step(plan, -300, 0, "temperature at the case, volts at rest", "Zero the current meter. Start the log or the film.");
    add_step(plan, 0, 0, "time, V, A, W, tally", "Base load on: %s, about %.0f W, %.1f A.", plan->base_words, plan->base_w,
             plan->base_a);
    add_step(plan, 60, 0, "V, A", "One minute in: readings again. Then every half hour.");
    if (!isnan(plan->burst_a)) {
        add_step(plan, half_s - 60, 0.02 * half_s, "V, A, Ah, Wh", "Just before the burst, near %.0f Ah.",
                 plan->burst_at_ah);
        add_step(plan, half_s, 0.02 * half_s, "V, A at once, after 10 s, 30 s, and every minute",
                 "Burst: %s, about %.0f A, for %.0f min. Watch cables and terminals for heat.", plan->burst_words,
                 plan->burst_a, plan->burst_s / 60);
        add_step(plan, half_s + plan->burst_s, 0.02 * half_s, "V, A just before, at once after, and 5 min later",
                 "Burst off, base load stays on.");
    }
    add_step(plan, label->rated_ah / charge_a * 3600 - more_s, slack * end_s, "time, V, A, Ah, Wh",
             "Rated %.4g Ah about to pass: film from here to the end.", label->rated_ah);
    add_step(plan, end_s, slack * end_s, "last V, A, Ah, Wh before the meter goes dark; then volts every minute",
             "Cut-off, between %.1f h and %.1f h if it holds its rating (%.2g V or less under load).",
             (1 - slack) * end_s / 3600, (1 + slack) * end_s / 3600,
             v * 0.8);
    add_step(plan, end_s + 600, slack * end_s, "what woke it and when", "Load off. Wake and recharge it the same day.");
}

struct plan plan_make(const struct label *label, const struct rig *rig, const struct loads *loads)
{
    struct plan plan = {.rest_s = rest_before_s};
    snprintf(plan.sample, sizeof plan.sample, "%s", label->sample);
    plan_base(label, rig, loads, &plan);
    plan_burst(label, loads, &plan);
    plan.count = label->claim_count;
    plan.prospects = memory_get((plan.count + 1) * sizeof *plan.prospects);
    for (size_t k = 0; k < plan.count; k++)
        plan.prospects[k] = foresee(&label->claims[k], rig, loads, &plan);
    plan_protocol(label, &plan);
    return plan;
}
