/* A row a sample: its resistance as a rung on one scale; its verdicts as marks, one a claim, of a shape each. */
#include "report/compare_parts.h"

#include "draw/layout.h"
#include "draw/scale.h"

#define ROW 42.0
#define NARROW 460.0     /* below it, names stand above their rows */
#define NAME_SHARE 0.34
#define TOP 26.0
#define FOOT 30.0
#define GLYPH 15.0       /* from mark to mark */
#define MIDDLE 14.0      /* of a row's mark below its top */

struct rows {
    struct figure *figure;
    double name_width, left, right, height; /* height: of a row */
    bool stacked;
};

static struct rows rows_of(struct figure *figure, double width)
{
    bool stacked = width < NARROW;
    double name = stacked ? width : NAME_SHARE * width;
    return (struct rows){figure, name - 12, stacked ? 6 : name, width - 14, stacked ? ROW + 20 : ROW, stacked};
}

static void draw_name(const struct rows *rows, const char *name, double top)
{
    const struct lettering letters = {.role = ROLE_LABEL, .strong = true};
    layout_text(rows->figure, 0, top + MIDDLE + 4, letters, rows->name_width, 1, name);
}

static double mark_height(const struct rows *rows, double top)
{
    return top + MIDDLE + (rows->stacked ? 20 : 0);
}

static void draw_resistance(const struct rows *rows, const struct compared *one, const struct scale *scale, double top)
{
    const struct measure *ohm = &one->entry.resistance_ohm;
    const struct lettering letters = {.role = ROLE_SMALL, .halo = true};
    double y = mark_height(rows, top), x = scale_at(scale, 1e3 * ohm->value);
    char words[96], delayed[160];
    measure_print_in(ohm, QUANTITY_RESISTANCE, words, sizeof words);
    snprintf(delayed, sizeof delayed, "%s after %.2g s", words, one->entry.resistance_delay_s);
    figure_group(rows->figure, one->name, delayed);
    figure_line(rows->figure, scale_at(scale, 1e3 * ohm->lo), y, scale_at(scale, 1e3 * ohm->hi), y, (struct stroke){INK_MAIN, 5, LINE_SOLID});
    figure_circle(rows->figure, x, y, 4.6, INK_PAPER, (struct stroke){INK_MAIN, 2.4, LINE_SOLID});
    double width = layout_measure(letters, delayed).width;
    figure_text(rows->figure, fmax(rows->left, fmin(x - width / 2, rows->right + 10 - width)), y + 19, letters, delayed);
    figure_group_end(rows->figure);
    draw_name(rows, one->name, top);
}

static void draw_scale(const struct rows *rows, const struct scale *scale, double bottom)
{
    struct ticks ticks = ticks_between(scale->from, scale->to, (size_t)((scale->end - scale->start) / 90) + 2);
    const struct lettering small = {.role = ROLE_SMALL, .ink = INK_SOFT, .anchor = ANCHOR_MIDDLE};
    for (size_t k = 0; k < ticks.count; k++) {
        char label[64];
        double x = scale_at(scale, tick_value(&ticks, k));
        figure_line(rows->figure, x, TOP - 14, x, bottom, (struct stroke){INK_HAIR, 1, LINE_SOLID});
        tick_print(&ticks, k, "mΩ", label, sizeof label);
        figure_text(rows->figure, fmin(x, rows->right + 12 - layout_measure(small, label).width / 2), bottom + 18, small, label);
    }
}

