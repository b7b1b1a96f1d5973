#include "teardown/lead_findings.h"

#include "numeric/budget.h"
#include "numeric/propagate.h"

#include <math.h>

struct lead_doubts lead_doubts_usual(const struct gauge *gauge)
{
    bool by_mm2 = !gauge->flat && isnan(gauge->awg);
    return (struct lead_doubts){.area_share = by_mm2 ? 0.14 : 0.05, .length_m = 0.005, .joint_share = 0.5, .air_k = 3, .end_k = 3,
                                .emissivity = 0.05, .convection_share = 0.25};
}

/* The inputs that are in doubt, in this order. */
enum { AREA, LENGTH, JOINTS, CONTACTS, AIR, ENDS, EMISSIVITY, CONVECTION, INPUTS };

static const char *const input_words[INPUTS] = {
    "section of the metal", "length", "joints", "heat that joints carry", "temperature of the air", "temperature of its ends", "emissivity",
    "convection",
};
static const char *const input_remedies[INPUTS] = {
    "weigh a measured length, or measure its resistance with four wires", "measure it", "measure volts across each joint",
    "put a probe on each side of a joint", "put a probe beside it", "put a probe on each end", "", "",
};

enum wanted { OHM, DROP, HEAT, HOTTEST, ALLOWED };

struct model {
    const struct lead *lead;
    const struct lead_limits *limits;
    double a, doubts_at_a;
    enum wanted wanted;
};

static double scaled(double value, double factor)
{
    return isinf(value) ? value : value * factor;
}

/* What is in doubt by so many kelvins where it warms with the current is so at the doubts' own current. */
static void warm_by(double k, double at_a, double *degc, double *k_per_a2)
{
    if (*k_per_a2 > 0 && at_a > 0)
        *k_per_a2 += k / (at_a * at_a);
    else
        *degc += k;
}

/* Inputs are departures from what is stated: shares or differences. */
static double answer_of(const double *inputs, const void *context)
{
    const struct model *m = context;
    struct lead lead = *m->lead;
    lead.gauge.area_mm2 = scaled(lead.gauge.area_mm2, 1 + inputs[AREA]);
    lead.length_m += inputs[LENGTH];
    warm_by(inputs[AIR], m->doubts_at_a, &lead.air_degc, &lead.air_k_per_a2);
    lead.emissivity += inputs[EMISSIVITY];
    lead.convection *= 1 + inputs[CONVECTION];
    for (int e = 0; e < 2; e++) {
        lead.ends[e].ohm *= 1 + inputs[JOINTS];
        lead.ends[e].w_per_k = scaled(lead.ends[e].w_per_k, 1 + inputs[CONTACTS]);
        warm_by(inputs[ENDS], m->doubts_at_a, &lead.ends[e].degc, &lead.ends[e].k_per_a2);
    }
    enum lead_limit limit;
    if (m->wanted == ALLOWED)
        return lead_current(&lead, m->limits, &limit);
    struct lead_state state;
    if (!lead_solve(&lead, m->a, &state))
        return NAN;
    return m->wanted == OHM    ? state.metal_ohm + state.joints_ohm
           : m->wanted == DROP ? state.drop_v
           : m->wanted == HEAT ? state.heat_w
                               : state.hottest_degc;
}

/* A limit that is nearly met without any current bends the answer within its doubts: then what their ends make of it counts. */
static double with_ends(const struct model *model, int input, double half, double value, double part)
{
    double farthest = fabs(part) * sqrt(3);
    for (int side = -1; side <= 1; side += 2) {
        double at[INPUTS] = {0};
        at[input] = side * half;
        farthest = fmax(farthest, fabs(answer_of(at, model) - value)); /* passes over NaN */
    }
    return copysign(farthest / sqrt(3), part);
}

static struct measure find(const struct model *model, const struct lead_doubts *d)
{
    const double half[INPUTS] = {d->area_share + metal_facts[model->lead->metal].spread, d->length_m, d->joint_share,
                                 d->joint_share, d->air_k, d->end_k, d->emissivity, d->convection_share};
    struct propagate_input inputs[INPUTS];
    double parts[INPUTS];
    struct propagated result;
    for (int k = 0; k < INPUTS; k++)
        inputs[k] = (struct propagate_input){0, half[k] / sqrt(3), INFINITY};
    if (propagate(answer_of, model, inputs, INPUTS, NULL, parts, &result) != ANSWER_OK)
        return measure_unknown("within its doubts the lead may have no steady state: it may burn through");
    struct measure measure = measure_of(result.value);
    for (int k = 0; k < INPUTS && model->wanted == ALLOWED; k++)
        parts[k] = with_ends(model, k, half[k], result.value, parts[k]);
    for (int k = 0; k < INPUTS; k++)
        measure_part(&measure, (struct part){.cause = CAUSE_CONDITIONS, .shape = SHAPE_RECTANGULAR, .u = parts[k],
                                             .dof = INFINITY, .source = (uint32_t)k + 1, .what = input_words[k],
                                             .remedy = input_remedies[k]});
    budget_close(&measure);
    return measure;
}

void lead_find(const struct lead *lead, const struct lead_doubts *doubts, const struct lead_limits *limits, double a,
               struct lead_findings *ret_findings)
{
    struct lead_findings f = {.a = a, .limit = LEAD_NONE, .a_per_mm2 = a / gauge_area_mm2(&lead->gauge)};
    struct lead_state state;
    struct model model = {.lead = lead, .limits = limits, .a = a, .doubts_at_a = doubts->at_a};
    f.burns = !lead_solve(lead, a, &state);
    struct measure *const into[] = {[OHM] = &f.ohm, [DROP] = &f.drop_v, [HEAT] = &f.heat_w, [HOTTEST] = &f.hottest_degc};
    for (enum wanted k = OHM; k <= HOTTEST; k++) {
        model.wanted = k;
        *into[k] = f.burns ? measure_unknown("at this current the lead has no steady state below its melting point")
                           : find(&model, doubts);
    }
    model.wanted = ALLOWED;
    double most_a = lead_current(lead, limits, &f.limit);
    f.allowed_a = isnan(most_a) ? measure_unknown("no limit is reached below 10 kA, or none was given")
                  : most_a > 0  ? find(&model, doubts)
                                : measure_unknown("without any current a place is as warm as it may be");
    *ret_findings = f;
}
