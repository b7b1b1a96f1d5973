#include "check.h"

#include "intake/amount.h"
#include "intake/readings.h"

#include <stdint.h>

static struct message message;
static struct instant instant;

static enum status take_with(const struct readings_form *form, const char *s)
{
    instant_free(&instant);
    memset(&message, 0, sizeof message);
    return readings_line(form, "hut.readings", 7, span_of(s), &instant, NULL, &message);
}

static bool take(const char *s)
{
    struct readings_form form = {.rate = {.nominal = 25, .per_s = 25}};
    if (take_with(&form, s) == STATUS_OK)
        return true;
    printf("    %s:%ld:%ld %s. %s\n", s, message.line, message.column, message.what, message.remedy);
    return false;
}

/* Values within 1e-9 of what was typed and its bounds. */
static bool holds(size_t k, enum channel channel, double lo, double hi)
{
    return k < instant.count && instant.values[k].channel == channel && fabs(instant.values[k].lo - lo) < 1e-9 &&
           fabs(instant.values[k].hi - hi) < 1e-9;
}

TEST(a_line_as_it_is_typed)
{
    CHECK(take("1:02:03 12.91 V 24.8 A 320 W 31.2 Ah 402 Wh 21 C  inverter on"));
    CHECK(instant.count == 6 && instant.line == 7);
    CHECK_NEAR(instant.t_s, 3723.5, 1e-9);
    CHECK(holds(0, CHANNEL_VOLTAGE, 12.905, 12.915));
    CHECK(holds(1, CHANNEL_CURRENT, 24.75, 24.85));
    CHECK(holds(2, CHANNEL_POWER, 319.5, 320.5));
    CHECK(holds(3, CHANNEL_CHARGE_TALLY, 31.15, 31.25));
    CHECK(holds(4, CHANNEL_ENERGY_TALLY, 401.5, 402.5));
    CHECK(holds(5, CHANNEL_TEMPERATURE, 20.5, 21.5));
    CHECK_TEXT(instant.words, "inverter on");
    CHECK(instant.values[1].column == 17);
}

TEST(spacing_case_order_and_commas_are_free)
{
    CHECK(take("  21c,31,2ah ; 24,8a|12,91v burst , hot"));
    CHECK(instant.count == 4 && isnan(instant.t_s));
    CHECK(holds(0, CHANNEL_TEMPERATURE, 20.5, 21.5));
    CHECK(holds(1, CHANNEL_CHARGE_TALLY, 31.15, 31.25));
    CHECK(holds(3, CHANNEL_VOLTAGE, 12.905, 12.915));
    CHECK_TEXT(instant.words, "burst hot");
    CHECK(take("- 12.91V24.8A"));
    CHECK(instant.count == 2 && isnan(instant.t_s));
    CHECK(take("V = 12.91, I=24.8A T: 21"));
    CHECK(instant.count == 3 && holds(0, CHANNEL_VOLTAGE, 12.905, 12.915) && holds(2, CHANNEL_TEMPERATURE, 20.5, 21.5));
    CHECK(take("1:02:03: 12.91 V"));
    CHECK(take("1:02:03\t12.91\xC2\xA0V\r"));
    CHECK(take("1:02:03,12.91 V,24.8 A"));
    CHECK(instant.count == 2);
}

TEST(two_readings_of_one_quantity_are_both_kept)
{
    CHECK(take("12.91 V 12.84 V 24.8 A"));
    CHECK(instant.count == 3 && holds(0, CHANNEL_VOLTAGE, 12.905, 12.915) && holds(1, CHANNEL_VOLTAGE, 12.835, 12.845));
}

/* The table of intake/readings.h. */
TEST(hedges_and_how_it_was_had)
{
    CHECK(take("~24 A") && holds(0, CHANNEL_CURRENT, 22, 26));      /* 2 digits */
    CHECK(take("~320 W") && holds(0, CHANNEL_POWER, 304, 336));     /* 5 % */
    CHECK(take(">55 A") && holds(0, CHANNEL_CURRENT, 55, INFINITY) == false && instant.values[0].lo == 55);
    CHECK(isinf(instant.values[0].hi) && isnan(instant.values[0].value) && instant.values[0].hedged);
    CHECK(take("<10 V (remembered)") && fabs(instant.values[0].hi - 12.5) < 1e-9);
    CHECK(take("60..62 Ah") && holds(0, CHANNEL_CHARGE_TALLY, 60, 62));
    CHECK(take("24 ± 0.5 A (inferred)") && holds(0, CHANNEL_CURRENT, 23.5, 24.5));
    CHECK(take("12.9 V (filmed)") && holds(0, CHANNEL_VOLTAGE, 12.8, 13.0));
    CHECK(take("12.9 V (printed)") && holds(0, CHANNEL_VOLTAGE, 12.85, 12.95));
    CHECK(take("12.9 V (from memory)") && holds(0, CHANNEL_VOLTAGE, 12.642, 13.158)); /* 2 % */
    CHECK(take("24 A (remembered)") && holds(0, CHANNEL_CURRENT, 21.5, 26.5));        /* 2.5 digits */
    CHECK(take("400 W (inferred)") && holds(0, CHANNEL_POWER, 380, 420));
    CHECK(take("−4.2 A") && holds(0, CHANNEL_CURRENT, -4.25, -4.15));
}

