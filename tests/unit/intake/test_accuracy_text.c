#include "check.h"

#include "intake/accuracy_text.h"

static struct message message;

static struct accuracy read_as(const char *s, enum quantity quantity, double own_per_volt)
{
    struct accuracy accuracy = {.gain = NAN, .resolution = 0.01};
    memset(&message, 0, sizeof message);
    accuracy_read(span_of(s), quantity, own_per_volt, &accuracy, &message);
    return accuracy;
}

static bool is(const char *s, enum quantity quantity, double gain, double offset, double digits)
{
    struct accuracy a = read_as(s, quantity, 0);
    bool same = fabs(a.gain - gain) < 1e-12 && fabs(a.offset - offset) < 1e-9 && a.digits == digits && a.stated;
    if (!same)
        printf("    %s: gain %g, offset %g, digits %g; %s\n", s, a.gain, a.offset, a.digits, message.what);
    return same;
}

/* The forms in which data sheets print an accuracy: common practice, no source. */
TEST(reads_what_makers_print)
{
    CHECK(is("0.5 % + 3 digits", QUANTITY_VOLTAGE, 0.005, 0, 3));
    CHECK(is("±(0.8 % rdg + 5 dgt)", QUANTITY_CURRENT, 0.008, 0, 5));
    CHECK(is("±(0.8%rdg+5dgt)", QUANTITY_CURRENT, 0.008, 0, 5));
    CHECK(is("±(0,5%+2)", QUANTITY_VOLTAGE, 0.005, 0, 2)); /* a bare whole number after a % is digits */
    CHECK(is("0.5 % of reading + 2d", QUANTITY_VOLTAGE, 0.005, 0, 2));
    CHECK(is("0.05 % + 2 mV", QUANTITY_VOLTAGE, 0.0005, 0.002, 0));
    CHECK(is("1 % of 100 A range", QUANTITY_CURRENT, 0, 1, 0));
    CHECK(is("1 % of range 100 A", QUANTITY_CURRENT, 0, 1, 0));
    CHECK(is("1 % fs 100 A + 0.2 %", QUANTITY_CURRENT, 0.002, 1, 0));
    CHECK(is("0.1 %", QUANTITY_POWER, 0.001, 0, 0));
    CHECK(is("± 0.2 V", QUANTITY_VOLTAGE, 0, 0.2, 0));
    CHECK(is("0.5 % ± 3 counts", QUANTITY_VOLTAGE, 0.005, 0, 3));
    CHECK(is("20 ppm + 1 mA", QUANTITY_CURRENT, 2e-5, 0.001, 0));
    CHECK(is("± 2 °F", QUANTITY_TEMPERATURE, 0, 10.0 / 9, 0)); /* a difference: no shift by 32 */
    CHECK(is("1 K", QUANTITY_TEMPERATURE, 0, 1, 0));
    CHECK_NEAR(read_as("0.1 %", QUANTITY_POWER, 0).resolution, 0.01, 0);
    CHECK_TEXT(read_as(" 0.1 % ", QUANTITY_POWER, 0).as_printed, "0.1 %");
}

/* 0.5 % of reading + 3 digits at 13.20 V with a digit of 0.01 V allows 0.096 V (computed). */
TEST(the_bound_at_a_reading)
{
    struct accuracy a = read_as("0.5 % rdg + 3 digits", QUANTITY_VOLTAGE, 0);
    CHECK_NEAR(accuracy_bound(&a, 13.20, 0.01), 0.096, 1e-12);
}

TEST(volts_across_a_shunt_become_amps)
{
    struct accuracy a = read_as("0.05 % + 0.02 mV", QUANTITY_CURRENT, 500 / 0.05);
    CHECK_NEAR(a.offset, 0.2, 1e-12);
    CHECK_NEAR(a.gain, 0.0005, 1e-15);
}

TEST(refuses_what_it_cannot_mean)
{
    static const struct { const char *s; long at; } bad[] = {
        {"", 0}, {"good", 0}, {"0.5", 0}, {"0.5 % + 3.5", 8}, {"0.5 % + 2 A", 8}, {"1 % of range", 12},
        {"1 % FS + 2 digits", 7}, {"(0.5 % + 3 digits", 17}, {"0.5 % whichever is larger", 6}, {"0.5 % + -3 digits", 8},
        {"0.5 % +", 7}, {"1,500 %", 0},
    };
    for (size_t k = 0; k < sizeof bad / sizeof *bad; k++) {
        struct accuracy a = read_as(bad[k].s, QUANTITY_VOLTAGE, 0);
        CHECK(isnan(a.gain) && !a.stated); /* untouched */
        CHECK(message.what[0] != '\0' && message.remedy[0] != '\0');
        CHECK_NEAR((double)message.column, (double)bad[k].at, 0);
    }
}

TEST(shunts)
{
    struct shunt shunt;
    CHECK(shunt_read(span_of("class 0.5, 500 A / 50 mV"), &shunt, &message) == STATUS_OK);
    CHECK_NEAR(shunt.gain, 0.005, 1e-15);
    CHECK_NEAR(shunt.volts / shunt.amps, 100e-6, 1e-12); /* 100 µΩ */
    CHECK(shunt_read(span_of("100 A/75 mV, ±0.25 %"), &shunt, &message) == STATUS_OK);
    CHECK_NEAR(shunt.gain, 0.0025, 1e-15);
    CHECK(shunt_read(span_of("1 %"), &shunt, &message) == STATUS_OK);
    CHECK(isnan(shunt.amps));
    CHECK(shunt_read(span_of("500 A / 50 mV"), &shunt, &message) == STATUS_MALFORMED);
    CHECK(shunt_read(span_of("class 0.5, 500 A"), &shunt, &message) == STATUS_MALFORMED);
    CHECK(message.column == 11);
    CHECK(shunt_read(span_of("class 0.5 %"), &shunt, &message) == STATUS_MALFORMED);
    CHECK(shunt_read(span_of("shiny"), &shunt, &message) == STATUS_MALFORMED);
    CHECK_NEAR(shunt.gain, 0.01, 1e-15); /* untouched since `1 %` */
}

/* Bounds add: the order of the terms, and splitting one in two, change nothing. */
TEST(terms_add_in_any_order)
{
    static const char *const same[] = {
        "0.5 % + 3 digits + 2 mV", "2 mV + 0.5 % rdg + 3 dgt", "3 digits + 2 mV + 0.5 %",
        "±(0.2 % + 1 digit + 1 mV + 0.3 % rdg + 2 d + 1 mV)", "1 % of 0.2 V + 0,5 % + 3 counts",
    };
    for (size_t k = 0; k < sizeof same / sizeof *same; k++)
        CHECK(is(same[k], QUANTITY_VOLTAGE, 0.005, 0.002, 3));
}
