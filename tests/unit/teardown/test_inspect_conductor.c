#include "check.h"

#include "inspected.h"

#include <math.h>
#include <string.h>

static struct rated hundred(void)
{
    struct rated rated = rated_nothing();
    rated.continuous_a = 100;
    rated.peak_a = 200;
    rated.peak_s = 5;
    rated.nominal_v = 12.8;
    rated.cells = 4;
    return rated;
}

/* By hand: 4 × 5.2612 mm² of copper (1/58 Ω·mm²/m, 0.00393 /K: IEC 60028), 0.25 m, at the mean of what it says of its
 * warmth, and two joints of 0.1 mΩ. */
TEST(volts_and_heat_of_a_lead_are_those_of_its_resistance)
{
    struct rated rated = hundred();
    struct seen seen = look("[conductor main +]\nsize = 4 x 10 AWG\nlength = 250 mm\ninsulation = 200 °C, silicone\n"
                            "from = cell, bolted lug, 35 °C\nto = board, soldered, 52 °C\njoint = 0.1 mΩ\n",
                            &rated);
    const struct inspected *item = &seen.found.items[0];
    double cold = 0.25 / 58 / (4 * 5.2612) + 2e-4, warm = 0.25 / 58 / (4 * 5.2612) * (1 + 0.00393 * 60) + 2e-4;
    const struct measure *ohm = &value_of(item, "resistance")->measure;
    CHECK(ohm->value > cold && ohm->value < warm && ohm->lo < ohm->value && ohm->u > 0);
    const struct measure *drop = &value_of(item, "volts lost at 100 A")->measure;
    CHECK_REL(drop->value, 100 * ohm->value, 1e-9);
    CHECK_REL(value_of(item, "heat at 100 A")->measure.value, 1e4 * ohm->value, 1e-9);
    CHECK(strstr(value_of(item, "density")->words, "4.75 A/mm²") != NULL); /* 100 / 21.045 */
    CHECK(value_of(item, "hottest place at 100 A")->measure.value > value_of(item, "open still air")->measure.value);
    CHECK(strstr(value_of(item, "table for boats")->words, "280 A") != NULL); /* 70 A each at 200 °C */
    CHECK(seen.found.weakest == 0 && seen.found.weakest_a == item->limit_a);
    let_go(&seen);
}

/* 10 AWG alone for 100 A: the table for boats allows 70 A at most, and the balance agrees that it is too thin. */
TEST(a_lead_too_thin_for_the_label_speaks_against_it)
{
    struct rated rated = hundred();
    struct seen seen = look("[conductor +]\nsize = 10 AWG\nlength = 300 mm\ninsulation = 105 °C\nfrom = cell\nto = board\n"
                            "[conductor -]\nsize = 2/0 AWG\nlength = 200 mm\ninsulation = 105 °C\nfrom = cell\nto = board\n",
                            &rated);
    const struct inspected *thin = &seen.found.items[0], *thick = &seen.found.items[1];
    CHECK(strstr(thin->against, "100 A continuous") != NULL);
    CHECK(thin->limit_a > 20 && thin->limit_a < 90 && thin->limit_u_a > 0);
    CHECK_TEXT(thick->against, "");
    CHECK(thick->limit_a > 100);
    /* However thick: air that is 15 K above 25 °C at 100 A has reached the cells' 60 °C at 100 A √(35/15). */
    CHECK(thick->limit_a < 153);
    CHECK(seen.found.weakest == 0);
    let_go(&seen);
}

/* A jacket for 200 °C counts for nothing where the cell may not be above 60 °C. */
TEST(a_warm_jacket_does_not_set_the_limit)
{
    struct rated rated = hundred();
    struct seen silicone = look("[conductor]\nsize = 8 AWG\nlength = 60 mm\ninsulation = 200 °C\nfrom = cell\nto = cell\n", &rated);
    struct seen pvc = look("[conductor]\nsize = 8 AWG\nlength = 60 mm\ninsulation = 105 °C\nfrom = cell\nto = cell\n", &rated);
    CHECK(strstr(value_of(silicone.found.items, "set by")->words, "cell") != NULL);
    CHECK(strstr(value_of(silicone.found.items, "jacket alone")->words, "does not count") != NULL);
    CHECK_REL(silicone.found.items[0].limit_a, pvc.found.items[0].limit_a, 0.05);
    let_go(&silicone);
    let_go(&pvc);
}

static double allowed_with(const char *sections)
{
    struct rated rated = hundred();
    char text[512];
    snprintf(text, sizeof text, "[conductor]\nsize = 8 AWG\nlength = 160 mm\ninsulation = 200 °C\n%s", sections);
    struct seen seen = look(text, &rated);
    double allowed_a = seen.found.items[0].limit_a;
    let_go(&seen);
    return allowed_a;
}

