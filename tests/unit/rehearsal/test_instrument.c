#include "check.h"

#include "rehearsal/invented.h"
#include "rehearsal/run.h"

static struct cell_ocv ocv;
static struct pack_make make;
static struct truth truth;
static struct shown shown;

/* Empty in half an hour, dark for two minutes, woken by a charger. */
static void set_up(void)
{
    invented_ocv(&ocv);
    make = invented_pack(&ocv, 4, 51.3);
    const struct load_segment segments[] = {
        {.kind = SEGMENT_POWER, .amount = 415, .duration_s = 900},
        {.kind = SEGMENT_POWER, .amount = 690, .duration_s = INFINITY},
        {.kind = SEGMENT_REST, .duration_s = 120},
        {.kind = SEGMENT_CHARGE, .amount = 15, .charge_v = 14.2, .duration_s = 600},
    };
    struct program program = {segments, 4, 1, 1e5};
    struct pack pack;
    pack_init(&pack, &make, 0.46);
    rehearse(&pack, &program, &truth);
}

static const struct instrument_make perfect = {.period_s = 1.37, .needs_v = 7};

TEST(a_meter_without_error_shows_the_truth)
{
    set_up();
    struct random *random = random_new(3);
    struct instrument one = instrument_draw(&perfect, random);
    instrument_read(&one, &truth, random, &shown);
    CHECK(shown.count == (size_t)(truth.intervals[truth.count].t_s / 1.37) + 1);
    size_t cursor = 0, dark = 0;
    for (size_t i = 0; i < shown.count; i++) {
        struct truth_point at = truth_at(&truth, shown.t_s[i], &cursor);
        if (isnan(shown.v[i])) {
            dark++;
            continue;
        }
        CHECK_NEAR(shown.v[i], at.v, 0);
        CHECK_NEAR(shown.a[i], at.a, 0);
        CHECK_NEAR(shown.tally_ah[i], at.charge_ah, 1e-9);
        CHECK_NEAR(shown.tally_wh[i], at.energy_wh, 1e-9);
    }
    CHECK_NEAR((double)dark, 120 / 1.37, 1.01);
    random_free(random);
}

/* With gain and offset on volts and amps, the tally is the integral of what is shown. */
TEST(the_tally_adds_what_is_shown)
{
    set_up();
    struct instrument_make fine = perfect;
    fine.period_s = 0.05;
    struct instrument one = {.v = {.gain = 0.011, .offset = -0.034},
                             .a = {.gain = -0.021, .offset = 0.31},
                             .clock = 140e-6,
                             .make = &fine};
    struct random *random = random_new(3);
    instrument_read(&one, &truth, random, &shown);
    double ah = 0, wh = 0;
    size_t i = 1;
    for (; !isnan(shown.v[i]); i++) {
        double h = (shown.t_s[i] - shown.t_s[i - 1]) / 3600;
        ah += (shown.a[i] + shown.a[i - 1]) / 2 * h;
        wh += (shown.a[i] * shown.v[i] + shown.a[i - 1] * shown.v[i - 1]) / 2 * h;
    }
    CHECK_NEAR(shown.tally_ah[i - 1], ah, 5e-4);
    CHECK_NEAR(shown.tally_wh[i - 1], wh, 6e-3);
    one.tally_offset_a = 0.5;
    double t_h = shown.t_s[i - 1] / 3600, without = shown.tally_ah[i - 1];
    instrument_read(&one, &truth, random, &shown);
    CHECK_NEAR(shown.tally_ah[i - 1] - without, 0.5 * t_h, 1e-9);
    random_free(random);
}

TEST(the_tally_freezes_or_restarts_over_the_dark)
{
    set_up();
    struct instrument_make kinds[2] = {perfect, perfect};
    kinds[1].tally_dark = TALLY_RESTARTS;
    double last_ah[2], first_ah[2];
    for (int kind = 0; kind < 2; kind++) {
        struct instrument one = {.a = {.offset = 5}, .make = &kinds[kind]};
        struct random *random = random_new(5);
        instrument_read(&one, &truth, random, &shown);
        size_t i = 0;
        while (!isnan(shown.tally_ah[i]))
            i++;
        last_ah[kind] = shown.tally_ah[i - 1];
        while (isnan(shown.tally_ah[i]))
            i++;
        first_ah[kind] = shown.tally_ah[i];
        random_free(random);
    }
    CHECK_NEAR(last_ah[0], last_ah[1], 1e-12);
    CHECK_NEAR(last_ah[0], truth.end_ah + 5 * truth.end_s / 3600, 0.03);
    CHECK_NEAR(first_ah[0], last_ah[0], 0.03);
    CHECK_NEAR(first_ah[1], 0, 0.007);
}

