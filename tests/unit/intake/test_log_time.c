/* Time in logs: its forms, its order, its restarts. */
#include "log_text.h"

static double utc(const struct log *log)
{
    return log->series.start_utc_s;
}

/* Are the instants of a log these, from its first? */
static bool runs(const char *text, size_t count, const double *t_s)
{
    struct log log;
    if (read_text(text, &log) != STATUS_OK) {
        printf("    refused: %s. %s\n", log_message.what, log_message.remedy);
        return false;
    }
    bool same = log.series.count == count;
    for (size_t k = 0; same && k < count; k++)
        same = fabs(log.series.t_s[k] - t_s[k]) <= 1e-9 * (1 + fabs(t_s[k]));
    for (size_t k = 0; !same && k < log.series.count; k++)
        printf("    row %zu at %.9g\n", k, log.series.t_s[k]);
    log_free(&log);
    return same;
}

TEST(forms_of_time)
{
    static const double steps[] = {0, 0.5, 2};
    CHECK(runs("Elapsed (h:mm:ss),V,A\n0:00:00.0,13.2,5\n0:00:00.5,13.1,5\n0:00:02.0,13.1,5\n", 3, steps));
    CHECK(runs("time,V,A\n14:59:59.5,13.2,5\n15:00:00.0,13.1,5\n15:00:01.5,13.1,5\n", 3, steps));
    CHECK(runs(
        "time,V,A\n2023-04-03 23:59:59.0,13.2,5\n2023-04-03 23:59:59.5,13.1,5\n2023-04-04 00:00:01.0,13.1,5\n",
        3, steps));
    CHECK(runs(
        "time,V,A\n2023-04-03T10:00:00Z,13.2,5\n2023-04-03T12:00:00.5+02:00,13.1,5\n2023-04-03T10:00:02Z,13.1,5\n",
        3, steps));
    CHECK(runs("time,V,A\n1680516000.0,13.2,5\n1680516000.5,13.1,5\n1680516002.0,13.1,5\n", 3, steps));
    CHECK(runs("time,V,A\n1680516000000,13.2,5\n1680516000500,13.1,5\n1680516002000,13.1,5\n", 3, steps));
    CHECK(runs(
        "Date,Time,V,A\n03.04.2023,23:59:59.5,13.2,5\n04.04.2023,00:00:00.0,13.1,5\n04.04.2023,00:00:01.5,13.1,5\n",
        3, steps));
    CHECK(runs("time (ms),V,A\n0,13.2,5\n500,13.1,5\n2000,13.1,5\n", 3, steps));
    CHECK(runs(
        "DateTime,V,A\n4/3/2023 11:59:59 PM,13.2,5\n4/3/2023 11:59:59.5 PM,13.1,5\n4/4/2023 12:00:01 AM,13.1,5\n",
        3, steps));
    CHECK(runs(
        "time,V,A\nMon Apr 3 12:00:00 2023,13.2,5\nMon Apr 3 12:00:00.5 2023,13.1,5\nMon Apr 3 12:00:02 2023,13.1,5\n",
        3, steps));
}

/* Two hours off, it would put two hours of current into the log, there and back. */
TEST(a_date_without_a_zone_among_others_is_no_instant)
{
    struct log log;
    CHECK(read_text("time,V,A\n2026-05-03T22:10:00+02:00,52.9,24\n2026-05-03T22:10:01+02:00,52.8,24\n"
                    "2026-05-03T22:10:02,52.8,24\n2026-05-03T22:10:03+02:00,52.7,24\n",
                    &log) == STATUS_OK);
    CHECK(log.series.count == 3 && log.bad_count == 1);
    CHECK(log.bad_count == 1 && log.bad[0].line == 4);
    CHECK_NEAR(log.series.t_s[2], 3, 1e-9);
    log_free(&log);
    CHECK(read_text("Date,Time,V,A\n2026-05-03,22:10:00,52.9,24\n2026-05-03,22:10:01,52.8,24\n"
                    "2026-05-03,22:10:02Z,52.8,24\n",
                    &log) == STATUS_OK);
    CHECK(log.series.count == 2 && log.bad_count == 1 && !log.series.zone_known);
    log_free(&log);
}

