/* The open measurement data: what their SOURCE.md and expected.json say of rows, gaps and signs. */
#include "log_text.h"

static struct log log_;

static const char *path_of(const char *name)
{
    return test_data(name);
}

static enum status read_file(const char *path, const char *const *asked)
{
    struct column_wish wishes[8];
    struct log_options options = {.wishes = wishes};
    for (; asked != NULL && asked[options.wish_count] != NULL; options.wish_count++)
        CHECK(column_wish_read(asked[options.wish_count], &wishes[options.wish_count], &log_message) ==
              STATUS_OK);
    memset(&log_, 0, sizeof log_);
    return log_read(path, &options, &log_, &log_message);
}

static size_t present(enum channel channel)
{
    size_t count = 0;
    for (size_t k = 0; k < log_.series.count; k++)
        count += !isnan(log_.series.column[channel][k]);
    return count;
}

static double spread(void)
{
    return log_.series.t_s[log_.series.count - 1] - log_.series.t_s[0];
}

TEST(lead_acid_sensors_that_take_turns)
{
    static const struct {
        const char *name;
        size_t rows, with_volts, late;
        double last_s;
    } logs[] = {
        {"lead-acid-12v-17ah/discharge_0.5A.csv", 2176, 2136, 1, 136201.2},
        {"lead-acid-12v-17ah/discharge_1.0A_a.csv", 1218, 1154, 7, 77062.5},
        {"lead-acid-12v-17ah/discharge_1.0A_b.csv", 1112, 1095, 1, 73401.6},
        {"lead-acid-12v-17ah/discharge_1.5A.csv", 826, 790, 0, 55494.7},
        {"lead-acid-12v-17ah/discharge_2.0A.csv", 649, 611, 10, 44788.9},
        {"lead-acid-12v-17ah/discharge_2.5A.csv", 533, 503, 2, 38973.9},
        {"lead-acid-12v-17ah/other_battery_2017-03-24.csv", 408, 389, 1, 31854.0},
        {"lead-acid-12v-17ah/all_2017-03-25_2017-04-04.csv", 13221, 12726, 32, 854536.8},
    };
    for (size_t k = 0; k < sizeof logs / sizeof *logs; k++) {
        const char *path = path_of(logs[k].name);
        if (path == NULL)
            SKIP("the open data are not on this machine");
        CHECK(read_file(path, NULL) == STATUS_OK);
        CHECK(log_.series.count == logs[k].rows && log_.bad_count == 0 && log_.series.gap_count == 0);
        CHECK(present(CHANNEL_VOLTAGE) == logs[k].with_volts &&
              present(CHANNEL_CURRENT) == logs[k].with_volts);
        CHECK(log_.out_of_order == logs[k].late);
        CHECK_NEAR(log_.series.t_s[log_.series.count - 1], logs[k].last_s, 1e-6);
        CHECK(!log_.series.zone_known && log_.series.start_utc_s > 1490313600 &&
              log_.series.start_utc_s < 1491350400);
        log_free(&log_);
    }
}

TEST(lfp_columns_listed_in_the_preamble)
{
    const char *path = path_of("lfp-26650-2.6ah/discharge_1C_20degC.txt");
    if (path == NULL)
        SKIP("the open data are not on this machine");
    CHECK(read_file(path, NULL) == STATUS_OK);
    CHECK(log_.series.count == 3043 && log_.bad_count == 0);
    CHECK_NEAR(spread(), 3041.21745, 1e-5);
    CHECK_NEAR(log_.series.column[CHANNEL_VOLTAGE][0], 3.6645, 0);
    CHECK_NEAR(log_.series.column[CHANNEL_CURRENT][0], -2.5855, 0);
    CHECK_NEAR(log_.series.column[CHANNEL_TEMPERATURE][0], 20.774156, 0);
    CHECK(says(log_.columns[1].why, "line 10 lists the columns"));
    CHECK_REL(log_.series.resolution[CHANNEL_VOLTAGE], 1e-4, 1e-9);
    log_free(&log_);
}

TEST(lfp_two_clocks_and_currents_that_are_no_value)
{
    const char *path = path_of("lfp-26650-2.6ah/hppc_raw_10pct_20degC.txt");
    if (path == NULL)
        SKIP("the open data are not on this machine");
    CHECK(read_file(path, NULL) == STATUS_OK);
    CHECK(log_.series.count == 48445 && log_.bad_count == 0 && log_.missing_cells == 3629);
    CHECK(log_.series.count - present(CHANNEL_CURRENT) == 3629);
    CHECK(log_.series.gap_count == 24 + 23); /* the clock goes back 24 times and jumps forward 23 times */
    /* expected.json rebuilds the clock with 1 s at each of the 47 joints and gets 48441.5 s. */
    CHECK_NEAR(spread(), 48441.5297, 5);
    for (size_t k = 0; k < log_.series.gap_count; k++)
        CHECK(log_.series.gaps[k].assumed_s > 0.9 && log_.series.gaps[k].assumed_s < 1.2 &&
              log_.series.gaps[k].hi_s < 7);
    for (size_t k = 1; k < log_.series.count; k++)
        if (!(log_.series.t_s[k] >= log_.series.t_s[k - 1] &&
              log_.series.t_s[k] - log_.series.t_s[k - 1] < 5))
            CHECK(false);
    log_free(&log_);
}

