#include "check.h"

#include "claims/decide.h"
#include "numeric/budget.h"

static struct measure about(double value, double half)
{
    struct measure m = measure_of(value);
    measure_part(&m, (struct part){.cause = CAUSE_GAIN_OTHER, .shape = SHAPE_RECTANGULAR, .u = half / sqrt(3), .dof = INFINITY,
                                   .source = 3, .what = "the probe", .remedy = ""});
    budget_close(&m);
    return m;
}

/* A charge of one run, with one stop of it to be put in. */
struct bench {
    struct label label;
    struct claim claim;
    struct run run;
    struct trip trip;
    struct findings findings;
    struct rig rig;
};

static void set_up(struct bench *b, enum claim_kind kind, double stated, enum trip_way way, double place_degc, double slope_k_per_s)
{
    *b = (struct bench){.label = label_empty(), .rig = rig_default()};
    b->claim = (struct claim){.kind = kind, .sense = kind == CLAIM_CHARGE_TEMPERATURE_MAX ? SENSE_AT_MOST : SENSE_AT_LEAST,
                              .stated = stated, .quantity = QUANTITY_TEMPERATURE, .rate_it = NAN, .degc = NAN, .cut_off_v = NAN,
                              .duration_s = NAN, .name = "Claim", .slug = "charging-stops-when-cold"};
    b->label.claims = &b->claim;
    b->label.claim_count = 1;
    b->label.lithium_iron_phosphate = true;
    b->run = (struct run){.kind = RUN_CHARGE, .degc_min = place_degc, .degc_max = place_degc};
    b->trip = (struct trip){.charging = true, .way = way, .trip_degc = about(place_degc, 0.7), .slope_k_per_s = slope_k_per_s,
                            .threshold_degc = measure_unknown("no slow ramp"), .released_s = 941, .delay_s = about(38.2, 1), .stimulus = "sensor treated"};
    b->findings = (struct findings){.runs = &b->run, .run_count = 1, .trips = &b->trip, .trip_count = 1};
}

static enum verdict verdict_of(struct bench *b, struct decision *ret_decision)
{
    decide_all(&b->label, &b->findings, 1, &b->rig, 0.975, ret_decision);
    return ret_decision->verdict;
}

TEST(a_cold_stop_meets_its_claim_at_or_above_it_and_a_hot_one_at_or_below)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CHARGE_TEMPERATURE_MIN, 0, TRIP_COLD, 1.93, -0.033);
    CHECK(verdict_of(&b, &d) == VERDICT_MET && strstr(d.reason, "to the side that meets the claim") != NULL);
    set_up(&b, CLAIM_CHARGE_TEMPERATURE_MAX, 55, TRIP_HOT, 52.4, 0.033);
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
    set_up(&b, CLAIM_CHARGE_TEMPERATURE_MAX, 45, TRIP_HOT, 53.1, 0.033); /* 4 K within 120 s: not enough */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET && strstr(d.reason, "too little to make up for it") != NULL);
}

TEST(a_lag_that_may_be_all_of_it_leaves_it_open)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CHARGE_TEMPERATURE_MIN, 0, TRIP_COLD, -6.3, -0.21); /* cold spray */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE && d.conditions_open && strstr(d.would_decide, "slow ramps") != NULL);
    b.trip.slope_k_per_s = NAN;
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE);
    b.trip.slope_k_per_s = -0.013;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    b.trip.threshold_degc = about(0.9, 0.5); /* what a slow ramp gave stands above what the place showed */
    CHECK(verdict_of(&b, &d) == VERDICT_MET && strstr(d.reason, "the threshold") != NULL);
}

TEST(a_charge_that_went_on_in_the_cold_is_told_and_not_judged)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_CHARGE_TEMPERATURE_MIN, 0, TRIP_COLD, -4.27, -0.01);
    b.findings.trip_count = 0;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED);
    CHECK_NEAR(d.reached, -4.27, 1e-12);
    CHECK(d.record == 0 && strstr(d.reason, "went on with the probe at -4.3") != NULL);
    b.claim.kind = CLAIM_YES_NO; /* the same by words, held to the usual limit */
    b.claim.stated = NAN;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_EXERCISED && strstr(d.found, "charged on at -4.3") != NULL);
    b.label.lithium_iron_phosphate = false; /* what is usual of another chemistry is not known */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED);
    b.label.lithium_iron_phosphate = true;
    b.run.degc_min = -1.9; /* by a thermometer that may be 2 K off */
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED);
    b.run.degc_min = 3.8;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED);
    b.run.degc_min = b.run.degc_max = NAN;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED && isnan(d.reached));
}