void compare_resistance(const struct compare *compare, double width, struct figure *ret_figure)
{
    struct absent absent = {TEXT_EMPTY};
    size_t shown[COMPARED_MOST], count = 0;
    double most = 0;
    for (size_t k = 0; k < compare->count; k++) {
        const struct compared *one = &compare->items[k];
        if (measure_known(&one->entry.resistance_ohm))
            shown[count++] = k, most = fmax(most, 1e3 * one->entry.resistance_ohm.hi);
        else
            absent_add(&absent, one->name, one->entry.resistance_ohm.why);
    }
    figure_init(ret_figure, width, 0, compare_titles[COMPARE_RESISTANCE],
                "Change of volts over change of amps at a step, with its 95 % interval; from zero; less is better.");
    struct rows rows = rows_of(ret_figure, width);
    struct scale scale = {0, 1.06 * most, rows.left, rows.right};
    if (count > 0) {
        double bottom = TOP + (double)count * rows.height;
        draw_scale(&rows, &scale, bottom);
        ret_figure->height = bottom + FOOT;
    }
    for (size_t k = 0; k < count; k++)
        draw_resistance(&rows, &compare->items[shown[k]], &scale, TOP + (double)k * rows.height);
    absent_draw(&absent, compare, ret_figure);
}

/* Told apart by shape: full, crossed, open, a stroke that stops short, a dot. */
static void draw_glyph(struct figure *figure, enum verdict verdict, double x, double y)
{
    const struct stroke second = {INK_SECOND, 2.2, LINE_SOLID}, soft = {INK_SOFT, 2, LINE_SOLID};
    switch (verdict) {
    case VERDICT_MET: figure_circle(figure, x, y, 4.6, INK_FIRST, (struct stroke){INK_FIRST, 1, LINE_SOLID}); break;
    case VERDICT_NOT_MET:
        figure_line(figure, x - 4.4, y - 4.4, x + 4.4, y + 4.4, second);
        figure_line(figure, x - 4.4, y + 4.4, x + 4.4, y - 4.4, second);
        break;
    case VERDICT_TOO_CLOSE: figure_circle(figure, x, y, 4.2, INK_PAPER, (struct stroke){INK_MAIN, 2, LINE_SOLID}); break;
    case VERDICT_NOT_EXERCISED:
        figure_line(figure, x - 4.5, y, x + 2.5, y, soft);
        figure_line(figure, x + 2.5, y - 4.5, x + 2.5, y + 4.5, soft);
        break;
    case VERDICT_NOT_TESTED: figure_circle(figure, x, y, 1.3, INK_SOFT, STROKE_NONE); break;
    }
}

static void draw_verdicts(const struct rows *rows, const struct compared *one, double step, double top)
{
    static const enum verdict order[] = {VERDICT_NOT_MET, VERDICT_MET, VERDICT_TOO_CLOSE, VERDICT_NOT_EXERCISED, VERDICT_NOT_TESTED};
    const struct lettering small = {.role = ROLE_SMALL, .ink = INK_SOFT};
    double x = rows->left + 6, y = mark_height(rows, top);
    struct text words = TEXT_EMPTY;
    for (int v = 0; v < 5; v++) {
        size_t count = verdict_count(one->assessment, order[v]);
        for (size_t k = 0; k < count; k++, x += step)
            draw_glyph(rows->figure, order[v], x, y);
        if (count > 0)
            text_addf(&words, "%s%zu %s", words.length > 0 ? " · " : "", count, verdict_name(order[v]));
    }
    layout_text(rows->figure, rows->left, y + 20, small, rows->right - rows->left + 12, 2, words.length > 0 ? words.s : "no claims");
    draw_name(rows, one->name, top);
    text_free(&words);
}

void compare_verdicts(const struct compare *compare, double width, struct figure *ret_figure)
{
    struct absent absent = {TEXT_EMPTY};
    size_t most = 1;
    figure_init(ret_figure, width, 0, compare_titles[COMPARE_VERDICTS], "A mark for each claim of each sample.");
    struct rows rows = rows_of(ret_figure, width);
    rows.height += rows.stacked ? 18 : 4;
    for (size_t k = 0; k < compare->count; k++)
        most = compare->items[k].assessment->decision_count > most ? compare->items[k].assessment->decision_count : most;
    double step = fmin(GLYPH, (rows.right - rows.left) / (double)most);
    for (size_t k = 0; k < compare->count; k++)
        draw_verdicts(&rows, &compare->items[k], step, 4 + (double)k * rows.height);
    ret_figure->height = 4 + (double)compare->count * rows.height;
    absent_draw(&absent, compare, ret_figure);
}
