#include "check.h"

#include "battery/conditions.h"

/* A charge, a rest, and a discharge at `amps` in a room of a known temperature. */
struct drill {
    struct run runs[3];
    struct capacity capacity;
    struct findings findings;
    struct asked asked;
    double ambient_degc;
};

static void drill_start(struct drill *drill, double amps, double degc, double rest_h)
{
    *drill = (struct drill){.ambient_degc = degc};
    drill->runs[0] = (struct run){.kind = RUN_CHARGE};
    drill->runs[1] = (struct run){.kind = RUN_REST,
                                  .first = 0,
                                  .last = 9,
                                  .end_s = rest_h * 3600,
                                  .duration_s = {.value = rest_h * 3600, .hi = rest_h * 3600 + 1}};
    drill->runs[2] = (struct run){.kind = RUN_DISCHARGE, .first = 10, .last = 29, .end_v = 10.6};
    drill->findings = (struct findings){.runs = drill->runs,
                                        .run_count = 3,
                                        .test_first_run = 2,
                                        .test_last_run = 2,
                                        .test_mean_a = amps,
                                        .test_degc = degc + 6,
                                        .full_before = NAN,
                                        .capacities = &drill->capacity,
                                        .capacity_count = 1};
    drill->capacity = (struct capacity){.cut_off_v = 10, .asked = true, .reached = false};
    drill->asked = asked_nothing();
    drill->asked.rated_ah = 100;
    drill->asked.lithium_iron_phosphate = true;
    conditions_find(&drill->asked, drill->ambient_degc, &drill->findings);
}

static const struct condition *named(const struct drill *drill, const char *name)
{
    for (int k = 0; k < drill->findings.condition_count; k++)
        if (strcmp(drill->findings.conditions[k].name, name) == 0)
            return &drill->findings.conditions[k];
    CHECK(!"no such condition");
    return &drill->findings.conditions[0];
}

TEST(a_test_as_the_standards_ask)
{
    struct drill drill;
    drill_start(&drill, 20.4, 23.1, 2);
    drill.capacity.reached = true;
    drill.findings.full_before = 1;
    conditions_find(&drill.asked, drill.ambient_degc, &drill.findings);
    for (int k = 0; k < drill.findings.condition_count; k++) {
        const struct condition *condition = &drill.findings.conditions[k];
        CHECK(condition->known && !condition->departs && condition->effect_lo == 0 &&
              condition->effect_hi == 0);
    }
    CHECK(strstr(named(&drill, "temperature")->was, "around the sample") != NULL);
}

TEST(departures_are_named_with_their_effect)
{
    struct drill drill;
    drill_start(&drill, 50, 12.3, 30);
    const struct condition *rate = named(&drill, "current"), *cold = named(&drill, "temperature");
    CHECK(rate->departs && strstr(rate->was, "0.5 It") != NULL);
    CHECK_NEAR(rate->effect_lo, pow(0.4, 0.05) - 1, 1e-12); /* Peukert, k = 1.05 */
    CHECK_NEAR(rate->effect_hi, 0, 0);
    CHECK(cold->departs && strstr(cold->words, "colder") != NULL);
    CHECK_NEAR(cold->effect_lo, -0.008 * (25 - 12.3), 1e-9);
    CHECK(named(&drill, "rest before")->departs && named(&drill, "rest before")->effect_lo < 0);
    const struct condition *cut_off = named(&drill, "cut-off");
    CHECK(cut_off->departs && isnan(cut_off->effect_lo) && cut_off->effect_hi == 0);
    CHECK(!named(&drill, "full charge before")->known);
    drill_start(&drill, 5, 36, 2); /* a lower rate gives more, warmth too */
    CHECK(named(&drill, "current")->effect_hi > 0.07 && named(&drill, "current")->effect_lo == 0);
    CHECK(named(&drill, "temperature")->effect_hi > 0.03 && named(&drill, "temperature")->effect_lo == 0);
}

TEST(the_bms_ends_a_discharge_for_good)
{
    struct drill drill;
    drill_start(&drill, 20, 25, 2);
    drill.runs[2].ended.by = ENDED_BMS;
    drill.runs[2].ended.low = true;
    conditions_find(&drill.asked, drill.ambient_degc, &drill.findings);
    CHECK(named(&drill, "cut-off")->known && !named(&drill, "cut-off")->departs);
}

TEST(an_end_without_volts_is_above_no_cut_off)
{
    struct drill drill;
    drill_start(&drill, 20, 25, 2);
    struct capacity capacity = {.cut_off_v = 10, .asked = true, .charge_ah = measure_unknown("the log has no voltage")};
    drill.findings.capacities = &capacity;
    drill.findings.capacity_count = 1;
    drill.runs[2].end_v = NAN;
    drill.runs[2].ended.end_v = measure_unknown("the log has no voltage");
    conditions_find(&drill.asked, drill.ambient_degc, &drill.findings);
    CHECK(!named(&drill, "cut-off")->known && !named(&drill, "cut-off")->departs);
}

TEST(what_is_not_known_is_not_guessed)
{
    struct drill drill;
    drill_start(&drill, 20, NAN, 2);
    drill.asked.rated_ah = NAN;
    drill.findings.test_degc = NAN;
    drill.capacity.asked = false;
    drill.findings.test_first_run = drill.findings.test_last_run = 0;
    drill.runs[0].last = 29;
    conditions_find(&drill.asked, drill.ambient_degc, &drill.findings);
    for (int k = 0; k < drill.findings.condition_count; k++) {
        const struct condition *condition = &drill.findings.conditions[k];
        CHECK(!condition->known && !condition->departs && isnan(condition->effect_lo));
    }
}
