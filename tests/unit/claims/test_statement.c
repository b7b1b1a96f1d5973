#include "check.h"

#include "claims/statement.h"

/* Reads `key = words` as a statement. */
static enum status read_words(const char *words, enum quantity expected, struct statement *s, struct message *message)
{
    struct text text = TEXT_EMPTY;
    text_addf(&text, "\n\nkey = %s\n", words);
    struct ini ini;
    enum status status = ini_read_text("x.label", (struct span){text.s, text.length}, &ini, message);
    if (status == STATUS_OK) {
        status = statement_read(&ini, &ini.entries[0], expected, s, message);
        ini_free(&ini);
    }
    text_free(&text);
    return status;
}

static struct statement read_good(const char *words, enum quantity expected)
{
    struct statement s = {.value = NAN};
    struct message message = {0};
    read_words(words, expected, &s, &message);
    CHECK_TEXT(message.what, "");
    return s;
}

TEST(value_sense_and_conditions)
{
    struct statement s = read_good("at least 104.5 Ah at 0.2 It, 25 °C, down to 10.4 V, for 5 h | case, small print", QUANTITY_CHARGE);
    CHECK_NEAR(s.value, 104.5, 0);
    CHECK(s.sense == SENSE_AT_LEAST && s.answer == -1);
    CHECK_NEAR(s.rate_it, 0.2, 0);
    CHECK_NEAR(s.degc, 25, 0);
    CHECK_NEAR(s.cut_off_v, 10.4, 0);
    CHECK_NEAR(s.duration_s, 18000, 0);
    CHECK_TEXT(s.where, "case, small print");
    CHECK_TEXT(s.words, "at least 104.5 Ah at 0.2 It, 25 °C, down to 10.4 V, for 5 h");
    s = read_good("1.34 kWh", QUANTITY_ENERGY);
    CHECK_NEAR(s.value, 1340, 1e-9);
    CHECK_NEAR(s.digit, 10, 1e-9);
    CHECK(s.sense == -1 && isnan(s.rate_it) && isnan(s.cut_off_v));
    CHECK_TEXT(s.where, "");
}

TEST(senses)
{
    static const struct {
        const char *words;
        int sense;
    } cases[] = {{"≥ 7.5 A", SENSE_AT_LEAST}, {">= 7.5 A", SENSE_AT_LEAST}, {"min. 7.5 A", SENSE_AT_LEAST},
                 {"≤7.5A", SENSE_AT_MOST},    {"max 7.5 A", SENSE_AT_MOST},  {"up to 7.5 A", SENSE_AT_MOST},
                 {"~7.5 A", SENSE_ABOUT},     {"ca. 7.5 A", SENSE_ABOUT},    {"7.5 A", -1}};
    for (size_t k = 0; k < sizeof cases / sizeof *cases; k++) {
        struct statement s = read_good(cases[k].words, QUANTITY_CURRENT);
        CHECK_NEAR(s.value, 7.5, 0);
        CHECK(s.sense == cases[k].sense);
    }
}

TEST(rates_as_the_trade_writes_them)
{
    CHECK_NEAR(read_good("52 Ah at 0.2C", QUANTITY_CHARGE).rate_it, 0.2, 0);
    CHECK_NEAR(read_good("52 Ah at C/5, 25 C", QUANTITY_CHARGE).rate_it, 0.2, 1e-15);
    CHECK_NEAR(read_good("52 Ah at C/5, 25 C", QUANTITY_CHARGE).degc, 25, 0);
    CHECK_NEAR(read_good("52 Ah @ It/20", QUANTITY_CHARGE).rate_it, 0.05, 1e-15);
    CHECK_NEAR(read_good("52 Ah at 10.4 A", QUANTITY_CHARGE).rate_a, 10.4, 0);
    CHECK(isinf(read_good("52 A continuous", QUANTITY_CURRENT).duration_s));
    CHECK_NEAR(read_good("200 A for 500 ms", QUANTITY_CURRENT).duration_s, 0.5, 1e-12);
}

TEST(ranges_bounds_and_counts)
{
    struct statement s = read_good("-20..55 °C | manual", QUANTITY_TEMPERATURE);
    CHECK_NEAR(s.value, -20, 0);
    CHECK_NEAR(s.high, 55, 0);
    s = read_good("14..131 °F", QUANTITY_TEMPERATURE); /* the unit goes for both */
    CHECK_NEAR(s.value, -10, 1e-9);
    CHECK_NEAR(s.high, 55, 1e-9);
    CHECK_NEAR(read_good("11.42 kg ± 20 g", QUANTITY_MASS).plus_minus, 0.020, 1e-12);
    CHECK_NEAR(read_good("about 40 Ah ± 5 %", QUANTITY_CHARGE).plus_minus, 2, 1e-12);
    CHECK_NEAR(read_good("4S", QUANTITY_COUNT_OF).value, 4, 0);
    CHECK_NEAR(read_good("8 cells", QUANTITY_COUNT_OF).value, 8, 0);
    CHECK_NEAR(read_good("4000 cycles", QUANTITY_COUNT_OF).value, 4000, 0);
}

TEST(yes_and_no_keep_their_words)
{
    struct statement s = read_good("yes, below 0 °C | manual", QUANTITY_NONE);
    CHECK(s.answer == 1);
    CHECK_TEXT(s.words, "yes, below 0 °C");
    CHECK_TEXT(s.where, "manual");
    CHECK(read_good("no", QUANTITY_NONE).answer == 0);
    CHECK(read_good("no", QUANTITY_MASS).answer == 0); /* the caller refuses it where a value is wanted */
}

static void refuses(const char *words, enum quantity expected, long column, const char *remedy_part)
{
    struct statement s = {.value = 8.25};
    struct message message = {0};
    CHECK(read_words(words, expected, &s, &message) == STATUS_MALFORMED);
    CHECK_TEXT(message.file, "x.label");
    CHECK(message.line == 3);
    CHECK_NEAR((double)message.column, (double)column, 0);
    CHECK_NEAR(s.value, 8.25, 0); /* untouched */
    if (strstr(message.remedy, remedy_part) == NULL)
        CHECK_TEXT(message.remedy, remedy_part);
}

TEST(malformed_statements_are_refused_where_they_break)
{
    refuses("", QUANTITY_CHARGE, 7, "100 Ah at");
    refuses("plenty", QUANTITY_CHARGE, 7, "100 Ah at");
    refuses("100", QUANTITY_CHARGE, 7, "unit");
    refuses("100 V", QUANTITY_CHARGE, 7, "unit");
    refuses("100 Ah at dusk", QUANTITY_CHARGE, 17, "100 Ah at");
    refuses("100 Ah at 3 kg", QUANTITY_CHARGE, 17, "0.2 It");
    refuses("100 Ah at 0.2 It, 0.5 It", QUANTITY_CHARGE, 25, "two claims");
    refuses("100 Ah at 0.2C, 25C", QUANTITY_CHARGE, 23, "25 °C");
    refuses("100 Ah at 0.2 C", QUANTITY_CHARGE, 17, "0.2 It");
    refuses("100 Ah, 25 °C, ö", QUANTITY_CHARGE, 22, "100 Ah at"); /* characters, not bytes */
    refuses("perhaps", QUANTITY_NONE, 7, "yes");
    refuses("11 kg ± x", QUANTITY_MASS, 15, "unit");
    refuses("0.. °C", QUANTITY_TEMPERATURE, 11, "100 Ah");
}
