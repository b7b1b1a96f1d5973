#include "base/decimal.h"
#include "check.h"

#include <math.h>
#include <string.h>

static struct decimal read(const char *s)
{
    struct decimal ret = {.kind = 99};
    CHECK(decimal_read(span_of(s), '.', &ret) == strlen(s));
    return ret;
}

static void prints(const char *s, const char *expected)
{
    char buffer[DECIMAL_TEXT];
    decimal_print(read(s), buffer);
    CHECK_TEXT(buffer, expected);
}

TEST(digits_come_back_as_they_came)
{
    static const char *const same[] = {"12.90", "12.9", "0.000", "-0.00", "-12.907", "7", "0.0049",
                                       "123456789012345678", "-0.12345678901234567"};
    for (size_t k = 0; k < sizeof same / sizeof *same; k++)
        prints(same[k], same[k]);
}

TEST(dressing_is_taken_off)
{
    prints("+1.2900E+01", "12.900");
    prints("+012.5", "12.5");
    prints(".5", "0.5");
    prints("12E3", "12E3");
    prints("1.5e-7", "0.00000015");
    struct decimal comma;
    CHECK(decimal_read(span_of("3,20 V"), ',', &comma) == 4);
    CHECK(comma.mantissa == 320 && comma.decimals == 2);
}

TEST(what_no_decimal_holds_is_said)
{
    CHECK(read("1234567890123456789").kind == DECIMAL_ODD);
    CHECK(read("0.1234567890123456789").kind == DECIMAL_ODD);
    struct decimal none;
    CHECK(decimal_read(span_of("OL"), '.', &none) == 0);
    CHECK(decimal_read(span_of(""), '.', &none) == 0);
}

TEST(the_value_is_the_double_nearest_to_the_text)
{
    static const char *const texts[] = {"12.907", "-0.1", "0.3", "9007199254740993", "12E3",
                                        "123456789012345.678", "5e-30"};
    static const double values[] = {12.907, -0.1, 0.3, 9007199254740993.0, 12e3, 123456789012345.678, 5e-30};
    for (size_t k = 0; k < sizeof texts / sizeof *texts; k++)
        CHECK(decimal_value(read(texts[k])) == values[k]);
    CHECK(signbit(decimal_value(read("-0.0"))));
    CHECK(isnan(decimal_value((struct decimal){.kind = DECIMAL_OVERLOAD})));
}

TEST(a_value_gets_so_many_digits)
{
    char buffer[DECIMAL_TEXT];
    decimal_print(decimal_of(12.3456, 2), buffer);
    CHECK_TEXT(buffer, "12.35");
    CHECK(decimal_of(NAN, 2).kind == DECIMAL_MISSING);
    CHECK(decimal_of(1e30, 2).kind == DECIMAL_OVERLOAD);
}

TEST(many_values_are_those_of_each)
{
    struct decimal alike[37], mixed[37];
    double values[37];
    for (int k = 0; k < 37; k++) {
        alike[k] = (struct decimal){1234 * k - 20007, 3, DECIMAL_NUMBER};
        mixed[k] = (struct decimal){k % 5 == 0 ? INT64_C(999999999999999999) : k, (int8_t)(k % 7 - 2), k % 4 != 0};
    }
    decimal_values(alike, 37, values);
    for (int k = 0; k < 37; k++)
        CHECK(values[k] == decimal_value(alike[k]));
    decimal_values(mixed, 37, values);
    for (int k = 0; k < 37; k++)
        CHECK(values[k] == decimal_value(mixed[k]) || (k % 4 == 0 && isnan(values[k])));
}