TEST(lfp_rate_in_the_preamble)
{
    const char *path = path_of("lfp-26650-2.6ah/hppc_clean_20degC.csv");
    if (path == NULL)
        SKIP("the open data are not on this machine");
    CHECK(read_file(path, NULL) == STATUS_OK);
    CHECK(log_.series.count == 72140 && spread() == 72139);
    CHECK(notes(&log_, "as line 1 says"));
    log_free(&log_);
}

TEST(lithium_without_header)
{
    const char *path = path_of("lithium-18650-3ah/S001_1C.csv");
    if (path == NULL)
        SKIP("the open data are not on this machine");
    CHECK(read_file(path, NULL) == STATUS_AMBIGUOUS);
    CHECK(says(log_message.what, "1: 0 | 2: 0.028243 | 3: 4.1432"));
    CHECK(says(log_message.remedy, "--column time=1 --column voltage=3 --column current=2"));
    static const char *const asked[] = {"time=1",        "voltage=3", "current=2",
                                        "temperature=5", "ambient=7", NULL};
    CHECK(read_file(path, asked) == STATUS_OK);
    CHECK(log_.series.count == 3548 && log_.bad_count == 0);
    CHECK_NEAR(log_.series.t_s[3547], 3548.01952, 1e-5);
    CHECK_NEAR(log_.series.column[CHANNEL_CURRENT][1], -2.9883, 0);
    log_free(&log_);
}

TEST(lmo_signed_tallies_and_modes)
{
    const char *path = path_of("lmo-pouch-33ah/hppc_25degC.csv");
    if (path == NULL)
        SKIP("the open data are not on this machine");
    CHECK(read_file(path, NULL) == STATUS_OK);
    CHECK(log_.series.count == 13248 && log_.bad_count == 0 && log_.sign == SIGN_CHARGE_POSITIVE);
    CHECK_NEAR(log_.series.t_s[13247], 58968.2, 0);
    CHECK_NEAR(log_.series.column[CHANNEL_CHARGE_TALLY][13247], -1.67, 0);
    log_free(&log_);
}

TEST(lmo_without_header)
{
    static const struct {
        const char *name;
        size_t rows;
        double last_s;
    } logs[] = {{"lmo-pouch-33ah/discharge_1C.csv", 2287, 66041.4},
                {"lmo-pouch-33ah/discharge_2C.csv", 2507, 75660.8}};
    for (size_t k = 0; k < 2; k++) {
        const char *path = path_of(logs[k].name);
        if (path == NULL)
            SKIP("the open data are not on this machine");
        CHECK(read_file(path, NULL) == STATUS_AMBIGUOUS);
        CHECK(says(log_message.remedy, "--column time=2 --column voltage=10 --column current=9"));
        static const char *const asked[] = {"time=2",    "voltage=10", "current=9",
                                            "charge=12", "energy=13",  NULL};
        CHECK(read_file(path, asked) == STATUS_OK);
        CHECK(log_.series.count == logs[k].rows && log_.bad_count == 0 && log_.sign == SIGN_CHARGE_POSITIVE);
        CHECK_NEAR(log_.series.t_s[log_.series.count - 1], logs[k].last_s, 0);
        log_free(&log_);
    }
}

/* The time within the step, joined, against the whole time that the same log holds. */
TEST(lmo_step_time_against_the_whole_time)
{
    const char *path = path_of("lmo-pouch-33ah/hppc_25degC.csv");
    if (path == NULL)
        SKIP("the open data are not on this machine");
    static const char *const asked[] = {"unused=2", NULL};
    CHECK(read_file(path, asked) == STATUS_OK);
    CHECK(log_.series.count == 13248 && log_.series.gap_count > 20);
    CHECK_NEAR(log_.series.t_s[13247], 58968.2, 0.2);
    log_free(&log_);
}

TEST(temperatures_alone_are_refused)
{
    const char *path = path_of("lmo-pouch-33ah/temperature_1C.tsv");
    if (path == NULL)
        SKIP("the open data are not on this machine");
    CHECK(read_file(path, NULL) == STATUS_AMBIGUOUS);
    CHECK(says(log_message.what, "no voltage or current column"));
}
