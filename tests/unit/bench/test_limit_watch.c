#include "check.h"

#include "bench/limit_watch.h"
#include "numeric/random.h"

static struct limit_watch watch;
static struct call calls[16];

static void look_out_for(enum limit_kind kind, double at)
{
    struct limits limits = limits_none();
    limits.of[kind] = (struct limit){.at = at, .source = "--limit"};
    limit_watch_init(&watch, &limits, "take the load off");
}

static struct limited nothing(double t_s)
{
    return (struct limited){t_s, NAN, NAN, NAN, NAN, NAN, true};
}

static size_t look(const struct limited *now)
{
    return limit_watch_reading(&watch, now, calls, 0, 16);
}

static size_t volts(double t_s, double v)
{
    struct limited now = nothing(t_s);
    now.v = v;
    now.a = 20.4;
    return look(&now);
}

TEST(twice_beyond_is_passed)
{
    look_out_for(LIMIT_LOW_V, 10.2);
    CHECK(volts(0, 10.31) == 0);
    CHECK(volts(1, 10.17) == 0); /* a lone one is a glitch */
    CHECK(volts(2, 10.23) == 0);
    CHECK(volts(3, 10.19) == 0);
    CHECK(volts(4, 10.14) == 1);
    CHECK(calls[0].urgent && calls[0].kind == CALL_LIMIT);
    CHECK_TEXT(calls[0].text, "The pack is at 10.14 V with 20.4 A, below 10.2 V (--limit): if its BMS does not open now, take the load "
                              "off.");
    CHECK(volts(5, 10.02) == 0);
}

TEST(a_slow_reading_counts_by_itself)
{
    look_out_for(LIMIT_LOW_V, 10.2);
    CHECK(volts(0, 10.31) == 0);
    CHECK(volts(60, 10.17) == 1);
}

/* Noise of a few margins about the limit for two hours: called at first, and then ever more seldom. */
TEST(noise_does_not_repeat_it)
{
    struct random *random = random_new(417);
    look_out_for(LIMIT_MOST_A, 100);
    size_t called = 0;
    for (int k = 0; k < 7200; k++) {
        struct limited now = nothing(k);
        now.a = 100 + 6 * random_normal(random);
        called += look(&now);
    }
    CHECK(called >= 2 && called <= 8);
    look_out_for(LIMIT_MOST_A, 100);
    called = 0;
    for (int k = 0; k < 7200; k++) { /* within the margin: once */
        struct limited now = nothing(k);
        now.a = 100 + 0.4 * random_normal(random);
        called += look(&now);
    }
    CHECK(called == 1);
    random_free(random);
}

TEST(passed_again_is_called_again)
{
    look_out_for(LIMIT_HIGH_DEGC, 60);
    size_t called = 0;
    for (int k = 0; k < 4000; k++) {
        struct limited now = nothing(k);
        now.degc = k / 1000 % 2 == 0 ? 52.3 : 61.4;
        called += look(&now);
    }
    CHECK(called == 2);
    CHECK_TEXT(calls[0].text, "The sample is at 61.4 °C, above 60 °C (--limit): take the load off.");
}

TEST(a_pack_that_its_bms_has_opened_is_not_low)
{
    look_out_for(LIMIT_LOW_V, 10.2);
    for (int k = 0; k < 10; k++) {
        struct limited now = nothing(k);
        now.v = 0.31, now.a = 0, now.discharging = false;
        CHECK(look(&now) == 0);
    }
}

TEST(cells)
{
    struct limits limits = limits_none();
    limits.of[LIMIT_LOW_CELL_V] = (struct limit){.at = 2.5, .source = "usual"};
    limits.of[LIMIT_HIGH_CELL_V] = (struct limit){.at = 3.65, .source = "usual"};
    limit_watch_init(&watch, &limits, "take the charger off");
    struct limited now = nothing(0);
    now.cell_low_v = 3.41, now.cell_high_v = 3.683;
    CHECK(look(&now) == 0);
    now.t_s = 1;
    CHECK(look(&now) == 1);
    CHECK_TEXT(calls[0].text, "A cell is at 3.683 V, above 3.65 V (usual): take the charger off.");
    now.t_s = 2;
    now.cell_low_v = 2.47;
    CHECK(look(&now) == 0);
    now.t_s = 3;
    CHECK(look(&now) == 1);
}

/* A sensor of whole degrees on a case that warms by 0.8 °C in a minute is no alarm; 3 °C in a minute is. */
TEST(rate_of_rise)
{
    const double rates[] = {0.8, 1.5, 3.1}, periods[] = {0.5, 1, 7, 20};
    for (int r = 0; r < 3; r++)
        for (int p = 0; p < 4; p++) {
            look_out_for(LIMIT_RISE, 2);
            size_t called = 0;
            double first_s = NAN;
            for (double t = 0; t < 900; t += periods[p]) {
                struct limited now = nothing(t);
                now.degc = round(23.3 + (t < 300 ? 0 : rates[r] * (t - 300) / 60));
                called += look(&now);
                first_s = called > 0 && isnan(first_s) ? t : first_s;
            }
            CHECK(called == (rates[r] > 2));
            CHECK(called == 0 || first_s < 300 + 300);
        }
    CHECK(strstr(calls[0].text, "°C in a minute and is at") != NULL);
}

TEST(a_gap_tells_nothing_of_a_minute)
{
    look_out_for(LIMIT_RISE, 2);
    for (int k = 0; k < 600; k++) {
        struct limited now = nothing(k < 300 ? k : k + 3600);
        now.degc = k < 300 ? 21 : 48;
        CHECK(look(&now) == 0);
    }
}

TEST(what_is_not_heard_passes_nothing)
{
    struct limits limits;
    for (int k = 0; k < LIMITS; k++)
        limits.of[k] = (struct limit){.at = 1e-3};
    limit_watch_init(&watch, &limits, "");
    for (int k = 0; k < 100; k++) {
        struct limited now = nothing(k);
        CHECK(look(&now) == 0);
    }
}
