/* The discharge curve: volts above, amps below, against the charge delivered, with what happened written on
 * it. Between the two a strip names the phases. */
#include "report/figures.h"

#include "base/memory.h"
#include "base/number.h"
#include "draw/plot.h"
#include "report/curve_model.h"
#include "report/curve_tags.h"

#define LEFT 46.0   /* for the numbers of the upright scales */
#define RIGHT 12.0
#define TOP 50.0    /* two lines of labels above the volts, where there are bursts */
#define TOP_BARE 26.0
#define STRIP 44.0  /* between volts and amps: the phases, and the amps' unit */
#define BOTTOM 34.0 /* numbers along x */
#define VOLTS_SHARE 0.72
#define STRIDE 10.0 /* of the boxes that keep labels off the lines */
enum { BOXES = 320 };

static const struct lettering first_label = {.role = ROLE_LABEL, .ink = INK_FIRST};
static const struct lettering second_label = {.role = ROLE_LABEL, .ink = INK_SECOND};
static const struct lettering small_soft = {.role = ROLE_SMALL, .ink = INK_SOFT};

struct curve {
    struct figure *figure;
    struct curve_model model;
    struct plot volts, amps;
    struct tags tags;
    size_t first_mark_tag;
    double width, top;
};

static double at_x(const struct curve *curve, double x)
{
    return scale_at(&curve->volts.x, x);
}

static double at_v(const struct curve *curve, double v)
{
    return scale_at(&curve->volts.y, v);
}

/* Said of a place on x when its words stand below the figure. */
static void place_words(const struct curve *curve, double x, char *buffer, size_t size)
{
    if (curve->model.data.along == CURVE_CHARGE)
        snprintf(buffer, size, "%.4g Ah", x);
    else if (curve->model.data.along == CURVE_TIME)
        number_print_duration(x, buffer, size);
    else
        snprintf(buffer, size, "reading %.0f", x + 1);
}

static void want(struct curve *curve, double x, struct wish wish, const char *words)
{
    char where[24];
    place_words(curve, x, where, sizeof where);
    tags_want(&curve->tags, wish, where, words);
}

static void draw_burst_band(struct curve *curve, double from, double to)
{
    const struct stroke edge = {INK_SOFT, 1, LINE_DOTTED};
    plot_band(curve->figure, &curve->volts, from, to);
    plot_band(curve->figure, &curve->amps, from, to);
    for (int side = 0; side < 2; side++) {
        double x = at_x(curve, side == 0 ? from : to);
        figure_line(curve->figure, x, curve->volts.y.end - 4, x, curve->amps.y.start, edge);
    }
}

static void draw_bursts(struct curve *curve)
{
    size_t count = curve->model.findings->burst_count;
    for (size_t k = 0; k < count; k++) {
        const struct curve_burst *burst = &curve->model.bursts[k];
        double from = burst->from, x = at_x(curve, from);
        if (!(burst->to > from))
            continue;
        draw_burst_band(curve, from, burst->to);
        if (k < CURVE_BURSTS_NAMED) {
            want(curve, from, (struct wish){x, curve->top - 26, 500, 0, 0, first_label}, burst->words);
            if (burst->cost[0] != '\0')
                want(curve, from, (struct wish){x, curve->top - 10, 500, 0, 0, small_soft}, burst->cost);
        }
        if (k == CURVE_BURSTS_NAMED) {
            char words[80];
            snprintf(words, sizeof words, "and %zu bursts more", count - CURVE_BURSTS_NAMED);
            want(curve, from, (struct wish){x, curve->top - 26, 500, 20, 3, small_soft}, words);
        }
    }
}

static void draw_rated(struct curve *curve)
{
    const struct curve_note *rated = &curve->model.rated;
    if (rated->words[0] == '\0')
        return;
    bool beyond = curve->model.ends_short;
    double x = beyond ? curve->volts.x.end : at_x(curve, rated->x), y = curve->volts.y.end;
    if (!beyond)
        figure_line(curve->figure, x, y - 8, x, curve->amps.y.start, (struct stroke){INK_MAIN, 1.4, LINE_SOLID});
    struct lettering letters = small_soft;
    letters.anchor = ANCHOR_END;
    want(curve, rated->x, (struct wish){x - 7, y + 8, 60, 60, 1, letters}, rated->words);
}