TEST(start_and_zone)
{
    struct log log;
    CHECK(read_text("time,V,A\n2023-04-03T10:00:00.25+02:00,13.2,5\n2023-04-03T10:00:01+02:00,13.1,5\n",
                    &log) == STATUS_OK);
    CHECK_NEAR(utc(&log), 1680508800.25, 1e-6);
    CHECK(log.series.zone_known);
    CHECK_NEAR(log.series.t_s[1], 0.75, 1e-9);
    log_free(&log);
    CHECK(read_text("time,V,A\n2023-04-03 10:00:00,13.2,5\n2023-04-03 10:00:01,13.1,5\n", &log) == STATUS_OK);
    CHECK_NEAR(utc(&log), 1680516000, 0);
    CHECK(!log.series.zone_known && log.series.time_resolution_s == 1);
    log_free(&log);
    CHECK(read_text(
              "Test_Time(s),Date_Time,V,A\n10,2023-04-03 10:00:10,13.2,5\n11,2023-04-03 10:00:11,13.1,5\n",
              &log) == STATUS_OK);
    CHECK_NEAR(log.series.t_s[0], 10, 0);
    CHECK_NEAR(utc(&log), 1680516000, 0);
    log_free(&log);
    CHECK(read_text("time (s),V,A\n0,13.2,5\n1,13.1,5\n", &log) == STATUS_OK);
    CHECK(isnan(utc(&log)));
    log_free(&log);
}

TEST(day_or_month_first_is_found_from_the_whole_log)
{
    static const double a_day[] = {0, 86400};
    CHECK(runs("time,V,A\n03/04/2023 10:00:00,13.2,5\n04/04/2023 10:00:00,13.1,5\n", 2,
               a_day)); /* days, not months, apart */
    CHECK(runs("time,V,A\n04/03/2023 10:00:00,13.2,5\n04/04/2023 10:00:00,13.1,5\n", 2, a_day));
    CHECK(runs("time,V,A\n12/04/2023 10:00:00,13.2,5\n13/04/2023 10:00:00,13.1,5\n", 2,
               a_day)); /* there is no month 13 */
}

TEST(a_single_day_runs_whichever_it_is)
{
    struct log log;
    CHECK(read_text("time,V,A\n03/04/2023 10:00:00,13.2,5\n03/04/2023 10:00:01,13.1,5\n", &log) == STATUS_OK);
    CHECK_NEAR(log.series.t_s[1], 1, 0);
    CHECK(isnan(utc(&log))); /* 3 April or 4 March: not said */
    CHECK(notes(&log, "day or the month"));
    log_free(&log);
}

TEST(dates_that_cannot_be_told_are_refused)
{
    struct log log;
    const char *text =
        "time,V,A\n03/04/2023 10:00:00,13.2,5\n03/07/2023 10:00:00,13.1,5\n"; /* 3 months or 3 days */
    CHECK(read_text("time,V,A\n03/04/2023 10:00:00,13.2,5\n05/07/2023 10:00:00,13.1,5\n", &log) ==
          STATUS_AMBIGUOUS);
    CHECK(says(log_message.remedy, "--column time=1:dmy or --column time=1:mdy"));
    static const char *const day[] = {"time=1:dmy", NULL}, *const month[] = {"time=1:mdy", NULL};
    CHECK(read_asked(text, day, 0, &log) == STATUS_OK);
    CHECK_NEAR(log.series.t_s[1], 91 * 86400, 0);
    log_free(&log);
    CHECK(read_asked(text, month, 0, &log) == STATUS_OK);
    CHECK_NEAR(log.series.t_s[1], 3 * 86400, 0);
    log_free(&log);
}

TEST(the_order_in_a_date_column)
{
    struct log log;
    const char *text = "Date,Time,V,A\n03/04/2023,10:00:00,13.2,5\n05/07/2023,10:00:00,13.1,5\n";
    static const char *const asked[] = {"date=1:dmy", "time=2", NULL};
    CHECK(read_text(text, &log) == STATUS_AMBIGUOUS);
    CHECK(says(log_message.remedy, "--column date=1:dmy"));
    CHECK(read_asked(text, asked, 0, &log) == STATUS_OK);
    CHECK_NEAR(log.series.t_s[1], 93 * 86400, 0);
    log_free(&log);
    CHECK(read_asked(text, &asked[2], 0, &log) == STATUS_AMBIGUOUS);
    static const char *const date_only[] = {"date=1:dmy", NULL};
    CHECK(read_asked(text, date_only, 0, &log) == STATUS_OK); /* as the remedy says */
    CHECK_NEAR(log.series.t_s[1], 93 * 86400, 0);
    log_free(&log);
}

