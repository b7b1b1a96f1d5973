/* One outcome, whichever way a log is cut, on however many threads, fast or slow. */
#include "intake/columns.h"
#include "intake/rows.h"
#include "log_text.h"

static uint64_t chance_state;

static unsigned chance(unsigned below) /* a generator of its own: floors below numeric have no other */
{
    chance_state = chance_state * 6364136223846793005u + 1442695040888963407u;
    return (unsigned)(chance_state >> 33) % below;
}

static void add_number(struct text *text, char decimal)
{
    static const char *const odd[] = {"",
                                      "NaN",
                                      "OL",
                                      "1e3",
                                      "-0",
                                      "+5",
                                      "12.",
                                      ".5",
                                      "abc",
                                      "9.9E37",
                                      "1..2",
                                      "--3",
                                      "0x1",
                                      "1 2",
                                      "\"3\"",
                                      "9007199254740993",
                                      "123456789.123456789",
                                      "0.1234567890123456789012",
                                      "-",
                                      "5 V",
                                      "3.4e-5"};
    if (chance(40) == 0) {
        text_add(text, odd[chance(sizeof odd / sizeof *odd)]);
        return;
    }
    char digits[64];
    size_t before = chance(6) == 0 ? chance(12) : 1 + chance(2), behind = chance(5) == 0 ? chance(12) : 3;
    size_t n = 0;
    if (chance(4) == 0)
        digits[n++] = '-';
    for (size_t k = 0; k < before; k++)
        digits[n++] = (char)('0' + chance(10));
    if (behind > 0)
        digits[n++] = decimal;
    for (size_t k = 0; k < behind; k++)
        digits[n++] = (char)('0' + chance(10));
    digits[n] = '\0';
    text_add(text, digits);
}

static void add_line(struct text *text, long row, char delimiter, char decimal, const char *newline)
{
    static const char *const modes[] = {"REST", "DCHG", "CHRG", "odd"};
    text_addf(text, "%s%ld%c%ld", chance(50) == 0 ? " " : "", row, decimal, row % 10);
    for (int c = 0; c < 3; c++) {
        text_addf(text, "%c%s", delimiter, chance(30) == 0 ? " " : "");
        if (chance(60) != 0)
            add_number(text, decimal);
    }
    text_addf(text, "%c%s%c%s", delimiter, modes[chance(20) == 0 ? chance(4) : (unsigned)row / 50 % 3],
              delimiter, row % 97 == 0 ? "mark" : "");
    if (chance(80) == 0)
        text_addf(text, "%c7", delimiter);
    text_add(text, newline);
    if (chance(60) == 0)
        text_add(text, chance(2) ? newline : "# a comment");
    if (chance(90) == 0)
        text_addf(text, "%s1%c2%s", newline, delimiter, newline);
}

static struct text random_log(uint64_t seed, bool words)
{
    static const char delimiters[] = {',', ';', '\t', '|'};
    chance_state = seed;
    struct text text = TEXT_EMPTY;
    char delimiter = delimiters[chance(4)], decimal = delimiter == ',' || chance(2) ? '.' : ',';
    const char *newline = chance(3) == 0 ? "\r\n" : "\n";
    const char *head =
        words ? "time (s)%cvoltage%ccurrent%ctemp%cmode%cnote" : "time (s)%cvoltage%ccurrent%ctemp%cx%cy";
    char header[100];
    snprintf(header, sizeof header, "%s", head);
    for (char *p; (p = strstr(header, "%c")) != NULL;) {
        p[0] = delimiter;
        memmove(p + 1, p + 2, strlen(p + 2) + 1);
    }
    text_addf(&text, "%s%s", header, newline);
    for (long row = 0; row < 400; row++)
        add_line(&text, row, delimiter, decimal, newline);
    return text;
}

static bool same_doubles(const double *a, const double *b, size_t n)
{
    if (a == NULL || b == NULL)
        return a == b;
    for (size_t k = 0; k < n; k++)
        if (a[k] != b[k] && !(isnan(a[k]) && isnan(b[k])))
            return false;
    return true;
}

