#include "check.h"

#include "battery/fullness.h"
#include "numeric/budget.h"

static struct measure with(double value, double u)
{
    struct measure m = measure_of(value);
    measure_part(&m, (struct part){.cause = CAUSE_NOISE, .shape = SHAPE_NORMAL, .u = u, .dof = INFINITY, .what = "", .remedy = ""});
    budget_close(&m);
    return m;
}

static struct asked of_four_cells(void)
{
    struct asked asked = asked_nothing();
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    asked.rated_ah = 103;
    return asked;
}

/* How it is judged that ended at so many volts and amps. */
static struct charging ended(const struct asked *asked, double v, double u_v, double a, bool held)
{
    struct charging c = {.held_v = held ? with(v, u_v) : measure_unknown("none held"), .end_v = with(v, u_v), .tail_a = with(a, 0.02)};
    c.tail_it = measure_unknown("the rated Ah are not stated");
    if (asked->rated_ah > 0)
        c.tail_it = with(a / asked->rated_ah, 0.02 / asked->rated_ah);
    fullness_judge(asked, &c);
    return c;
}

TEST(full_is_shown_by_volts_and_a_tail_together)
{
    struct asked asked = of_four_cells();
    CHECK(ended(&asked, 14.41, 0.02, 3.07, true).full == FULL_SHOWN);
    CHECK(ended(&asked, 14.41, 0.02, 5.15, true).full == FULL_SHOWN);      /* a charger that ends at a twentieth */
    CHECK(ended(&asked, 14.41, 0.02, 12.9, true).full == FULL_NOT_SHOWN);  /* stopped high up */
    CHECK(ended(&asked, 13.62, 0.02, 0.31, true).full == FULL_NOT_SHOWN);  /* a float stage fills nothing that can be told */
    CHECK(ended(&asked, 14.27, 0.02, 1.87, false).full == FULL_SHOWN);     /* never more than a small current, up to the top */
    CHECK(ended(&asked, 14.2, 0.07, 1.87, true).full == FULL_CANNOT_TELL); /* the voltmeter's own error */
    CHECK(strstr(ended(&asked, 14.41, 0.02, 3.07, true).full_words, "common practice") != NULL);
    CHECK(strstr(ended(&asked, 14.41, 0.02, 12.9, true).full_words, "0.13 It") != NULL);
}

TEST(volts_below_the_knee_show_that_it_is_not_full)
{
    struct asked asked = of_four_cells();
    CHECK(ended(&asked, 13.61, 0.02, 20.3, false).below_knee);
    CHECK(!ended(&asked, 13.97, 0.02, 20.3, false).below_knee);
    asked.lithium_iron_phosphate = false;
    CHECK(!ended(&asked, 13.61, 0.02, 20.3, false).below_knee);
}

TEST(the_label_s_own_charge_voltage_goes_before_the_usual_one)
{
    struct asked asked = of_four_cells();
    asked.charge_v = 14.0;
    CHECK(ended(&asked, 13.93, 0.02, 1.2, true).full == FULL_SHOWN);
    asked.charge_v = 14.6;
    CHECK(ended(&asked, 14.22, 0.02, 1.2, true).full == FULL_NOT_SHOWN);
    CHECK(ended(&asked, 14.42, 0.02, 1.2, true).full == FULL_SHOWN);
}

TEST(what_is_missing_is_named)
{
    struct asked asked = of_four_cells();
    asked.rated_ah = NAN;
    CHECK(ended(&asked, 14.41, 0.02, 1.2, true).full == FULL_CANNOT_TELL);
    CHECK(strstr(ended(&asked, 14.41, 0.02, 1.2, true).full_words, "rated Ah") != NULL);
    CHECK(ended(&asked, 13.71, 0.02, 1.2, true).full == FULL_NOT_SHOWN); /* volts alone are enough for that */
    asked = asked_nothing();
    CHECK(ended(&asked, 14.41, 0.02, 1.2, true).full == FULL_CANNOT_TELL);
    CHECK(strstr(ended(&asked, 14.41, 0.02, 1.2, true).full_words, "cells") != NULL);
    struct charging dumb = {.held_v = measure_unknown("no volts were read"), .end_v = measure_unknown("no volts were read"),
                            .tail_a = with(2, 0.1), .tail_it = with(0.02, 0.001)};
    fullness_judge(&asked, &dumb);
    CHECK(dumb.full == FULL_CANNOT_TELL && strstr(dumb.full_words, "no volts") != NULL);
}

/* A discharge of 50.3 Ah, a charge that put back so much and ended so, maybe a discharge more; then the test. */
static double before(enum full_shown full, bool below_knee, double back_ah, bool drawn_between, struct findings *f)
{
    static struct run runs[4];
    static struct charging charging;
    runs[0] = (struct run){.kind = RUN_DISCHARGE, .charge_ah = with(50.3, 0.5)};
    runs[1] = (struct run){.kind = RUN_CHARGE, .charge_ah = with(back_ah, 0.5)};
    runs[2] = (struct run){.kind = drawn_between ? RUN_DISCHARGE : RUN_REST, .charge_ah = with(1.3, 0.1)};
    runs[3] = (struct run){.kind = RUN_DISCHARGE, .charge_ah = with(97, 0.5)};
    charging = (struct charging){.run = 1, .full = full, .below_knee = below_knee, .full_words = "its words",
                                 .held_v = with(14.4, 0.01), .tail_a = with(2, 0.1)};
    *f = (struct findings){.runs = runs, .run_count = 4, .test_first_run = 3, .test_last_run = 3, .chargings = &charging,
                           .charging_count = 1};
    fullness_find(f);
    return f->full_before;
}

TEST(a_test_began_full_only_from_a_charge_that_filled_it)
{
    struct findings f;
    CHECK(before(FULL_SHOWN, false, 49.1, false, &f) == 1 && !f.full_doubted && strstr(f.full_words, "14.4 V") != NULL);
    CHECK(isnan(before(FULL_NOT_SHOWN, false, 50.2, false, &f)) && f.full_doubted);
    CHECK(before(FULL_NOT_SHOWN, true, 50.2, false, &f) == 0 && f.full_doubted);
    CHECK(before(FULL_NOT_SHOWN, false, 31.7, false, &f) == 0);
    CHECK(strstr(f.full_words, "31.7") != NULL && strstr(f.full_words, "50.3") != NULL);
    CHECK(before(FULL_SHOWN, false, 49.1, true, &f) == 0 && strstr(f.full_words, "between") != NULL);
    f.charging_count = 0;
    f.runs[1].kind = RUN_REST;
    fullness_find(&f);
    CHECK(isnan(f.full_before) && !f.full_doubted);
}
