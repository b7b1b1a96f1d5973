/* Logs that are refused: each with its place and a remedy that works. */
#include "log_text.h"

static bool refused(const char *text, enum status status, long line, const char *what, const char *remedy)
{
    struct log log;
    enum status got = read_text(text, &log);
    if (got == STATUS_OK) {
        printf("    was read: %s", text);
        log_free(&log);
        return false;
    }
    bool same = got == status && log_message.line == line && log_message.file[0] != '\0';
    if (!same)
        printf("    status %d, line %ld: %s. %s\n", got, log_message.line, log_message.what,
               log_message.remedy);
    return same && says(log_message.what, what) && says(log_message.remedy, remedy);
}

TEST(two_columns_that_could_each_be_the_pack)
{
    CHECK(refused("# hut\ntime,Voltage A,Voltage B,current\n0,13.2,12.9,5\n1,13.1,12.8,5\n", STATUS_AMBIGUOUS,
                  2, "2 'Voltage A', 3 'Voltage B'", "--column voltage=2 or --column voltage=3"));
    CHECK(refused("time,voltage,current 1,current 2\n0,13.2,5,6\n1,13.1,5,6\n", STATUS_AMBIGUOUS, 1,
                  "could each be the current", "--column current=3"));
    CHECK(refused("time,voltage,charge current,discharge current\n0,13.2,0,6\n1,13.1,0,6\n", STATUS_AMBIGUOUS,
                  1, "could each be the current", "--column current=4"));
    CHECK(refused("time a (s),time b (s),voltage,current\n0,7,13.2,5\n1,9,13.1,5\n", STATUS_AMBIGUOUS, 1,
                  "could each be the time", "--column time=2"));
}

TEST(no_header)
{
    CHECK(refused("0,0.03,4.14,22.9\n1,-2.98,4.05,22.9\n2,-2.98,4.04,22.9\n", STATUS_AMBIGUOUS, 1,
                  "1: 0 | 2: 0.03 | 3: 4.14 | 4: 22.9",
                  "--column time=1 --column voltage=N --column current=N"));
    CHECK(refused("20.5,20.7\n20.6,20.8\n20.5,20.9\n", STATUS_AMBIGUOUS, 1, "no voltage or current column",
                  "--column voltage=N"));
    CHECK(refused("time,Untitled 1,Untitled 2\n0,13.2,5\n1,13.1,5\n", STATUS_AMBIGUOUS, 2,
                  "no word of the header tells", "--column voltage=N"));
}

TEST(a_product_proposes_but_is_not_believed)
{
    char text[2000] = "";
    for (int k = 0; k < 20; k++) {
        double volts = 13.2 - 0.01 * k, amps = k < 2 ? 0 : 24.5 + 0.1 * k;
        snprintf(text + strlen(text), sizeof text - strlen(text), "%d,%.3f,%.2f,%.3f\n", k, amps, volts,
                 amps * volts);
    }
    CHECK(refused(text, STATUS_AMBIGUOUS, 1, "there is no header",
                  "--column time=1 --column voltage=3 --column current=2"));
    static const char *const asked[] = {"time=1", "voltage=3", "current=2", NULL};
    struct log log;
    CHECK(read_asked(text, asked, 0, &log) == STATUS_OK); /* the remedy works */
    CHECK_NEAR(log.series.column[CHANNEL_VOLTAGE][0], 13.2, 0);
    log_free(&log);
}

TEST(a_header_that_is_off_by_one)
{
    CHECK(refused("time,voltage,current\n1,0,13.2,5\n2,1,13.1,5\n3,2,13.0,5\n", STATUS_AMBIGUOUS, 2,
                  "fewer columns than the rows", "--column"));
}

TEST(a_header_inside_with_other_columns)
{
    CHECK(refused("time,voltage,current\n0,13.2,5\n1,13.1,5\ntime,current,voltage\n2,5,13.0\n",
                  STATUS_AMBIGUOUS, 4, "another order", "log of its own"));
}

TEST(no_time)
{
    CHECK(refused("voltage,current\n13.2,5\n13.1,5\n", STATUS_AMBIGUOUS, 2, "no time column", "--period 1s"));
    CHECK(refused("time,voltage,current\nearly,13.2,5\nlate,13.1,5\n", STATUS_AMBIGUOUS, 2, "no time column",
                  "--column time=N"));
}

