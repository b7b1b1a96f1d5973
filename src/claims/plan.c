#include "claims/plan.h"

#include "base/memory.h"
#include "claims/foresee.h"

#include <stdarg.h>

static const double rest_before_s = 3600;  /* IEC 61960-3: 1 h to 4 h between charge and discharge */
static const double burst_default_s = 240; /* long enough for a resistance at 30 s and a settled sag */
static const double peak_default_s = 5;    /* where the label states no duration */
static const double after_burst_s = 600;   /* for the volts to come back */
static const double base_rate_it = 0.2;    /* IEC 62620, IEC 61960-3: reference rate of a capacity test */
static const double base_known = 0.05;     /* a load's print against what it draws: common practice, no source */
static const double slack = 0.10;          /* of the expected time: packs differ from their rating by some */
static const double sag = 0.94;            /* volts under a burst, of nominal: common practice, no source */
static const double beyond = 1.25;         /* times the continuous current, where no peak is stated: no burst above */
static const double burst_ratio = 1.2;     /* as in battery/burst.h: less is no burst */
/* An inverter without capacitors has σ_I²/I² = 1/2 (battery/ripple.h); a sample with its leads drops about an
 * eighth of its volts at 1 I_t: common practice, no source. The energy is the plain integral, which the ripple can
 * only lower (battery/ripple.h): the half-width is all of what it can take. */
static const double ripple_square = 0.5, drop_share = 0.12;

const char *outlook_name(enum outlook outlook)
{
    static const char *const names[] = {"can be decided", "only if it is clear", "out of reach", "needs another test"};
    return names[outlook];
}

const char *plan_act_name(enum plan_act act)
{
    static const char *const names[] = {"rest", "zero", "base", "read", "burst", "peak", "watch", "cut-off", "recharge"};
    return names[act];
}

void plan_free(struct plan *plan)
{
    free(plan->prospects);
    *plan = (struct plan){0};
}

static double nominal_of(const struct label *label)
{
    return label->nominal_v > 0 ? label->nominal_v : label->cells > 0 ? 3.2 * label->cells : 12.8;
}

static const struct draw no_draw = {.w = NAN, .a = NAN};

static struct draw draw_of(const struct loads *loads, unsigned on, double nominal_v, double sagged_v)
{
    struct draw draw = {.on = on, .w = loads_draw_w(loads, on, nominal_v)};
    draw.a = draw.w / sagged_v;
    size_t used = 0;
    for (size_t k = 0; k < loads->count && used < sizeof draw.words; k++)
        if ((on & 1u << k) != 0)
            used += (size_t)snprintf(draw.words + used, sizeof draw.words - used, "%s%s", used > 0 ? " + " : "",
                                     loads->loads[k].name);
    return draw;
}

static struct draw draw_needed(double w, double v)
{
    struct draw draw = {.w = w, .a = w / v};
    snprintf(draw.words, sizeof draw.words, "any steady load");
    return draw;
}

static double fills_after_s(const struct loads *loads, unsigned on)
{
    double soonest = NAN;
    for (size_t k = 0; k < loads->count; k++) {
        const struct load *load = &loads->loads[k];
        if ((on & 1u << k) != 0 && load->fills_wh > 0 && load->power_w > 0)
            soonest = fmin(soonest, load->fills_wh / load->power_w * 3600); /* fmin passes over NaN */
    }
    return soonest;
}

/* The combination nearest to `wanted_w` among those that can be kept on until `energy_wh` have left the
 * sample; among all when there is none; 0 when the inverter carries none. */
