#include "inspected.h"

/* What a tester types by hand, with the slips that are made at a bench. */

TEST(a_slip_is_named_with_its_place_and_a_remedy)
{
    static const struct {
        const char *text;
        long line, column;
        const char *what, *remedy;
    } rows[] = {
        {"[conductor +]\nsize = 10 AWG\njoint = 0.1 MΩ\n", 3, 9, "far from what", "`joint = 0.1 mΩ`"},
        {"[conductor +]\nsize = 10 AWG\nlength = 200 m\n", 3, 10, "far from what", "unit"},
        {"[board]\nrating = 80 mA\n", 2, 10, "far from what", "`rating = 100 A`"},
        {"[conductor +]\nsize = 5,3 mm², coper\n", 2, 17, "`coper` is no metal", "copper"},
        {"[conductor +]\nsize = 10 AWG\nfrom = cel, lug\n", 3, 8, "`cel` is no end", "`cell` was meant"},
        {"[conductor +]\nsize = 10 AWG\nfrom = cell at 41 °C, lug 50 °C\n", 3, 27, "one temperature", "from ="},
        {"[fuse]\nrating = none\ntype = strip\n", 3, 8, "there is none", "keep the one"},
        {"[sensor]\nr25 = 10 kΩ\nbeta = 343\n", 3, 8, "no sensor has a B of 343 K", "3435"},
        {"[sensor]\nreads = 10 kΩ, warm\n", 2, 16, "one temperature", "at 24.6 °C"},
        {"[cells]\narrangement = 4P\n", 2, 15, "no arrangement", "4S1P"},
        {"[cells]\narrangement = 4S4S\n", 2, 15, "no arrangement", "4S1P"},
        {"[case]\nsize = 329 x 172,5 mm\n", 2, 8, "three lengths", "329 x 172 x 214 mm"},
    };
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        struct message message = {0};
        CHECK(inspect_judge("x.opened", span_of(rows[k].text), &message) == STATUS_MALFORMED);
        CHECK_NEAR((double)message.line, (double)rows[k].line, 0);
        CHECK_NEAR((double)message.column, (double)rows[k].column, 0);
        says(message.what, rows[k].what);
        says(message.remedy, rows[k].remedy);
    }
}

TEST(a_thirteenth_reading_of_a_sensor_is_not_dropped_in_silence)
{
    struct text text = TEXT_EMPTY;
    struct message message = {0};
    text_add(&text, "[sensor]\n");
    for (int k = 0; k < 13; k++)
        text_addf(&text, "reads = 10.%d kΩ at 24 °C\n", k);
    CHECK(inspect_judge("x.opened", (struct span){text_string(&text), text.length}, &message) == STATUS_MALFORMED);
    CHECK_NEAR((double)message.line, 14, 0);
    says(message.remedy, "[sensor again]");
    text_free(&text);
}

TEST(a_decimal_comma_and_either_order_of_an_arrangement_are_read)
{
    struct rated nothing = rated_nothing();
    struct seen seen = look("[conductor +]\nsize = 5,3 mm²\nlength = 18,5 cm\n[conductor -]\nsize = 5.3 mm², copper\n"
                            "[cells]\narrangement = 2P4S\nrated = 50 Ah\n[cells b]\narrangement = 4S, in a row\n",
                            &nothing);
    CHECK_TEXT(value_of(&seen.found.items[0], "section")->words, "5.3 mm²");
    CHECK_TEXT(value_of(&seen.found.items[1], "section")->words, "5.3 mm²");
    CHECK_NEAR(value_of(&seen.found.items[2], "in series")->measure.value, 12.8, 1e-9);
    CHECK_NEAR(value_of(&seen.found.items[2], "side by side")->measure.value, 100, 1e-9);
    CHECK_NEAR(value_of(&seen.found.items[3], "in series")->measure.value, 12.8, 1e-9);
    let_go(&seen);
}

