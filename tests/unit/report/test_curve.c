#include "made_record.h"

#include "draw/layout.h"
#include "draw/svg.h"
#include "report/figures.h"

static const double widths[] = {980, 800, 340};
enum { WIDTHS = 3 };

static void fill(struct assessment *made, size_t count)
{
    for (size_t k = 0; k < count; k++) {
        made->records[0].log.series.column[CHANNEL_VOLTAGE][k] = 13.1 - 2.7 * pow((double)k / (double)count, 6);
        made->records[0].log.series.column[CHANNEL_CURRENT][k] = 23.7;
    }
}

static bool shows(const struct figure *figure, const char *words)
{
    for (size_t k = 0; k < figure->count; k++)
        if (figure->shapes[k].kind == SHAPE_TEXT && strstr(figure_string(figure, figure->shapes[k].text), words) != NULL)
            return true;
    return false;
}

/* Words stay inside, and no line or word leaves the figure below. */
static void check_inside(const struct figure *figure)
{
    for (size_t k = 0; k < figure->count; k++) {
        const struct item *item = &figure->shapes[k];
        if (item->kind == SHAPE_TEXT) {
            struct point at = figure->points[item->first];
            const char *words = figure_string(figure, item->text);
            struct box box = layout_ink_box(at.x, at.y, item->lettering, words);
            if (box.left < -0.5 || box.right > figure->width + 0.5 || box.top < -0.5 || box.bottom > figure->height + 0.5)
                CHECK_TEXT(words, "inside the figure");
            continue;
        }
        for (size_t p = item->first; p < item->first + item->count && item->kind == SHAPE_LINE; p++)
            CHECK(isnan(figure->points[p].x) || (figure->points[p].y <= figure->height && figure->points[p].y >= 0 &&
                                                 figure->points[p].x <= figure->width && figure->points[p].x >= 0));
    }
}

static struct figure drawn(const struct assessment *assessment, double width)
{
    struct figure figure = {0};
    CHECK(curve_figure(assessment, 0, width, 420, &figure));
    check_inside(&figure);
    struct text svg = TEXT_EMPTY;
    svg_add_document(&figure, &svg);
    CHECK(strstr(svg.s, "nan") == NULL && strstr(svg.s, "inf") == NULL);
    text_free(&svg);
    return figure;
}

TEST(the_curves_of_the_demo_say_what_happened)
{
    static const char *const demos[][3] = {{"demo/hut-pack.log.csv", "demo/hut-pack.label", "demo/hut-pack.rig"},
                                           {"demo/hut-pack.readings", "demo/hut-pack.label", NULL},
                                           {"demo/bivouac-pack.readings", "demo/bivouac-pack.label", NULL}};
    for (int d = 0; d < 3; d++) {
        struct assessment demo = assessed(demos[d][0], demos[d][1], demos[d][2]);
        for (int w = 0; w < WIDTHS; w++) {
            struct figure figure = drawn(&demo, widths[w]);
            CHECK(shows(&figure, "BMS opened at"));
            CHECK(shows(&figure, "rated"));
            CHECK(shows(&figure, d == 0 ? "burst" : "inverter on"));
            CHECK(shows(&figure, d == 0 ? "volts under load" : "volts, as read"));
            figure_free(&figure);
        }
        assessment_free(&demo);
    }
}

TEST(the_curve_is_the_same_each_time)
{
    struct assessment demo = assessed_demo();
    struct figure first = drawn(&demo, 800), second = drawn(&demo, 800);
    struct text a = TEXT_EMPTY, b = TEXT_EMPTY;
    svg_add_document(&first, &a);
    svg_add_document(&second, &b);
    CHECK_TEXT(a.s, b.s);
    text_free(&a);
    text_free(&b);
    figure_free(&first);
    figure_free(&second);
    assessment_free(&demo);
}

TEST(two_readings_are_a_curve)
{
    struct assessment made = with_record(2, 60);
    fill(&made, 2);
    struct figure figure = drawn(&made, 800);
    figure_free(&figure);
    record_free(&made);
}

TEST(volts_that_never_change_are_a_curve)
{
    struct assessment made = with_record(500, 1);
    for (size_t k = 0; k < 500; k++) {
        made.records[0].log.series.column[CHANNEL_VOLTAGE][k] = 12.8;
        made.records[0].log.series.column[CHANNEL_CURRENT][k] = 0;
    }
    struct figure figure = drawn(&made, 800); /* no charge: along time */
    figure_free(&figure);
    record_free(&made);
}

TEST(a_lone_reading_of_nothing_does_not_set_the_scale_and_is_told)
{
    struct assessment made = with_record(4000, 2);
    fill(&made, 4000);
    made.records[0].log.series.column[CHANNEL_VOLTAGE][1234] = 0.017;
    struct figure figure = drawn(&made, 800);
    CHECK(shows(&figure, "a lone reading of 0.017 V"));
    CHECK(shows(&figure, "11")); /* a scale down to nothing would have no such tick */
    figure_free(&figure);
    record_free(&made);
}

TEST(a_log_without_volts_shows_its_amps)
{
    struct assessment made = with_record(900, 2);
    fill(&made, 900);
    for (size_t k = 0; k < 900; k++)
        made.records[0].log.series.column[CHANNEL_VOLTAGE][k] = NAN;
    struct figure figure = {0};
    if (curve_figure(&made, 0, 800, 420, &figure)) /* readings without volts may be left out of a trace */
        check_inside(&figure);
    figure_free(&figure);
    record_free(&made);
}

TEST(more_marks_than_the_figure_has_room_for_are_listed)
{
    struct assessment made = with_record(4000, 2);
    fill(&made, 4000);
    for (int k = 0; k < 80; k++)
        series_mark(&made.records[0].log.series, 3000 + k, HOSTILE " a mark of some length, to fill the room there is", k);
    for (int w = 0; w < WIDTHS; w++) {
        struct figure figure = drawn(&made, widths[w]);
        CHECK(shows(&figure, "more"));
        CHECK(figure.height > 420);
        figure_free(&figure);
    }
    record_free(&made);
}

TEST(a_rated_charge_far_beyond_the_end_is_told_at_the_edge)
{
    struct assessment made = with_record(900, 2);
    fill(&made, 900);
    made.records[0].findings.rated_ah = (struct crossing){.rated = 280, .at_s = measure_unknown("not reached"), .volts = NAN};
    struct figure figure = drawn(&made, 800);
    CHECK(shows(&figure, "rated 280 Ah not reached →"));
    figure_free(&figure);
    record_free(&made);
}
