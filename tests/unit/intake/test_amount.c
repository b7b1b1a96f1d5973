#include "check.h"

#include "intake/amount.h"

static struct message message;
static size_t used;

static struct amount read_with(const char *s, char decimal)
{
    struct amount amount = {.value = -999};
    memset(&message, 0, sizeof message);
    if (amount_read(span_of(s), decimal, &amount, &used, &message) != STATUS_OK)
        used = 0;
    return amount;
}

static bool bounds(const char *s, enum amount_form form, enum quantity quantity, double lo, double hi)
{
    struct amount amount = read_with(s, '\0');
    bool same = used == strlen(s) && amount.form == form && amount.quantity == quantity &&
                (amount.lo == lo || fabs(amount.lo - lo) < 1e-9) && (amount.hi == hi || fabs(amount.hi - hi) < 1e-9);
    if (!same)
        printf("    %s: used %zu, form %d, quantity %d, %g to %g\n", s, used, amount.form, amount.quantity, amount.lo, amount.hi);
    return same;
}

TEST(plain_numbers_in_any_spacing_and_case)
{
    CHECK(bounds("12.91 V", AMOUNT_PLAIN, QUANTITY_VOLTAGE, 12.91, 12.91));
    CHECK(bounds("12,91v", AMOUNT_PLAIN, QUANTITY_VOLTAGE, 12.91, 12.91));
    CHECK(bounds("12.91\xC2\xA0V", AMOUNT_PLAIN, QUANTITY_VOLTAGE, 12.91, 12.91));
    CHECK(bounds("350 mV", AMOUNT_PLAIN, QUANTITY_VOLTAGE, 0.35, 0.35));
    CHECK(bounds("−4.2 A", AMOUNT_PLAIN, QUANTITY_CURRENT, -4.2, -4.2));
    CHECK(bounds("+4.2 A", AMOUNT_PLAIN, QUANTITY_CURRENT, 4.2, 4.2));
    CHECK(bounds("0,350 V", AMOUNT_PLAIN, QUANTITY_VOLTAGE, 0.35, 0.35));
    CHECK(bounds("1.5e3 W", AMOUNT_PLAIN, QUANTITY_POWER, 1500, 1500));
    CHECK(bounds("70 °F", AMOUNT_PLAIN, QUANTITY_TEMPERATURE, 190.0 / 9, 190.0 / 9));
    CHECK_NEAR(read_with("31.20 Ah", 0).digit, 0.01, 1e-15);
    CHECK_NEAR(read_with("402 mWh", 0).digit, 0.001, 1e-15);
}

TEST(hedges_as_people_speak)
{
    CHECK(bounds("~24 A", AMOUNT_ABOUT, QUANTITY_CURRENT, 24, 24));
    CHECK(bounds("≈ 24 A", AMOUNT_ABOUT, QUANTITY_CURRENT, 24, 24));
    CHECK(bounds("Ca. 24 A", AMOUNT_ABOUT, QUANTITY_CURRENT, 24, 24));
    CHECK(bounds("about 24 A", AMOUNT_ABOUT, QUANTITY_CURRENT, 24, 24));
    CHECK(bounds(">55 A", AMOUNT_ABOVE, QUANTITY_CURRENT, 55, INFINITY));
    CHECK(bounds("more than 55 A", AMOUNT_ABOVE, QUANTITY_CURRENT, 55, INFINITY));
    CHECK(bounds("< 10 V", AMOUNT_BELOW, QUANTITY_VOLTAGE, -INFINITY, 10));
    CHECK(isnan(read_with(">55 A", 0).value));
    CHECK(bounds("60..62 Ah", AMOUNT_RANGE, QUANTITY_CHARGE, 60, 62));
    CHECK(bounds("60…62 Ah", AMOUNT_RANGE, QUANTITY_CHARGE, 60, 62));
    CHECK(bounds("60-62 Ah", AMOUNT_RANGE, QUANTITY_CHARGE, 60, 62));
    CHECK(bounds("60 – 62 Ah", AMOUNT_RANGE, QUANTITY_CHARGE, 60, 62));
    CHECK(bounds("60 Ah to 62 Ah", AMOUNT_RANGE, QUANTITY_CHARGE, 60, 62));
    CHECK(bounds("900 mV .. 1,1 V", AMOUNT_RANGE, QUANTITY_VOLTAGE, 0.9, 1.1));
    CHECK(bounds("24 ± 0.5 A", AMOUNT_SPREAD, QUANTITY_CURRENT, 23.5, 24.5));
    CHECK(bounds("24 A +/- 0,5 A", AMOUNT_SPREAD, QUANTITY_CURRENT, 23.5, 24.5));
    CHECK(bounds("24 A±2%", AMOUNT_SPREAD, QUANTITY_CURRENT, 23.52, 24.48));
    CHECK(bounds("24.8 A ± 3 digits", AMOUNT_SPREAD, QUANTITY_CURRENT, 24.5, 25.1));
    CHECK(bounds("21 °C ± 1 K", AMOUNT_SPREAD, QUANTITY_TEMPERATURE, 20, 22)); /* a difference has no zero point */
}