static unsigned choose_base(const struct loads *loads, double wanted_w, double energy_wh, double nominal_v)
{
    unsigned best = 0;
    double best_w = 0;
    bool best_lasts = false;
    for (unsigned on = 1; on < 1u << loads->count; on++) {
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

/* The smallest combination with the base still on that reaches `wanted_w`, else the largest; none above
 * `most_w`. */
static unsigned choose_burst(const struct loads *loads, unsigned base, double wanted_w, double most_w, double nominal_v)
{
    unsigned best = 0;
    double best_w = 0;
    for (unsigned on = 1; on < 1u << loads->count; on++) {
        double w = loads_draw_w(loads, on, nominal_v);
        bool better = best_w >= wanted_w ? w >= wanted_w && w < best_w : w > best_w;
        if ((on & base) == base && w <= most_w && loads_carried(loads, on) && better)
            best = on, best_w = w;
    }
    return best;
}

static double wanted_rate_it(const struct label *label)
{
    const struct claim *capacity = label_claim(label, CLAIM_CAPACITY);
    return capacity != NULL && capacity->rate_it > 0 ? capacity->rate_it : base_rate_it;
}

static void plan_base(const struct label *label, const struct rig *rig, const struct loads *loads, struct plan *plan)
{
    double v = nominal_of(label), wanted_w = wanted_rate_it(label) * label->rated_ah * v;
    unsigned on = loads != NULL ? choose_base(loads, wanted_w, label->rated_ah * v, v) : 0;
    plan->base = on != 0 ? draw_of(loads, on, v, v) : draw_needed(wanted_w, v);
    plan->fills_after_s = on != 0 ? fills_after_s(loads, on) : NAN;
    plan->gives_up_v = on != 0 && loads_inverted(loads, on) ? loads->low_v : NAN;
    plan->drop_v = drop_share * v * plan->base.a / label->rated_ah;
    if (isnan(rig->ripple) && (on == 0 || loads_inverted(loads, on)))
        plan->ripple_share = ripple_square * drop_share * plan->base.a / label->rated_ah;
    plan->duration_s = label->rated_ah / plan->base.a * 3600;
    if (loads != NULL && on == 0)
        snprintf(plan->warning, sizeof plan->warning,
                 "The inverter carries none of the loads by itself: the protocol is for a load that is still to be found.");
    else if (plan->fills_after_s < plan->duration_s)
        snprintf(plan->warning, sizeof plan->warning,
                 "A load of the base is itself a battery and will be full after about %.1f h, before the sample is empty "
                 "(%.1f h): have a second one at hand, or the discharge stops short and capacity stays undecided.",
                 plan->fills_after_s / 3600, plan->duration_s / 3600);
}

/* A burst just above the continuous current, so that this meter is sure of it, and never above the peak. */
static void plan_burst(const struct label *label, const struct rig *rig, const struct loads *loads, struct plan *plan)
{
    double nominal = nominal_of(label), v = sag * nominal;
    double rated_a = !isnan(label->continuous_a) ? label->continuous_a : label->rated_ah;
    double wanted_a = rated_a + accuracy_bound(&rig->of[CHANNEL_CURRENT], rated_a, 0);
    double most_a = fmax(!isnan(label->peak_a) ? label->peak_a : beyond * rated_a, wanted_a);
    plan->burst_s = burst_default_s;
    plan->burst_at_ah = 0.5 * label->rated_ah;
    plan->burst = plan->base.on == 0 ? draw_needed(wanted_a * v, v) : no_draw;
    unsigned on = plan->base.on == 0 ? 0 : choose_burst(loads, plan->base.on, wanted_a * v, most_a * v, nominal);
    if (on != 0)
        plan->burst = draw_of(loads, on, nominal, v);
    if (plan->burst.w < burst_ratio * plan->base.w)
        plan->burst = no_draw;
}

/* What all loads reach, and a short pulse at the stated peak if that is within it. */
static void plan_peak(const struct label *label, const struct rig *rig, const struct loads *loads, struct plan *plan)
{
    double nominal = nominal_of(label), v = sag * nominal;
    unsigned most = loads != NULL ? choose_burst(loads, 0, INFINITY, INFINITY, nominal) : 0;
    plan->reach_w = loads != NULL ? loads_draw_w(loads, most, nominal) : INFINITY;
    plan->reach_a = plan->reach_w / v;
    plan->peak = no_draw;
    const struct claim *claim = label_claim(label, CLAIM_PEAK_CURRENT);
    if (claim == NULL || plan->burst.a >= claim->stated)
        return;
    double wanted_a = claim->stated + accuracy_bound(&rig->of[CHANNEL_CURRENT], claim->stated, 0);
    plan->peak_s = isfinite(claim->duration_s) ? claim->duration_s : peak_default_s;
    if (plan->reach_a < wanted_a)
        return;
    plan->peak = loads == NULL ? draw_needed(wanted_a * v, v)
                               : draw_of(loads, choose_burst(loads, 0, wanted_a * v, INFINITY, nominal), nominal, v);
}

__attribute__((format(printf, 6, 7)))
static void add_step(struct plan *plan, enum plan_act act, double at_s, double within_s, const char *write_down,
                     const char *what, ...)
{
    if (plan->step_count == PLAN_STEPS)
        return;
    struct plan_step *step = &plan->steps[plan->step_count++];
    *step = (struct plan_step){.act = act, .at_s = at_s, .within_s = within_s};
    va_list args;
    va_start(args, what);
    vsnprintf(step->what, sizeof step->what, what, args);
    va_end(args);
    snprintf(step->write_down, sizeof step->write_down, "%s", write_down);
}

/* The moment of the burst is a place in the charge; its time follows from the base load. */
static void burst_steps(struct plan *plan)
{
    double at_s = plan->burst_at_ah / plan->base.a * 3600, within_s = base_known * at_s;
    double off_s = at_s + plan->burst_s, peak_at_s = off_s + after_burst_s;
    add_step(plan, ACT_READ, at_s - 60, within_s, "V, A, Ah, Wh", "Just before the burst, when %.0f Ah have been drawn.",
             plan->burst_at_ah);
    add_step(plan, ACT_BURST, at_s, within_s, "V, A at once, after 10 s, 30 s, and every minute",
             "Burst: %s, about %.0f W, %.0f A, for %.0f min. Feel for warm cables and terminals; stop at the first sign.",
             plan->burst.words, plan->burst.w, plan->burst.a, plan->burst_s / 60);
    add_step(plan, ACT_READ, off_s, within_s, "V, A just before, at once after, and 5 min later", "Burst off, base load stays on.");
    if (!isnan(plan->peak.w))
        add_step(plan, ACT_PEAK, peak_at_s, within_s, "V, A at once and just before it ends",
                 "Peak: %s, about %.0f W, %.0f A, for %.0f s and no longer; then the base load again.", plan->peak.words,
                 plan->peak.w, plan->peak.a, plan->peak_s);
}

static void plan_protocol(const struct label *label, struct plan *plan)
{
    double more_s = isnan(plan->burst.a) ? 0 : plan->burst_s * (plan->burst.a / plan->base.a - 1);
    double end_s = plan->duration_s - more_s, early_s = (1 - slack) * end_s;
    double cut_off_v = !isnan(label->cut_off_v) ? label->cut_off_v : 2.5 / 3.2 * nominal_of(label);
    add_step(plan, ACT_REST, -plan->rest_s, 0, "how the charge ended, volts and amps then; volts a minute later",
             "The charger meant for it has filled it and ended the charge by itself: take it off. Rest for 1 h (IEC 61960-3: "
             "1 h to 4 h).");
    add_step(plan, ACT_ZERO, -300, 0, "temperature at the case, volts at rest", "Zero the current meter. Start the log or the film.");
    add_step(plan, ACT_BASE, 0, 0, "time, V, A, W, tally", "Base load on: %s, about %.0f W, %.1f A.", plan->base.words, plan->base.w,
             plan->base.a);
    add_step(plan, ACT_READ, 60, 0, "V, A", "One minute in: readings again. Then every half hour.");
    if (!isnan(plan->burst.a))
        burst_steps(plan);
    add_step(plan, ACT_WATCH, early_s, 0, "time, V, A, Ah, Wh every five minutes",
             "Film or watch from here to the end; the rated %.4g Ah should pass.", label->rated_ah);
    add_step(plan, ACT_CUT_OFF, end_s, slack * end_s, "last V, A, Ah, Wh before the meter goes dark; then volts every minute",
             "Cut-off, between %.1f h and %.1f h if it holds its rating, at about %.3g V.", early_s / 3600,
             (1 + slack) * end_s / 3600, fmax(cut_off_v, isnan(plan->gives_up_v) ? 0 : plan->gives_up_v));
    add_step(plan, ACT_RECHARGE, end_s + 600, slack * end_s, "what woke it and when", "Load off. Wake and recharge it the same day.");
}

struct plan plan_make(const struct label *label, const struct rig *rig, const struct loads *loads)
{
    struct plan plan = {.rest_s = rest_before_s, .start_clock_s = NAN};
    snprintf(plan.sample, sizeof plan.sample, "%s", label->sample);
    plan_base(label, rig, loads, &plan);
    plan_burst(label, rig, loads, &plan);
    plan_peak(label, rig, loads, &plan);
    plan.count = label->claim_count;
    plan.prospects = memory_get((plan.count + 1) * sizeof *plan.prospects);
    for (size_t k = 0; k < plan.count; k++)
        plan.prospects[k] = foresee(label, &label->claims[k], rig, &plan);
    plan_protocol(label, &plan);
    return plan;
}
