#include "assessed.h"

#include "draw/layout.h"
#include "draw/svg.h"
#include "report/figures.h"

static const double widths[] = {980, 800, 340};
enum { WIDTHS = 3, MOST_TEXTS = 2000 };

static struct box box_of(const struct figure *figure, const struct item *item)
{
    struct point at = figure->points[item->first];
    char words[512]; /* without the blank where a line was broken */
    span_copy(span_trim(span_of(figure_string(figure, item->text))), words, sizeof words);
    return layout_ink_box(at.x, at.y, item->lettering, words);
}

/* No words leave the figure, none run into others. */
static void check_words(const struct figure *figure)
{
    static struct box boxes[MOST_TEXTS];
    static const char *texts[MOST_TEXTS];
    size_t count = 0;
    for (size_t k = 0; k < figure->count && count < MOST_TEXTS; k++)
        if (figure->shapes[k].kind == SHAPE_TEXT && figure_string(figure, figure->shapes[k].text)[0] != '\0') {
            texts[count] = figure_string(figure, figure->shapes[k].text);
            boxes[count++] = box_of(figure, &figure->shapes[k]);
        }
    for (size_t k = 0; k < count; k++) {
        struct box box = boxes[k];
        if (box.left < -0.5 || box.top < -0.5 || box.right > figure->width + 0.5 || box.bottom > figure->height + 0.5)
            CHECK_TEXT(texts[k], "inside the figure");
        for (size_t j = 0; j < k; j++)
            if (box_overlaps(&box, &boxes[j]))
                CHECK_TEXT(texts[k], texts[j]);
    }
}

static bool shows(const struct figure *figure, const char *words)
{
    for (size_t k = 0; k < figure->count; k++)
        if (figure->shapes[k].kind == SHAPE_TEXT && strstr(figure_string(figure, figure->shapes[k].text), words) != NULL)
            return true;
    return false;
}

/* The shapes of the row whose group begins with the claim's name: [first, end). */
static bool find_row(const struct figure *figure, const char *name, size_t *ret_first, size_t *ret_end)
{
    for (size_t k = 0; k < figure->count; k++) {
        if (figure->shapes[k].kind != SHAPE_GROUP)
            continue;
        const char *said = figure_string(figure, figure->shapes[k].text);
        if (strncmp(said, name, strlen(name)) != 0 || said[strlen(name)] != ',')
            continue;
        *ret_first = k;
        for (*ret_end = k; figure->shapes[*ret_end].kind != SHAPE_GROUP_END; ++*ret_end)
            ;
        return true;
    }
    return false;
}

/* The words of a row, one after the other, whatever lines they stand in. */
static bool row_says(const struct figure *figure, const char *name, const char *words)
{
    size_t first = 0, end = 0;
    struct text all = TEXT_EMPTY;
    if (!find_row(figure, name, &first, &end))
        return false;
    for (size_t k = first; k < end; k++)
        if (figure->shapes[k].kind == SHAPE_TEXT) {
            struct span line = span_trim(span_of(figure_string(figure, figure->shapes[k].text)));
            text_add_bytes(&all, line.p, line.n);
            text_add(&all, " ");
        }
    bool found = strstr(text_string(&all), words) != NULL;
    text_free(&all);
    return found;
}

/* The rail of a wide ladder: its one heavy upright line. */
static double rail_of(const struct figure *figure)
{
    for (size_t k = 0; k < figure->count; k++)
        if (figure->shapes[k].kind == SHAPE_LINE && figure->shapes[k].stroke.ink == INK_MAIN && figure->shapes[k].stroke.width == 2.2)
            return figure->points[figure->shapes[k].first].x;
    return NAN;
}

/* Ends of the rung, and its dot. */
struct rung {
    double from, to, dot;
};

static struct rung rung_of(const struct figure *figure, const char *name)
{
    struct rung rung = {NAN, NAN, NAN};
    size_t first = 0, end = 0;
    CHECK(find_row(figure, name, &first, &end));
    for (size_t k = first; k < end; k++) {
        const struct item *item = &figure->shapes[k];
        const struct point *points = figure->points + item->first;
        if (item->kind == SHAPE_LINE && item->stroke.width == 5)
            rung.from = points[0].x, rung.to = points[1].x;
        if (item->kind == SHAPE_CIRCLE)
            rung.dot = points[0].x;
    }
    return rung;
}

TEST(words_stay_inside_and_apart)
{
    struct assessment demos[] = {assessed_demo(), assessed("demo/bivouac-pack.readings", "demo/bivouac-pack.label", NULL)};
    for (int d = 0; d < 2; d++) {
        for (int w = 0; w < WIDTHS; w++) {
            struct figure figure;
            ladder_figure(&demos[d], widths[w], &figure);
            check_words(&figure);
            for (size_t k = 0; k < demos[d].decision_count; k++) {
                const char *name = demos[d].decisions[k].claim->name;
                CHECK(row_says(&figure, name, name));
                CHECK(row_says(&figure, name, verdict_name(demos[d].decisions[k].verdict)));
            }
            figure_free(&figure);
        }
        assessment_free(&demos[d]);
    }
}

/* The figure and the verdict follow one rule: a rung that clears the rail is decided, one across it is not. Where
 * the conditions alone keep a claim open the rung clears the rail, and the words beside it say why. */