TEST(brackets_count_for_a_value_or_for_the_line)
{
    CHECK(take("12.9 V (remembered) 24 A"));
    CHECK(instant.values[0].had == HAD_REMEMBERED && instant.values[1].had == HAD_SEEN);
    CHECK(take("(remembered) 12.9 V (seen) 24 A"));
    CHECK(instant.values[0].had == HAD_SEEN && instant.values[1].had == HAD_REMEMBERED);
    CHECK(take("12.9 V 24 A burst (filmed)"));
    CHECK(instant.values[0].had == HAD_FILMED && instant.values[1].had == HAD_FILMED);
    CHECK_TEXT(instant.words, "burst");
    CHECK(take("(panel meter 12.9 V)") && instant.count == 1);
    CHECK_TEXT(instant.words, "panel meter");
}

TEST(words)
{
    CHECK(take("4:11:20  cut-off, meter dark") && instant.count == 0);
    CHECK_TEXT(instant.words, "cut-off meter dark");
    CHECK(take("-- burst") && instant.count == 0);
    CHECK_TEXT(instant.words, "dark burst");
    CHECK(take("12.9 V — \"cell 3 hot\" # remark"));
    CHECK_TEXT(instant.words, "dark cell 3 hot # remark"); /* remarks are the file's business */
    CHECK(take("10 min ambient 18 C 21 C burst of 30 s at 50 %"));
    CHECK(instant.count == 2 && instant.values[0].channel == CHANNEL_AMBIENT && instant.values[1].channel == CHANNEL_TEMPERATURE);
    CHECK_TEXT(instant.words, "burst of 30 s at 50 %");
    CHECK(take("load2 on: 12.9 V"));
    CHECK_TEXT(instant.words, "load2 on");
    CHECK(take("24 A to the heater"));
    CHECK_TEXT(instant.words, "to the heater");
}

TEST(columns_of_bare_numbers)
{
    struct readings_form form = {.times = TIMES_ELAPSED, .column_count = 4};
    form.columns[0] = (struct unit){QUANTITY_TIME, 60, 0};
    form.columns[1] = (struct unit){QUANTITY_VOLTAGE, 1, 0};
    form.columns[2] = (struct unit){QUANTITY_CURRENT, 1, 0};
    form.columns[3] = (struct unit){QUANTITY_TEMPERATURE, 5.0 / 9, -32};
    CHECK(take_with(&form, "12.5 12.91 ~24 70 burst") == STATUS_OK);
    CHECK_NEAR(instant.t_s, 750, 1e-9);
    CHECK(holds(0, CHANNEL_VOLTAGE, 12.905, 12.915) && holds(1, CHANNEL_CURRENT, 22, 26));
    CHECK(holds(2, CHANNEL_TEMPERATURE, 37.5 / 1.8, 38.5 / 1.8));
    CHECK(take_with(&form, "12:30 12.91 - 70 ± 1") == STATUS_OK);
    CHECK_NEAR(instant.t_s, 750.5, 1e-9);
    CHECK(instant.count == 2 && holds(1, CHANNEL_TEMPERATURE, 37 / 1.8, 39 / 1.8));
    CHECK(take_with(&form, "13 12.91 24 70 99") == STATUS_MALFORMED);
    CHECK(message.column == 16);
    CHECK(take_with(&form, "13 12.91 24 31.2 Ah") == STATUS_OK && instant.values[2].channel == CHANNEL_CHARGE_TALLY);
}

