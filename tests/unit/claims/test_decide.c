#include "check.h"

#include "claims/decide.h"
#include "numeric/budget.h"

static struct measure about(double value, double half)
{
    struct measure m = measure_of(value);
    measure_part(&m, (struct part){.cause = CAUSE_GAIN_CURRENT, .shape = SHAPE_RECTANGULAR, .u = half / sqrt(3),
                                   .dof = INFINITY, .what = "gain", .remedy = "a better meter"});
    budget_close(&m);
    return m;
}

/* A discharge of one run and one phase, ended by the BMS, of a 4-cell 100 Ah sample. */
struct bench {
    struct label label;
    struct claim claim;
    struct run run;
    struct phase phase;
    struct findings findings;
    struct rig rig;
};

static void set_up(struct bench *b, enum claim_kind kind, double stated, enum quantity quantity)
{
    *b = (struct bench){.label = label_empty(), .rig = rig_default()};
    b->claim = (struct claim){.kind = kind, .sense = SENSE_AT_LEAST, .stated = stated, .quantity = quantity,
                              .rate_it = NAN, .degc = NAN, .cut_off_v = NAN, .duration_s = NAN, .name = "Claim", .slug = "claim"};
    b->label.claims = &b->claim;
    b->label.claim_count = 1;
    b->label.rated_ah = 100;
    b->label.cells = 4;
    b->label.lithium_iron_phosphate = true;
    b->phase = (struct phase){.kind = RUN_DISCHARGE, .end_s = 18000, .mean_a = 20.4, .mean_v = 12.9, .end_v = 10.1};
    b->run = (struct run){.kind = RUN_DISCHARGE, .phases = 1, .end_s = 18000, .charge_ah = about(102, 1), .energy_wh = about(1310, 16),
                          .ended = {.by = ENDED_BMS, .end_v = about(10.1, 0.05), .end_cell_v = 2.525, .knee_s = NAN, .low = true}};
    b->findings = (struct findings){.runs = &b->run, .run_count = 1, .phases = &b->phase, .phase_count = 1, .has_test = true,
                                    .test_ah = about(102, 1), .test_wh = about(1310, 16), .test_mean_v = about(12.84, 0.05),
                                    .test_end_s = 18000, .test_mean_a = 20.4, .test_degc = 22, .full_before = NAN};
}

static enum verdict verdict_of(struct bench *b, struct decision *ret_decision)
{
    decide_all(&b->label, &b->findings, 1, &b->rig, 0.975, ret_decision);
    return ret_decision->verdict;
}

TEST(capacity_met_not_met_and_too_close)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 100, QUANTITY_CHARGE);
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
    b.claim.stated = 105;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.claim.stated = 102.3;
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    CHECK(strstr(d.would_decide, "a better meter") != NULL);
}

TEST(a_shortfall_under_harsher_conditions_is_open_unless_bounded)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 104, QUANTITY_CHARGE);
    b.claim.rate_it = 0.05; /* tested at four times the stated rate */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    CHECK(d.conditions_open && strstr(d.would_decide, "standards") != NULL); /* no temperature is stated */
    CHECK(strstr(d.would_decide, "a test at 5 A (0.05 It) and 25 °C") != NULL);
    b.claim.stated = 130; /* no plausible effect of the rate turns this */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.claim.stated = 100; /* a pass under harsher conditions is a pass */
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
}

TEST(a_shortfall_of_a_sample_that_was_not_full_asks_for_a_full_one)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 105, QUANTITY_CHARGE);
    b.findings.full_before = 0;
    b.findings.full_doubted = true;
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    CHECK_TEXT(d.would_decide, "a test from a charge shown to be full");
    CHECK(d.conditions_open);
}

TEST(a_pass_under_milder_conditions_is_no_pass)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 100, QUANTITY_CHARGE);
    b.claim.rate_it = 1; /* tested at a fifth of the stated rate */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
}

TEST(a_shortfall_where_the_label_states_no_conditions)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 104, QUANTITY_CHARGE);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.findings.test_mean_a = 98; /* harsher than the standards' 0.2 It: up to 5.1^0.05 - 1 = 8.5 % */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    CHECK(strstr(d.reason, "no rate stated") != NULL);
    b.claim.stated = 112;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.claim.stated = 100;
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
    set_up(&b, CLAIM_CAPACITY, 104, QUANTITY_CHARGE);
    b.findings.test_degc = 11; /* up to 14 × 0.8 % */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    b.findings.test_degc = NAN;
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    CHECK(strstr(d.reason, "not recorded") != NULL);
    b.claim.degc = 0; /* a bench is warmer: a pass there is none here */
    b.claim.stated = 100;
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
}