TEST(a_rung_lies_across_the_rail_exactly_when_it_is_too_close_to_call)
{
    struct assessment demo = assessed_demo();
    struct figure figure;
    ladder_figure(&demo, 980, &figure);
    double rail = rail_of(&figure);
    int looked = 0;
    for (size_t k = 0; k < demo.decision_count; k++) {
        const struct decision *d = &demo.decisions[k];
        if (d->claim->sense > SENSE_AT_MOST || !measure_known(&d->measured) || d->verdict > VERDICT_TOO_CLOSE)
            continue;
        struct rung rung = rung_of(&figure, d->claim->name);
        if (isnan(rung.from))
            continue;
        looked++;
        if (d->verdict == VERDICT_MET)
            CHECK(rung.from >= rail - 1e-6);
        if (d->verdict == VERDICT_NOT_MET)
            CHECK(rung.to <= rail + 1e-6);
        if (d->verdict == VERDICT_TOO_CLOSE && !d->conditions_open)
            CHECK(rung.from < rail && rung.to > rail);
    }
    CHECK(looked >= 5);
    figure_free(&figure);
    assessment_free(&demo);
}

/* Left of the rail by its value, and only the conditions keep it from 'not met'. */
TEST(what_the_conditions_leave_open_leads_across_the_rail)
{
    struct assessment one = made(1);
    struct decision *d = &one.decisions[0];
    struct claim *claim = &one.label.claims[0];
    claim->sense = SENSE_AT_LEAST, claim->quantity = QUANTITY_CHARGE, claim->stated = 100;
    snprintf(claim->name, sizeof claim->name, "Charge");
    d->measured = measure_of(97.3);
    measure_part(&d->measured, (struct part){.shape = SHAPE_NORMAL, .u = 0.31, .dof = INFINITY, .what = "gain"});
    budget_close(&d->measured);
    for (int open = 0; open <= 1; open++) {
        d->conditions_open = open == 1;
        d->verdict = open == 1 ? VERDICT_TOO_CLOSE : VERDICT_NOT_MET;
        struct figure figure;
        ladder_figure(&one, 980, &figure);
        double rail = rail_of(&figure), rung_end = rung_of(&figure, "Charge").to;
        int across = 0;
        for (size_t k = 0; k < figure.count; k++) {
            const struct item *item = &figure.shapes[k];
            const struct point *points = figure.points + item->first;
            if (item->kind == SHAPE_LINE && item->stroke.line == LINE_DASHED && points[0].x > rail)
                across += points[1].x == rung_end && rung_end < rail;
        }
        CHECK(across == open);
        figure_free(&figure);
    }
    made_free(&one);
}

TEST(right_is_better_for_the_buyer_whatever_the_claim_says)
{
    struct assessment demo = assessed_demo();
    struct figure figure;
    ladder_figure(&demo, 980, &figure);
    double rail = rail_of(&figure);
    CHECK(rung_of(&figure, "Mass").dot < rail);     /* heavier than stated */
    CHECK(rung_of(&figure, "Capacity").dot > rail); /* more than stated */
    CHECK(rung_of(&figure, "Height").dot > rail);   /* smaller than stated */
    figure_free(&figure);
    assessment_free(&demo);
}

/* A cold cut-off that trips above the stated temperature is better, and percentages of 0 °C mean nothing. */
TEST(a_temperature_has_kelvins_of_its_own)
{
    struct assessment one = made(1);
    struct claim *claim = &one.label.claims[0];
    struct decision *d = &one.decisions[0];
    claim->sense = SENSE_AT_LEAST, claim->quantity = QUANTITY_TEMPERATURE, claim->stated = 0;
    snprintf(claim->name, sizeof claim->name, "Cold");
    d->verdict = VERDICT_MET;
    d->measured = measure_of(1.87);
    measure_part(&d->measured, (struct part){.shape = SHAPE_NORMAL, .u = 0.52, .dof = INFINITY, .what = "probe"});
    budget_close(&d->measured);
    struct figure figure;
    ladder_figure(&one, 980, &figure);
    CHECK(shows(&figure, "+5 K"));
    struct rung rung = rung_of(&figure, "Cold");
    double rail = rail_of(&figure), half = 0.5 * (0.59 - 0.242) * 980; /* five kelvins, see ladder.c */
    CHECK_NEAR(rung.dot, rail + half * 1.87 / 5, 0.01);
    CHECK_NEAR(rung.to - rung.from, half * 2 * 1.96 * 0.52 / 5, 0.1);
    figure_free(&figure);
    made_free(&one);
}

TEST(parts_hold_every_row_once)
{
    struct assessment many = made(60);
    size_t rows = 0, parts = 0;
    for (size_t from = 0; from < many.decision_count; parts++) {
        struct figure part;
        size_t next = ladder_part(&many, 840, from, 900, &part);
        CHECK(next > from);
        CHECK(part.height <= 900 || next == from + 1);
        for (size_t k = 0; k < part.count; k++)
            rows += part.shapes[k].kind == SHAPE_GROUP;
        from = next;
        figure_free(&part);
    }
    CHECK(rows == 60);
    CHECK(parts > 1);
    made_free(&many);
}

TEST(claims_of_every_kind_and_without_numbers_are_drawn)
{
    for (size_t claims = 0; claims <= 60; claims += 20) {
        struct assessment many = made(claims);
        for (int w = 0; w < WIDTHS; w++) {
            struct figure figure, again;
            struct text first = TEXT_EMPTY, second = TEXT_EMPTY;
            ladder_figure(&many, widths[w], &figure);
            ladder_figure(&many, widths[w], &again);
            check_words(&figure);
            svg_add_document(&figure, &first);
            svg_add_document(&again, &second);
            CHECK_TEXT(first.s, second.s);
            CHECK(strstr(first.s, "nan") == NULL && strstr(first.s, "<script") == NULL);
            text_free(&first);
            text_free(&second);
            figure_free(&figure);
            figure_free(&again);
        }
        made_free(&many);
    }
}
