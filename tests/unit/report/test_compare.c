#include "report/compare.h"

#include "unit/report/assessed.h"

struct pair {
    struct assessment first, second;
    struct compare compare;
};

static void pair_open(struct pair *pair)
{
    *pair = (struct pair){.first = assessed_demo(),
                          .second = assessed("demo/bivouac-pack.readings", "demo/bivouac-pack.label", NULL)};
    CHECK(compare_add(&pair->compare, 1, "Hut pack 14", &pair->first));
    CHECK(compare_add(&pair->compare, 2, "Bivouac <pack>", &pair->second));
}

static void pair_close(struct pair *pair)
{
    compare_free(&pair->compare);
    assessment_free(&pair->first);
    assessment_free(&pair->second);
}

static void picture(const struct compare *compare, enum compare_figure which, double width, struct text *text)
{
    struct message message = {0};
    CHECK(compare_picture(compare, which, PICTURE_SVG, width, text, &message) == STATUS_OK);
}

static bool drawn(const struct compare *compare, enum compare_figure which, double width, const char *words)
{
    struct text text = TEXT_EMPTY;
    picture(compare, which, width, &text);
    bool found = strstr(text_string(&text), words) != NULL;
    text_free(&text);
    return found;
}

TEST(every_figure_names_every_sample_or_says_why_it_is_not_shown)
{
    struct pair pair;
    pair_open(&pair);
    static const double widths[] = {300, 980, 2400};
    for (int k = 0; k < COMPARE_FIGURES; k++)
        for (int w = 0; w < 3; w++) {
            CHECK(drawn(&pair.compare, (enum compare_figure)k, widths[w], "Hut pack 14"));
            CHECK(drawn(&pair.compare, (enum compare_figure)k, widths[w], "Bivouac &lt;pack&gt;"));
            CHECK(drawn(&pair.compare, (enum compare_figure)k, widths[w], "Invented"));
        }
    CHECK(drawn(&pair.compare, COMPARE_PRICE, 980, "Not shown: Bivouac &lt;pack&gt;: no price"));
    CHECK(drawn(&pair.compare, COMPARE_VOLUME, 980, "size neither measured nor claimed"));
    CHECK(drawn(&pair.compare, COMPARE_RESISTANCE, 980, "no step of current that gives a resistance"));
    CHECK(drawn(&pair.compare, COMPARE_VERDICTS, 980, "2 not met"));
    pair_close(&pair);
}

/* A figure in which a point lies where its numbers say: the mass axis begins and ends at known places, so that the
 * heavier sample stands right of the lighter. */
TEST(heavier_stands_right_and_more_energy_above)
{
    struct pair pair;
    struct figure figure;
    double x[2] = {NAN, NAN}, y[2] = {NAN, NAN};
    int circles = 0;
    pair_open(&pair);
    compare_figure(&pair.compare, COMPARE_MASS, 980, &figure);
    for (size_t k = 0; k < figure.count; k++)
        if (figure.shapes[k].kind == SHAPE_CIRCLE && circles < 2)
            x[circles] = figure.points[figure.shapes[k].first].x, y[circles++] = figure.points[figure.shapes[k].first].y;
    CHECK(circles == 2 && x[0] > x[1] + 200 && y[0] < y[1] - 100);
    figure_free(&figure);
    pair_close(&pair);
}

TEST(packs_of_unlike_volts_share_an_axis_by_the_cell)
{
    struct pair pair;
    pair_open(&pair);
    CHECK(pair.first.label.cells == 4 && pair.second.label.cells == 4);
    CHECK(!drawn(&pair.compare, COMPARE_CURVES, 980, "V a cell"));
    pair.second.label.cells = 8;
    CHECK(drawn(&pair.compare, COMPARE_CURVES, 980, "V a cell"));
    pair.second.label.cells = 0; /* not known: as they were read */
    CHECK(!drawn(&pair.compare, COMPARE_CURVES, 980, "V a cell"));
    pair_close(&pair);
}

TEST(prices_of_two_currencies_do_not_share_an_axis)
{
    struct pair pair;
    pair_open(&pair);
    pair.compare.items[1].entry.price = 100;
    pair.compare.items[1].entry.currency = "CHF";
    CHECK(drawn(&pair.compare, COMPARE_PRICE, 980, "its price is in another currency"));
    pair_close(&pair);
}

TEST(tests_that_were_not_made_alike_are_said)
{
    struct pair pair;
    struct notices notices = {0};
    pair_open(&pair);
    compare_conditions(&pair.compare, &notices);
    size_t before = notices.count;
    struct findings *f = &pair.second.records[0].findings;
    f->test_mean_a *= 5, f->test_degc = 3;
    f->runs[f->test_last_run].ended.by = ENDED_LOG;
    compare_conditions(&pair.compare, &notices);
    CHECK(notices.count >= before + 3);
    bool rate = false, warmth = false, ending = false;
    for (size_t k = before; k < notices.count; k++) {
        rate = rate || strstr(notices.items[k].text, "Not discharged alike: Hut pack 14") != NULL;
        warmth = warmth || strstr(notices.items[k].text, "Not equally warm: Bivouac <pack> at 3 °C") != NULL;
        ending = ending || strstr(notices.items[k].text, "log stopped") != NULL;
    }
    CHECK(rate && warmth && ending);
    f->test_degc = NAN;
    compare_conditions(&pair.compare, &notices);
    CHECK(strstr(notices.items[notices.count - 2].text, "is not known") != NULL);
    notices_free(&notices);
    pair_close(&pair);
}

TEST(json_says_what_the_entries_say)
{
    struct pair pair;
    struct text text = TEXT_EMPTY;
    json_t *all = NULL;
    pair_open(&pair);
    compare_json(&pair.compare, &text);
    CHECK(json_parse("x", 1, (struct span){text_string(&text), text.length}, &all, NULL) == STATUS_OK);
    const json_t *first = json_array_get(json_object_get(all, "samples"), 0), *found = json_object_get(first, "found");
    CHECK_REL(json_number_value(json_object_get(json_object_get(found, "wh_per_kg"), "low")), pair.compare.items[0].entry.wh_per_kg.lo, 1e-9);
    CHECK_REL(json_number_value(json_object_get(json_object_get(first, "test"), "mean_a")), pair.first.records[0].findings.test_mean_a, 1e-9);
    CHECK(json_is_array(json_object_get(all, "conditions")));
    json_decref(all);
    text_free(&text);
    pair_close(&pair);
}

TEST(hostile_assessments_and_a_full_house_are_drawn)
{
    struct compare compare = {.count = 0};
    struct assessment hostile = made(24);
    for (int k = 0; k < COMPARED_MOST; k++)
        CHECK(compare_add(&compare, k + 1, k % 2 == 0 ? HOSTILE : "", &hostile));
    CHECK(!compare_add(&compare, 99, "one too many", &hostile));
    for (int k = 0; k < COMPARE_FIGURES; k++) {
        struct text text = TEXT_EMPTY;
        picture(&compare, (enum compare_figure)k, 400, &text);
        CHECK(strstr(text_string(&text), "<script>") == NULL);
        text_free(&text);
    }
    compare_free(&compare);
    made_free(&hostile);
}
