#include "check.h"

#include "intake/log_look.h"

#include <unistd.h>

static char path[64];

static void write_log(const char *text, size_t times, const char *row)
{
    snprintf(path, sizeof path, "%s/rundown-look-XXXXXX", P_tmpdir);
    int file = mkstemp(path);
    CHECK(write(file, text, strlen(text)) == (ssize_t)strlen(text));
    for (size_t k = 0; k < times; k++)
        CHECK(write(file, row, strlen(row)) == (ssize_t)strlen(row));
    close(file);
}

TEST(shows_what_each_column_was_taken_for)
{
    struct log_options options = {0};
    struct log_look look;
    struct message message;
    write_log("Bench log, invented\nTime (s);Battery voltage;Current (mA);Fan\n", 0, "");
    FILE *file = fopen(path, "a");
    for (int k = 0; k < 40; k++)
        fprintf(file, "%d;12,%02d;2%d00;on\n", k, 90 - k, k % 3);
    fclose(file);
    CHECK(log_look(path, &options, &look, &message) == STATUS_OK);
    CHECK(!look.refused && look.column_count == 4 && look.rows == LOOK_ROWS);
    CHECK(look.delimiter == ';' && look.decimal == ',' && look.utf8 && look.invented);
    CHECK(look.columns[0].role == COLUMN_TIME && look.columns[1].channel == CHANNEL_VOLTAGE);
    CHECK_TEXT(look.columns[2].unit, "mA");
    CHECK_TEXT(look.cells[1 * 4 + 1], "12,89");
    CHECK(look.header_line == 2 && look.lines[0] == 3);
    log_look_free(&look);
    unlink(path);
}

TEST(a_refusal_is_shown_with_the_columns)
{
    struct log_options options = {0};
    struct log_look look;
    struct message message;
    write_log("time s,volts a,volts b,amps\n", 30, "1,12.81,12.83,4.2\n");
    CHECK(log_look(path, &options, &look, &message) == STATUS_OK);
    CHECK(look.refused && look.refusal.status == STATUS_AMBIGUOUS);
    CHECK(strstr(look.refusal.remedy, "--column voltage=2 or --column voltage=3") != NULL);
    CHECK(look.column_count == 4 && look.rows == LOOK_ROWS);
    CHECK_TEXT(look.columns[2].header, "volts b");
    log_look_free(&look);
    unlink(path);
}

TEST(what_is_no_table_fails)
{
    struct log_options options = {0};
    struct log_look look;
    struct message message = {0};
    write_log("", 0, "");
    CHECK(log_look(path, &options, &look, &message) != STATUS_OK);
    CHECK(message.what[0] != '\0');
    unlink(path);
}

static bool stop_at_once(void *context)
{
    ++*(int *)context;
    return true;
}

TEST(a_reading_can_be_stopped)
{
    struct message message = {0};
    struct log log;
    int asked = 0;
    struct log_options options = {.stopped = stop_at_once, .context = &asked, .threads = 2};
    write_log("time s,V,A\n", 60000, "1,12.81,4.2\n");
    CHECK(log_read(path, &options, &log, &message) == STATUS_UNREADABLE);
    CHECK_TEXT(message.what, "the reading was stopped");
    CHECK(asked >= 1);
    unlink(path);
}

TEST(who_reads_says_which_way_the_current_counts)
{
    struct message message = {0};
    struct log log;
    struct log_options options = {.sign = SIGN_CHARGE_POSITIVE};
    write_log("time s,V,A\n", 0, "");
    FILE *file = fopen(path, "a");
    for (int k = 0; k < 20; k++)
        fprintf(file, "%d,13.2,5.0\n", k);
    fclose(file);
    CHECK(log_read(path, &options, &log, &message) == STATUS_OK);
    CHECK(log.sign == SIGN_CHARGE_POSITIVE);
    CHECK(log.notices.count > 0);
    log_free(&log);
    unlink(path);
}
