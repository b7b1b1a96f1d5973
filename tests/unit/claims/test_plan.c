#include "check.h"

#include "claims/assessment.h"
#include "claims/plan.h"
#include "intake/rig_file.h"

static struct label label_of(const char *text)
{
    struct label label = label_empty();
    struct notices notices = {0};
    struct message message = {0};
    CHECK(label_read_text("x.label", span_of(text), &label, &notices, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    notices_free(&notices);
    return label;
}

static struct loads loads_of(const char *text)
{
    struct loads loads = {0};
    struct message message = {0};
    CHECK(loads_read_text("x.loads", span_of(text), &loads, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    return loads;
}

/* A rig whose only error is the gain of its amps. */
static struct rig rig_of(double gain)
{
    struct rig rig = rig_default();
    for (int c = 0; c < CHANNELS; c++)
        rig.of[c] = (struct accuracy){.resolution = 0.01, .stated = true};
    rig.of[CHANNEL_CURRENT].gain = gain;
    rig.clock = 0;
    rig.ripple = 0;
    return rig;
}

static const struct prospect *prospect_of(const struct plan *plan, const char *slug)
{
    for (size_t k = 0; k < plan->count; k++)
        if (strcmp(plan->prospects[k].claim->slug, slug) == 0)
            return &plan->prospects[k];
    return NULL;
}

static void looks(const struct plan *plan, const char *slug, enum outlook outlook, const char *reason_part)
{
    const struct prospect *p = prospect_of(plan, slug);
    CHECK(p != NULL);
    if (p == NULL)
        return;
    CHECK_TEXT(outlook_name(p->outlook), outlook_name(outlook));
    if (strstr(p->reason, reason_part) == NULL)
        CHECK_TEXT(p->reason, reason_part);
    bool open = p->outlook == OUTLOOK_ONLY_IF_CLEAR || p->outlook == OUTLOOK_CANNOT_REACH;
    if (open && strcmp(slug, "internal-resistance") != 0)
        CHECK(p->cheapest[0] != '\0');
}

static const char pack[] = "[sample]\nname = Sample 21\n[claims]\nnominal voltage = 12.8 V\ncapacity = 105 Ah\nenergy = 1344 Wh\n"
                           "continuous current = 100 A\npeak current = 150 A for 10 s\ncut-off voltage = 10 V\n"
                           "charge current = 50 A\nresistance = 30 mΩ\nmass = 11 kg\ncells = 4S\nsuits a load of 1.5 kW = yes\n"
                           "cycle life = 3500\n[measured]\nmass = 11.2 kg | scale\n";

/* Half-widths by hand: a rectangle of half-width a holds 95 % within 0.95 a; the sum of two equal ones is a
 * triangle of half-width 2 a, which holds 95 % within 2 a (1 - √0.05). */
TEST(expected_half_widths)
{
    struct label label = label_of(pack);
    struct rig rig = rig_of(0.012);
    struct plan plan = plan_make(&label, &rig, NULL);
    CHECK_NEAR(prospect_of(&plan, "capacity")->half_width, 0.95 * 0.012 * 105, 1e-3);
    CHECK_NEAR(prospect_of(&plan, "energy")->half_width, 0.95 * 0.012 * 1344, 1e-2);
    plan_free(&plan);
    rig.of[CHANNEL_CURRENT].shunt_gain = 0.012;
    plan = plan_make(&label, &rig, NULL);
    CHECK_NEAR(prospect_of(&plan, "capacity")->half_width, 2 * 0.012 * 105 * (1 - sqrt(0.05)), 1e-3);
    looks(&plan, "capacity", OUTLOOK_DECIDES, "±1.9 %");
    plan_free(&plan);
    rig.of[CHANNEL_CURRENT].shunt_gain = 0;
    rig.of[CHANNEL_CURRENT].gain = 0;
    rig.of[CHANNEL_CURRENT].offset = 0.3; /* at 21 A, 0.2 of 105 Ah: one part in 70 */
    plan = plan_make(&label, &rig, NULL);
    CHECK_NEAR(prospect_of(&plan, "capacity")->half_width, 0.95 * 0.3 / 21 * 105, 1e-3);
    plan_free(&plan);
    rig = rig_of(0.028);
    plan = plan_make(&label, &rig, NULL);
    looks(&plan, "capacity", OUTLOOK_ONLY_IF_CLEAR, "±2.7 %");
    CHECK(strstr(prospect_of(&plan, "capacity")->cheapest, "calibrated shunt") != NULL);
    plan_free(&plan);
    label_free(&label);
}

TEST(an_unstated_ripple_widens_the_energy_only)
{
    struct label label = label_of(pack);
    struct rig rig = rig_of(0);
    rig.ripple = NAN;
    struct loads loads = loads_of("[inverter]\npower = 2 kW\nefficiency = 100 %\n[heater]\npower = 268.8 W\nbehind inverter = yes\n");
    struct plan plan = plan_make(&label, &rig, &loads);
    CHECK_NEAR(prospect_of(&plan, "capacity")->half_width, 0, 1e-9);
    /* anything up to R·σ_I² less than the integral: ½ · 0.12 of the volts at 1 It · 0.2 It */
    CHECK_NEAR(prospect_of(&plan, "energy")->half_width, 0.95 * 0.5 * 0.12 * 0.2 * 1344, 1e-2);
    plan_free(&plan);
    loads_free(&loads);
    loads = loads_of("[resistor]\ncurrent = 21 A\n");
    plan = plan_make(&label, &rig, &loads);
    CHECK_NEAR(prospect_of(&plan, "energy")->half_width, 0, 1e-9);
    plan_free(&plan);
    loads_free(&loads);
    label_free(&label);
}

TEST(the_base_is_the_nearest_that_lasts)
{
    struct label label = label_of(pack); /* 0.2 It of 105 Ah at 12.8 V are 268.8 W */
    struct rig rig = rig_of(0.01);
    struct loads loads = loads_of("[travel battery]\npower = 265 W\nfills up after = 430 Wh\n[heater]\npower = 310 W\n"
                                  "[lamp]\npower = 60 W\n");
    struct plan plan = plan_make(&label, &rig, &loads);
    CHECK_TEXT(plan.base.words, "heater");
    CHECK_NEAR(plan.base.w, 310, 1e-9);
    CHECK_NEAR(plan.base.a, 310 / 12.8, 1e-9);
    CHECK_NEAR(plan.duration_s, 105 / (310 / 12.8) * 3600, 1e-6);
    CHECK_TEXT(plan.warning, "");
    plan_free(&plan);
    loads_free(&loads);
    loads = loads_of("[travel battery]\npower = 265 W\nfills up after = 430 Wh\n"); /* full after 1.6 h of 5 h */
    plan = plan_make(&label, &rig, &loads);
    CHECK_NEAR(plan.fills_after_s, 430.0 / 265 * 3600, 1e-6);
    CHECK(strstr(plan.warning, "full after about 1.6 h") != NULL);
    looks(&plan, "capacity", OUTLOOK_CANNOT_REACH, "full before");
    looks(&plan, "energy", OUTLOOK_CANNOT_REACH, "full before");
    plan_free(&plan);
    loads_free(&loads);
    label_free(&label);
}

TEST(the_base_keeps_to_the_rate_that_is_claimed)
{
    struct label label = label_of("[claims]\ncapacity = 105 Ah at 0.5 It\nnominal voltage = 12.8 V\n");
    struct rig rig = rig_of(0.01);
    struct loads loads = loads_of("[a]\npower = 260 W\n[b]\npower = 410 W\n");
    struct plan plan = plan_make(&label, &rig, &loads);
    CHECK_TEXT(plan.base.words, "a + b");
    looks(&plan, "capacity", OUTLOOK_DECIDES, "±0.95 %");
    plan_free(&plan);
    plan = plan_make(&label, &rig, NULL);
    CHECK_NEAR(plan.base.a, 52.5, 1e-9);
    plan_free(&plan);
    loads_free(&loads);
    label_free(&label);
}

TEST(a_burst_just_above_the_rating_and_never_above_the_peak)
{
    struct label label = label_of(pack);
    struct rig rig = rig_of(0.01);
    /* the continuous rating needs 101 A at 0.94 · 12.8 V: 1215 W */
    struct loads loads = loads_of("[base]\npower = 270 W\n[kettle]\npower = 900 W\n[fan heater]\npower = 1000 W\n"
                                  "[welder]\npower = 2500 W\n");
    struct plan plan = plan_make(&label, &rig, &loads);
    CHECK_TEXT(plan.burst.words, "base + fan heater");
    CHECK_NEAR(plan.burst.a, 1270 / (0.94 * 12.8), 1e-9);
    looks(&plan, "continuous-current", OUTLOOK_ONLY_IF_CLEAR, "proves no continuous rating");
    /* 151.5 A are 1823 W: the smallest that reach them are 900 and 1000 W */
    CHECK_TEXT(plan.peak.words, "kettle + fan heater");
    looks(&plan, "peak-current", OUTLOOK_DECIDES, "together");
    looks(&plan, "suits-a-load-of-1-5-kw", OUTLOOK_ONLY_IF_CLEAR, "whole discharge");
    plan_free(&plan);
    loads_free(&loads);
    loads = loads_of("[base]\npower = 270 W\n[welder]\npower = 2500 W\n"); /* 230 A: above the stated peak */
    plan = plan_make(&label, &rig, &loads);
    CHECK(isnan(plan.burst.w));
    plan_free(&plan);
    loads_free(&loads);
    label_free(&label);
}

TEST(a_burst_out_of_reach)
{
    struct label label = label_of(pack);
    struct rig rig = rig_of(0.01);
    struct loads loads = loads_of("[inverter]\npower = 1000 W\n[heater]\npower = 250 W\nbehind inverter = yes\n"
                                  "[kettle]\npower = 700 W\nbehind inverter = yes\n[oven]\npower = 1400 W\nbehind inverter = yes\n");
    struct plan plan = plan_make(&label, &rig, &loads);
    CHECK_NEAR(plan.reach_w, 950 / 0.9, 1e-6); /* the inverter does not carry the oven */
    CHECK_NEAR(plan.burst.w, 950 / 0.9, 1e-6); /* as near as it gets */
    looks(&plan, "continuous-current", OUTLOOK_CANNOT_REACH, "about 88 A");
    looks(&plan, "peak-current", OUTLOOK_CANNOT_REACH, "151.5 A are needed");
    looks(&plan, "suits-a-load-of-1-5-kw", OUTLOOK_CANNOT_REACH, "1056 W");
    CHECK(isnan(plan.peak.w));
    plan_free(&plan);
    loads_free(&loads);
    loads = loads_of("[inverter]\npower = 100 W\n[heater]\npower = 250 W\nbehind inverter = yes\n");
    plan = plan_make(&label, &rig, &loads);
    CHECK(strstr(plan.warning, "carries none") != NULL);
    looks(&plan, "continuous-current", OUTLOOK_CANNOT_REACH, "about 0 A");
    plan_free(&plan);
    loads_free(&loads);
    label_free(&label);
}

TEST(an_inverter_that_lets_go_early)
{
    struct label label = label_of("[claims]\ncapacity = 105 Ah to 10 V\nenergy = 1344 Wh\nnominal voltage = 12.8 V\ncut-off voltage = 10 V\n");
    struct rig rig = rig_of(0.01);
    struct loads loads = loads_of("[inverter]\npower = 2 kW\nlow-voltage cut-off = 10.8 V\n[heater]\npower = 250 W\nbehind inverter = yes\n");
    struct plan plan = plan_make(&label, &rig, &loads);
    looks(&plan, "capacity", OUTLOOK_CANNOT_REACH, "gives up at 10.8 V");
    looks(&plan, "energy", OUTLOOK_DECIDES, "±0.95 %"); /* below 2.8 V a cell: all but empty */
    looks(&plan, "low-voltage-cut-off", OUTLOOK_CANNOT_REACH, "before the BMS");
    plan_free(&plan);
    loads.low_v = 11.5;
    plan = plan_make(&label, &rig, &loads);
    looks(&plan, "energy", OUTLOOK_CANNOT_REACH, "gives up at 11.5 V");
    plan_free(&plan);
    loads_free(&loads);
    label_free(&label);
}

TEST(what_needs_another_test_and_what_is_noted_already)
{
    struct label label = label_of(pack);
    struct rig rig = rig_of(0.01);
    struct plan plan = plan_make(&label, &rig, NULL);
    looks(&plan, "mass", OUTLOOK_DECIDES, "noted");
    looks(&plan, "cells-in-series", OUTLOOK_OTHER_TEST, "[measured]");
    looks(&plan, "charge-current", OUTLOOK_OTHER_TEST, "charge");
    looks(&plan, "cycle-life", OUTLOOK_OTHER_TEST, "one discharge");
    looks(&plan, "internal-resistance", OUTLOOK_ONLY_IF_CLEAR, "steps");
    looks(&plan, "nominal-voltage", OUTLOOK_DECIDES, "discharge");
    looks(&plan, "peak-current", OUTLOOK_DECIDES, "needs loads of 151.5 A");
    plan_free(&plan);
    label_free(&label);
}

TEST(the_protocol_runs_forward_in_time)
{
    struct label label = label_of(pack);
    struct rig rig = rig_of(0.01);
    struct plan plan = plan_make(&label, &rig, NULL);
    CHECK(plan.step_count > 8);
    CHECK_NEAR(plan.steps[0].at_s, -3600, 0);
    bool burst = false, off = false, end = false;
    for (int k = 0; k < plan.step_count; k++) {
        const struct plan_step *step = &plan.steps[k];
        CHECK(k == 0 || step->at_s >= plan.steps[k - 1].at_s);
        CHECK(step->what[0] != '\0' && step->write_down[0] != '\0');
        burst |= strncmp(step->what, "Burst: ", 7) == 0;
        off |= burst && strncmp(step->what, "Burst off", 9) == 0;
        end |= off && strncmp(step->what, "Cut-off", 7) == 0;
    }
    CHECK(burst && off && end);
    /* half the charge at 21 A */
    CHECK_NEAR(plan.steps[5].at_s, 52.5 / 21 * 3600, 1e-6);
    plan_free(&plan);
    label_free(&label);
}

/* A run of a rest and a discharge in three phases. */
struct run_made {
    struct run runs[2];
    struct phase phases[4];
    struct burst burst;
    struct findings findings;
};

static void make_run(struct run_made *m, double rest_s, double base_a, double burst_a, double burst_s)
{
    double on = rest_s, up = on + 9000, down = up + burst_s, end = down + 8000;
    *m = (struct run_made){
        .runs = {{.kind = RUN_REST, .end_s = on, .phases = 1},
                 {.kind = RUN_DISCHARGE, .start_s = on, .end_s = end, .first_phase = 1, .phases = 3, .ended = {.by = ENDED_BMS}}},
        .phases = {{.kind = RUN_REST, .end_s = on},
                   {.kind = RUN_DISCHARGE, .run = 1, .start_s = on, .end_s = up, .mean_a = base_a, .mean_v = 12.9},
                   {.kind = RUN_DISCHARGE, .run = 1, .start_s = up, .end_s = down, .mean_a = burst_a, .mean_v = 11.9, .pulse = true},
                   {.kind = RUN_DISCHARGE, .run = 1, .start_s = down, .end_s = end, .mean_a = base_a, .mean_v = 12.5}},
        .burst = {.start_s = up, .end_s = down, .current_a = burst_a},
    };
    m->findings = (struct findings){.runs = m->runs, .run_count = 2, .phases = m->phases, .phase_count = 4, .bursts = &m->burst,
                                    .burst_count = 1, .has_test = true, .test_first_run = 1, .test_last_run = 1,
                                    .test_start_s = on, .test_end_s = end};
}

static size_t departures(const struct plan *plan, const struct run_made *m, const char *sample, const char *part)
{
    struct notices notices = {0};
    plan_departures(plan, sample, &m->findings, &notices);
    bool named = part == NULL;
    for (size_t k = 0; k < notices.count; k++)
        named |= part != NULL && strstr(notices.items[k].text, part) != NULL;
    CHECK(named);
    size_t count = notices.count;
    notices_free(&notices);
    return count;
}

TEST(departures_are_named)
{
    struct label label = label_of(pack);
    struct rig rig = rig_of(0.01);
    struct plan made = plan_make(&label, &rig, NULL), plan = {0};
    struct text text = TEXT_EMPTY;
    struct message message = {0};
    plan_save(&made, &text);
    CHECK(plan_read_text("x.plan", span_of(text_string(&text)), &plan, &message) == STATUS_OK);
    CHECK_TEXT(message.what, "");
    CHECK_REL(plan.base.w, made.base.w, 1e-3);
    CHECK_REL(plan.burst.a, made.burst.a, 1e-3);
    CHECK_TEXT(plan.sample, "Sample 21");
    struct run_made m;
    make_run(&m, 3600, 20.6, 103, 240); /* 266 W, 51.5 Ah before the burst */
    CHECK(departures(&plan, &m, "Sample 21", NULL) == 0);
    CHECK(departures(&plan, &m, "Sample 22", "Sample 22") == 1);
    make_run(&m, 3600, 24.6, 103, 240);
    CHECK(departures(&plan, &m, "Sample 21", "the base load was 317.3 W") == 2); /* 61.5 Ah too */
    make_run(&m, 600, 20.6, 103, 240);
    CHECK(departures(&plan, &m, "Sample 21", "10 min of rest") == 1);
    make_run(&m, 3600, 20.6, 80, 60);
    CHECK(departures(&plan, &m, "Sample 21", "the burst's length was 60 s") == 2);
    m.findings.burst_count = 0;
    CHECK(departures(&plan, &m, "Sample 21", "no burst was found") == 1);
    make_run(&m, 3600, 20.6, 103, NAN);
    m.runs[1].ended.by = ENDED_LOAD;
    CHECK(departures(&plan, &m, "Sample 21", "ended otherwise") >= 2);
    CHECK(departures(&plan, &m, "Sample 21", "the readings do not show") >= 2);
    m.findings.has_test = false;
    CHECK(departures(&plan, &m, "Sample 21", "hold no discharge") == 1);
    text_free(&text);
    plan_free(&made);
    label_free(&label);
}

TEST(what_is_no_plan_is_refused)
{
    static const char *const texts[] = {"", "[claims]\ncapacity = 3 Ah\n", "[plan]\nsample = x\n", "[plan]\nbase power = 3 A\n",
                                        "[plan]\nbase power = 3 W\ncolour = red\n"};
    for (size_t k = 0; k < sizeof texts / sizeof *texts; k++) {
        struct plan plan = {.burst_s = 12.5};
        struct message message = {0};
        CHECK(plan_read_text("x.plan", span_of(texts[k]), &plan, &message) == STATUS_MALFORMED);
        CHECK(message.remedy[0] != '\0');
        CHECK_NEAR(plan.burst_s, 12.5, 0);
    }
}

/* An offset does not grow with the current: 0.3 % of 100 A and 0.03 A are 0.33 A, not 3.3. */
TEST(an_offset_stays_what_it_is)
{
    struct label label = label_of(pack);
    struct rig rig = rig_of(0.003);
    rig.of[CHANNEL_CURRENT].offset = 0.03;
    rig.of[CHANNEL_VOLTAGE].offset = 0.064; /* 0.5 % of 12.8 V */
    struct plan plan = plan_make(&label, &rig, NULL);
    CHECK_NEAR(prospect_of(&plan, "continuous-current")->half_width, 0.95 * 0.33, 1e-9);
    double amps = 1500 / 12.8, share = 0.003 + 0.03 / amps + 0.005;
    for (size_t k = 0; k < plan.count; k++)
        if (plan.prospects[k].claim->kind == CLAIM_SUITS_LOAD)
            CHECK_NEAR(plan.prospects[k].half_width, 0.95 * share * 1500, 1e-9);
    plan_free(&plan);
    label_free(&label);
}

/* What a plan foresees is what the test then gives. */
TEST(the_demo_kept_what_its_plan_foresaw)
{
    struct label label;
    struct rig rig;
    struct loads loads;
    struct notices notices = {0};
    struct message message = {0};
    CHECK(label_read("demo/hut-pack.label", &label, &notices, &message) == STATUS_OK);
    CHECK(rig_read("demo/hut-pack.rig", &rig, &notices, &message) == STATUS_OK);
    CHECK(loads_read("demo/hut-pack.loads", &loads, &message) == STATUS_OK);
    struct plan plan = plan_make(&label, &rig, &loads);
    static const char *const logs[] = {"demo/hut-pack.log.csv"};
    struct assess_request request = {.logs = logs, .log_count = 1, .label = "demo/hut-pack.label", .rig = "demo/hut-pack.rig"};
    struct assessment assessment;
    CHECK(assess(&request, &assessment, &message) == STATUS_OK);
    for (size_t k = 0; k < plan.count; k++) {
        enum claim_kind kind = plan.prospects[k].claim->kind;
        const struct measure *m = &assessment.decisions[k].measured;
        if (kind == CLAIM_CAPACITY || kind == CLAIM_ENERGY || kind == CLAIM_NOMINAL_VOLTAGE || kind == CLAIM_CUT_OFF_VOLTAGE)
            CHECK_REL(plan.prospects[k].half_width, (m->hi - m->lo) / 2, 0.3);
    }
    assessment_free(&assessment);
    plan_free(&plan);
    loads_free(&loads);
    label_free(&label);
    notices_free(&notices);
}
