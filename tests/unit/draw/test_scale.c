#include "check.h"

#include "draw/scale.h"

/* All labels of the ticks, separated by a bar. */
static const char *labels(struct ticks ticks, const char *unit)
{
    static char all[1024];
    size_t used = 0;
    all[0] = '\0';
    for (size_t k = 0; k < ticks.count && used < sizeof all; k++) {
        char label[64];
        tick_print(&ticks, k, unit, label, sizeof label);
        used += (size_t)snprintf(all + used, sizeof all - used, "%s%s", k > 0 ? "|" : "", label);
    }
    return all;
}

TEST(places_values_either_way_round)
{
    struct scale up = {10.4, 13.2, 240.5, 20.5};
    CHECK_NEAR(scale_at(&up, 10.4), 240.5, 0);
    CHECK_NEAR(scale_at(&up, 13.2), 20.5, 0);
    CHECK_NEAR(scale_at(&up, 11.8), 130.5, 1e-12);
    CHECK_NEAR(scale_value(&up, scale_at(&up, 12.87)), 12.87, 1e-12);
    CHECK(isnan(scale_at(&up, NAN)));
    struct scale flat = {5, 5, 0, 100};
    CHECK_NEAR(scale_at(&flat, 5), 50, 0);
}

TEST(steps_are_one_two_or_five)
{
    CHECK_TEXT(labels(ticks_between(0, 61.3, 8), "Ah"), "0|10|20|30|40|50|60\u00a0Ah");
    CHECK_TEXT(labels(ticks_between(9.87, 13.31, 5), "V"), "10|11|12|13\u00a0V");
    CHECK_TEXT(labels(ticks_between(-14.2, 11.3, 6), "%"), "−10|−5|0|5|10\u00a0%");
    CHECK_TEXT(labels(ticks_between(0, 0.3, 4), NULL), "0.0|0.1|0.2|0.3");
    CHECK_TEXT(labels(ticks_between(3.279, 3.2871, 5), ""), "3.280|3.282|3.284|3.286");
    CHECK_TEXT(labels(ticks_between(0, 5.2e7, 3), NULL), "0|2e7|4e7");
    CHECK_TEXT(labels(ticks_between(13.31, 9.87, 5), NULL), "10|11|12|13");
}

TEST(a_plus_can_be_asked_for)
{
    struct ticks ticks = ticks_between(-10, 10, 5);
    ticks.signed_ = true;
    CHECK_TEXT(labels(ticks, "%"), "−10|−5|0|+5|+10\u00a0%");
}

TEST(ends_that_are_ticks_get_one)
{
    /* 0.1 and 0.7 are not doubles: 0.7 / 0.1 rounds below 7. */
    CHECK_TEXT(labels(ticks_between(0.1, 0.7, 7), NULL), "0.1|0.2|0.3|0.4|0.5|0.6|0.7");
    CHECK_NEAR(tick_value(&(struct ticks){.first = 3, .count = 1, .mantissa = 1, .exponent = -1}, 0), 0.3, 0);
}

TEST(never_more_than_asked_nor_far_fewer)
{
    unsigned long long seed = 20240314;
    for (int k = 0; k < 20000; k++) {
        seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
        double from = ((double)(seed >> 40) - 8e6) * pow(10, (double)(seed % 13) - 9);
        double to = from + fabs(from) * (double)(seed >> 20 & 1023) / 337 + 1e-7;
        size_t most = 2 + (seed >> 13) % 11;
        struct ticks ticks = ticks_between(from, to, most);
        CHECK(ticks.count <= most);
        /* The next finer step is at least 2/5 as long, so at least that share of ticks stands. */
        CHECK((double)ticks.count >= floor(0.4 * (double)most) - 1);
        for (size_t t = 0; t < ticks.count; t++) {
            double slack = 1e-12 * fmax(fabs(from), fabs(to));
            CHECK(tick_value(&ticks, t) >= from - slack && tick_value(&ticks, t) <= to + slack);
        }
    }
}

TEST(time_is_told_as_people_read_it)
{
    CHECK_TEXT(labels(ticks_of_time(0, 9300, 7), "h"), "0:00|0:30|1:00|1:30|2:00|2:30\u00a0h");
    CHECK_TEXT(labels(ticks_of_time(12.5, 61, 4), NULL), "0:00:15|0:00:30|0:00:45|0:01:00");
    CHECK_TEXT(labels(ticks_of_time(-130, 200, 6), NULL), "−0:02|−0:01|0:00|0:01|0:02|0:03");
    CHECK_TEXT(labels(ticks_of_time(0, 900000, 5), NULL), "0:00|72:00|144:00|216:00");
}

TEST(no_extent_no_ticks)
{
    CHECK(ticks_between(3, 3, 5).count == 0);
    CHECK(ticks_between(NAN, 3, 5).count == 0);
    CHECK(ticks_between(0, INFINITY, 5).count == 0);
    CHECK(ticks_of_time(0, INFINITY, 5).count == 0);
    CHECK(ticks_of_time(7, 7, 5).count == 0);
}

TEST(rounds_a_range_outwards)
{
    double from = 10.4, to = 13.07;
    scale_round(&from, &to, 5);
    CHECK_NEAR(from, 10, 0);
    CHECK_NEAR(to, 14, 0);
    from = to = 21.5;
    scale_round(&from, &to, 5);
    CHECK(from < 21.5 && to > 21.5);
    from = 3.7, to = -1.2;
    scale_round(&from, &to, 6);
    CHECK_NEAR(from, 4, 0);
    CHECK_NEAR(to, -2, 0);
    from = NAN, to = 1;
    scale_round(&from, &to, 6);
    CHECK(isnan(from) && to == 1);
}