TEST(what_cannot_be_read_is_a_fault_with_its_place)
{
    static const struct { const char *s; long column; enum status status; } bad[] = {
        {"1:02:03 12.91 V 24.8", 17, STATUS_MALFORMED},
        {"1:02:03 12.91 VV", 9, STATUS_MALFORMED},
        {"größe 12,91", 7, STATUS_MALFORMED}, /* characters, not bytes */
        {"1:02:03", 8, STATUS_MALFORMED},
        {"", 1, STATUS_MALFORMED},
        {"14:32 12.91 V", 1, STATUS_AMBIGUOUS},
        {"  1:72:03 12.91 V", 3, STATUS_MALFORMED},
        {"burst 1:02:03 12.91 V", 7, STATUS_MALFORMED},
        {"1:2:3 12.91 V", 1, STATUS_MALFORMED},
        {"1:02:03 V 12.91 A 24.8", 9, STATUS_MALFORMED},
        {"1:02:03 v12.91", 9, STATUS_MALFORMED},
        {"V = 12.91 A = 24.8", 1, STATUS_MALFORMED},
        {"1,280 Wh", 1, STATUS_AMBIGUOUS},
        {"12.91 V 1.234,5 Wh", 9, STATUS_MALFORMED},
        {"12.9 V (rememberd)", 8, STATUS_MALFORMED},
        {"12.9 V \"hot", 8, STATUS_MALFORMED},
        {"62..60 Ah", 1, STATUS_MALFORMED},
        {"12.9 V 5 kg", 8, STATUS_MALFORMED},
        {"350 MV", 1, STATUS_MALFORMED},
        {"12.9 V :03", 8, STATUS_MALFORMED},
        {"12.9 V A", 8, STATUS_MALFORMED},
        {"24 burst", 1, STATUS_MALFORMED},
        {"1:02:03x 12.9 V", 8, STATUS_MALFORMED},
    };
    struct readings_form form = {0};
    for (size_t k = 0; k < sizeof bad / sizeof *bad; k++) {
        enum status status = take_with(&form, bad[k].s);
        if (status != bad[k].status || message.column != bad[k].column || message.line != 7 || message.remedy[0] == '\0') {
            printf("    `%s`: %d at %ld:%ld %s\n", bad[k].s, (int)status, message.line, message.column, message.what);
            test_failed(__FILE__, __LINE__, "refused in another way");
        }
    }
    instant_free(&instant);
}

static uint32_t next_random(uint32_t *state) /* xorshift (Marsaglia 2003) */
{
    *state ^= *state << 13;
    *state ^= *state >> 17;
    return *state ^= *state << 5;
}

/* A line means the same however it is spaced, cased, ordered and joined. */
TEST(typing_habits_do_not_change_a_line)
{
    static const char *const units[][3] = {{"V", "v", "volts"}, {"A", "a", "Amps"}, {"W", "w", "watts"},
                                           {"Ah", "AH", "ah"},  {"Wh", "WH", "wh"}, {"°C", "C", "degC"}};
    static const enum channel channels[] = {CHANNEL_VOLTAGE, CHANNEL_CURRENT, CHANNEL_POWER, CHANNEL_CHARGE_TALLY,
                                            CHANNEL_ENERGY_TALLY, CHANNEL_TEMPERATURE};
    static const char *const gaps[] = {" ", "  ", "\t", ", ", " ; ", " | "}, *const joints[] = {"", " ", "\xC2\xA0"};
    uint32_t state = 20260314;
    for (int round = 0; round < 2000; round++) {
        char line[256] = "0:12:30";
        size_t n = strlen(line), count = 1 + next_random(&state) % 6;
        unsigned which[6], cents[6];
        for (size_t k = 0; k < count; k++) {
            which[k] = next_random(&state) % 6;
            cents[k] = next_random(&state) % 10000;
            const char *gap = gaps[next_random(&state) % 6], *joint = joints[next_random(&state) % 3];
            const char *unit = units[which[k]][next_random(&state) % 3];
            char sign = next_random(&state) % 2 ? '.' : ',';
            n += (size_t)snprintf(line + n, sizeof line - n, "%s%u%c%02u%s%s", gap, cents[k] / 100, sign,
                                  cents[k] % 100, joint, unit);
        }
        CHECK(take(line) && instant.count == count && instant.words[0] == '\0');
        for (size_t k = 0; k < count && k < instant.count; k++)
            CHECK(holds(k, channels[which[k]], cents[k] / 100.0 - 0.005, cents[k] / 100.0 + 0.005));
    }
}

/* Whatever bounds an amount is given, they hold it, and a looser way of having it never narrows them. */
TEST(looser_ways_are_never_narrower)
{
    static const char *const typed[] = {"12.91 V", "~24.8 A", ">55 A", "<10 V", "60..62 Ah", "24 ± 0.5 A", "-0.1 A", "0 A"};
    static const enum had order[] = {HAD_SEEN, HAD_FILMED, HAD_REMEMBERED, HAD_INFERRED};
    for (size_t k = 0; k < sizeof typed / sizeof *typed; k++) {
        struct amount amount;
        struct sighted before = {0}, now = {0};
        size_t used;
        CHECK(amount_read(span_of(typed[k]), 0, &amount, &used, NULL) == STATUS_OK && used == strlen(typed[k]));
        for (size_t w = 0; w < 4; w++) {
            readings_widen(&amount, order[w], &now);
            CHECK(now.lo <= amount.lo && now.hi >= amount.hi && now.lo < now.hi);
            CHECK(w == 0 || (now.lo <= before.lo && now.hi >= before.hi));
            before = now;
        }
    }
}