TEST(energy_at_another_rate_needs_the_resistance)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_ENERGY, 1340, QUANTITY_ENERGY);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.findings.test_mean_a = 51; /* 31 A more than 0.2 It, resistance unknown: nothing bounds the effect */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    struct step step = {.resistances = 1, .resistance = {{.delay_s = 1, .ohm = about(0.0031, 0.0002)}}};
    b.findings.steps = &step;
    b.findings.step_count = 1;
    b.claim.stated = 1480; /* 1310·(1 + 0.047 + 2·0.0031·31/12.84) is 1391 */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.claim.stated = 1385;
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
}

TEST(nearly_empty_is_not_the_cut_off)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 105, QUANTITY_CHARGE);
    b.run.ended.by = ENDED_LOAD;
    b.run.ended.end_cell_v = 2.7;
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE); /* what was left would do */
    b.claim.stated = 112;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.claim.cut_off_v = 10; /* stated, and not reached */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    CHECK(isnan(d.probability));
}

TEST(when_a_cell_of_another_chemistry_is_empty_is_not_known)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 112, QUANTITY_CHARGE);
    b.run.ended.by = ENDED_LOAD;
    b.run.ended.end_cell_v = 2.07; /* of lead, say: far from empty */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.label.lithium_iron_phosphate = false;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    CHECK(strstr(d.reason, "at which volts a sample of its chemistry is empty is not known") != NULL);
    b.run.ended.by = ENDED_BMS; /* the sample itself gave up, at volts that had fallen */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.claim.kind = CLAIM_CONTINUOUS_CURRENT;
    b.claim.quantity = QUANTITY_CURRENT;
    b.claim.stated = 50;
    b.phase.end_v = 13.1; /* 3.28 V a cell is far from empty only of lithium iron phosphate */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    b.label.lithium_iron_phosphate = true;
    b.rig.sense_leads = true;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
}

TEST(a_trip_in_a_burst_says_nothing_of_the_capacity)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 105, QUANTITY_CHARGE);
    b.run.ended.end_cell_v = 3.1;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET); /* at the base load, past the knee: the sample gave up */
    b.run.ended.low = false; /* no knee: whatever took the terminals away, it was not empty */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    b.phase.mean_a = 88;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    CHECK(strstr(d.reason, "burst") != NULL);
}

TEST(a_trip_whose_own_sag_looks_empty)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 105, QUANTITY_CHARGE);
    struct phase phases[2] = {
        {.kind = RUN_DISCHARGE, .end_s = 3600, .mean_a = 20.4, .mean_v = 13.1, .end_v = 12.95},
        {.kind = RUN_DISCHARGE, .start_s = 3600, .end_s = 3602, .mean_a = 164, .mean_v = 10.8, .end_v = 10.7}};
    b.findings.phases = phases;
    b.findings.phase_count = b.run.phases = 2;
    b.run.ended.end_cell_v = 2.675;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    CHECK(strstr(d.reason, "burst") != NULL);
    b.claim.kind = CLAIM_CUT_OFF_VOLTAGE;
    b.claim.quantity = QUANTITY_VOLTAGE;
    b.claim.stated = 10;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    b.claim.kind = CLAIM_PEAK_CURRENT;
    b.claim.quantity = QUANTITY_CURRENT;
    b.claim.stated = 200;
    b.rig.sense_leads = true;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    CHECK_NEAR(d.reached, 164, 1e-9);
    phases[0].end_v = 11.2; /* the base was all but empty before the burst */
    b.claim.kind = CLAIM_CAPACITY;
    b.claim.quantity = QUANTITY_CHARGE;
    b.claim.stated = 105;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
}

TEST(a_discharge_that_stopped_early)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 105, QUANTITY_CHARGE);
    b.run.ended.by = ENDED_OPERATOR;
    b.run.ended.end_cell_v = 3.2;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    CHECK_NEAR(d.reached, 102, 1e-9);
    b.claim.stated = 100; /* delivered more than claimed before it stopped */
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
}

TEST(a_log_that_begins_under_way_proves_no_shortfall)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 140, QUANTITY_CHARGE);
    b.findings.beginning_unseen = true;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    CHECK_NEAR(d.reached, 102, 1e-9);
    b.claim.stated = 100; /* what it delivered is enough all the same */
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
}

