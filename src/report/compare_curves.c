/* The discharge curves of several samples: volts against the charge delivered, volts of one cell where the packs have
 * not as many. */
#include "report/compare_parts.h"

#include "base/memory.h"
#include "draw/plot.h"
#include "report/curve_model.h"
#include "report/curve_tags.h"

#define LEFT 46.0
#define RIGHT 14.0
#define TOP 30.0
#define BOTTOM 36.0
#define STRIDE 24.0
enum { BOXES = 64 };

struct curves {
    struct figure *figure;
    struct plot plot;
    struct curve_model models[COMPARED_MOST];
    size_t samples[COMPARED_MOST], count;
    bool per_cell;
    struct tags tags;
    struct box taken[COMPARED_MOST * BOXES];
    size_t taken_count;
};

static const char *why_not(const struct compared *one, struct curve_model *ret_model)
{
    if (one->entry.main == NULL)
        return "no discharge";
    if (!curve_model_make(one->entry.main, ret_model))
        return "too few points";
    if (ret_model->data.along == CURVE_CHARGE && ret_model->data.has_volts)
        return NULL;
    bool volts = ret_model->data.has_volts;
    curve_model_free(ret_model);
    return volts ? "its charge is not known along the test" : "no volts";
}

static void take_models(const struct compare *compare, struct curves *curves, struct absent *absent)
{
    for (size_t k = 0; k < compare->count; k++) {
        const char *why = why_not(&compare->items[k], &curves->models[curves->count]);
        if (why != NULL)
            absent_add(absent, compare->items[k].name, why);
        else
            curves->samples[curves->count++] = k;
    }
}

static int cells_of(const struct compare *compare, const struct curves *curves, size_t k)
{
    return compare->items[curves->samples[k]].assessment->label.cells;
}

/* Packs of unlike volts share an axis by the cell, if the cells of all are known. */
static bool unlike_cells(const struct compare *compare, const struct curves *curves)
{
    bool unlike = false;
    for (size_t k = 0; k < curves->count; k++) {
        if (cells_of(compare, curves, k) <= 0)
            return false;
        unlike = unlike || cells_of(compare, curves, k) != cells_of(compare, curves, 0);
    }
    return unlike;
}

static double divisor(const struct compare *compare, const struct curves *curves, size_t k)
{
    return curves->per_cell ? cells_of(compare, curves, k) : 1;
}

static void set_scales(const struct compare *compare, struct curves *curves, double width, double height)
{
    double low = INFINITY, high = -INFINITY, most = 0;
    for (size_t k = 0; k < curves->count; k++) {
        const struct curve_model *m = &curves->models[k];
        double by = divisor(compare, curves, k);
        low = fmin(low, m->volts.from / by), high = fmax(high, m->volts.to / by);
        most = fmax(most, m->data.x[m->data.count - 1]);
    }
    curves->plot.x = (struct scale){0, most > 0 ? 1.03 * most : 1, LEFT, width - RIGHT};
    curves->plot.y = (struct scale){low, high, height - BOTTOM, TOP};
    curves->plot.x_unit = "Ah";
    curves->plot.y_unit = curves->per_cell ? "V a cell" : "V";
}

static void draw_seen(struct curves *curves, const struct curve_data *d, const double *y, struct stroke stroke)
{
    stroke.width = 1.6, stroke.line = LINE_SOLID;
    for (size_t k = 0; d->sparse && k < d->count; k++)
        figure_circle(curves->figure, scale_at(&curves->plot.x, d->x[k]), scale_at(&curves->plot.y, y[k]), 3, INK_PAPER, stroke);
}

/* Read by eye, what lies between the points was not seen: dotted. */
static void draw_line(const struct compare *compare, struct curves *curves, size_t k)
{
    const struct curve_data *d = &curves->models[k].data;
    const struct scale *sx = &curves->plot.x, *sy = &curves->plot.y;
    struct stroke stroke = compare_stroke(curves->samples[k], 2);
    double *y = memory_resize(NULL, d->count, sizeof *y);
    struct point *line = memory_resize(NULL, d->count, sizeof *line);
    size_t count = 0;
    for (size_t j = 0; j < d->count; j++) {
        double v = d->v[j] / divisor(compare, curves, k);
        y[j] = isnan(v) ? NAN : fmin(fmax(v, sy->from), sy->to);
        if (!isnan(y[j]) || !d->sparse)
            line[count++] = (struct point){scale_at(sx, d->x[j]), scale_at(sy, y[j])};
    }
    if (d->sparse)
        figure_polyline(curves->figure, line, count, (struct stroke){stroke.ink, 1.4, LINE_DOTTED});
    else
        plot_series(curves->figure, &curves->plot, d->x, y, d->count, stroke);
    draw_seen(curves, d, y, stroke);
    curves->taken_count += layout_line_boxes(line, count, STRIDE, curves->taken + curves->taken_count, BOXES);
    free(y);
    free(line);
}

/* At its end, where curves lie farthest apart. */
static void name_line(const struct compare *compare, struct curves *curves, size_t k)
{
    const struct curve_model *m = &curves->models[k];
    const struct compared *one = &compare->items[curves->samples[k]];
    struct lettering letters = {.role = ROLE_LABEL, .ink = compare_stroke(curves->samples[k], 1).ink, .anchor = ANCHOR_END};
    double v = isfinite(m->last_v) ? m->last_v : m->volts.from, x = m->data.x[m->data.count - 1];
    double y = scale_at(&curves->plot.y, fmax(v / divisor(compare, curves, k), curves->plot.y.from));
    figure_circle(curves->figure, scale_at(&curves->plot.x, x), y, 3, INK_PAPER, (struct stroke){letters.ink, 1.8, LINE_SOLID});
    tags_want(&curves->tags, (struct wish){scale_at(&curves->plot.x, x) - 9, y - 4, 400, 260, 0, letters}, "", one->name);
}

static void draw(const struct compare *compare, struct curves *curves, double width, double height)
{
    plot_frame(curves->figure, &curves->plot);
    for (size_t k = 0; k < curves->count; k++) {
        figure_group(curves->figure, compare->items[curves->samples[k]].name, "");
        draw_line(compare, curves, k);
        figure_group_end(curves->figure);
        name_line(compare, curves, k);
    }
    tags_place(&curves->tags, curves->taken, curves->taken_count, (struct box){LEFT, TOP - 6, width - 2, height - BOTTOM - 4});
    tags_draw(&curves->tags, curves->figure);
}

void compare_curves(const struct compare *compare, double width, double height, struct figure *ret_figure)
{
    struct curves *curves = memory_get(sizeof *curves);
    struct absent absent = {TEXT_EMPTY};
    curves->figure = ret_figure;
    figure_init(ret_figure, width, height, compare_titles[COMPARE_CURVES], "Volts of each sample against the charge it delivered.");
    take_models(compare, curves, &absent);
    curves->per_cell = unlike_cells(compare, curves);
    set_scales(compare, curves, width, height);
    if (curves->count > 0) {
        draw(compare, curves, width, height);
        ret_figure->height = tags_rest(&curves->tags, ret_figure, 0, height + 14, width) - 14;
    } else {
        ret_figure->height = 0;
    }
    absent_draw(&absent, compare, ret_figure);
    for (size_t k = 0; k < curves->count; k++)
        curve_model_free(&curves->models[k]);
    free(curves);
}