TEST(stops_where_the_amount_stops)
{
    read_with("12.9 V -5.0 A", 0);
    CHECK(used == 6);
    read_with("12.91V24.8A", 0);
    CHECK(used == 6);
    read_with("60 -62 Ah", 0); /* no range: the minus belongs to the second */
    CHECK(used == 2);
    read_with("24 A to the heater", 0);
    CHECK(used == 4);
    read_with("about noon", 0);
    CHECK(used == 0 && message.status == STATUS_OK);
    read_with("-", 0);
    CHECK(used == 0 && message.status == STATUS_OK);
    read_with("12 volatile", 0);
    CHECK(used == 2);
}

TEST(a_comma_is_never_guessed)
{
    read_with("1,280 Wh", 0);
    CHECK(message.status == STATUS_AMBIGUOUS);
    CHECK_NEAR(read_with("1,280 Wh", ',').value, 1.28, 1e-15);
    read_with("1.280 Wh", ',');
    CHECK(message.status == STATUS_AMBIGUOUS);
    CHECK_NEAR(read_with("1.280 Wh", '.').value, 1.28, 1e-15);
    CHECK_NEAR(read_with("1.280 Wh", 0).value, 1.28, 1e-15);
    read_with("100,000 Wh", 0);
    CHECK(message.status == STATUS_AMBIGUOUS);
    CHECK_NEAR(read_with("1000,250 Wh", 0).value, 1000.25, 1e-12); /* no thousands have four digits before */
    read_with("12,91 V", '.');
    CHECK(message.status == STATUS_MALFORMED);
    read_with("1,280.5 Wh", 0);
    CHECK(message.status == STATUS_MALFORMED);
    read_with("~1,280.5 Wh", 0);
    CHECK(message.status == STATUS_MALFORMED && message.column == 1);
    read_with("62..60 Ah", 0);
    CHECK(message.status == STATUS_MALFORMED);
    read_with("60 A .. 62 V", 0);
    CHECK(message.status == STATUS_MALFORMED);
    read_with("24 A ± 1 V", 0);
    CHECK(message.status == STATUS_MALFORMED);
    struct amount kept = read_with("1,280 Wh", 0);
    CHECK_NEAR(kept.value, -999, 0); /* untouched */
}

TEST(numbers_past_all_bounds_are_refused)
{
    char s[200];
    memset(s, '9', sizeof s);
    s[sizeof s - 1] = '\0';
    read_with(s, 0);
    CHECK(message.status == STATUS_MALFORMED);
    read_with("1e999 V", 0);
    CHECK(message.status == STATUS_MALFORMED);
    read_with("11.4e-2801 V", 0);
    CHECK(message.status == STATUS_MALFORMED);
}
