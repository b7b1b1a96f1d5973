#include "handmade.h"

#include "battery/capacity.h"
#include "battery/crossing.h"
#include "numeric/random.h"

enum { COUNT = 3001 };

/* A discharge at 19.7 A, a reading every 4 s, whose volts fall from 13.3 V by 0.9 mV a reading, with a
 * burst of 90 A over the readings 1,500…1,549 that pulls them down by 1.4 V. */
struct drill {
    struct handmade made;
    struct run run;
    struct throughput through;
    struct phase phases[3];
    struct step steps[2];
    struct findings findings;
    struct delivery delivery;
    struct notices notices;
};

static bool in_burst(int k)
{
    return k >= 1500 && k < 1550;
}

static double volts(int k)
{
    return 13.3 - 9e-4 * k - (in_burst(k) ? 1.4 : 0);
}

static void drill_start(struct drill *drill, double noise_v)
{
    *drill = (struct drill){0};
    handmade_start(&drill->made, COUNT);
    struct random *random = random_new(5501);
    for (int k = 0; k < COUNT; k++)
        handmade_reading(&drill->made, 4.0 * k, volts(k) + noise_v * random_normal(random),
                         in_burst(k) ? 90 : 19.7);
    random_free(random);
    const size_t ends[] = {0, 1500, 1550, COUNT};
    for (int p = 0; p < 3; p++)
        drill->phases[p] =
            (struct phase){.kind = RUN_DISCHARGE, .pulse = p == 1, .first = ends[p], .last = ends[p + 1] - 1};
    for (int s = 0; s < 2; s++)
        drill->steps[s] = (struct step){.before = ends[s + 1] - 1, .after = ends[s + 1], .at_halfwidth_s = 2};
    handmade_close(&drill->made, drill->steps, 2);
    drill->made.basis.noise_v = noise_v;
    drill->run =
        (struct run){.kind = RUN_DISCHARGE, .last = COUNT - 1, .phases = 3, .end_s = 4.0 * (COUNT - 1)};
    drill->through = throughput_over(&drill->made.basis, 0, COUNT - 1, 0, drill->run.end_s);
    drill->findings = (struct findings){.runs = &drill->run,
                                        .run_count = 1,
                                        .phases = drill->phases,
                                        .phase_count = 3,
                                        .noise_v = noise_v,
                                        .noise_a = 0,
                                        .test_mean_a = 19.7};
    drill->delivery =
        (struct delivery){.basis = &drill->made.basis, .runs = &drill->run, .throughs = &drill->through};
}

static void drill_end(struct drill *drill)
{
    free(drill->findings.capacities);
    notices_free(&drill->notices);
    handmade_free(&drill->made);
}

/* Ampere-hours by reading `k`, broken readings allowed. */
static double ah_by(double k)
{
    double burst = fmin(50, fmax(0, k - 1499.5));
    return ((k - burst) * 19.7 + burst * 90) * 4 / 3600;
}

TEST(capacity_to_each_cut_off)
{
    struct drill drill;
    drill_start(&drill, 0);
    struct asked asked = asked_nothing();
    asked.cut_offs = 3;
    asked.cut_off_v[0] = 10.9;
    asked.cut_off_v[1] = 12.55;
    asked.cut_off_v[2] = 9.5;
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    capacity_find(&drill.delivery, &asked, &drill.findings, &drill.notices);
    const double want_v[] = {12.55, 12, 11.5, 11.2, 11, 10.9, 9.5};
    CHECK(drill.findings.capacity_count == 7); /* 10.5 and 10 V were never passed, 9.5 V was asked for */
    for (size_t k = 0; k < drill.findings.capacity_count; k++) {
        const struct capacity *got = &drill.findings.capacities[k];
        CHECK_NEAR(got->cut_off_v, want_v[k], 1e-12);
        CHECK(got->asked == (k == 0 || k >= 5));
        CHECK(got->reached == (k < 6));
        if (got->reached)
            CHECK_REL(got->charge_ah.value, ah_by((13.3 - want_v[k]) / 9e-4), 1e-9);
        else
            CHECK(!measure_known(&got->charge_ah) && strstr(got->charge_ah.why, "9.5 V") != NULL);
    }
    drill_end(&drill);
}

/* 11.2 V lies 0.75 V below the base when the burst comes: the burst goes below it long before the base. */
TEST(a_cut_off_that_only_the_burst_passes_is_not_reached)
{
    struct drill drill;
    drill_start(&drill, 0.002);
    drill.run.last = drill.phases[2].last = 2100; /* the base ends at 11.41 V */
    struct asked asked = asked_nothing();
    asked.cut_offs = 1;
    asked.cut_off_v[0] = 11.2;
    capacity_find(&drill.delivery, &asked, &drill.findings, &drill.notices);
    const struct capacity *got = &drill.findings.capacities[0];
    CHECK(!got->reached && strstr(got->charge_ah.why, "burst") != NULL && drill.notices.count == 1);
    drill_end(&drill);
}

TEST(volts_a_row_ahead_of_a_burst_are_the_burst)
{
    struct drill drill;
    drill_start(&drill, 0.002);
    drill.made.series.column[CHANNEL_VOLTAGE][1499] -= 1.4;
    ledger_free(&drill.made.ledger);
    CHECK(ledger_init(&drill.made.ledger, &drill.made.trace));
    struct asked asked = asked_nothing();
    asked.cut_offs = 1;
    asked.cut_off_v[0] = 11.2;
    capacity_find(&drill.delivery, &asked, &drill.findings, &drill.notices);
    CHECK_NEAR(drill.findings.capacities[0].charge_ah.value, ah_by((13.3 - 11.2) / 9e-4), 0.05);
    drill_end(&drill);
}

