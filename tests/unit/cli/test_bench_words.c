#include "cli/bench_words.h"
#include "base/json_value.h"
#include "check.h"

static struct measure between(double value, double lo, double hi)
{
    struct measure measure = measure_of(value);
    measure.u = (hi - lo) / 4;
    measure.lo = lo;
    measure.hi = hi;
    return measure;
}

static struct forecast forecast;
static struct bench_view view_of(void)
{
    forecast = (struct forecast){.ah = 34.21,
                                 .wh = 438.13,
                                 .share_ah = 0.3421,
                                 .share_wh = 0.3422,
                                 .ah_now = between(34.21, 33.8, 34.62),
                                 .wh_now = between(438.1, 432, 444),
                                 .half_way_s = between(7300, 7260, 7380),
                                 .rated_at_s = between(14500, 14280, 14760),
                                 .cut_off_at_s = between(15000, 14470, 15660),
                                 .given = "if the load stays at about 318 W (constant power)"};
    return (struct bench_view){.elapsed_s = 5025.4,
                               .v = 12.8421,
                               .a = 24.806,
                               .w = 318.56,
                               .degc = 23.44,
                               .ah = 34.21,
                               .wh = 438.1,
                               .committed = true,
                               .forecast = &forecast,
                               .readings = 5020,
                               .instruments = 2,
                               .run = 12};
}

static const struct bench_title title = {"Hut pack 3", TEST_DISCHARGE};

static int longest_line(const char *text)
{
    int longest = 0, at = 0;
    for (; *text != '\0'; text++) {
        at = *text == '\n' ? 0 : at + (((unsigned char)*text & 0xC0) != 0x80);
        longest = at > longest ? at : longest;
    }
    return longest;
}

static bool block_has(const struct bench_view *view, const char *words)
{
    struct text text = TEXT_EMPTY;
    bench_block(&title, view, 80, &text);
    bool has = strstr(text_string(&text), words) != NULL;
    CHECK(longest_line(text_string(&text)) <= 80);
    text_free(&text);
    return has;
}

TEST(a_block_says_where_the_test_stands)
{
    struct bench_view view = view_of();
    CHECK(block_has(&view, "Hut pack 3, discharge, run 12") && block_has(&view, "1:23:45 since the start"));
    CHECK(block_has(&view, "12.842 V") && block_has(&view, "24.81 A") && block_has(&view, "318.6 W"));
    CHECK(block_has(&view, "23.4 °C") && block_has(&view, "34.21 ± 0.41 Ah") && block_has(&view, "34.2 %"));
    CHECK(block_has(&view, "between 4:01:10 and 4:21:00") && block_has(&view, "constant power"));
    measure_part(&forecast.ah_now,
                 (struct part){CAUSE_GAIN_CURRENT, SHAPE_RECTANGULAR, 0.18, INFINITY, 7, "", ""});
    measure_part(&forecast.ah_now,
                 (struct part){CAUSE_OFFSET_CURRENT, SHAPE_RECTANGULAR, -0.09, INFINITY, 8, "", ""});
    CHECK(block_has(&view, "gain of the current channel u = 0.18 Ah") && block_has(&view, "0.09 Ah"));
    CHECK(block_has(&view, "all of it in the book") && block_has(&view, "5020 readings"));
}

TEST(what_is_not_in_the_book_yet_is_marked)
{
    struct bench_view view = view_of();
    view.committed = false;
    view.behind_s = 0.42;
    CHECK(block_has(&view, "in the book but for the last 0.4 s") && !block_has(&view, "all of it"));
    view.unwritable = true;
    view.behind_s = 63;
    CHECK(block_has(&view, "NOT in the book for 63 s"));
    struct text line = TEXT_EMPTY;
    bench_line(&view, &line);
    CHECK(strstr(text_string(&line), "NOT in the book") != NULL);
    text_free(&line);
}

TEST(what_was_not_heard_is_a_dash_and_no_old_value)
{
    struct bench_view view = view_of();
    view.v = view.w = view.degc = NAN;
    view.lost_instruments = 1;
    CHECK(block_has(&view, "– V") && block_has(&view, "– W") && !block_has(&view, "°C"));
    CHECK(block_has(&view, "1 of 2 instruments silent"));
}

TEST(past_instants_were_and_unknown_ones_say_why)
{
    struct bench_view view = view_of();
    view.elapsed_s = 14600;
    CHECK(block_has(&view, "rated Ah       was at 4:01:40"));
    CHECK(block_has(&view, "between 4:03:20 and 4:21:00")); /* not before now */
    forecast.cut_off_at_s = measure_unknown("the volts lie on the plateau");
    CHECK(block_has(&view, "cannot tell: the volts lie on the plateau"));
    view.forecast = NULL;
    CHECK(!block_has(&view, "delivered"));
}

TEST(lines_for_machines_are_one_object_each)
{
    struct bench_view view = view_of();
    view.degc = NAN;
    struct text text = TEXT_EMPTY;
    struct message message = {0};
    json_t *object = NULL;
    bench_json(&view, &text);
    CHECK(strchr(text_string(&text), '\n') == text.s + text.length - 1);
    CHECK(json_parse("state", 1, (struct span){text.s, text.length}, &object, &message) == STATUS_OK);
    CHECK_NEAR(json_number_value(json_object_get(object, "voltage_v")), 12.8421, 1e-12);
    CHECK(json_is_null(json_object_get(object, "temperature_degc")) &&
          json_is_true(json_object_get(object, "committed")));
    CHECK_NEAR(json_number_value(json_object_get(json_object_get(object, "cut_off_at_s"), "hi")), 15660,
               1e-9);
    json_decref(object);
    text.length = 0;
    struct call call = {CALL_LIMIT, 61, true, "9.87 V, \"below\" 10 V"};
    bench_call_json(&call, &text);
    CHECK(json_parse("call", 1, (struct span){text.s, text.length}, &object, &message) == STATUS_OK);
    CHECK_TEXT(json_string_value(json_object_get(object, "call")), "limit");
    CHECK_TEXT(json_string_value(json_object_get(object, "text")), "9.87 V, \"below\" 10 V");
    json_decref(object);
    text_free(&text);
}
