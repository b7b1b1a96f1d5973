/* Every digit of a log comes back, however the number was printed. */
#include "intake/cells.h"
#include "log_text.h"

static uint64_t chance_state;

static unsigned chance(unsigned below)
{
    chance_state = chance_state * 6364136223846793005u + 1442695040888963407u;
    return (unsigned)(chance_state >> 33) % below;
}

/* The cell as kept: digits printed again, `OL`, `-` for missing, or the odd text. */
static void kept(const struct log *log, size_t row, int channel, char *buffer, size_t size)
{
    const struct digits *digits = &log->digits;
    bool time = channel == CHANNELS;
    uint8_t byte = time ? digits->time[row] : digits->column[channel][row];
    for (size_t k = 0; byte == DIGITS_ODD && k < digits->odd_count; k++)
        if (digits->odd[k].row == row && digits->odd[k].channel == channel) {
            snprintf(buffer, size, "%s", digits->odd[k].text);
            return;
        }
    double own = time ? log->series.t_s[row] : log->series.column[channel][row];
    if (!time && digits->mode != NULL && (digits->mode[row] == 1 || digits->mode[row] == -1) &&
        digits->turned[channel][digits->mode[row] < 0])
        own = -own;
    struct decimal decimal =
        time && digits->printed != NULL
            ? digits->printed[row]
            : digits_decimal(byte, own, time ? &digits->time_unit : &digits->unit[channel]);
    char text[DECIMAL_TEXT];
    decimal_print(decimal, text);
    snprintf(buffer, size, "%s", decimal.kind == DECIMAL_MISSING ? "-" : text);
}

static bool keeps(const struct log *log, size_t row, int channel, const char *want)
{
    char got[80];
    kept(log, row, channel, got, sizeof got);
    if (strcmp(got, want) == 0)
        return true;
    printf("    row %zu, channel %d: kept '%s', not '%s'\n", row, channel, got, want);
    return false;
}

static enum status read_kept(const char *text, struct log *log)
{
    struct log_options options = {.digits = true, .threads = 1};
    return read_bytes(text, strlen(text), &options, log);
}

TEST(zeros_at_the_end_and_words_for_none)
{
    struct log log;
    CHECK(read_kept("time (min),volts (mV),amps,temp (degF)\n"
                    "0.50,12900,24.10,68.0\n"
                    "1.00,-12.90,-0.00,68.05\n"
                    "1.5,1.29E4,OL,NaN\n"
                    "2.00,,+5.0,9.9E37\n"
                    "2.50,12.9 V,1E2,9.91E37\n"
                    "3.0,12900 mV,24.1234567890123456789,---\n"
                    "3.50,\"12901\",0.000000000000001,-40\n",
                    &log) == STATUS_OK);
    static const char *const volts[] = {"12900", "-12.90", "129E2", "-", "12.9 V", "12900", "12901"};
    static const char *const amps[] = {
        "24.10", "-0.00", "OL", "5.0", "1E2", "24.1234567890123456789", "0.000000000000001"};
    static const char *const temps[] = {"68.0", "68.05", "-", "OL", "-", "-", "-40"};
    static const char *const times[] = {"0.50", "1.00", "1.5", "2.00", "2.50", "3.0", "3.50"};
    CHECK(log.series.count == 7);
    for (size_t row = 0; row < 7; row++) {
        CHECK(keeps(&log, row, CHANNEL_VOLTAGE, volts[row]));
        CHECK(keeps(&log, row, CHANNEL_CURRENT, amps[row]));
        CHECK(keeps(&log, row, CHANNEL_TEMPERATURE, temps[row]));
        CHECK(keeps(&log, row, CHANNELS, times[row]));
    }
    log_free(&log);
}