TEST(more_rows_unread_than_read)
{
    char text[20000] = "time,voltage,current\n";
    for (int k = 0; k < 900; k++)
        snprintf(text + strlen(text), sizeof text - strlen(text), k < 400 ? "%d,13.2,5\n" : "%d,13.2 5\n", k);
    CHECK(refused(text, STATUS_UNREADABLE, 402, "500 rows cannot be read and only 400 can",
                  "--column unused=N"));
}

TEST(more_columns_than_are_read)
{
    struct text text = TEXT_EMPTY;
    for (int row = 0; row < 3; row++)
        for (int k = 0; k < 600; k++)
            text_addf(&text, "%d%s", row + k, k < 599 ? "," : "\n");
    CHECK(refused(text_string(&text), STATUS_LIMIT, 1, "512 columns or more", "fewer columns"));
    text_free(&text);
}

TEST(a_time_that_is_none)
{
    char text[4000] = "time,voltage,current\n", still[1000] = "time,voltage,current\n";
    for (int k = 0; k < 60; k++)
        snprintf(text + strlen(text), sizeof text - strlen(text), "%d,13.2,5\n", k * 47 % 100);
    CHECK(refused(text, STATUS_AMBIGUOUS, 2, "column 1 is no time: it goes back", "--column time=N"));
    for (int k = 0; k < 20; k++)
        snprintf(still + strlen(still), sizeof still - strlen(still), "5,13.2,5\n");
    CHECK(refused(still, STATUS_AMBIGUOUS, 2, "never moves", "--period"));
}

TEST(what_is_no_log)
{
    CHECK(refused("", STATUS_UNREADABLE, 0, "empty", ""));
    CHECK(refused("\n\n \n", STATUS_UNREADABLE, 0, "no lines of readings", "commas"));
    CHECK(refused("a letter\nto nobody\n", STATUS_UNREADABLE, 0, "no lines of readings", "commas"));
    CHECK(refused("\xFF\xFEt\n", STATUS_UNREADABLE, 0, "UTF-16", "iconv"));
    struct log log;
    struct log_options options = {0};
    CHECK(read_bytes("t\0i\0m\0e\0", 8, &options, &log) == STATUS_UNREADABLE);
    CHECK(says(log_message.what, "not text"));
    CHECK(log_read("/no/such/log.csv", &options, &log, &log_message) == STATUS_UNREADABLE);
    CHECK(says(log_message.what, "No such file"));
    CHECK(log_read("/", &options, &log, &log_message) == STATUS_UNREADABLE);
}

TEST(wishes_that_cannot_be_met)
{
    struct log log;
    static const char *const text = "time,V,V,current\n0,13.2,12.1,5\n1,13.1,12.2,5\n";
    static const char *const twice[] = {"voltage=V", NULL}, *const none[] = {"voltage=U", NULL},
                             *const beyond[] = {"voltage=9", NULL};
    static const char *const unit[] = {"voltage=2:mA", NULL};
    CHECK(read_asked(text, twice, 0, &log) == STATUS_AMBIGUOUS);
    CHECK(says(log_message.remedy, "--column voltage=2 or --column voltage=3"));
    CHECK(read_asked(text, none, 0, &log) == STATUS_USAGE);
    CHECK(says(log_message.remedy, "it has 4; its first row is 1: 0 | 2: 13.2"));
    CHECK(read_asked(text, beyond, 0, &log) == STATUS_USAGE);
    CHECK(read_asked(text, unit, 0, &log) == STATUS_USAGE);
    static const char *const role_twice[] = {"voltage=2", "voltage=3", NULL};
    static const char *const column_twice[] = {"voltage=2", "current=2", NULL};
    CHECK(read_asked(text, role_twice, 0, &log) == STATUS_USAGE);
    CHECK(says(log_message.what, "another column was asked for"));
    CHECK(read_asked(text, column_twice, 0, &log) == STATUS_USAGE);
    struct column_wish wish;
    CHECK(column_wish_read("volts=3", &wish, &log_message) == STATUS_USAGE);
    CHECK(column_wish_read("voltage", &wish, &log_message) == STATUS_USAGE);
    CHECK(column_wish_read("voltage=", &wish, &log_message) == STATUS_USAGE);
}