/* A stop of a discharge that ended at 9.79 V. */
static void set_up_discharge(struct bench *b, const char *slug, enum trip_way way)
{
    set_up(b, CLAIM_YES_NO, NAN, way, 19.4, 0);
    snprintf(b->claim.slug, sizeof b->claim.slug, "%s", slug);
    b->trip.charging = false;
    b->trip.from_a = 30.1;
    b->run.kind = RUN_DISCHARGE;
    b->run.ended = (struct ending){.by = ENDED_BMS, .end_v = about(9.79, 0.03), .low = way == TRIP_LOW};
}

TEST(a_protection_by_its_name_is_shown_by_a_stop_of_its_kind_alone)
{
    struct bench b;
    struct decision d;
    set_up_discharge(&b, "low-voltage-disconnect", TRIP_LOW);
    CHECK(verdict_of(&b, &d) == VERDICT_MET && d.record == 0);
    CHECK_TEXT(d.found, "30.1 A was stopped at 9.790 ± 0.028 V");
    CHECK_TEXT(d.reason, "the terminals behaved as those of a pack that has opened");
    set_up_discharge(&b, "over-current-protection", TRIP_LOW);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED);
    CHECK_TEXT(d.reason, "no discharge was stopped by the board for its current in the readings");
    set_up_discharge(&b, "over-current-protection", TRIP_OVER_CURRENT);
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
    CHECK_TEXT(d.found, "30.1 A was stopped");
    set_up_discharge(&b, "overcharge-protection", TRIP_LOW);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED && strstr(d.reason, "no charge was stopped by the board for a full cell") != NULL);
    set_up_discharge(&b, "short-circuit-protection", TRIP_OVER_CURRENT);
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_TESTED);
    CHECK_TEXT(d.reason, "a short circuit is not among the tests");
}

TEST(volts_read_at_the_supply_leave_a_slipped_clip_open)
{
    struct bench b;
    struct decision d;
    set_up(&b, CLAIM_YES_NO, NAN, TRIP_COLD, 1.3, -0.01);
    CHECK(verdict_of(&b, &d) == VERDICT_MET && strstr(d.reason, "a clip that slipped off") != NULL);
    b.trip.released_s = NAN; /* nor did it charge on */
    CHECK(verdict_of(&b, &d) == VERDICT_TOO_CLOSE && strstr(d.would_decide, "seen twice") != NULL);
    struct bench other;
    set_up_discharge(&other, "over-current-protection", TRIP_OVER_CURRENT);
    other.trip.released_s = NAN;
    CHECK(verdict_of(&other, &d) == VERDICT_TOO_CLOSE && strstr(d.reason, "at the load") != NULL);
    set_up_discharge(&other, "low-voltage-disconnect", TRIP_LOW); /* no clip empties a cell */
    other.trip.released_s = NAN;
    CHECK(verdict_of(&other, &d) == VERDICT_MET && strstr(d.reason, "clip") == NULL);
    b.rig.sense_leads = true;
    CHECK(verdict_of(&b, &d) == VERDICT_MET && strstr(d.reason, "clip") == NULL);
}

TEST(who_noted_that_it_did_not_act_contradicts_the_claim)
{
    struct bench b;
    struct decision d;
    struct noted noted = {.slug = "low-voltage-disconnect", .answer = 0, .measure = measure_unknown("in words"), .words = "no"};
    set_up_discharge(&b, "low-voltage-disconnect", TRIP_LOW);
    b.findings.trip_count = 0;
    b.label.noted = &noted;
    b.label.noted_count = 1;
    CHECK(verdict_of(&b, &d) == VERDICT_NOT_MET);
    CHECK_TEXT(d.found, "seen not to");
}

TEST(what_somebody_saw_stands_above_a_charge_that_went_on)
{
    struct bench b;
    struct decision d;
    struct noted noted = {.slug = "charging-stops-when-cold", .answer = 1, .measure = measure_unknown("in words")};
    set_up(&b, CLAIM_YES_NO, NAN, TRIP_COLD, -4.27, -0.01);
    b.findings.trip_count = 0;
    b.label.noted = &noted;
    b.label.noted_count = 1;
    CHECK(verdict_of(&b, &d) == VERDICT_MET);
}
