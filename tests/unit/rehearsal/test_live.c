#include "check.h"

#include "rehearsal/live.h"

static struct script script;
static struct rehearsal *bench;
static struct clock_set set;
static struct clock hand;

/* Empty in a few minutes, dark for two, woken by a charger. */
static void set_up(const char *dark)
{
    char text[600];
    snprintf(
        text, sizeof text,
        "seed = 9\n[pack]\ncharged = 4 %%\n[bench meter]\nperiod = 500 ms\n[shunt meter]\nwhen dark = %s\n"
        "[program]\nrest = 10 s\ndischarge = 50 A, until cut-off\nrest = 2 min\ncharge = 20 A, to 14.4 V, for 1 min\n",
        dark);
    struct message message;
    CHECK(script_read_text("s", span_of(text), &script, &message) == STATUS_OK);
    bench = rehearsal_new(&script);
    set = (struct clock_set){777 * 1000000000LL, 0};
    hand = clock_by_hand(&set);
}

static void tear_down(struct live *live)
{
    live_free(live);
    rehearsal_free(bench);
    script_free(&script);
}

static void wait_s(double s)
{
    hand.wait_ns(hand.context, set.now_ns + llround(s * 1e9));
}

TEST(stands_still_until_somebody_asks)
{
    set_up("tally stays");
    struct live *live = live_new(bench, &hand);
    struct serve_view patient = live_view(live, METER_PROBE, true),
                      view = live_view(live, METER_BENCH, false);
    struct serve_row row;
    wait_s(500);
    CHECK(patient.row(patient.context, &row));
    CHECK(!live_begun(live) && live_s(live) == 0);
    CHECK(view.row(view.context, &row));
    CHECK(live_begun(live));
    const struct shown *shown = &bench->shown[METER_BENCH];
    CHECK_NEAR(row.time_s, shown->t_s[0], 0);
    wait_s(3.3);
    CHECK_NEAR(live_s(live), 3.3, 1e-9);
    CHECK(view.row(view.context, &row));
    CHECK(row.time_s <= 3.3 + 1e-3 && row.time_s > 2.7);
    CHECK(view.channel_count == 2 && view.channels[1] == CHANNEL_CURRENT);
    CHECK(row.cells[0].kind == DECIMAL_NUMBER && row.cells[0].decimals == 3);
    size_t last = 0;
    while (shown->true_s[last + 1] <= 3.3)
        last++;
    CHECK_NEAR(row.time_s, shown->t_s[last], 0);
    CHECK_NEAR(decimal_value(row.cells[0]), shown->v[last], 1e-9);
    tear_down(live);
}

TEST(gives_every_row_once_in_order_with_its_own_time)
{
    set_up("tally stays");
    struct live *live = live_new(bench, &hand);
    struct serve_view view = live_view(live, METER_BENCH, false);
    struct serve_row row;
    bool dark;
    size_t rows = 0;
    double before_s = -1;
    while (view.next(view.context, &row, &dark)) {
        CHECK(!dark && row.time_s > before_s);
        CHECK_NEAR(row.time_s, bench->shown[METER_BENCH].t_s[rows], 0);
        CHECK(bench->shown[METER_BENCH].true_s[rows] <= live_s(live) + 1e-9);
        before_s = row.time_s;
        rows++;
    }
    CHECK(rows == bench->shown[METER_BENCH].count);
    tear_down(live);
}

TEST(a_meter_fed_by_the_pack_is_dark_with_it)
{
    for (int again = 0; again < 2; again++) {
        set_up(again ? "tally starts again" : "tally stays");
        struct live *live = live_new(bench, &hand);
        struct serve_view shunt = live_view(live, METER_SHUNT, false),
                          own = live_view(live, METER_BENCH, false);
        struct serve_row row, last;
        double end_s = bench->truth.end_s, woken_s = bench->truth.segment_s[3];
        CHECK(shunt.row(shunt.context, &row));
        wait_s(end_s - 2);
        CHECK(shunt.row(shunt.context, &last));
        CHECK(decimal_value(last.cells[2]) > 1);
        wait_s(30);
        CHECK(!shunt.row(shunt.context, &row));
        CHECK(own.row(own.context, &row) && fabs(decimal_value(row.cells[0]) - 0.3) < 0.02);
        wait_s(woken_s + 10 - (end_s + 28));
        CHECK(shunt.row(shunt.context, &row));
        if (again) {
            CHECK(row.time_s < 11 && fabs(decimal_value(row.cells[2])) < 0.1);
        } else {
            CHECK_NEAR(row.time_s, live_s(live), 1.1);
            CHECK_NEAR(decimal_value(row.cells[2]), decimal_value(last.cells[2]), 0.12);
        }
        wait_s(1000); /* the script is over: everything is switched off */
        CHECK(live_over(live));
        CHECK(!shunt.row(shunt.context, &row) && !own.row(own.context, &row));
        tear_down(live);
    }
}

TEST(who_comes_late_has_missed_what_was)
{
    set_up("tally stays");
    struct live *live = live_new(bench, &hand);
    struct serve_view view = live_view(live, METER_BENCH, false);
    struct serve_row row;
    bool dark;
    live_begin(live);
    wait_s(100);
    CHECK(view.next(view.context, &row, &dark));
    CHECK(row.time_s > 98.9);
    live_stop(live);
    CHECK(view.next(view.context, &row, &dark) == false);
    tear_down(live);
}
