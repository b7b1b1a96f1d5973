#include "check.h"

#include "quantity/series.h"

TEST(a_whole_series_is_borrowed)
{
    struct series s;
    CHECK(series_init(&s, 3, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT));
    for (int k = 0; k < 3; k++) {
        s.t_s[k] = k * 1.5;
        s.column[CHANNEL_VOLTAGE][k] = 13.1 - 0.1 * k;
        s.column[CHANNEL_CURRENT][k] = 20.5;
    }
    s.count = 3;
    struct trace trace;
    CHECK(trace_of_series(&s, &trace));
    CHECK(trace.count == 3 && trace.v == s.column[CHANNEL_VOLTAGE] && trace.row == NULL);
    trace_free(&trace);
    s.column[CHANNEL_CURRENT][1] = NAN;
    CHECK(trace_of_series(&s, &trace));
    CHECK(trace.count == 2 && trace.left_out == 1 && trace.row[1] == 2);
    CHECK_NEAR(trace.v[1], 12.9, 1e-12);
    trace_free(&trace);
    series_free(&s);
}

TEST(power_and_volts_give_amps)
{
    struct series s;
    CHECK(series_init(&s, 1, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_POWER));
    s.t_s[0] = 0;
    s.column[CHANNEL_VOLTAGE][0] = 12.8;
    s.column[CHANNEL_POWER][0] = 320;
    s.count = 1;
    struct trace trace;
    CHECK(trace_of_series(&s, &trace));
    CHECK_NEAR(trace.a[0], 25, 1e-12);
    trace_free(&trace);
    series_free(&s);
}
