#include "check.h"

#include <math.h>

#include "battery/direction.h"
#include "numeric/random.h"

enum { ROWS = 900 };

/* Rest, constant power with a burst, then a BMS that opens: amps and volts fall to nothing together. */
static struct trace discharge(double *t_s, double *v, double *a, int sign)
{
    for (int k = 0; k < ROWS; k++) {
        double drain = k / (double)ROWS;
        double amps = k < 60 ? 0 : k >= 430 && k < 470 ? 96.3 : 24.1;
        t_s[k] = 2.0 * k;
        v[k] = 13.3 - 0.4 * drain - 0.0131 * amps - 2.9 * exp(-40 * (0.87 - drain));
        a[k] = sign * amps;
        if (k >= 800)
            v[k] = 0.02, a[k] = 0;
    }
    return (struct trace){.count = ROWS, .t_s = t_s, .v = v, .a = a};
}

TEST(a_dark_terminal_says_nothing_about_the_sign)
{
    double t_s[ROWS], v[ROWS], a[ROWS];
    for (int sign = -1; sign <= 1; sign += 2) {
        struct trace trace = discharge(t_s, v, a, sign);
        struct direction direction = direction_find(&trace);
        CHECK(direction.sign == sign);
        CHECK(direction.weight > 0.9);
    }
}

TEST(rest_and_missing_volts_cannot_tell)
{
    double t_s[ROWS], v[ROWS], a[ROWS];
    struct trace trace = discharge(t_s, v, a, 1);
    trace.count = 55;
    CHECK(direction_find(&trace).sign == 0);
    trace.count = ROWS;
    trace.v = NULL;
    CHECK(direction_find(&trace).sign == 0);
}

/* Nothing but a load from the first reading to the last; the volts turn up for a while as it warms. */
TEST(a_discharge_without_a_step)
{
    double t_s[ROWS], v[ROWS], a[ROWS];
    struct random *random = random_new(90);
    for (int k = 0; k < ROWS; k++) {
        double x = k / (double)ROWS;
        t_s[k] = k;
        v[k] = 3.3 + 0.3 * exp(-x * 60) - 0.05 * x + 0.02 * sin(6 * x) - 0.6 * pow(x, 20) +
               0.002 * random_normal(random);
        a[k] = -2.6 + 0.015 * random_normal(random);
    }
    random_free(random);
    struct trace trace = {.count = ROWS, .t_s = t_s, .v = v, .a = a};
    CHECK(direction_find(&trace).sign == -1);
}

/* Rest, a charge that ends at constant volts, rest: the volts fall while nothing flows. */
TEST(a_charge_between_rests)
{
    double t_s[ROWS], v[ROWS], a[ROWS];
    for (int k = 0; k < ROWS; k++) {
        bool on = k >= 100 && k < 700;
        t_s[k] = 10 * k;
        a[k] = on ? 15 * (k < 600 ? 1 : exp(-(k - 600) / 30.0)) : 0.01 * (k % 2);
        v[k] = on        ? fmin(14.4, 13 + 1.5 * (k - 100) / 490.0)
               : k < 100 ? 12.9
                         : 13.4 + 0.9 * exp(-(k - 700) / 60.0);
    }
    struct trace trace = {.count = ROWS, .t_s = t_s, .v = v, .a = a};
    CHECK(direction_find(&trace).sign == -1);
}

/* Twice while it charges the board opens, and the charger drives the terminals up to its own volts: those steps weigh more
 * than the charger's own. Each reading is the mean of a while, so that a step takes two of them. */
TEST(a_charge_that_the_board_holds_up)
{
    double t_s[ROWS], v[ROWS], a[ROWS];
    for (int sign = -1; sign <= 1; sign += 2) {
        for (int k = 0; k < ROWS; k++) {
            bool on = k >= 40 && k < 870, open = on && ((k >= 300 && k < 420) || (k >= 600 && k < 690));
            double inside = 12.4 + 0.9 * k / ROWS;
            t_s[k] = k;
            a[k] = on && !open ? sign * 19.7 : 0;
            v[k] = open ? 14.41 : inside + (on ? 0.24 : 0);
        }
        for (int k = 299; k < ROWS; k += 300) { /* half a step */
            a[k] = 0.4 * a[k];
            v[k] = v[k] + 0.6 * (14.41 - v[k]);
        }
        struct trace trace = {.count = ROWS, .t_s = t_s, .v = v, .a = a};
        struct direction direction = direction_find(&trace);
        CHECK(direction.sign == -sign);
    }
}

