#include "check.h"

#include "claims/claim_names.h"
#include "claims/label.h"
#include "claims/stop_named.h"

#include <stdio.h>

static struct stop_named named_as(const char *words, const char *as_stated)
{
    struct claim claim = {.kind = CLAIM_YES_NO};
    claim_slug(words, claim.slug, sizeof claim.slug);
    snprintf(claim.as_stated, sizeof claim.as_stated, "%s", as_stated);
    return stop_named(&claim);
}

static void check(const char *words, enum trip_way way, bool charging)
{
    struct stop_named named = named_as(words, "yes");
    CHECK_TEXT(trip_way_name(named.way), trip_way_name(way));
    CHECK(named.charging == charging);
}

TEST(a_cause_and_its_stop)
{
    check("over-current protection", TRIP_OVER_CURRENT, false);
    check("Overcurrent cut-off", TRIP_OVER_CURRENT, false);
    check("charge over-current protection", TRIP_OVER_CURRENT, true);
    check("discharge over-current protection", TRIP_OVER_CURRENT, false);
    check("low-voltage disconnect", TRIP_LOW, false);
    check("over-discharge protection", TRIP_LOW, false);
    check("overcharge protection", TRIP_HIGH, true);
    check("BMS with over-voltage protection", TRIP_HIGH, true);
    check("low-temperature charge cut-off", TRIP_COLD, true);
    check("low temperature protection", TRIP_COLD, true);
    check("low-temperature discharge protection", TRIP_COLD, false);
    check("over-temperature shutdown", TRIP_HOT, true);
}

TEST(a_verb_and_its_cause)
{
    check("charging stops when cold", TRIP_COLD, true);
    check("charging stops when its sensor is too cold", TRIP_COLD, true);
    check("charging stops in heat", TRIP_HOT, true);
    check("discharging stops when hot", TRIP_HOT, false);
    check("stops when empty", TRIP_LOW, false);
    check("cuts off at over-current", TRIP_OVER_CURRENT, false);
}

TEST(words_that_are_of_something_else_name_none)
{
    static const char *const others[] = {"heats itself", "protected against cold and wet", "case stops water in the cold", "cold protection",
                                         "tight to IP67", "charging lamp", "charges in the cold", "stops when hot", "hot-swap without stops",
                                         "short-circuit protection", "over-charge current protection", "reverse polarity protection",
                                         "never stops when empty", "no low-temperature protection", "charging does not stop when cold", ""};
    for (size_t k = 0; k < sizeof others / sizeof others[0]; k++)
        check(others[k], TRIP_UNKNOWN, false);
    CHECK(named_as("low-temperature protection", "no").way == TRIP_UNKNOWN);
    struct claim value = {.kind = CLAIM_CUT_OFF_VOLTAGE, .slug = "low-voltage-cut-off"};
    CHECK(stop_named(&value).way == TRIP_UNKNOWN);
}