/* Longer than any pulse of a test procedure, and a tenth of all charge. */
TEST(a_long_burst_is_not_the_cut_off_either)
{
    struct drill drill;
    drill_start(&drill, 0.002);
    for (int p = 0; p < 3; p++) {
        struct phase *phase = &drill.phases[p];
        phase->pulse = false;
        phase->mean_a = p == 1 ? 90 : 19.7;
        phase->start_s = fmax(0, 4.0 * (double)phase->first - 2);
        phase->end_s = 4.0 * (double)phase->last + 2;
    }
    struct asked asked = asked_nothing();
    asked.cut_offs = 1;
    asked.cut_off_v[0] = 11.2; /* 0.75 V below the base when the burst comes */
    capacity_find(&drill.delivery, &asked, &drill.findings, &drill.notices);
    CHECK_NEAR(drill.findings.capacities[0].charge_ah.value, ah_by((13.3 - 11.2) / 9e-4), 0.05);
    drill_end(&drill);
}

TEST(noise_does_not_bring_the_cut_off_early)
{
    double sum = 0, square = 0;
    struct drill drill;
    drill_start(&drill, 0.02);
    double per_reading = 19.7 * 4 / 3600, u = 0;
    int levels = 0;
    for (double level = 13.1; level > 12.1; level -= 0.05, levels++) {
        struct asked asked = asked_nothing();
        asked.cut_offs = 1;
        asked.cut_off_v[0] = level;
        capacity_find(&drill.delivery, &asked, &drill.findings, &drill.notices);
        double off = drill.findings.capacities[0].charge_ah.value - ah_by((13.3 - level) / 9e-4);
        u = u_of(&drill.findings.capacities[0].charge_ah, CAUSE_NOISE);
        sum += off;
        square += off * off;
        free(drill.findings.capacities);
        drill.findings.capacities = NULL;
    }
    double sd = sqrt(square / levels);
    CHECK(fabs(sum / levels) <
          2 * sd / sqrt(levels)); /* the first reading below would be some 60 readings early */
    CHECK(sd < 22 * per_reading); /* of the noise, 0.02 V, at 0.9 mV a reading */
    CHECK(sd < 1.3 * u && u < 3 * sd);
    drill_end(&drill);
}

TEST(the_voltage_error_costs_charge_by_the_slope)
{
    struct drill drill;
    drill_start(&drill, 0);
    drill.made.rig.of[CHANNEL_VOLTAGE] = (struct accuracy){.gain = 0.004, .offset = 0.03};
    struct asked asked = asked_nothing();
    asked.cut_offs = 1;
    asked.cut_off_v[0] = 11;
    capacity_find(&drill.delivery, &asked, &drill.findings, &drill.notices);
    const struct measure *ah = &drill.findings.capacities[0].charge_ah;
    double ah_per_volt = 19.7 * 4 / 3600 / 9e-4;
    CHECK_REL(u_of(ah, CAUSE_GAIN_VOLTAGE), 0.004 * 11 * ah_per_volt / sqrt(3), 1e-6);
    CHECK_REL(u_of(ah, CAUSE_OFFSET_VOLTAGE), 0.03 * ah_per_volt / sqrt(3), 1e-6);
    drill_end(&drill);
}

TEST(a_glitch_is_no_cut_off_and_leads_shift_the_level)
{
    struct drill drill;
    drill_start(&drill, 0);
    drill.made.series.column[CHANNEL_VOLTAGE][700] = 0;
    ledger_free(&drill.made.ledger);
    CHECK(ledger_init(&drill.made.ledger, &drill.made.trace));
    drill.made.rig.sense_leads = false;
    drill.made.rig.lead_ohm = 0.003;
    struct asked asked = asked_nothing();
    asked.cut_offs = 1;
    asked.cut_off_v[0] = 12.5;
    capacity_find(&drill.delivery, &asked, &drill.findings, &drill.notices);
    CHECK_REL(drill.findings.capacities[0].charge_ah.value, ah_by((13.3 - 12.5 + 0.003 * 19.7) / 9e-4), 1e-9);
    drill_end(&drill);
}

TEST(the_moment_a_rated_value_was_passed)
{
    struct drill drill;
    drill_start(&drill, 0);
    drill.made.rig.of[CHANNEL_CURRENT].gain = 0.01;
    struct crossing ah = crossing_find(&drill.delivery, false, 50);
    double k = 1549.5 + (50 - ah_by(1549.5)) / (19.7 * 4 / 3600);
    CHECK(ah.reached);
    CHECK_REL(ah.at_s.value, 4 * k, 1e-9);
    CHECK_REL(ah.volts, 13.3 - 9e-4 * k, 1e-9);
    CHECK_REL(u_of(&ah.at_s, CAUSE_GAIN_CURRENT), 0.01 / sqrt(3) * 50 / 19.7 * 3600, 1e-9);
    struct crossing wh = crossing_find(&drill.delivery, true, 400);
    CHECK(wh.reached);
    struct place place;
    CHECK(place_at(drill.made.trace.t_s, COUNT, wh.at_s.value, &place));
    struct place from = {0, 0};
    CHECK_REL(
        integrate_between(drill.made.trace.t_s, drill.made.trace.a, drill.made.trace.v, COUNT, from, place),
        400 * 3600, 1e-9);
    struct crossing never = crossing_find(&drill.delivery, false, 500);
    CHECK(!never.reached && strstr(never.at_s.why, "500 Ah") != NULL);
    struct crossing unasked = crossing_find(&drill.delivery, true, NAN);
    CHECK(!unasked.reached && !measure_known(&unasked.at_s));
    drill_end(&drill);
}