static bool same_rows(const struct rows *a, const struct rows *b)
{
    bool same = a->series.count == b->series.count && a->bad_count == b->bad_count &&
                a->missing == b->missing && a->comments == b->comments && a->repeats == b->repeats &&
                a->event_count == b->event_count && a->unordered == b->unordered &&
                a->order_open == b->order_open && a->zone == b->zone;
    if (!same)
        return false;
    same = same_doubles(a->series.t_s, b->series.t_s, a->series.count);
    for (int c = 0; c < CHANNELS; c++)
        same &= same_doubles(a->series.column[c], b->series.column[c], a->series.count);
    for (size_t k = 0; k < a->bad_count && k < LOG_BAD_ROWS_LISTED; k++)
        same &= a->bad[k].line == b->bad[k].line && a->bad[k].column == b->bad[k].column &&
                strcmp(a->bad[k].why, b->bad[k].why) == 0;
    for (size_t k = 0; k < a->event_count; k++)
        same &= a->events[k].row == b->events[k].row && a->events[k].line == b->events[k].line;
    for (int c = 0; c < CHANNELS && a->digits.column[c] != NULL; c++)
        same &= memcmp(a->digits.column[c], b->digits.column[c], a->series.count) == 0;
    same &= a->digits.time == NULL || memcmp(a->digits.time, b->digits.time, a->series.count) == 0;
    same &= a->digits.odd_count == b->digits.odd_count;
    for (size_t k = 0; same && k < a->digits.odd_count; k++)
        same = a->digits.odd[k].row == b->digits.odd[k].row && strcmp(a->digits.odd[k].text, b->digits.odd[k].text) == 0;
    if (a->mode != NULL)
        same &= memcmp(a->mode, b->mode, a->series.count) == 0;
    return same;
}

static enum status read_rows(const struct text *text, bool slow, int threads, size_t piece, struct rows *rows)
{
    struct source source = {.name = "a test", .file = -1, .whole = text->s, .size = text->length};
    struct log_options options = {0};
    struct log_layout layout;
    struct columns columns;
    struct notices notices = {NULL, 0, 0};
    struct rows_how how = {.threads = threads, .piece = piece, .digits = true};
    enum status status = log_layout_find(&source, &layout, &log_message);
    if (status != STATUS_OK)
        return status;
    status = columns_find(&layout, source.name, &options, &columns, &notices, &log_message);
    if (status == STATUS_OK) {
        columns.plan.slow_only = slow;
        status = rows_read(&source, &columns.plan, &how, rows, &log_message);
        columns_free(&columns);
    }
    notices_free(&notices);
    log_layout_free(&layout);
    return status;
}

static bool all_ways_agree(const struct text *text)
{
    static const struct {
        bool slow;
        int threads;
        size_t piece;
    } ways[] = {{false, 1, 0},   {false, 1, 64},  {true, 1, 100},
                {false, 3, 300}, {true, 2, 1000}, {false, 2, 17}};
    struct rows first, rows;
    if (read_rows(text, true, 1, 0, &first) != STATUS_OK)
        return true; /* refused alike: nothing was read */
    bool agree = true;
    for (size_t k = 0; k < sizeof ways / sizeof *ways && agree; k++) {
        agree = read_rows(text, ways[k].slow, ways[k].threads, ways[k].piece, &rows) == STATUS_OK &&
                same_rows(&first, &rows);
        if (!agree)
            printf("    way %zu differs\n", k);
        rows_free(&rows);
    }
    rows_free(&first);
    return agree;
}

TEST(all_ways_give_one_outcome)
{
    size_t read = 0;
    for (uint64_t seed = 1; seed <= 60; seed++) {
        struct text text = random_log(seed, seed % 2 == 0);
        struct rows rows;
        if (read_rows(&text, true, 1, 0, &rows) == STATUS_OK) {
            read += rows.series.count > 200 && rows.bad_count > 0;
            rows_free(&rows);
        }
        bool agree = all_ways_agree(&text);
        CHECK(agree);
        if (!agree)
            printf("    seed %lu\n", (unsigned long)seed);
        text_free(&text);
    }
    CHECK(read > 45); /* most of these logs are read, and hold rows that are not */
}