TEST(without_volts_nobody_knows_whether_it_was_empty)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 105, QUANTITY_CHARGE);
    b.run.ended = (struct ending){.end_v = measure_unknown("the log has no voltage"), .end_cell_v = NAN, .knee_s = NAN};
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    CHECK(strstr(d.reason, "not empty") == NULL && strstr(d.reason, "no volts") != NULL);
}

TEST(not_full_before)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 105, QUANTITY_CHARGE);
    b.findings.full_before = 0;
    b.findings.full_doubted = true;
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
}

TEST(a_burst_proves_no_continuous_rating)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CONTINUOUS_CURRENT, 100, QUANTITY_CURRENT);
    b.claim.duration_s = INFINITY;
    b.phase.mean_a = 106;
    b.phase.end_s = 60;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    CHECK(strstr(d.found, "1:00") != NULL);
    b.phase.end_s = 18000; /* the whole test */
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
    b.phase.mean_a = 90;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    CHECK_NEAR(d.reached, 90, 1e-9);
    b.phase.end_v = 12.7; /* the BMS opened at 90 A with 3.2 V a cell */
    b.rig.sense_leads = true;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
}

TEST(a_board_that_opens_while_the_cells_are_full_ends_no_whole_discharge)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CONTINUOUS_CURRENT, 100, QUANTITY_CURRENT);
    b.rig.sense_leads = true;
    b.phase.mean_a = 106;
    b.phase.end_s = b.findings.test_end_s = 731;
    b.phase.end_v = 12.34;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED && strstr(d.reason, "not for an empty sample") != NULL);
    b.phase.mean_a = 100.2; /* within the meter's doubt of the claim */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE && strstr(d.reason, "the meter cannot tell") != NULL);
    b.phase.end_v = 10.1; /* and that is an empty one */
    b.phase.mean_a = 106;
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
}

TEST(a_clip_that_slipped_off_at_the_load_is_no_reproach)
{
    struct bench b;
    struct decision d;
    struct trip trips[2] = {{.way = TRIP_UNKNOWN, .released_s = NAN}, {.way = TRIP_UNKNOWN, .released_s = NAN}};
    set_up(&b, CLAIM_CONTINUOUS_CURRENT, 100, QUANTITY_CURRENT);
    b.findings.trips = trips;
    b.findings.trip_count = 1;
    b.phase.mean_a = 90;
    b.phase.end_v = 12.7;
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE && strstr(d.reason, "clip that slipped off") != NULL);
    b.findings.trip_count = 2;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.findings.trip_count = 1;
    trips[0].released_s = 1130; /* it let the current on again */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    trips[0].released_s = NAN;
    b.rig.sense_leads = true;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
}

TEST(a_peak_needs_its_duration)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_PEAK_CURRENT, 100, QUANTITY_CURRENT);
    b.claim.duration_s = 30;
    b.phase.mean_a = 106;
    b.phase.end_s = 12;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    b.phase.end_s = 31;
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
}

TEST(cut_off_and_nominal_voltage)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CUT_OFF_VOLTAGE, 10, QUANTITY_VOLTAGE);
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
    b.run.ended.fell_unseen = true; /* read by eye: it may have gone below 10 V before it opened */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    CHECK(strstr(d.would_decide, "as the BMS opens") != NULL);
    b.run.ended.fell_unseen = false;
    b.claim.stated = 10.8;
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE); /* no resistance: the cells may have stood at any volts */
    struct step step = {.resistances = 1, .resistance = {{.delay_s = 1, .ohm = about(0.0141, 0.0004)}}};
    b.findings.steps = &step;
    b.findings.step_count = 1;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.claim.stated = 10.3; /* 20.4 A over 14.1 mOhm: the cells together up to 0.37 V higher, at 10.47 V */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    CHECK(d.measured.lo < 10.3 && d.measured.hi > 10.3 && strstr(d.reason, "cells") != NULL);
    b.run.ended.low = false; /* warm, say: 12.4 V at the end would meet any cut-off */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED && strstr(d.reason, "not for an empty sample") != NULL);
    b.run.ended.by = ENDED_LOAD;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    set_up(&b, CLAIM_NOMINAL_VOLTAGE, 12.8, QUANTITY_VOLTAGE);
    b.claim.sense = SENSE_ABOUT;
    b.claim.tolerance = 0.64;
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
    b.claim.tolerance = 0.06; /* 12.84 ± 0.05 against 12.86: the margin is 0.16 % */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    CHECK(strstr(d.would_decide, "±0.16 %") != NULL);
}

