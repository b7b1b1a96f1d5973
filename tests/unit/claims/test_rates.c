#include "check.h"

#include "claims/rates.h"
#include "numeric/budget.h"

enum { TESTS = 4 };

static struct measure with_gain(double value)
{
    struct measure m = measure_of(value);
    measure_part(&m, (struct part){CAUSE_GAIN_CURRENT, SHAPE_RECTANGULAR, 0.01 * value, INFINITY, 7, "gain", ""});
    measure_part(&m, (struct part){CAUSE_NOISE, SHAPE_NORMAL, 0.0002 * value, INFINITY, 0, "noise", ""});
    budget_close(&m);
    return m;
}

/* Four discharges of one sample with an exponent of 1.037, each to 10 V. */
struct bench {
    struct record records[TESTS];
    struct run runs[TESTS];
    struct capacity capacities[TESTS];
};

static void set_up(struct bench *b)
{
    static const double amps[TESTS] = {52, 9.7, 104, 21.3};
    *b = (struct bench){0};
    for (int k = 0; k < TESTS; k++) {
        struct measure charge = with_gain(112 * pow(amps[k], -0.037));
        b->runs[k] = (struct run){.kind = RUN_DISCHARGE, .ended = {.by = ENDED_LOAD, .end_v = with_gain(10), .low = true}};
        b->capacities[k] = (struct capacity){.cut_off_v = 10, .asked = true, .reached = true, .charge_ah = charge};
        struct findings *f = &b->records[k].findings;
        *f = (struct findings){.runs = &b->runs[k], .run_count = 1, .capacities = &b->capacities[k], .capacity_count = 1};
        f->has_test = true;
        f->test_ah = charge;
        f->test_mean_a = amps[k];
        f->test_degc = NAN;
        f->full_before = NAN;
        f->test_start_s = 86400 * k;
    }
}

TEST(whole_discharges_give_the_exponent)
{
    struct bench b;
    set_up(&b);
    struct peukert p = rates_fit(b.records, TESTS);
    CHECK(p.points == TESTS && !p.confounded);
    CHECK_NEAR(p.exponent.value, 1.037, 1e-9);
    CHECK(p.exponent.u < 0.0005); /* the shared gain, 1 %, is not the runs' own */
}

TEST(a_discharge_broken_off_is_left_out)
{
    struct bench b;
    set_up(&b);
    b.records[2].findings.test_ah = with_gain(31);
    b.capacities[2] = (struct capacity){.cut_off_v = 10, .asked = true, .charge_ah = measure_unknown("not reached")};
    b.runs[2].ended = (struct ending){.by = ENDED_OPERATOR, .end_v = with_gain(12.9)};
    struct peukert p = rates_fit(b.records, TESTS);
    CHECK(p.points == 3 && strstr(p.words, "1 of 4 tests left out") != NULL);
    CHECK_NEAR(p.exponent.value, 1.037, 1e-9);
    for (int k = 0; k < TESTS; k++) /* the same without a cut-off to tell by */
        b.records[k].findings.capacity_count = 0;
    p = rates_fit(b.records, TESTS);
    CHECK(p.points == 3);
    CHECK_NEAR(p.exponent.value, 1.037, 1e-9);
    b.records[0].findings.beginning_unseen = b.records[1].findings.beginning_unseen = true;
    p = rates_fit(b.records, TESTS);
    CHECK(p.points == 1 && !measure_known(&p.exponent));
}

TEST(one_that_was_not_full_is_left_out)
{
    struct bench b;
    set_up(&b);
    b.records[1].findings.full_before = 0;
    b.records[1].findings.test_ah = b.capacities[1].charge_ah = with_gain(2.5);
    struct peukert p = rates_fit(b.records, TESTS);
    CHECK(p.points == 3 && strstr(p.words, "1 of 4 tests left out") != NULL);
    CHECK_NEAR(p.exponent.value, 1.037, 1e-9);
}

TEST(ends_at_different_volts_are_refused)
{
    struct bench b;
    set_up(&b);
    for (int k = 0; k < TESTS; k++)
        b.records[k].findings.capacity_count = 0;
    b.runs[3].ended.end_v = with_gain(10.8);
    struct peukert p = rates_fit(b.records, TESTS);
    CHECK(p.confounded && !measure_known(&p.exponent) && strstr(p.words, "10.8 V") != NULL);
    for (int k = 0; k < TESTS; k++) /* a BMS opens by its weakest cell, at whatever volts */
        b.runs[k].ended.by = ENDED_BMS;
    p = rates_fit(b.records, TESTS);
    CHECK(measure_known(&p.exponent));
}