/* 60,000 cells of many shapes against the decimals of their own text. */
TEST(any_digits_come_back)
{
    static const char *const heads[] = {"time (s),volts (V),amps (A)\n", "t (ms);U/mV;I (kA)\n",
                                        "epoch,voltage (V),temp (F)\n", "time (h),mV,amps (uA)\n"};
    enum { ROWS = 5000 };
    char(*cells)[2][48] = malloc(ROWS * sizeof *cells);
    for (uint64_t seed = 1; seed <= 12; seed++) {
        chance_state = seed * 7919;
        const char *head = heads[seed % 4];
        char delimiter = strchr(head, ';') != NULL ? ';' : ',';
        int second = strstr(head, "temp") != NULL ? CHANNEL_TEMPERATURE : CHANNEL_CURRENT;
        struct text text = TEXT_EMPTY;
        text_add(&text, head);
        for (long row = 0; row < ROWS; row++) {
            text_addf(&text, seed % 4 == 2 ? "16805160%05ld" : "%ld", row);
            for (int c = 0; c < 2; c++) {
                unsigned whole = chance(row % 7 == 0 ? 2000000000 : 100),
                         decimals = chance(row % 5 == 0 ? 11 : 4);
                int n =
                    snprintf(cells[row][c], sizeof cells[row][c], "%s%u", chance(3) == 0 ? "-" : "", whole);
                if (decimals > 0)
                    snprintf(
                        cells[row][c] + n, sizeof cells[row][c] - (size_t)n, ".%0*u", (int)decimals,
                        chance(10) == 0 ? 0 : chance(decimals > 8 ? 900000000 : (unsigned)pow(10, decimals)));
                text_addf(&text, "%c%s", delimiter, cells[row][c]);
            }
            text_add(&text, "\n");
        }
        struct log log;
        CHECK(read_kept(text_string(&text), &log) == STATUS_OK);
        CHECK(log.series.count == ROWS);
        size_t wrong = 0;
        for (size_t row = 0; row < log.series.count; row++)
            for (int c = 0; c < 2; c++)
                wrong += !keeps(&log, row, c == 0 ? CHANNEL_VOLTAGE : second, cells[row][c]);
        CHECK_NEAR((double)wrong, 0, 0);
        log_free(&log);
        text_free(&text);
    }
    free(cells);
}

TEST(late_and_backward_rows_keep_theirs)
{
    struct log log;
    CHECK(
        read_kept("time,volts,amps\n0,13.10,1.0\n10,13.20,1.00\n20.0,13.3 V,2\n15,13.400,13.9 A\n30,13.5,3\n"
                  "0,13.6,4\n10,13.70,5\n",
                  &log) == STATUS_OK);
    static const char *const times[] = {"0", "10", "15", "20.0", "30", "0", "10"};
    static const char *const volts[] = {"13.10", "13.20", "13.400", "13.3", "13.5", "13.6", "13.70"};
    CHECK(log.out_of_order == 1 && log.series.gap_count == 1);
    for (size_t row = 0; row < 7; row++) {
        CHECK(keeps(&log, row, CHANNELS, times[row]));
        CHECK(keeps(&log, row, CHANNEL_VOLTAGE, volts[row]));
    }
    log_free(&log);
    CHECK(
        read_kept("time,volts,amps\n40,13.40,1 A\n30,13.300,2\n20,13.2,1.23e30 A\n10,13.1,3.00\n0,13,4 mA\n",
                  &log) == STATUS_OK);
    static const char *const amps[] = {"4 mA", "3.00", "OL", "2", "1"};
    static const char *const back[] = {"13", "13.1", "13.2", "13.300", "13.40"};
    for (size_t row = 0; row < 5; row++) {
        CHECK(keeps(&log, row, CHANNEL_VOLTAGE, back[row]));
        CHECK(keeps(&log, row, CHANNEL_CURRENT, amps[row]));
    }
    log_free(&log);
}

TEST(a_mode_that_is_no_word_takes_the_number_out_but_not_its_digits)
{
    struct log log;
    struct text text = TEXT_EMPTY;
    text_add(&text, "time (s);volts;amps;mode\n");
    for (int k = 0; k < 60; k++)
        text_addf(&text, "%d;13,20;%d,50;%s\n", k, 5 + k % 3,
                  k == 50  ? "wobble"
                  : k < 30 ? "discharge"
                           : "charge");
    CHECK(read_kept(text_string(&text), &log) == STATUS_OK);
    CHECK(log.digits.mode != NULL && log.digits.mode[50] == 2 &&
          isnan(log.series.column[CHANNEL_CURRENT][50]));
    CHECK(keeps(&log, 50, CHANNEL_CURRENT, "7,50"));
    CHECK(keeps(&log, 29, CHANNEL_CURRENT, "7.50") && keeps(&log, 31, CHANNEL_CURRENT, "6.50"));
    CHECK(log.series.column[CHANNEL_CURRENT][31] == -6.5);
    log_free(&log);
    text_free(&text);
}

TEST(nothing_is_kept_unasked)
{
    struct log log;
    CHECK(read_text("time,volts,amps\n0,13.10,1.0\n10,13.20,1.00\n5,13.20,1 A\n", &log) == STATUS_OK);
    CHECK(log.digits.time == NULL && log.digits.column[CHANNEL_VOLTAGE] == NULL && log.digits.odd_count == 0);
    log_free(&log);
}