TEST(a_temperature_at_an_end_counts_however_it_is_put)
{
    struct rated rated = rated_nothing();
    rated.continuous_a = 100;
    struct seen seen = look("[conductor a]\nsize = 4 x 10 AWG\nlength = 200 mm\ninsulation = 200 °C\nfrom = cell at 141 °C\nto = cell\n"
                            "[conductor b]\nsize = 4 x 10 AWG\nlength = 200 mm\ninsulation = 200 °C\nfrom = cell, 2 bolts, 141 °C\nto = cell\n"
                            "[conductor c]\nsize = 4 x 10 AWG\nlength = 200 mm\ninsulation = 200 °C\nfrom = cell\n",
                            &rated);
    const struct inspected *items = seen.found.items;
    CHECK(items[0].limit_a < 0.7 * items[2].limit_a && items[0].limit_a > 0.2 * items[2].limit_a);
    CHECK_NEAR(items[0].limit_a, items[1].limit_a, 1e-9);
    says(value_of(&items[2], "taken for")->words, "its other end not described: the board");
    let_go(&seen);
}

TEST(an_end_of_no_known_kind_is_said)
{
    struct rated rated = rated_nothing();
    rated.continuous_a = 100;
    struct seen seen = look("[conductor +]\nsize = 10 AWG\nlength = 200 mm\nfrom = post\nto = board\n", &rated);
    says(value_of(&seen.found.items[0], "taken for")->words, "no heat leaves at an end of no known kind");
    says(value_of(&seen.found.items[0], "taken for")->words, "not known, for 60 °C");
    let_go(&seen);
}

TEST(none_is_none_however_it_is_put)
{
    struct rated nothing = rated_nothing();
    struct seen seen = look("[fuse]\nrating = no\n[fuse b]\ntype = none\n[vent]\ntype = no vent\n[vent b]\ntype = unknown\n"
                            "[cells]\ncode = none\n",
                            &nothing);
    says(seen.found.items[0].means, "Without a fuse");
    says(seen.found.items[1].means, "Without a fuse");
    says(seen.found.items[2].means, "has no way out");
    CHECK_TEXT(seen.found.items[3].means, "");
    CHECK(seen.found.code_count == 0);
    let_go(&seen);
}

TEST(what_contradicts_itself_is_said)
{
    struct rated rated = rated_nothing();
    rated.rated_wh = 1280;
    struct seen seen = look("[case]\nmass = 1.24 kg\nsize = 329 x 172 x 214 mm\ngroup = ZZ\ninside air = 41 °C\noutside air = 52 °C\n[cells]\nsigns = none seen\nsigns = weld marks\n"
                            "[sensor]\nr25 = 10 kΩ\nbeta = 3435\nreads = 2 kΩ at 24 °C\nreads = 10 kΩ, 10 °C\n",
                            &rated);
    says(seen.found.items[0].means, "group ZZ is none");
    CHECK_TEXT(value_of(&seen.found.items[0], "air inside")->words, "11 K");
    says(seen.found.items[0].means, "came from a colder place");
    says(seen.found.items[0].means, "the mass or the label's energy is wrong");
    says(seen.found.items[1].means, "one of the two is wrong");
    const char *means = seen.found.items[2].means, *off = strstr(means, "not on the stated curve");
    CHECK(off != NULL && strstr(off + 1, "not on the stated curve") == NULL);
    says(means, "make a B of 9672 K, which no sensor has"); /* ln 5 · 283.15 · 297.15 / 14 */
    let_go(&seen);
}

TEST(a_hundred_signs_are_counted_though_not_all_shown)
{
    struct text text = TEXT_EMPTY;
    struct rated nothing = rated_nothing();
    text_add(&text, "[cells]\n");
    for (int k = 0; k < 100; k++)
        text_addf(&text, "signs = weld mark %d\n", k);
    struct seen seen = look(text_string(&text), &nothing);
    says(seen.found.items[0].means, "100 signs");
    CHECK_TEXT(value_of(&seen.found.items[0], "more signs")->words, "92");
    let_go(&seen);
    text_free(&text);
}