TEST(two_numbers_and_a_colon)
{
    struct log log;
    const char *text = "time,V,A\n00:00,13.2,5\n00:01,13.1,5\n01:30,13.1,5\n";
    CHECK(read_text(text, &log) == STATUS_AMBIGUOUS);
    CHECK(says(log_message.remedy, "--column time=1:hh:mm or --column time=1:mm:ss"));
    static const char *const seconds[] = {"time=1:mm:ss", NULL}, *const minutes[] = {"time=1:hh:mm", NULL};
    CHECK(read_asked(text, seconds, 0, &log) == STATUS_OK);
    CHECK_NEAR(log.series.t_s[2], 90, 0);
    log_free(&log);
    CHECK(read_asked(text, minutes, 0, &log) == STATUS_OK);
    CHECK_NEAR(log.series.t_s[2], 5400, 0);
    log_free(&log);
    CHECK(read_text("time (mm:ss),V,A\n00:00,13.2,5\n00:01,13.1,5\n01:30,13.1,5\n", &log) == STATUS_OK);
    CHECK_NEAR(log.series.t_s[2], 90, 0);
    log_free(&log);
}

TEST(midnight)
{
    static const double steps[] = {0, 1, 2, 3};
    CHECK(runs("time,V,A\n23:59:58,13.2,5\n23:59:59,13.1,5\n00:00:00,13.1,5\n00:00:01,13.1,5\n", 4, steps));
    struct log log;
    CHECK(read_text("time,V,A\n23:59:58,13.2,5\n23:59:59,13.1,5\n00:00:00,13.1,5\n", &log) == STATUS_OK);
    CHECK(log.series.gap_count == 0 && notes(&log, "midnight"));
    log_free(&log);
}

TEST(elapsed_hours_without_room_for_a_second_day)
{
    struct log log;
    char text[9000] = "Elapsed,V,A\n";
    for (int k = 0; k < 200; k++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "%02d:%02d:00,13.2,5\n", k / 6 % 24,
                 k % 6 * 10);
    CHECK(read_text(text, &log) == STATUS_OK);
    CHECK(log.series.gap_count == 0);
    CHECK_NEAR(log.series.t_s[199], 199 * 600, 0);
    log_free(&log);
}

TEST(rows_of_one_instant_are_kept)
{
    static const double steps[] = {0, 1, 1, 1, 2};
    CHECK(runs("time (s),V,A\n0,13.2,5\n1,13.1,5\n1,13.1,9\n1,13.0,9\n2,13.0,9\n", 5, steps));
}

TEST(late_rows_are_put_in_order)
{
    struct log log;
    CHECK(
        read_text(
            "time,V,A,T\n2017-03-27 09:20:21.8,12.40,2.03,\n2017-03-27 09:21:21.8,12.37,2.03,\n2017-03-27 09:22:21.8,12.36,2.04,\n"
            "2017-03-27 09:22:21.0,,,22.7\n2017-03-27 09:23:21.8,12.35,2.05,\n",
            &log) == STATUS_OK);
    CHECK(log.out_of_order == 1 && log.series.gap_count == 0 && log.series.count == 5);
    CHECK_NEAR(log.series.t_s[2], 119.2, 1e-9);
    CHECK_NEAR(log.series.column[CHANNEL_TEMPERATURE][2], 22.7, 0);
    CHECK_NEAR(log.series.column[CHANNEL_VOLTAGE][3], 12.36, 0);
    CHECK(notes(&log, "1 row stood behind later ones"));
    log_free(&log);
}

TEST(newest_row_first)
{
    static const double steps[] = {0, 1, 2, 3};
    CHECK(runs("time (s),V,A\n3,13.2,5\n2,13.1,5\n1,13.1,5\n0,13.1,5\n", 4, steps));
    struct log log;
    CHECK(read_text("time (s),V,A,note\n3,13.2,5,end\n2,13.1,5,\n1,13.1,5,burst\n0,13.1,5,\n", &log) ==
          STATUS_OK);
    CHECK_NEAR(log.series.column[CHANNEL_VOLTAGE][3], 13.2, 0);
    CHECK(log.series.mark_count == 2 && log.series.marks[0].t_s == 1 && log.series.marks[1].t_s == 3);
    log_free(&log);
}

TEST(a_restarted_clock)
{
    struct log log;
    CHECK(read_text("time (s),V,A\n0,13.2,5\n1,13.1,5\n2,13.1,5\n3,13.1,5\n0,13.0,0\n1,13.0,0\n2,13.0,0\n",
                    &log) == STATUS_OK);
    CHECK(log.series.count == 7 && log.series.gap_count == 1 && log.out_of_order == 0);
    CHECK_NEAR(log.series.t_s[4], 4, 0);
    CHECK_NEAR(log.series.t_s[6], 6, 0);
    struct gap gap = log.series.gaps[0];
    CHECK(gap.after == 4 && gap.assumed_s == 1 && gap.lo_s == 0 && gap.hi_s == INFINITY &&
          gap.why[0] != '\0');
    CHECK(notes(&log, "restarted or set back 1 time"));
    log_free(&log);
}

