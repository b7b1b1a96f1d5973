#include "check.h"

#include "battery/trip_stimulus.h"

static void check(const char *words, enum trip_way way, const char *place)
{
    struct treatment t = treatment_of(words);
    if (t.way != way || strcmp(t.place, place) != 0)
        printf("    '%s': %d, '%s'\n", words, (int)t.way, t.place);
    CHECK(t.way == way);
    CHECK_TEXT(t.place, place);
}

TEST(words_tell_what_was_treated_and_which_way)
{
    check("sensor chilled", TRIP_COLD, "sensor");
    check("Cell sensor heated: 2 K a minute", TRIP_HOT, "Cell sensor");
    check("hot air on the board sensor", TRIP_HOT, "board sensor");
    check("heat gun on sensor 2", TRIP_HOT, "sensor 2");
    check("chilled the rear cell NTC with spray", TRIP_COLD, "rear cell NTC");
    check("ice bag against the case", TRIP_COLD, "case");
    check("case warmed", TRIP_HOT, "case");
    check("chilled again", TRIP_COLD, "");
}

TEST(what_does_nothing_to_it_is_no_treatment)
{
    check("ice removed", TRIP_UNKNOWN, "");
    check("sensor left alone", TRIP_UNKNOWN, "");
    check("heater off", TRIP_UNKNOWN, "");
    check("from hot to cold", TRIP_UNKNOWN, ""); /* both */
    check("sheath of the lead photographed", TRIP_UNKNOWN, ""); /* no heat in it */
    check("", TRIP_UNKNOWN, "");
    check("not yet heated", TRIP_UNKNOWN, "");
}

TEST(the_stimulus_is_the_last_treatment_and_no_outcome)
{
    const struct told told[] = {{10, 0.5, "load on"},
                                {40, 0.5, "sensor chilled"},
                                {90, 0.5, "a picture of it"},
                                {130, 0.5, "the board opened"}};
    CHECK(stimulus_find(told, 4, 131, -INFINITY) == &told[1]);
    CHECK(stimulus_find(told, 4, 39, -INFINITY) == &told[0]);
    CHECK(stimulus_find(told, 4, 131, 50) == &told[2]); /* a trip before answered the others */
    CHECK(stimulus_find(told, 4, 131, 100) == NULL);
    CHECK(stimulus_find(told, 4, 40 + HEARD_BEFORE_S + 1, -INFINITY) == &told[2]);
    CHECK(stimulus_find(told, 0, 131, -INFINITY) == NULL);
    char place[48];
    stimulus_place(told, 4, 131, place, sizeof place);
    CHECK_TEXT(place, "sensor");
    stimulus_place(told, 4, 39, place, sizeof place);
    CHECK_TEXT(place, "");
}