/* The fast way must round as strtod does: every number of a log against strtod of its own text. */
TEST(numbers_are_the_nearest_doubles)
{
    chance_state = 20230403;
    struct text text = TEXT_EMPTY;
    text_add(&text, "time (s),voltage,current,power\n");
    char(*cells)[3][32] = malloc(20000 * sizeof *cells);
    for (int row = 0; row < 20000; row++) {
        text_addf(&text, "%d", row);
        for (int c = 0; c < 3; c++) {
            unsigned whole = chance(row % 3 == 0 ? 100000000 : 100), behind = chance(11);
            snprintf(cells[row][c], sizeof cells[row][c], "%s%u.%0*u", chance(2) ? "-" : "", whole,
                     (int)behind + 1, chance(1000000));
            text_addf(&text, ",%s", cells[row][c]);
        }
        text_add(&text, "\n");
    }
    struct rows rows;
    CHECK(read_rows(&text, false, 2, 0, &rows) == STATUS_OK);
    CHECK(rows.series.count == 20000);
    size_t wrong = 0;
    for (size_t row = 0; row < rows.series.count; row++) {
        wrong += rows.series.column[CHANNEL_VOLTAGE][row] != strtod(cells[row][0], NULL);
        wrong += rows.series.column[CHANNEL_CURRENT][row] != strtod(cells[row][1], NULL);
        wrong += rows.series.column[CHANNEL_POWER][row] != strtod(cells[row][2], NULL);
    }
    CHECK_NEAR((double)wrong, 0, 0);
    rows_free(&rows);
    free(cells);
    text_free(&text);
}

TEST(line_numbers_are_true_beyond_the_first_piece)
{
    struct text text = TEXT_EMPTY;
    text_add(&text, "# one\ntime (s),voltage,current\n");
    for (int k = 0; k < 30000; k++)
        text_addf(&text, k == 25000 ? "%d,13.2x,24.9\n" : "%d,13.21,24.9\n", k);
    struct rows rows;
    CHECK(read_rows(&text, false, 2, 4096, &rows) == STATUS_OK);
    CHECK(rows.series.count == 29999 && rows.bad_count == 1);
    CHECK_NEAR((double)rows.bad[0].line, 25003, 0);
    CHECK_NEAR(rows.series.t_s[25000], 25001, 0);
    rows_free(&rows);
    text_free(&text);
}

TEST(a_line_that_never_ends_is_a_bad_row)
{
    struct text text = TEXT_EMPTY;
    text_add(&text, "time (s),voltage,current\n");
    for (int k = 0; k < 100; k++)
        text_addf(&text, "%d,13.21,24.9\n", k);
    for (int k = 0; k < 300000; k++)
        text_add(&text, "7777777777");
    text_add(&text, "\n100,13.2,24.9\n");
    for (size_t piece = 1000; piece < 5000000; piece *= 17) {
        struct rows rows;
        CHECK(read_rows(&text, false, 2, piece, &rows) == STATUS_OK);
        CHECK(rows.series.count == 101 && rows.bad_count == 1 && rows.bad[0].line == 102);
        rows_free(&rows);
    }
    text_free(&text);
}

TEST(quoted_line_ends_across_pieces)
{
    struct text text = TEXT_EMPTY;
    text_add(&text, "time (s),voltage,current,note\n");
    for (int k = 0; k < 500; k++)
        text_addf(&text, "%d,13.21,24.9,%s\n", k, k % 7 == 0 ? "\"two\nlines\"" : "");
    text_add(&text, "500,13.2,bad,\n");
    for (size_t piece = 20; piece < 400; piece += 37) {
        struct rows rows;
        CHECK(read_rows(&text, false, 2, piece, &rows) == STATUS_OK);
        CHECK(rows.series.count == 500 && rows.bad_count == 1 && rows.event_count == 72);
        CHECK_NEAR((double)rows.bad[0].line, 574, 0);
        rows_free(&rows);
    }
    text_free(&text);
}
