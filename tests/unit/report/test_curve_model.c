#include "made_record.h"

#include "draw/svg.h"
#include "report/curve_model.h"
#include "report/figures.h"

static bool drawn(const struct figure *figure, const char *words)
{
    for (size_t k = 0; k < figure->count; k++)
        if (figure->shapes[k].kind == SHAPE_TEXT && strcmp(figure_string(figure, figure->shapes[k].text), words) == 0)
            return true;
    return false;
}

/* Set as a tag, or in the lines below the figure. */
static void check_drawn(const struct figure *figure, const json_t *words)
{
    struct text all = TEXT_EMPTY;
    for (size_t k = 0; k < figure->count; k++)
        if (figure->shapes[k].kind == SHAPE_TEXT)
            text_addf(&all, "%s ", figure_string(figure, figure->shapes[k].text));
    if (!drawn(figure, json_string_value(words)) && strstr(text_string(&all), json_string_value(words)) == NULL)
        CHECK_TEXT(json_string_value(words), "on the figure");
    text_free(&all);
}

static json_t *model_of(const struct record *record)
{
    struct curve_model model;
    CHECK(curve_model_make(record, &model));
    json_t *json = json_curve_model(&model);
    curve_model_free(&model);
    return json;
}

TEST(what_the_page_gets_is_what_the_figure_says)
{
    static const char *const demos[][3] = {{"demo/hut-pack.log.csv", "demo/hut-pack.label", "demo/hut-pack.rig"},
                                           {"demo/hut-pack.readings", "demo/hut-pack.label", NULL},
                                           {"demo/bivouac-pack.readings", "demo/bivouac-pack.label", NULL}};
    for (int d = 0; d < 3; d++) {
        struct assessment demo = assessed(demos[d][0], demos[d][1], demos[d][2]);
        struct figure figure = {0};
        CHECK(curve_figure(&demo, 0, 1100, 420, &figure));
        json_t *model = model_of(&demo.records[0]);
        check_drawn(&figure, json_object_get(model, "volts_name"));
        check_drawn(&figure, json_object_get(model, "amps_name"));
        check_drawn(&figure, json_object_get(json_object_get(model, "rated"), "words"));
        check_drawn(&figure, json_object_get(json_object_get(model, "end"), "words"));
        size_t index;
        json_t *one;
        json_array_foreach(json_object_get(model, "marks"), index, one)
            check_drawn(&figure, json_object_get(one, "words"));
        json_array_foreach(json_object_get(model, "bursts"), index, one) {
            check_drawn(&figure, json_object_get(one, "words"));
            check_drawn(&figure, json_object_get(one, "cost"));
        }
        CHECK(d != 0 || json_array_size(json_object_get(model, "bursts")) == 1);
        json_decref(model);
        figure_free(&figure);
        assessment_free(&demo);
    }
}

TEST(phases_and_the_burst_stand_where_the_charge_had_come_to)
{
    struct assessment demo = assessed_demo();
    const struct findings *f = &demo.records[0].findings;
    json_t *model = model_of(&demo.records[0]), *phases = json_object_get(model, "phases");
    CHECK(json_array_size(phases) == f->phase_count);
    size_t index;
    json_t *one;
    double last = 0;
    json_array_foreach(phases, index, one) {
        CHECK_NEAR(json_number_value(json_object_get(one, "from_s")), f->phases[index].start_s, 0);
        bool shown = json_is_true(json_object_get(one, "in_test"));
        CHECK(shown == json_is_number(json_object_get(one, "from")));
        if (!shown)
            continue;
        CHECK_NEAR(json_number_value(json_object_get(one, "from")), last, 0.02); /* where the one before ended */
        last = json_number_value(json_object_get(one, "to"));
    }
    CHECK_NEAR(last, f->test_ah.value, 0.05);
    json_decref(model);
    assessment_free(&demo);
}

TEST(a_record_without_points_has_no_model)
{
    struct assessment made = with_record(900, 2);
    made.records[0].findings.has_test = false;
    struct curve_model model;
    CHECK(!curve_model_make(&made.records[0], &model));
    record_free(&made);
}