/* The largest discharge is not always the one that was made for it. */
TEST(the_cut_off_is_taken_from_the_stop_with_the_least_load)
{
    struct bench b;
    struct decision d;
    struct step steps[2] = {{.resistances = 1, .resistance = {{.delay_s = 1, .ohm = about(0.0141, 0.0004)}}},
                            {.resistances = 1, .resistance = {{.delay_s = 1, .ohm = about(0.0137, 0.0004)}}}};
    set_up(&b, CLAIM_CUT_OFF_VOLTAGE, 10.3, QUANTITY_VOLTAGE);
    b.findings.steps = &steps[0];
    b.findings.step_count = 1;
    struct run small = b.run;
    struct phase slow = b.phase;
    struct findings both[2] = {b.findings, b.findings};
    small.ended.end_v = about(10.41, 0.02);
    slow.mean_a = 2.1;
    both[1].runs = &small, both[1].phases = &slow, both[1].steps = &steps[1];
    both[1].test_ah = about(3.1, 0.1);
    decide_all(&b.label, both, 2, &b.rig, 0.975, &d);
    CHECK(d.verdict == VERDICT_MET && d.record == 1);
    small.ended.fell_unseen = true;
    decide_all(&b.label, both, 2, &b.rig, 0.975, &d);
    CHECK(d.verdict == VERDICT_TOO_CLOSE && d.record == 0);
}

/* The bench's run made a charge that ended so. */
static void charge_ended(struct bench *b, struct charging *c, double v, double u, enum ended_by by)
{
    b->run.kind = b->phase.kind = RUN_CHARGE;
    b->run.ended.by = by;
    *c = (struct charging){.held_v = measure_unknown("none held"), .end_v = about(v, u), .tail_a = about(20.4, 0.2)};
    b->findings.chargings = c;
    b->findings.charging_count = 1;
}

TEST(a_charge_voltage_within_the_digits_is_not_reached_for_sure)
{
    struct bench b;
    struct decision d;
    struct charging c;
    set_up(&b, CLAIM_CHARGE_VOLTAGE, 14.4, QUANTITY_VOLTAGE);
    charge_ended(&b, &c, 14.41, 0.005, ENDED_CHARGER);
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
    CHECK(d.probability > 0.975);
    c.end_v = about(14.41, 0.03);
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE && strstr(d.would_decide, "voltmeter") != NULL);
    c.end_v = about(14.12, 0.03);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    charge_ended(&b, &c, 14.12, 0.01, ENDED_BMS);
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE && strstr(d.reason, "below the stated") != NULL);
}

TEST(a_charge_cut_off_needs_a_board_that_acted_by_its_volts)
{
    struct bench b;
    struct decision d;
    struct charging c;
    set_up(&b, CLAIM_CHARGE_CUT_OFF, 14.6, QUANTITY_VOLTAGE);
    b.claim.sense = SENSE_AT_MOST;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED);
    charge_ended(&b, &c, 14.43, 0.02, ENDED_CHARGER);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED && d.reached > 14.4);
    charge_ended(&b, &c, 14.43, 0.02, ENDED_BMS);
    struct step step = {.resistances = 1, .resistance = {{.delay_s = 1, .ohm = about(0.0141, 0.0004)}}};
    b.findings.steps = &step;
    b.findings.step_count = 1;
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
    c.end_v = about(14.71, 0.02); /* 20.4 A over 14.1 mOhm: the cells may have stood at 14.42 V */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    c.end_v = about(15.03, 0.02);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    struct trip trip = {.way = TRIP_COLD, .charging = true}; /* then it was not for the volts */
    b.findings.trips = &trip;
    b.findings.trip_count = 1;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
}

TEST(a_board_that_ends_a_charge_says_nothing_against_its_current)
{
    struct bench b;
    struct decision d;
    struct charging c;
    set_up(&b, CLAIM_CHARGE_CURRENT, 50, QUANTITY_CURRENT);
    charge_ended(&b, &c, 14.5, 0.01, ENDED_BMS);
    b.phase.end_v = 14.5;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    b.claim.stated = 20;
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
}

TEST(a_pass_of_a_pack_not_shown_to_be_full_stands_and_says_so)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CAPACITY, 100, QUANTITY_CHARGE);
    b.findings.full_doubted = true;
    CHECK(verdict_of(&b, &d) == VERDICT_MET && strstr(d.reason, "not shown to be full") != NULL);
    b.claim.stated = 105;
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE && strstr(d.reason, "underfilled") != NULL);
    b.findings.full_doubted = false; /* no charge in the readings at all: nothing speaks against it */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET && strstr(d.reason, "not shown to be full") != NULL);
}