TEST(rounding_averaging_lag_and_clock)
{
    set_up();
    struct instrument_make dull = {.v.digit = 0.01,
                                   .a.digit = 0.1,
                                   .tally_ah_digit = 0.1,
                                   .average_s = 4,
                                   .period_s = 2,
                                   .time_digit_s = 1,
                                   .tally_wh_digit = 1};
    struct instrument one = {
        .v = {.digit = 0.01}, .a = {.digit = 0.1}, .amp_lag_s = 1, .clock = 0.01, .make = &dull};
    const double instants_s[] = {450.4, 902, 1000};
    struct random *random = random_new(8);
    instrument_glance(&one, &truth, instants_s, 3, random, &shown);
    CHECK(shown.count == 3);
    CHECK_NEAR(shown.t_s[0], 454, 0); /* 450.4 s by a clock one part in a hundred fast, cut to seconds */
    CHECK_NEAR(shown.v[0], round(shown.v[0] * 100) / 100, 1e-12);
    size_t cursor = 0;
    double low = truth_at(&truth, 899, &cursor).a, high = truth_at(&truth, 901.5, &cursor).a;
    /* Means over 897..901 for amps, of which one second is after the step; digit 0.1. */
    CHECK_NEAR(shown.a[1], low + (high - low) / 4, 0.06);
    struct truth_point at = truth_at(&truth, 1000, &cursor);
    CHECK(shown.tally_ah[2] <= at.charge_ah * 1.01 && shown.tally_ah[2] > at.charge_ah * 1.01 - 0.1);
    random_free(random);
}

TEST(the_seed_decides)
{
    set_up();
    struct instrument_make meter = invented_meter();
    meter.missing = 0.07;
    double sums[3];
    size_t counts[3];
    for (int i = 0; i < 3; i++) {
        struct random *random = random_new(i == 2 ? 78 : 77);
        struct instrument one = instrument_draw(&meter, random);
        instrument_read(&one, &truth, random, &shown);
        random_free(random);
        sums[i] = 0;
        counts[i] = shown.count;
        for (size_t k = 0; k < shown.count; k++)
            if (!isnan(shown.v[k]))
                sums[i] += shown.t_s[k] * 0.17 + shown.v[k] + shown.a[k] + shown.tally_wh[k];
    }
    CHECK(sums[0] == sums[1] && counts[0] == counts[1]);
    CHECK(sums[0] != sums[2]);
    double all = truth.intervals[truth.count].t_s + 1;
    CHECK_NEAR((double)counts[0] / all, 0.93, 4 * sqrt(0.07 * 0.93 / all));
}

TEST(each_instrument_drawn_keeps_within_its_make)
{
    enum { DRAWN = 20000 };
    struct instrument_make meter = invented_meter();
    struct random *random = random_new(41);
    double squares = 0, largest = 0, with_volts = 0;
    for (int i = 0; i < DRAWN; i++) {
        struct instrument one = instrument_draw(&meter, random);
        squares += one.a.gain * one.a.gain;
        largest = fmax(largest, fabs(one.a.gain));
        with_volts += one.a.gain * one.v.gain;
        CHECK(fabs(one.v.offset) <= 0.02 && fabs(one.tally_offset_a) <= 0.01 && fabs(one.clock) <= 50e-6);
    }
    CHECK(largest <= 0.008 && largest > 0.00799);
    CHECK_REL(sqrt(squares / DRAWN), 0.008 / sqrt(3), 0.02);
    CHECK_NEAR(with_volts / DRAWN, 0, 4 * 0.008 / sqrt(3) * 0.004 / sqrt(3) / sqrt(DRAWN));
    random_free(random);
}

/* Two lags in a row, from a step: 1 - (a e^(-t/a) - b e^(-t/b)) / (a - b) of the way. */
TEST(a_probe_with_a_lag_of_its_own_shows_its_place_late)
{
    invented_ocv(&ocv);
    make = invented_fine_pack(&ocv, 4, 51.3);
    const struct load_segment cold = {.kind = SEGMENT_REST, .duration_s = 300, .touches = true, .touch_degc = -12};
    struct program program = {&cold, 1, 1, 1e5};
    struct pack pack;
    pack_init(&pack, &make, 0.46);
    rehearse(&pack, &program, &truth);
    struct instrument_make probe = {.period_s = 7.3, .at_sensor = true, .probe_s = 13};
    struct random *random = random_new(3);
    struct instrument one = instrument_draw(&probe, random);
    instrument_read(&one, &truth, random, &shown);
    random_free(random);
    const double a = make.sensor_s, b = 13;
    for (size_t i = 0; i < shown.count; i++) {
        double t = shown.t_s[i], way = 1 - (a * exp(-t / a) - b * exp(-t / b)) / (a - b);
        double there = make.ambient_degc + make.sensor_touch * (-12 - make.ambient_degc) * way;
        CHECK_NEAR(shown.degc[i], there, 0.02); /* the place is taken as even through each second */
    }
}
