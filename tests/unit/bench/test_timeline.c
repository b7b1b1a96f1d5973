#include "bench/timeline.h"
#include "check.h"

static const int64_t ms = 1000000;

static struct arrival arrived(double at_s, double own_s)
{
    return (struct arrival){.at_ns = 700 * ms + llround(at_s * 1e9), .time = decimal_of(own_s, 2)};
}

static struct timeline begin(bool own_time, const struct clock *clock)
{
    static struct link link;
    link = (struct link){.own_time = own_time, .time_source = {.unit = {QUANTITY_TIME, 1, 0}}};
    return timeline_begin(&link, clock, 700 * ms, 0);
}

TEST(without_a_time_of_its_own_the_clock_stamps)
{
    struct clock_set set = {0, 0};
    struct clock clock = clock_by_hand(&set);
    struct timeline timeline = begin(false, &clock);
    enum clock_trouble trouble;
    double by_s;
    struct arrival arrival = arrived(12.34567, 999);
    struct decimal stamp = timeline_stamp(&timeline, &arrival, &trouble, &by_s);
    CHECK(stamp.mantissa == 123457 && stamp.decimals == 4 && trouble == CLOCK_FINE);
    arrival = arrived(12.2, 0); /* taken out of order: stands at the last, never before */
    stamp = timeline_stamp(&timeline, &arrival, &trouble, &by_s);
    CHECK(stamp.mantissa == 123457 && trouble == CLOCK_FINE);
}

TEST(a_time_of_its_own_is_tied_once_and_keeps_its_digits)
{
    struct clock_set set = {0, 0};
    struct clock clock = clock_by_hand(&set);
    struct timeline timeline = begin(true, &clock);
    enum clock_trouble trouble;
    double by_s;
    struct arrival arrival = arrived(3.21, 100.25);
    CHECK_NEAR(decimal_value(timeline_stamp(&timeline, &arrival, &trouble, &by_s)), 3.21, 1e-9);
    arrival = arrived(4.9, 101.25); /* 0.69 s late on its way */
    CHECK_NEAR(decimal_value(timeline_stamp(&timeline, &arrival, &trouble, &by_s)), 4.21, 1e-9);
    CHECK(trouble == CLOCK_FINE);
    arrival = arrived(5.22, 0);
    arrival.time = (struct decimal){.kind = DECIMAL_MISSING}; /* a line without its time */
    CHECK_NEAR(decimal_value(timeline_stamp(&timeline, &arrival, &trouble, &by_s)), 5.22, 1e-9);
}

TEST(an_instrument_that_begins_again_is_told_and_tied_anew)
{
    struct clock_set set = {0, 0};
    struct clock clock = clock_by_hand(&set);
    struct timeline timeline = begin(true, &clock);
    enum clock_trouble trouble;
    double by_s = 0;
    struct arrival arrival = arrived(1, 640);
    timeline_stamp(&timeline, &arrival, &trouble, &by_s);
    arrival = arrived(31, 0.5);
    CHECK_NEAR(decimal_value(timeline_stamp(&timeline, &arrival, &trouble, &by_s)), 31, 1e-9);
    CHECK(trouble == CLOCK_BEGAN_AGAIN);
    CHECK_NEAR(by_s, 639.5, 1e-9);
    arrival = arrived(32, 1.5);
    CHECK_NEAR(decimal_value(timeline_stamp(&timeline, &arrival, &trouble, &by_s)), 32, 1e-9);
    CHECK(trouble == CLOCK_FINE);
}

TEST(a_time_that_stood_still_while_away_is_tied_anew)
{
    struct clock_set set = {0, 0};
    struct clock clock = clock_by_hand(&set);
    struct timeline timeline = begin(true, &clock);
    enum clock_trouble trouble;
    double by_s = 0;
    struct arrival arrival = arrived(1, 50);
    timeline_stamp(&timeline, &arrival, &trouble, &by_s);
    timeline_away(&timeline);
    arrival = arrived(61, 51);
    CHECK_NEAR(decimal_value(timeline_stamp(&timeline, &arrival, &trouble, &by_s)), 61, 1e-9);
    CHECK(trouble == CLOCK_STOOD_STILL);
    CHECK_NEAR(by_s, 59, 1e-9);
    timeline_away(&timeline); /* away, but its time went on: nothing to mend */
    arrival = arrived(101, 91);
    CHECK_NEAR(decimal_value(timeline_stamp(&timeline, &arrival, &trouble, &by_s)), 101, 1e-9);
    CHECK(trouble == CLOCK_FINE);
}

TEST(a_resumed_run_keeps_the_tie_it_had_unless_the_instrument_began_again)
{
    struct clock_set set = {0, 0};
    struct clock clock = clock_by_hand(&set);
    enum clock_trouble trouble;
    double by_s = 0;
    for (int again = 0; again < 2; again++) {
        struct timeline timeline = begin(true, &clock);
        timeline_resume(&timeline, -97.04);
        struct arrival arrival = arrived(60.3, again ? 2.5 : 157.25);
        double t_s = decimal_value(timeline_stamp(&timeline, &arrival, &trouble, &by_s));
        CHECK_NEAR(t_s, again ? 60.3 : 60.21, 1e-9);
        CHECK(trouble == CLOCK_FINE);
        arrival = arrived(61.4, again ? 3.5 : 158.25);
        CHECK_NEAR(decimal_value(timeline_stamp(&timeline, &arrival, &trouble, &by_s)), t_s + 1, 1e-9);
    }
}

/* 300 ppm fast over six hours is 6.5 s: told near 1, 2 and 4 s, not at each reading. */
TEST(clocks_that_walk_apart_are_told_at_each_doubling)
{
    struct clock_set set = {0, 0};
    struct clock clock = clock_by_hand(&set);
    struct timeline timeline = begin(true, &clock);
    enum clock_trouble trouble;
    int told = 0;
    double last = 0;
    for (int k = 0; k < 21600; k++) {
        double by_s = 0;
        struct arrival arrival = arrived(k + 0.01 * (k % 7), k * 1.0003);
        timeline_stamp(&timeline, &arrival, &trouble, &by_s);
        told += trouble == CLOCK_WALKS;
        last = trouble == CLOCK_WALKS ? by_s : last;
    }
    CHECK(told == 3);
    CHECK_NEAR(last, -4, 0.3);
}

TEST(lateness_alone_is_no_walk)
{
    struct clock_set set = {0, 0};
    struct clock clock = clock_by_hand(&set);
    struct timeline timeline = begin(true, &clock);
    enum clock_trouble trouble;
    for (int k = 0; k < 1000; k++) {
        double by_s = 0;
        struct arrival arrival = arrived(k + (k % 5 != 0 ? 3.0 : 0.02), k);
        timeline_stamp(&timeline, &arrival, &trouble, &by_s);
        CHECK(trouble == CLOCK_FINE);
    }
}