/* The volts of a row belong to the row before, or after. */
TEST(channels_a_row_apart)
{
    double t_s[ROWS], v[ROWS], a[ROWS];
    for (int shift = -1; shift <= 1; shift += 2) {
        struct trace trace = discharge(t_s, v, a, 1);
        trace.v = v + 1 + shift;
        trace.a = a + 1;
        trace.count = ROWS - 2;
        CHECK(direction_find(&trace).sign == 1);
    }
}

/* Volts a row behind their amps, amid noise: at the step itself only the noise moves them. */
TEST(noise_at_the_step_does_not_tell_the_sign)
{
    double t_s[ROWS], v[ROWS], a[ROWS];
    struct random *random = random_new(611);
    size_t wrong = 0, told = 0;
    for (int trial = 0; trial < 2000; trial++) {
        for (int k = 0; k < ROWS; k++) {
            bool late = k <= 60; /* the volts of reading 60 are those of before the step */
            t_s[k] = 2.0 * k;
            a[k] = round((k < 60 ? 0 : 20.1) / 0.01 + 1.5 * random_normal(random)) * 0.01;
            v[k] = 13.59 - (late ? 0 : 0.29 + 4e-4 * k) + 0.0015 * random_normal(random);
            v[k] = round(v[k] * 1000) / 1000;
            if (k >= 800)
                v[k] = 0.303, a[k] = 0;
        }
        struct trace trace = {.count = ROWS, .t_s = t_s, .v = v, .a = a};
        int sign = direction_find(&trace).sign;
        wrong += sign == -1;
        told += sign == 1;
    }
    CHECK_NEAR((double)wrong, 0, 0);
    CHECK_NEAR((double)told, 2000, 0);
    random_free(random);
}

TEST(a_small_steady_current_is_not_told)
{
    double t_s[ROWS], v[ROWS], a[ROWS];
    for (int k = 0; k < ROWS; k++) { /* relaxing after a charge, with the offset of the meter */
        t_s[k] = 10 * k;
        v[k] = 13.35 + 0.9 * exp(-k / 200.0);
        a[k] = k % 7 ? 0.01 : 0.02;
    }
    struct trace trace = {.count = ROWS, .t_s = t_s, .v = v, .a = a};
    CHECK(direction_find(&trace).sign == 0);
}

TEST(turning_a_series)
{
    struct series series;
    CHECK(series_init(&series, ROWS,
                      1u << CHANNEL_CURRENT | 1u << CHANNEL_POWER | 1u << CHANNEL_CHARGE_TALLY |
                          1u << CHANNEL_ENERGY_TALLY));
    series.count = ROWS;
    for (int k = 0; k < ROWS; k++) {
        bool second = k >= 450; /* the charge tally starts again, the energy tally counts the other way */
        series.t_s[k] = k;
        series.column[CHANNEL_CURRENT][k] = -4;
        series.column[CHANNEL_POWER][k] = -52;
        series.column[CHANNEL_CHARGE_TALLY][k] = -4.0 * (second ? k - 450 : k) / 3600;
        series.column[CHANNEL_ENERGY_TALLY][k] = 52.0 * k / 3600;
    }
    series.column[CHANNEL_CURRENT][8] = 0;
    direction_apply(&series, -1);
    CHECK(!signbit(series.column[CHANNEL_CURRENT][8])); /* nobody wants to read -0 A */
    CHECK(series.oriented);
    CHECK(series.column[CHANNEL_CURRENT][7] == 4 && series.column[CHANNEL_POWER][7] == 52);
    CHECK(series.column[CHANNEL_CHARGE_TALLY][449] > series.column[CHANNEL_CHARGE_TALLY][448]);
    CHECK(series.column[CHANNEL_ENERGY_TALLY][449] > series.column[CHANNEL_ENERGY_TALLY][448]);
    series_free(&series);
}
