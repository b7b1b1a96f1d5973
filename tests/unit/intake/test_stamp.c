#include "intake/stamp.h"
#include "check.h"

static double unix_time(const char *text, enum date_order order)
{
    struct stamp_form form;
    struct stamp stamp;
    if (!stamp_form_find((struct span){NULL, 0}, span_of(text), &form))
        return NAN;
    form.order = order;
    return stamp_read(&form, (struct span){NULL, 0}, span_of(text), &stamp) ? stamp.s : NAN;
}

static bool has_zone(const char *text)
{
    struct stamp_form form = {.kind = STAMP_DATED, .factor = 1};
    struct stamp stamp = {0};
    return stamp_read(&form, (struct span){NULL, 0}, span_of(text), &stamp) && stamp.zone;
}

/* RFC 3339, section 5.8, and the Unix times computed from its examples. */
TEST(rfc_3339)
{
    CHECK_NEAR(unix_time("1985-04-12T23:20:50.52Z", 0), 482196050.52, 1e-6);
    CHECK_NEAR(unix_time("1996-12-19T16:39:57-08:00", 0), 851042397, 0);
    CHECK_NEAR(unix_time("1996-12-20T00:39:57Z", 0), 851042397, 0);
    CHECK_NEAR(unix_time("1990-12-31T23:59:60Z", 0), 662688000,
               0); /* the leap second is the next midnight in Unix time */
    CHECK(has_zone("1996-12-19T16:39:57-08:00") && !has_zone("1996-12-19T16:39:57"));
}

TEST(the_same_instant_in_many_forms)
{
    static const char *const texts[] = {
        "2023-04-13 14:05:06.250",     "2023/04/13 14:05:06.25",     "2023.04.13 14:05:06,25",
        "20230413T140506.25",          "13.04.2023 14:05:06,250",    "13.4.2023, 14:05:06.25",
        "13-Apr-2023 14:05:06.25",     "13 April 2023 14:05:06.25",  "Apr 13, 2023 2:05:06.25 PM",
        "Thu Apr 13 14:05:06.25 2023", "2023-04-13T14:05:06.25Z",    "2023-04-13T16:05:06.25+02:00",
        "2023-04-13T06:05:06.25-0800", "13.04.23 14:05:06.25",       "2023-04-13_14:05:06.25",
        "13. April 2023 14:05:06.25",  "2023-04-13 14:05:06.25 UTC",
    };
    for (size_t k = 0; k < sizeof texts / sizeof *texts; k++)
        if (!CHECK_NEAR(unix_time(texts[k], 0), 1681394706.25, 1e-6))
            printf("    %s\n", texts[k]);
}

TEST(day_or_month_first)
{
    CHECK_NEAR(unix_time("03/04/2023 00:00:00", DATE_DAY_FIRST), 1680480000, 0);   /* 3 April */
    CHECK_NEAR(unix_time("03/04/2023 00:00:00", DATE_MONTH_FIRST), 1677888000, 0); /* 4 March */
    CHECK_NEAR(unix_time("03.04.2023 00:00:00", DATE_MONTH_FIRST), 1680480000,
               0); /* dots: the day is first */
    CHECK(isnan(unix_time("13/04/2023 00:00:00", DATE_MONTH_FIRST)));
    int64_t day;
    bool order_free;
    CHECK(stamp_date_read(span_of("03/04/2023"), DATE_DAY_FIRST, &day, &order_free) && !order_free);
    CHECK(stamp_date_read(span_of("04/04/2023"), DATE_DAY_FIRST, &day, &order_free) && order_free);
}

TEST(clocks)
{
    CHECK_NEAR(unix_time("0:00:01.5", 0), 1.5, 0);
    CHECK_NEAR(unix_time("25:00:01", 0), 90001, 0);
    CHECK_NEAR(unix_time("123:45:06.789", 0), 445506.789, 1e-9);
    CHECK_NEAR(unix_time("2d 03:04:05", 0), 183845, 0);
    CHECK_NEAR(unix_time("1 day, 2:03:04.5", 0), 93784.5, 0);
    CHECK_NEAR(unix_time("1.02:03:04", 0), 93784, 0);
    CHECK_NEAR(unix_time("75:12.5", 0), 4512.5, 0);
    CHECK_NEAR(unix_time("14:05", 0), 50700, 0);
    CHECK_NEAR(unix_time("2:05:06 pm", 0), 50706, 0);
    CHECK_NEAR(unix_time("12:05:06 AM", 0), 306, 0);
    CHECK_NEAR(unix_time("00:00:01:250", 0), 1.25, 0);
}

TEST(what_is_no_time)
{
    static const char *const texts[] = {
        "",
        "12",
        "12.5",
        "2023-02-29 00:00:00",
        "2023-13-01 00:00:00",
        "12:60:00",
        "1:2:3",
        "12:00:61",
        "noon",
        "13:00 PM",
        "2023-04-13 14:05:06 CET",
        "2023-04-13T14:05:06+",
        "2023-04-13T25:05:06",
        "12:00:00 and more",
        ":",
        "-",
        "::",
        "1.2.3.4",
        "99/99/2023 00:00:00",
    };
    for (size_t k = 0; k < sizeof texts / sizeof *texts; k++)
        if (!isnan(unix_time(texts[k], 0))) {
            printf("    '%s' was read\n", texts[k]);
            CHECK(false);
        }
    CHECK_NEAR(unix_time("2024-02-29 00:00:00", 0), 1709164800, 0);
}

TEST(date_and_time_in_two_cells)
{
    struct stamp_form form = {.kind = STAMP_DATED, .order = DATE_DAY_FIRST, .factor = 1};
    struct stamp stamp;
    CHECK(stamp_read(&form, span_of("13/04/2023"), span_of("14:05:06.25"), &stamp));
    CHECK_NEAR(stamp.s, 1681394706.25, 1e-6);
    CHECK(!stamp_read(&form, span_of("13/04/2023"), span_of("25:05:06"), &stamp));
    CHECK(!stamp_read(&form, span_of(""), span_of("14:05:06"), &stamp));
}

TEST(epochs)
{
    struct stamp_form form;
    CHECK(stamp_epoch_find(1681394706.25, &form) && form.factor == 1 && form.absolute);
    CHECK(stamp_epoch_find(1681394706250, &form) && form.factor == 1e-3);
    CHECK(stamp_epoch_find(1681394706250000, &form) && form.factor == 1e-6);
    CHECK(!stamp_epoch_find(86400, &form));
    CHECK(!stamp_epoch_find(-5, &form));
}

/* Days from 1970-01-01 by date(1) of GNU coreutils: 1900-01-01 −25567, 2000-02-29 11016, 2199-12-31 84005. */
TEST(a_day_is_a_date_again)
{
    static const struct {
        int64_t day;
        int year, month, of_month;
    } rows[] = {{-25567, 1900, 1, 1}, {0, 1970, 1, 1}, {11016, 2000, 2, 29}, {11017, 2000, 3, 1}, {84005, 2199, 12, 31}};
    int year, month, day;
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        CHECK(stamp_date_of(rows[k].day, &year, &month, &day));
        CHECK(year == rows[k].year && month == rows[k].month && day == rows[k].of_month);
    }
    CHECK(!stamp_date_of(-25568, &year, &month, &day) && !stamp_date_of(84006, &year, &month, &day));
    for (int64_t d = -20001; d < 80000; d += 97) {
        int64_t again;
        CHECK(stamp_date_of(d, &year, &month, &day) && stamp_day_of(year, month, day, &again) && again == d);
    }
}
