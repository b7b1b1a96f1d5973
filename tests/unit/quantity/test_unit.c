#include "check.h"

#include "quantity/unit.h"

static double own(const char *s, enum quantity want)
{
    double value;
    enum quantity quantity;
    size_t used = quantity_read(span_of(s), '.', &value, NULL, &quantity);
    return used == strlen(s) && quantity == want ? value : NAN;
}

TEST(reads_what_meters_and_labels_write)
{
    CHECK_NEAR(own("12.91 V", QUANTITY_VOLTAGE), 12.91, 0);
    CHECK_NEAR(own("350mV", QUANTITY_VOLTAGE), 0.35, 1e-15);
    CHECK_NEAR(own("1.28 kWh", QUANTITY_ENERGY), 1280, 1e-9);
    CHECK_NEAR(own("4500 mAh", QUANTITY_CHARGE), 4.5, 1e-12);
    CHECK_NEAR(own("2.5 mΩ", QUANTITY_RESISTANCE), 0.0025, 1e-15);
    CHECK_NEAR(own("50 °F", QUANTITY_TEMPERATURE), 10, 1e-12);
    CHECK_NEAR(own("293.15 K", QUANTITY_TEMPERATURE), 20, 1e-9);
    CHECK_NEAR(own("-4 degC", QUANTITY_TEMPERATURE), -4, 0);
    CHECK_NEAR(own("90 min", QUANTITY_TIME), 5400, 0);
    CHECK_NEAR(own("0.5 %", QUANTITY_RATIO), 0.005, 1e-15);
    CHECK_NEAR(own("20 ppm", QUANTITY_RATIO), 2e-5, 1e-18);
    CHECK_NEAR(own("0.2 It", QUANTITY_RATE), 0.2, 0);
    CHECK_NEAR(own("3600 As", QUANTITY_CHARGE), 1, 1e-12);
    CHECK_NEAR(own("24.8", QUANTITY_NONE), 24.8, 0);
}

TEST(two_words_are_one_unit)
{
    CHECK_NEAR(own("31.2 A h", QUANTITY_CHARGE), 31.2, 0);
    CHECK_NEAR(own("31.2 amp-hours", QUANTITY_CHARGE), 31.2, 0);
    CHECK_NEAR(own("402 watt hours", QUANTITY_ENERGY), 402, 0);
    CHECK_NEAR(own("21.5 deg C", QUANTITY_TEMPERATURE), 21.5, 0);
    struct unit unit;
    CHECK(unit_read(span_of("A burst"), &unit) == 1 && unit.quantity == QUANTITY_CURRENT);
    CHECK(unit_read(span_of("%rdg"), &unit) == 1 && unit.quantity == QUANTITY_RATIO);
    CHECK(unit_read(span_of("A±0.5"), &unit) == 1 && unit.quantity == QUANTITY_CURRENT);
    CHECK(unit_read(span_of("±0.5"), &unit) == 0);
}

TEST(prefix_case_counts)
{
    struct unit unit;
    CHECK(unit_find(span_of("mA"), &unit) && unit.factor == 1e-3);
    CHECK(unit_find(span_of("MA"), &unit) && unit.factor == 1e6);
    CHECK(unit_find(span_of("KWH"), &unit) && unit.quantity == QUANTITY_ENERGY && unit.factor == 1e3);
    CHECK(!unit_find(span_of("furlong"), &unit));
    CHECK(!unit_find(span_of(""), &unit));
}

TEST(leaves_words_unread)
{
    double value, digit;
    enum quantity quantity;
    CHECK(quantity_read(span_of("12.9 burst"), '.', &value, &digit, &quantity) == 4);
    CHECK(quantity == QUANTITY_NONE);
    CHECK_NEAR(digit, 0.1, 1e-15);
}

TEST(many_at_once_are_each_in_turn)
{
    static const struct unit units[] = {{QUANTITY_CURRENT, -0.001, 0.25}, {QUANTITY_VOLTAGE, 1, 0}};
    for (int u = 0; u < 2; u++) {
        double numbers[7] = {12.907, -0.3, 0, 1e-9, 385.2, -7, 2.385}, want[7];
        for (int k = 0; k < 7; k++)
            want[k] = unit_own(numbers[k], &units[u]);
        unit_own_all(numbers, 7, &units[u]);
        for (int k = 0; k < 7; k++)
            CHECK_NEAR(numbers[k], want[k], 0);
    }
}