/* Down to the edge of the scale, with an arrow: the volts went on to fall. */
static void draw_fall(struct curve *curve, double x, double from_v)
{
    double y = curve->volts.y.start - 2;
    const struct stroke line = {INK_FIRST, 1.4, LINE_DASHED};
    struct point head[] = {{x, y}, {x - 4.5, y - 9}, {x + 4.5, y - 9}};
    figure_line(curve->figure, x, at_v(curve, from_v), x, y - 8, line);
    figure_area(curve->figure, head, 3, INK_FIRST, STROKE_NONE);
}

/* Once the load had gone the volts fell off the scale, or came back. */
static void draw_after(struct curve *curve, double x, double v)
{
    const struct curve_model *model = &curve->model;
    if (model->after == AFTER_FELL)
        draw_fall(curve, x, v);
    if (model->after != AFTER_CAME_BACK)
        return;
    double top = at_v(curve, model->findings->runs[model->findings->test_last_run].ended.recovery_v);
    figure_line(curve->figure, x, at_v(curve, v), x, top, (struct stroke){INK_FIRST, 1.2, LINE_DOTTED});
    figure_line(curve->figure, x - 5, top, x + 5, top, (struct stroke){INK_FIRST, 1.4, LINE_SOLID});
}

static void draw_end(struct curve *curve)
{
    const struct curve_note *end = &curve->model.end;
    struct lettering letters = first_label;
    letters.anchor = ANCHOR_END;
    if (end->words[0] == '\0')
        return;
    double x = at_x(curve, end->x);
    draw_after(curve, x, curve->model.last_v);
    want(curve, end->x, (struct wish){x - 9, at_v(curve, end->y) - 2, 200, 120, 0, letters}, end->words);
}

/* Marks are flags: the words stand beside a pole, at its right, near the right edge at its left. They are placed
 * so that no pole runs through the words of another: those whose words others' poles would cross stand higher. */
static void want_marks(struct curve *curve)
{
    int count = (int)curve->model.data.mark_count;
    curve->first_mark_tag = curve->tags.count;
    for (int k = 0; k < count; k++) {
        const struct curve_mark *mark = &curve->model.data.marks[k];
        struct lettering letters = {.role = ROLE_SMALL, .ink = INK_SOFT, .italic = true};
        double x = at_x(curve, mark->x), y = curve->volts.y.start;
        bool at_left = x + layout_measure(letters, mark->words).width + 8 > curve->width;
        letters.anchor = at_left ? ANCHOR_END : ANCHOR_START;
        want(curve, mark->x, (struct wish){at_left ? x - 4 : x + 4, y - 8, 0, 0.7 * (y - curve->top), at_left ? 10 + k : 10 + count - k, letters},
             mark->words);
    }
    curve->tags.left_out += curve->model.data.marks_left_out;
}

/* Once the flags are placed; the poles of those that found no place are short. */
static void draw_poles(struct curve *curve)
{
    for (size_t k = 0; k < curve->model.data.mark_count && curve->first_mark_tag + k < curve->tags.count; k++) {
        const struct tag *tag = &curve->tags.tag[curve->first_mark_tag + k];
        double x = at_x(curve, curve->model.data.marks[k].x), y = curve->volts.y.start;
        figure_line(curve->figure, x, tag->placed ? tag->box.top : y - 12, x, y, (struct stroke){INK_SOFT, 1.2, LINE_DOTTED});
    }
}

/* A line through the points that are known; between readings by eye it is dotted, being carried and not seen. */
static void draw_line(struct curve *curve, const struct plot *plot, const double *y, struct stroke stroke)
{
    const struct curve_data *d = &curve->model.data;
    if (!d->sparse) {
        double *kept = memory_resize(NULL, d->count, sizeof *kept);
        for (size_t k = 0; k < d->count; k++)
            kept[k] = isnan(y[k]) ? NAN : fmin(fmax(y[k], plot->y.from), plot->y.to);
        plot_series(curve->figure, plot, d->x, kept, d->count, stroke);
        free(kept);
        return;
    }
    struct point *points = memory_resize(NULL, d->count, sizeof *points);
    size_t count = 0;
    for (size_t k = 0; k < d->count; k++)
        if (isfinite(y[k]))
            points[count++] = (struct point){scale_at(&plot->x, d->x[k]), scale_at(&plot->y, y[k])};
    figure_polyline(curve->figure, points, count, (struct stroke){stroke.ink, 1.2, LINE_DOTTED});
    free(points);
}

