#include "check.h"

#include "base/number.h"

static double read_all(const char *s, char decimal)
{
    double value;
    return number_is(span_of(s), decimal, &value) ? value : NAN;
}

TEST(reads_the_forms_meters_print)
{
    CHECK_NEAR(read_all(" 12.91 ", '.'), 12.91, 0);
    CHECK_NEAR(read_all("-0,035", ','), -0.035, 0);
    CHECK_NEAR(read_all(".5", '.'), 0.5, 0);
    CHECK_NEAR(read_all("3.400000E+38", '.'), 3.4e38, 0);
    CHECK(isnan(read_all("12.3.4", '.')));
    CHECK(isnan(read_all("1,5", '.')));
    CHECK(isnan(read_all("0x10", '.')));
    CHECK(isnan(read_all("nan", '.')));
    CHECK(isnan(read_all("1e999", '.')));
    CHECK(isnan(read_all("-", '.')));
    CHECK(isnan(read_all("", '.')));
}

TEST(counts_decimals)
{
    double value;
    int decimals = -9;
    CHECK(number_read(span_of("31.20 Ah"), '.', &value, &decimals) == 5);
    CHECK(decimals == 2);
    CHECK(number_read(span_of("1.5e-3"), '.', &value, &decimals) == 6);
    CHECK(decimals == 4);
    CHECK(number_read(span_of("2e"), '.', &value, &decimals) == 1);
    CHECK(number_read(span_of("0..45"), '.', &value, &decimals) == 1);
    CHECK(decimals == 0);
}

TEST(prints_two_digits_of_uncertainty)
{
    char s[32];
    number_print(61.1389, 0.45, s, sizeof s);
    CHECK_TEXT(s, "61.14");
    number_print(-0.0001, 0.45, s, sizeof s);
    CHECK_TEXT(s, "0.00");
    number_print(1234.5, 0.0996, s, sizeof s);
    CHECK_TEXT(s, "1234.50");
    number_print(771.2, 14, s, sizeof s);
    CHECK_TEXT(s, "771");
    number_print_duration(8760.4, s, sizeof s);
    CHECK_TEXT(s, "2:26:00");
    number_print_duration(59.97, s, sizeof s);
    CHECK_TEXT(s, "0:01:00");
}

TEST(instants_print_as_iso_8601)
{
    char s[NUMBER_INSTANT];
    number_print_instant(1790000000.9, s);
    CHECK_TEXT(s, "2026-09-21T14:13:20");
    number_print_instant(-1, s);
    CHECK_TEXT(s, "1969-12-31T23:59:59");
    number_print_instant(NAN, s);
    CHECK_TEXT(s, "");
    number_print_instant(1e300, s);
    CHECK_TEXT(s, "");
}
