#include "check.h"

#include "intake/typed_time.h"

static struct message message;
static const struct frame_rate pal = {.nominal = 25, .per_s = 25}, none = {0};
static const struct frame_rate ntsc = {.nominal = 30, .per_s = 30000.0 / 1001};

static struct typed_time take(const char *s, const struct frame_rate *rate)
{
    struct typed_time time = {.s = NAN};
    size_t used = 0;
    memset(&message, 0, sizeof message);
    if (typed_time_read(span_of(s), 0, rate, &time, &used, &message) != STATUS_OK)
        return (struct typed_time){.s = -1};
    if (used != strlen(s))
        time.s = -2 - (double)used;
    return time;
}

static bool is(const char *s, enum time_form form, double lo, double hi)
{
    struct typed_time time = take(s, &pal);
    bool same = time.form == form && fabs(time.s - time.halfwidth_s - lo) < 1e-9 && fabs(time.s + time.halfwidth_s - hi) < 1e-9;
    if (!same)
        printf("    %s: form %d, %g ± %g; %s\n", s, time.form, time.s, time.halfwidth_s, message.what);
    return same;
}

TEST(a_counter_shows_the_second_it_is_in)
{
    CHECK(is("1:02:03", TIME_THREE, 3723, 3724));
    CHECK(is("01:02:03.5", TIME_THREE, 3723.5, 3723.6));
    CHECK(is("1:02:03,25", TIME_THREE, 3723.25, 3723.26));
    CHECK(is("62:03", TIME_TWO, 3723, 3724));
    CHECK(is("0:12:03:14", TIME_TIMECODE, 723 + 14 / 25.0, 723 + 15 / 25.0));
}

TEST(units_are_rounded)
{
    CHECK(is("3723 s", TIME_UNITS, 3722.5, 3723.5));
    CHECK(is("2 h 5 min", TIME_UNITS, 7500 - 30, 7500 + 30));
    CHECK(is("2h05m10s", TIME_UNITS, 7510 - 0.5, 7510 + 0.5));
    CHECK(is("1.5 h", TIME_UNITS, 5400 - 180, 5400 + 180));
    CHECK(is("62..65 min", TIME_UNITS, 3720, 3900));
    CHECK(is("62 ± 2 min", TIME_UNITS, 3600, 3840));
    CHECK(is("~90 min", TIME_UNITS, 5400 - 270, 5400 + 270)); /* 5 %, more than two minutes */
}

TEST(clock)
{
    CHECK(is("2:32 pm", TIME_CLOCK, 14 * 3600 + 32 * 60, 14 * 3600 + 33 * 60));
    CHECK(is("12:00:05 am", TIME_CLOCK, 5, 6));
    CHECK(is("~2:32 pm", TIME_CLOCK, 14 * 3600 + 32 * 60 + 30 - 120, 14 * 3600 + 32 * 60 + 30 + 120));
    struct typed_time time = take("14:32", &pal);
    CHECK_NEAR(time.clock_s - time.clock_halfwidth_s, 14 * 3600 + 32 * 60, 1e-9);
    CHECK(typed_time_settle(&time, TIMES_NOT_STATED, &message) == STATUS_AMBIGUOUS);
    CHECK(strstr(message.remedy, "times: elapsed") != NULL);
    CHECK(typed_time_settle(&time, TIMES_CLOCK, &message) == STATUS_OK);
    CHECK_NEAR(time.s, 14 * 3600 + 32 * 60 + 30, 1e-9);
    time = take("62:03", &pal); /* can be no clock */
    CHECK(typed_time_settle(&time, TIMES_CLOCK, &message) == STATUS_MALFORMED);
    CHECK(typed_time_settle(&time, TIMES_NOT_STATED, &message) == STATUS_OK);
    time = take("25:00:00", &pal);
    CHECK(typed_time_settle(&time, TIMES_CLOCK, &message) == STATUS_MALFORMED);
    time = take("2:32 pm", &pal);
    CHECK(typed_time_settle(&time, TIMES_ELAPSED, &message) == STATUS_MALFORMED);
}

TEST(stops_where_the_time_stops)
{
    struct typed_time time;
    size_t used;
    CHECK(typed_time_read(span_of("1:02:03,12.91 V"), 0, &pal, &time, &used, &message) == STATUS_OK && used == 7);
    CHECK(typed_time_read(span_of("1:02:03;12.91 V"), 0, &pal, &time, &used, &message) == STATUS_OK && used == 7);
    CHECK(typed_time_read(span_of("12.91 V"), 0, &pal, &time, &used, &message) == STATUS_OK && used == 0);
    CHECK(typed_time_read(span_of("5 m of cable"), 0, &pal, &time, &used, &message) == STATUS_OK && used == 0);
    CHECK(typed_time_read(span_of("2 h 12.91 V"), 0, &pal, &time, &used, &message) == STATUS_OK && used == 3);
    CHECK(typed_time_read(span_of(""), 0, &pal, &time, &used, &message) == STATUS_OK && time.form == TIME_NONE);
}

TEST(refuses_times_that_do_not_exist)
{
    CHECK(take("1:62:03", &pal).s == -1);
    CHECK(take("1:02:63", &pal).s == -1);
    CHECK(take("0:00:01:25", &pal).s == -1);
    CHECK(take("13:05 pm", &pal).s == -1);
    CHECK(take("0:00:01:05", &none).s == -1 && message.status == STATUS_AMBIGUOUS);
    CHECK(take("0:00:01;05", &pal).s == -1); /* no drop-frame at 25 */
    CHECK(take("0:01:00;01", &ntsc).s == -1); /* skipped */
    CHECK(take("-5 s", &pal).s == -1);
    CHECK(take(">5 min", &pal).s == -1);
}