TEST(a_clock_that_starts_late_was_not_started_before)
{
    struct log
        log; /* the second block's first reading is 0.4 s after its zero, which is not before the last one of the first */
    CHECK(read_text(
              "time (s),V,A\n0,13.2,5\n1,13.1,5\n2,13.1,5\n3,13.1,5\n0.4,13.0,0\n1.4,13.0,0\n2.4,13.0,0\n",
              &log) == STATUS_OK);
    CHECK(log.series.gap_count == 1 && log.series.gaps[0].lo_s == 0.4 && log.series.gaps[0].assumed_s == 0.4);
    log_free(&log);
}

TEST(a_joint_of_no_length_does_not_go_back_by_a_rounding)
{
    struct log
        log; /* 13.19 - 3.2 + 3.2 is less than 13.19 in doubles; no interval tells how long the joint was */
    CHECK(read_text("Step,Time(s),V,A\n1,13.19,13.2,0\n2,3.2,13.2,0\n", &log) == STATUS_OK);
    CHECK(log.series.count == 2 && log.series.t_s[1] >= log.series.t_s[0]);
    log_free(&log);
}

TEST(two_clocks_in_turn_bound_each_other)
{
    struct log
        log; /* clock B runs on while clock A counts rows 4 to 6: its two joints last 5 - 2 = 3 s less 2 s of rows */
    CHECK(
        read_text(
            "time (s),V,A\n0,13.2,5\n1,13.1,5\n2,13.1,5\n3,13.1,5\n0,13.0,0\n1,13.0,0\n2,13.0,0\n7,13,5\n8,13,5\n9,13,5\n",
            &log) == STATUS_OK);
    CHECK(log.series.gap_count == 2);
    CHECK_NEAR(log.series.t_s[7], 7, 0);
    CHECK_NEAR(log.series.gaps[0].hi_s, 2, 1e-12);
    CHECK_NEAR(log.series.gaps[1].hi_s, 2, 1e-12);
    log_free(&log);
}

TEST(a_jump_forward_stays)
{
    static const double steps[] = {0, 1, 2, 602, 603};
    CHECK(runs("time (s),V,A\n0,13.2,5\n1,13.1,5\n2,13.1,5\n602,13.1,5\n603,13.0,0\n", 5, steps));
}

TEST(time_within_the_step)
{
    struct log log;
    CHECK(
        read_text(
            "Step,StepTime(s),V,A\n1,1,13.2,0\n1,2,13.2,0\n1,3,13.2,0\n2,0.5,13.1,5\n2,1.5,13.1,5\n3,2,13.0,0\n3,3,13,0\n",
            &log) == STATUS_OK);
    CHECK(log.series.gap_count == 2);
    CHECK_NEAR(log.series.t_s[3], 3.5,
               0); /* half a second after the step began, which was not before row 3 */
    CHECK_NEAR(log.series.t_s[5], 6.5, 0);
    CHECK_NEAR(log.series.gaps[0].lo_s, 0.5, 0);
    CHECK_NEAR(log.series.gaps[0].hi_s, 1.5, 0); /* the first step would have logged again after a second */
    log_free(&log);
}

TEST(elapsed_time_that_restarts_with_the_step)
{
    struct log log;
    CHECK(read_text(
              "Step,Time(s),V,A\n1,0,13.2,0\n1,1,13.2,0\n1,2,13.2,0\n2,0,13.1,5\n2,1,13.1,5\n2,2,13.0,5\n",
              &log) == STATUS_OK);
    CHECK(log.series.gap_count == 1 && log.series.gaps[0].after == 3);
    CHECK_NEAR(log.series.gaps[0].hi_s, 1, 0);
    CHECK(says(log.series.gaps[0].why, "new step"));
    log_free(&log);
}

TEST(a_wall_clock_set_back)
{
    struct log log;
    char text[8000] = "time,V,A\n";
    for (int k = 0; k < 60; k++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "2023-10-29 0%d:%02d:00,13.2,5\n",
                 k < 30 ? 2 : 2, k < 30 ? 30 + k : k - 30);
    CHECK(read_text(text, &log) == STATUS_OK);
    CHECK(log.series.gap_count == 1 && log.series.gaps[0].after == 30 && log.out_of_order == 0);
    CHECK_NEAR(log.series.t_s[30] - log.series.t_s[29], 60, 1e-9);
    log_free(&log);
}
