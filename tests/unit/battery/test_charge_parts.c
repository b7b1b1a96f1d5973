#include "check.h"

#include "battery/charge_parts.h"
#include "numeric/random.h"

enum { MOST = 4000 };
static double t_s[MOST], v[MOST], a[MOST];
static size_t count;
static struct random *noise;

static void read_at(double seconds, double volts, double amps_in)
{
    t_s[count] = seconds;
    v[count] = round((volts + 0.003 * random_normal(noise)) * 100) / 100;
    a[count++] = -round((amps_in + 0.03 * random_normal(noise)) * 100) / 100;
}

/* At 19.7 A from 13.3 V to the top, then held while the current dies away to `tail_a`; leads of `ohm` between. */
static void charge(double top_v, double tail_a, double ohm, uint32_t seed)
{
    noise = random_new(seed);
    count = 0;
    double t = 0;
    for (; t < 9000; t += 10)
        read_at(t, 13.3 + 0.3 * t / 9000 + (top_v - 13.6 - 19.7 * ohm) * exp((t - 9000) / 300), 19.7);
    for (double current = 19.7; current > tail_a; t += 10) {
        current = 19.7 * exp(-(t - 9000) / 610);
        read_at(t, top_v - current * ohm, current);
    }
    random_free(noise);
}

static struct charge_parts find(bool by_eye)
{
    struct charge_readings readings = {t_s, v, a, count, by_eye};
    struct charge_parts parts;
    charge_parts_find(&readings, &parts);
    return parts;
}

TEST(current_and_volts_held_are_found)
{
    charge(14.42, 2.03, 0, 5);
    struct charge_parts p = find(false);
    CHECK(p.level.found && p.held.found);
    CHECK_NEAR(p.level.a, 19.7, 0.003);
    CHECK_NEAR(t_s[p.level.last], 9000, 10); /* what has begun to die away is not of it, though within the band */
    CHECK(t_s[p.level.first] == 0);
    CHECK_NEAR(p.held_v, 14.42, 0.011);
    CHECK_NEAR(t_s[p.held.first], 9000, 50);
    CHECK(p.held.last == count - 1);
    CHECK_NEAR(p.tail.a, 2.03, 0.12);
    CHECK_NEAR(t_s[p.highest.last] - t_s[p.highest.first], 9000, 10);
    CHECK_NEAR(p.highest.a, 19.7, 0.003);
    CHECK_NEAR(p.tail.unseen_a, 2.03 * 10 / 610, 0.02);
}

TEST(leads_that_lose_volts_do_not_hide_the_tail)
{
    charge(14.42, 1.01, 0.017, 9); /* a third of a volt at the full current */
    struct charge_parts p = find(false);
    CHECK(p.held.found && p.level.found);
    CHECK_NEAR(p.held_v, 14.40, 0.02);
    CHECK_NEAR(p.tail.a, 1.01, 0.08);
}

TEST(a_charge_broken_off_holds_no_volts)
{
    charge(14.42, 30, 0, 3); /* the moment the top is reached, as when a board opens for one group */
    count = 900;
    struct charge_parts p = find(false);
    CHECK(p.level.found && !p.held.found && isnan(p.held_v));
    CHECK_NEAR(p.tail.a, 19.7, 0.1);
}

TEST(a_float_stage_does_not_take_the_place_of_the_tail)
{
    charge(14.42, 2.03, 0, 12);
    noise = random_new(77);
    double end_s = t_s[count - 1];
    for (double t = end_s + 10; t < end_s + 3600 && count < MOST; t += 10)
        read_at(t, 13.62 + 0.6 * exp(-(t - end_s) / 120), 0.41);
    random_free(noise);
    struct charge_parts p = find(false);
    CHECK(p.held.found);
    CHECK_NEAR(p.held_v, 14.42, 0.02);
    CHECK_NEAR(p.tail.a, 2.03, 0.2);
    CHECK(t_s[p.held.last] <= end_s + 30);
}

TEST(the_sun_holds_nothing)
{
    noise = random_new(31);
    count = 0;
    for (double t = 0; t < 8000; t += 10)
        read_at(t, 13.4 + 2e-5 * t, 11 + 7 * sin(t / 700) + 2 * sin(t / 90));
    random_free(noise);
    struct charge_parts p = find(false);
    CHECK(!p.level.found && !p.held.found && p.highest.found);
}

TEST(two_currents_one_after_the_other_hold_no_volts)
{
    noise = random_new(8);
    count = 0;
    for (double t = 0; t < 5000; t += 10)
        read_at(t, 13.4 + 0.8 * exp((t - 5000) / 500), 20);
    for (double t = 5000; t < 6500; t += 10)
        read_at(t, 13.9 + 0.35 * exp((t - 6500) / 500), 5);
    random_free(noise);
    struct charge_parts p = find(false);
    CHECK(p.level.found && !p.held.found);
    CHECK_NEAR(p.level.a, 20, 0.05);
}

TEST(a_few_readings_by_eye_are_enough)
{
    const double when[] = {0, 1800, 5400, 7200, 8400, 9600}, volts[] = {13.31, 13.52, 13.71, 14.4, 14.4, 14.4},
                 amps_in[] = {20.1, 20.0, 19.9, 14.2, 5.1, 1.9};
    for (count = 0; count < 6; count++)
        t_s[count] = when[count], v[count] = volts[count], a[count] = -amps_in[count];
    struct charge_parts p = find(true);
    CHECK(p.level.found && p.level.last == 2 && p.held.found && p.held.first == 3);
    CHECK_NEAR(p.level.a, 20, 0.06);
    CHECK_NEAR(p.tail.a, 1.9, 1e-9);
    v[1] = v[4] = NAN;
    a[2] = NAN;
    p = find(true);
    CHECK(p.held.found && p.tail.a < 2);
    count = 0;
    p = find(true);
    CHECK(!p.level.found && !p.held.found && !p.highest.found && !p.tail.found);
}