static void draw_bounds(struct figure *figure, double x, double low, double high, struct stroke stroke)
{
    if (!(fabs(high - low) > 8)) /* hidden by the point; open bounds are not finite */
        return;
    figure_line(figure, x, low, x, high, stroke);
    figure_line(figure, x - 4, low, x + 4, low, stroke);
    figure_line(figure, x - 4, high, x + 4, high, stroke);
}

static void draw_sightings(struct curve *curve)
{
    const struct curve_data *d = &curve->model.data;
    const struct stroke v = {INK_FIRST, 1.6, LINE_SOLID}, a = {INK_SECOND, 1.6, LINE_SOLID};
    for (size_t k = 0; d->sparse && k < d->count; k++) {
        double x = at_x(curve, d->x[k]), y = scale_at(&curve->amps.y, d->a[k]);
        draw_bounds(curve->figure, x, at_v(curve, d->v_lo[k]), at_v(curve, d->v_hi[k]), v);
        figure_circle(curve->figure, x, at_v(curve, d->v[k]), 3.4, INK_PAPER, v);
        draw_bounds(curve->figure, x, scale_at(&curve->amps.y, d->a_lo[k]), scale_at(&curve->amps.y, d->a_hi[k]), a);
        if (isfinite(y)) /* squares, so that the two are told apart without colour */
            figure_rect(curve->figure, x - 2.8, y - 2.8, 5.6, 5.6, INK_PAPER, a);
    }
}

/* The first point with a value at or after a share of the points. */
static size_t some_point(const double *y, size_t count, double share)
{
    size_t at = (size_t)(share * (double)count);
    for (size_t k = at; k < count; k++)
        if (isfinite(y[k]))
            return k;
    return at;
}

static void name_curves(struct curve *curve)
{
    const struct curve_data *d = &curve->model.data;
    double x = curve->volts.x.start + 0.06 * (curve->volts.x.end - curve->volts.x.start);
    size_t at_volts = some_point(d->v, d->count, 1 / 6.0), at_amps = some_point(d->a, d->count, 1 / 6.0);
    tags_want(&curve->tags, (struct wish){x, at_v(curve, d->v[at_volts]) + 22, 300, 70, 2, first_label}, "",
              curve->model.volts_name);
    tags_want(&curve->tags, (struct wish){x, scale_at(&curve->amps.y, d->a[at_amps]) - 10, 300, 50, 2, second_label}, "",
              curve->model.amps_name);
}

/* The phases, side by side; named where the name fits. */
static void draw_phases(struct curve *curve)
{
    const struct findings *f = curve->model.findings;
    const struct stroke fine = {INK_SOFT, 1, LINE_SOLID};
    struct lettering letters = small_soft;
    letters.anchor = ANCHOR_MIDDLE, letters.halo = true;
    double y = curve->volts.y.start + 15;
    for (size_t k = 0; k < f->phase_count; k++) {
        const struct phase *p = &f->phases[k];
        if (!curve_phase_shown(f, p))
            continue;
        double from = at_x(curve, curve_data_at(&curve->model.data, p->start_s));
        double to = at_x(curve, curve_data_at(&curve->model.data, p->end_s));
        const char *name = curve_phase_name(p);
        if (!isfinite(from) || !isfinite(to))
            continue;
        figure_line(curve->figure, from, y - 4, from, y + 4, fine);
        figure_line(curve->figure, to, y - 4, to, y + 4, fine);
        figure_line(curve->figure, from, y, to, y, fine);
        if (layout_measure(letters, name).width + 16 < to - from)
            figure_text(curve->figure, 0.5 * (from + to), y + 4.5, letters, name);
    }
}

/* A few lone readings far below all others: the scale leaves them out, an arrow tells of them. */
static void draw_lone(struct curve *curve)
{
    const struct curve_note *lone = &curve->model.lone;
    if (lone->words[0] == '\0')
        return;
    double x = at_x(curve, lone->x), y = curve->volts.y.start - 2;
    struct point head[] = {{x, y}, {x - 4.5, y - 9}, {x + 4.5, y - 9}};
    figure_area(curve->figure, head, 3, INK_FIRST, STROKE_NONE);
    want(curve, lone->x, (struct wish){x + 8, y - 4, 120, 30, 1, small_soft}, lone->words);
}