TEST(a_peak_of_one_reading_is_how_far_it_got)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_PEAK_CURRENT, 200, QUANTITY_CURRENT);
    b.run.peak_a = 91;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    CHECK_NEAR(d.reached, 91, 1e-9);
    CHECK(strstr(d.found, "one reading") != NULL);
    b.claim.stated = 80; /* one reading does not say how long */
    b.claim.duration_s = 5;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
}

TEST(what_was_noted_stands_in_where_no_reading_bears)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CHARGE_CURRENT, 50, QUANTITY_CURRENT);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED);
    struct noted noted = {.slug = "claim", .answer = -1, .measure = about(52, 0.5), .where = "clamp meter"};
    b.label.noted = &noted;
    b.label.noted_count = 1;
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
    CHECK(strstr(d.reason, "clamp meter") != NULL);
    b.claim.kind = CLAIM_CONTINUOUS_CURRENT; /* the readings say something here */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
}

TEST(nothing_bears_on_cycle_life_and_nothing_noted)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CYCLE_LIFE, 4000, QUANTITY_COUNT_OF);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED);
    set_up(&b, CLAIM_YES_NO, NAN, QUANTITY_NONE);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED);
    struct noted noted = {.slug = "claim", .answer = 0, .words = "no"};
    b.label.noted = &noted;
    b.label.noted_count = 1;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
}

TEST(weighed_against_at_most)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_MASS, 10.9, QUANTITY_MASS);
    b.claim.sense = SENSE_AT_MOST;
    struct noted noted = {.slug = "claim", .answer = -1, .measure = about(11.24, 0.03)};
    b.label.noted = &noted;
    b.label.noted_count = 1;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    CHECK(strstr(d.reason, "over") != NULL);
}

TEST(no_discharge_at_all)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_ENERGY, 1280, QUANTITY_ENERGY);
    b.findings.has_test = false;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED);
    decide_all(&b.label, &b.findings, 0, &b.rig, 0.975, &d);
    CHECK(d.verdict == VERDICT_NOT_TESTED);
}

TEST(an_opened_sample_answers_what_nothing_else_did)
{
    struct bench b;
    struct decision d;
    struct measure none = measure_unknown("not noted");
    struct inspection inside = {.series = 4, .mass_kg = none, .sides_m = {none, about(0.2147, 0.002), none}};
    set_up(&b, CLAIM_CELLS, 4, QUANTITY_COUNT_OF);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED);
    decide_opened(&inside, &b.label, 0.975, &d);
    CHECK(d.verdict == VERDICT_MET && strcmp(d.found, "4") == 0);
    b.claim.stated = 8;
    verdict_of(&b, &d);
    decide_opened(&inside, &b.label, 0.975, &d);
    CHECK(d.verdict == VERDICT_NOT_MET && strstr(d.reason, "counted in the opened case") != NULL);
    set_up(&b, CLAIM_MASS, 10.9, QUANTITY_MASS);
    b.claim.sense = SENSE_AT_MOST;
    verdict_of(&b, &d);
    decide_opened(&inside, &b.label, 0.975, &d);
    CHECK(d.verdict == VERDICT_NOT_TESTED);
    inside.mass_kg = about(11.24, 0.03);
    decide_opened(&inside, &b.label, 0.975, &d);
    CHECK(d.verdict == VERDICT_NOT_MET && strstr(d.reason, "over, noted with the opened case") != NULL);
    set_up(&b, CLAIM_WIDTH, 0.2153, QUANTITY_LENGTH); /* within what a tape can be off */
    b.claim.sense = SENSE_AT_MOST;
    verdict_of(&b, &d);
    decide_opened(&inside, &b.label, 0.975, &d);
    CHECK(d.verdict == VERDICT_TOO_CLOSE);
}

TEST(what_was_noted_on_the_label_is_not_overruled_by_the_opened_case)
{
    struct bench b;
    struct decision d;
    struct measure none = measure_unknown("not noted");
    struct inspection inside = {.mass_kg = about(12.1, 0.03), .sides_m = {none, none, none}};
    struct noted noted = {.slug = "claim", .answer = -1, .measure = about(10.62, 0.03)};
    set_up(&b, CLAIM_MASS, 10.9, QUANTITY_MASS);
    b.claim.sense = SENSE_AT_MOST;
    b.label.noted = &noted;
    b.label.noted_count = 1;
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
    decide_opened(&inside, &b.label, 0.975, &d);
    CHECK(d.verdict == VERDICT_MET && strstr(d.found, "10.62") != NULL);
}
