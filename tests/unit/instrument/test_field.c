#include "check.h"

#include "instrument/field.h"
#include "instrument/json_field.h"

static struct link_channel volts = {
    .name = "voltage", .quantity = QUANTITY_VOLTAGE, .unit = {QUANTITY_VOLTAGE, 1, 0}, .unit_symbol = "V"};
static struct link_channel seconds = {
    .name = "time", .quantity = QUANTITY_TIME, .unit = {QUANTITY_TIME, 1, 0}, .unit_symbol = "s"};
static char odd[FIELD_ODD];
static struct message message;

/* What a text is read as: its digits, `missing`, `OL`, `odd`, or `refused`. */
static const char *read_as(const char *text, const struct link_channel *channel, char decimal)
{
    static char digits[DECIMAL_TEXT];
    struct decimal value;
    odd[0] = '\0';
    if (!field_read(span_of(text), channel, decimal, &value, odd, &message))
        return "refused";
    decimal_print(value, digits);
    return value.kind == DECIMAL_MISSING ? "missing" : value.kind == DECIMAL_ODD ? "odd" : digits;
}

TEST(numbers_keep_their_digits)
{
    CHECK_TEXT(read_as(" 12.90 ", &volts, '.'), "12.90");
    CHECK_TEXT(read_as("+1.2900E+01", &volts, '.'), "12.900");
    CHECK_TEXT(read_as("-0.00", &volts, '.'), "-0.00");
    CHECK_TEXT(read_as("12,90", &volts, ','), "12.90");
    CHECK_TEXT(read_as("\"13.271\"", &volts, '.'), "13.271");
    CHECK_TEXT(read_as("12.3456789012345678901", &volts, '.'), "odd");
    CHECK_TEXT(odd, "12.3456789012345678901");
}

TEST(no_number_is_no_reading)
{
    CHECK_TEXT(read_as("12,90", &volts, '.'), "refused");
    CHECK_TEXT(message.what, "`12,90` is no number in V");
    CHECK_TEXT(read_as("volts", &volts, '.'), "refused");
    CHECK_TEXT(read_as("12.9.1", &volts, '.'), "refused");
    CHECK_TEXT(read_as("0x1F", &volts, '.'), "refused");
    CHECK_TEXT(read_as("12:30", &volts, '.'), "refused");
    CHECK_TEXT(read_as("\x1b[2J", &volts, '.'), "refused");
    CHECK_TEXT(message.what, "`\\x1b[2J` is no number");
}

TEST(a_unit_must_be_the_stated_one)
{
    CHECK_TEXT(read_as("12.90 V", &volts, '.'), "12.90");
    CHECK_TEXT(read_as("12.90volts", &volts, '.'), "12.90");
    CHECK_TEXT(read_as("12900 mV", &volts, '.'), "refused");
    CHECK_TEXT(read_as("12.9 A", &volts, '.'), "refused");
}

/* SCPI-99 volume 1, 7.2.1.4 and 7.2.1.5, from memory: 9.9E37 is infinity, 9.91E37 not a number. */
TEST(marks_are_no_numbers)
{
    static const char *const overloads[] = {"9.9E37", "+9.90000000E+37", "-9.9E+37", "OL", "-OL", "inf",
                                            "1e99"};
    static const char *const blanks[] = {"9.91E37", "+9.91000000E+37", "", "  ", "---", "NaN", "null"};
    for (size_t k = 0; k < 7; k++) {
        CHECK_TEXT(read_as(overloads[k], &volts, '.'), "OL");
        CHECK_TEXT(read_as(blanks[k], &volts, '.'), "missing");
    }
}

TEST(times_may_be_clocks)
{
    CHECK_TEXT(read_as("0:12:34", &seconds, '.'), "754");
    CHECK_TEXT(read_as("1:00:02.38", &seconds, '.'), "3602.38");
    CHECK_TEXT(read_as("12:34", &seconds, '.'), "754");
    CHECK_TEXT(read_as("754.2", &seconds, '.'), "754.2");
    CHECK_TEXT(read_as("0:61:00", &seconds, '.'), "refused");
    CHECK_TEXT(read_as("0:12:34:56", &seconds, '.'), "refused");
    CHECK_TEXT(read_as("0:12:", &seconds, '.'), "refused");
}

static const char *at_path(const char *json, const char *path)
{
    static char found[64];
    struct span value;
    if (!json_field_sound(span_of(json), &message) || !json_field_find(span_of(json), span_of(path), &value))
        return "none";
    span_copy(value, found, sizeof found);
    return found;
}

TEST(json_values_keep_their_characters)
{
    static const char row[] =
        "{ \"t\": 12.50, \"pack\" :{\"v\": 13.2710,\"note\":\"a \\\"}, b\",\"i\":-3.05e0},"
        "\"cells\":[3.301 , 3.302,{\"v\":3.3030}],\"off\":null}";
    CHECK_TEXT(at_path(row, "t"), "12.50");
    CHECK_TEXT(at_path(row, "pack.v"), "13.2710");
    CHECK_TEXT(at_path(row, "pack.i"), "-3.05e0");
    CHECK_TEXT(at_path(row, "pack.note"), "\"a \\\"}, b\"");
    CHECK_TEXT(at_path(row, "cells.2"), "3.302");
    CHECK_TEXT(at_path(row, "cells.3.v"), "3.3030");
    CHECK_TEXT(at_path(row, "off"), "null");
    CHECK_TEXT(at_path(row, "cells.4"), "none");
    CHECK_TEXT(at_path(row, "cells.0"), "none");
    CHECK_TEXT(at_path(row, "v"), "none"); /* of an inner object only */
    CHECK_TEXT(at_path(row, "t.x"), "none");
    CHECK_TEXT(at_path("{\"t\": 12.5", "t"), "none");
    CHECK_TEXT(at_path("[]", "1"), "none");
}