static void set_scales(struct curve *curve, double height)
{
    const struct curve_model *m = &curve->model;
    curve->top = m->findings->burst_count > 0 ? TOP : TOP_BARE;
    double room = height - curve->top - STRIP - BOTTOM, volts_bottom = curve->top + VOLTS_SHARE * room;
    struct scale x = {m->x.from, m->x.to, LEFT, curve->width - RIGHT};
    bool is_time = m->data.along == CURVE_TIME;
    curve->volts = (struct plot){.x = x, .x_is_time = is_time, .x_bare = true, .x_unit = "", .y_unit = "V",
                                 .y = {m->volts.from, m->volts.to, volts_bottom, curve->top}};
    curve->amps = (struct plot){.x = x, .x_is_time = is_time, .x_unit = m->x_unit, .y_unit = "A",
                                .y = {m->amps.from, m->amps.to, height - BOTTOM, volts_bottom + STRIP}};
}

static size_t line_boxes(const struct curve *curve, const struct plot *plot, const double *y, struct box *ret_boxes)
{
    const struct curve_data *d = &curve->model.data;
    struct point *line = memory_resize(NULL, d->count, sizeof *line);
    for (size_t k = 0; k < d->count; k++) {
        double kept = fmin(fmax(y[k], plot->y.from), plot->y.to);
        line[k] = isnan(y[k]) ? (struct point){NAN, NAN} : (struct point){scale_at(&plot->x, d->x[k]), scale_at(&plot->y, kept)};
    }
    size_t count = layout_line_boxes(line, d->count, STRIDE, ret_boxes, BOXES);
    for (size_t k = 0; d->sparse && k < d->count && count < 2 * BOXES; k++)
        if (!isnan(line[k].y))
            ret_boxes[count++] = (struct box){line[k].x - 4, line[k].y - 4, line[k].x + 4, line[k].y + 4};
    free(line);
    return count;
}

static void draw_tags(struct curve *curve)
{
    struct box taken[4 * BOXES + 2];
    double bottom = curve->volts.y.start, rated = at_x(curve, curve->model.findings->rated_ah.rated);
    size_t count = line_boxes(curve, &curve->volts, curve->model.data.v, taken);
    count += line_boxes(curve, &curve->amps, curve->model.data.a, taken + count);
    taken[count++] = (struct box){curve->volts.x.start, bottom, curve->width, bottom + STRIP - 16};
    taken[count++] = (struct box){rated - 1, curve->volts.y.end, rated + 1, curve->amps.y.start};
    struct box frame = {curve->volts.x.start + 2, 0, curve->width, curve->amps.y.start - 2};
    tags_place(&curve->tags, taken, count, frame);
    draw_poles(curve);
    tags_draw(&curve->tags, curve->figure);
}

static void draw_all(struct curve *curve)
{
    const struct stroke volts = {INK_FIRST, 2.2, LINE_SOLID}, amps = {INK_SECOND, 1.6, LINE_DASHED};
    draw_bursts(curve);
    plot_frame(curve->figure, &curve->amps);
    plot_frame(curve->figure, &curve->volts);
    draw_phases(curve);
    draw_rated(curve);
    draw_line(curve, &curve->volts, curve->model.data.v, volts);
    draw_line(curve, &curve->amps, curve->model.data.a, amps);
    draw_sightings(curve);
    draw_lone(curve);
    draw_end(curve);
    name_curves(curve);
    want_marks(curve);
    draw_tags(curve);
}

bool curve_figure(const struct assessment *assessment, size_t record, double width, double height,
                  struct figure *ret_figure)
{
    struct curve *curve = memory_get(sizeof *curve);
    curve->figure = ret_figure;
    curve->width = width;
    bool drawn = curve_model_make(&assessment->records[record], &curve->model);
    if (drawn) {
        set_scales(curve, height);
        figure_init(ret_figure, width, height, "Discharge curve",
                    "Volts and amps of the discharge against the charge delivered, with its phases, bursts, marks, the "
                    "rated value and the end.");
        draw_all(curve);
        ret_figure->height = tags_rest(&curve->tags, ret_figure, LEFT, height + 12, width - LEFT - RIGHT) - 12;
    }
    curve_model_free(&curve->model);
    free(curve);
    return drawn;
}