/* A case that was read colder than the air outside came from the cold: the current does not cool it. */
TEST(a_case_from_a_cold_place_lets_a_lead_carry_no_more_than_one_as_warm_as_the_air_outside)
{
    double level = allowed_with("from = cell\nto = terminal\n[case]\ninside air = 31 °C\noutside air = 31 °C\n");
    double cold = allowed_with("from = cell\nto = terminal\n[case]\ninside air = 9 °C\noutside air = 31 °C\n");
    double cold_cell = allowed_with("from = cell, 9 °C\nto = terminal\n[case]\ninside air = 31 °C\noutside air = 31 °C\n");
    CHECK(level > 0 && cold <= level && cold_cell <= level);
}

TEST(what_is_not_known_is_said_and_not_made_up)
{
    struct rated rated = hundred(), nothing = rated_nothing();
    struct seen seen = look("[conductor a]\nsize = 10 AWG\n[conductor b]\nlength = 200 mm\n[conductor c]\n"
                            "[conductor d]\nsize = 10 AWG\npath = balance, to the plug\nlength = 1 m\n",
                            &rated);
    CHECK(!measure_known(&value_of(&seen.found.items[0], "allowed")->measure));
    CHECK(isnan(seen.found.items[0].limit_a) && isnan(seen.found.items[1].limit_a) && seen.found.items[2].value_count == 0);
    CHECK(isnan(seen.found.items[3].limit_a) && isnan(seen.found.weakest_a) && seen.found.weakest == SIZE_MAX);
    let_go(&seen);
    seen = look("[conductor a]\nsize = 10 AWG\nlength = 200 mm\n", &nothing);
    CHECK(!measure_known(&value_of(&seen.found.items[0], "allowed")->measure)); /* at which current is its case warm? */
    let_go(&seen);
    seen = look("[conductor a]\nsize = 10 AWG\nlength = 300 mm\nfrom = cell\nto = terminal\n", &rated);
    CHECK(value_of(&seen.found.items[0], "allowed")->measure.value < 100); /* a jacket that nobody knows does not bear all */
    CHECK(isnan(seen.found.items[0].limit_a) && seen.found.items[0].against[0] == '\0'); /* and is no ground for a reproach */
    CHECK(strstr(value_of(&seen.found.items[0], "taken for this")->words, "not known, for 60 °C") != NULL);
    let_go(&seen);
    seen = look("[conductor a]\nsize = 10 AWG\nlength = 200 mm\n[board]\nrating = 60 A\n", &nothing);
    CHECK(measure_known(&value_of(&seen.found.items[0], "allowed")->measure));
    CHECK_TEXT(seen.found.items[0].against, "");
    let_go(&seen);
    struct opened none = {0};
    struct inspection found;
    struct message message;
    CHECK(inspect(&none, &nothing, &found, &message) == STATUS_OK && found.count == 0);
    inspection_free(&found);
}

TEST(a_value_that_cannot_be_read_is_told_with_its_place)
{
    static const struct {
        const char *text;
        long line, column;
        const char *what;
    } bad[] = {
        {"[conductor]\nsize = ten\n", 2, 8, "no size of a conductor"},
        {"[conductor]\nsize = 10 AWG, gold\n", 2, 16, "no metal"},
        {"[conductor]\nsize = 10 AWG\nlength = 250\n", 3, 10, "one length"},
        {"[conductor]\nlength = -2 mm\n", 2, 10, "not above 0"},
        {"[conductor]\nlength = 1,250 mm\n", 2, 10, "can be"},
        {"[conductor]\ninsulation = silicone\n", 2, 14, "one temperature"},
        {"[conductor]\nbundled = perhaps\n", 2, 11, "yes or no"},
        {"[conductor]\nfrom = cell, lug, 35 V\n", 2, 19, "temperature"},
        {"[bus bar]\nresistance = >1 mΩ\n", 2, 14, "no other end"},
        {"[balance leads]\ncount = some\n", 2, 9, "a count"},
        {"[case]\ninside air = warm\n", 2, 14, "one temperature"},
    };
    struct rated rated = hundred();
    for (size_t k = 0; k < sizeof bad / sizeof bad[0]; k++) {
        struct opened opened;
        struct inspection found = {.count = 77};
        struct message message = {0};
        CHECK(opened_read_text("x.opened", span_of(bad[k].text), &opened, &message) == STATUS_OK);
        CHECK(inspect(&opened, &rated, &found, &message) == STATUS_MALFORMED && found.count == 77);
        CHECK_NEAR((double)message.line, (double)bad[k].line, 0);
        CHECK_NEAR((double)message.column, (double)bad[k].column, 0);
        if (strstr(message.what, bad[k].what) == NULL || message.remedy[0] == '\0')
            CHECK_TEXT(message.what, bad[k].what);
        opened_free(&opened);
    }
    CHECK(inspect_judge("x", span_of("[fuse]\n[conductor]\nlength = 2 A\n"), &(struct message){0}) == STATUS_MALFORMED);
    CHECK(inspect_judge("x", span_of("[conductor]\nlength = 2 m\n"), &(struct message){0}) == STATUS_OK);
}
