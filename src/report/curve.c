/* The discharge curve: volts above, amps below, against the charge delivered, with what happened
 * written on it. */
#include "report/figures.h"

#include "base/memory.h"
#include "base/number.h"
#include "draw/layout.h"
#include "draw/plot.h"
#include "report/curve_data.h"

static const double left = 52, right_room = 14, volts_top = 58, volts_height = 250, amps_gap = 46, amps_height = 92;

struct curve {
    struct figure *figure;
    const struct findings *findings;
    struct curve_data data;
    struct plot volts, amps;
    struct tag tags[24];
    struct lettering letters[24];
    char words[24][160];
    size_t tag_count;
};

/* Asks for a place for words near (x, y); anchored as the lettering says. */
static void want_label(struct curve *curve, double x, double y, struct lettering lettering, double reach_x,
                       double reach_y, int rank, const char *words)
{
    if (curve->tag_count == 24 || !isfinite(x) || !isfinite(y))
        return;
    size_t k = curve->tag_count++;
    snprintf(curve->words[k], sizeof curve->words[k], "%s", words);
    curve->letters[k] = lettering;
    curve->tags[k] = (struct tag){.wish = layout_text_box(x, y, lettering, words), .reach_x = reach_x,
                                  .reach_y = reach_y, .rank = rank};
}

static void draw_labels(struct curve *curve)
{
    struct box taken[400];
    size_t count = 0;
    struct point *line = memory_resize(NULL, curve->data.count + 1, sizeof *line);
    for (size_t k = 0; k < curve->data.count; k++)
        line[k] = (struct point){scale_at(&curve->volts.x, curve->data.x[k]), scale_at(&curve->volts.y, curve->data.v[k])};
    count += layout_line_boxes(line, curve->data.count, 12, taken, 160);
    for (size_t k = 0; k < curve->data.count; k++)
        line[k].y = scale_at(&curve->amps.y, curve->data.a[k]);
    count += layout_line_boxes(line, curve->data.count, 12, taken + count, 160);
    free(line);
    struct box frame = {curve->volts.x.start, 0, curve->figure->width, curve->amps.y.start - 2};
    layout_place(curve->tags, curve->tag_count, taken, count, frame, 3);
    for (size_t k = 0; k < curve->tag_count; k++) {
        if (!curve->tags[k].placed)
            continue;
        struct extent e = layout_measure(curve->letters[k], curve->words[k]);
        struct lettering l = curve->letters[k];
        l.anchor = ANCHOR_START;
        l.halo = true;
        figure_text(curve->figure, curve->tags[k].box.left, curve->tags[k].box.top + e.ascent, l, curve->words[k]);
    }
}

static void draw_bursts(struct curve *curve)
{
    const struct lettering name = {.role = ROLE_LABEL, .ink = INK_FIRST}, cost = {.role = ROLE_SMALL, .ink = INK_SOFT};
    for (size_t k = 0; k < curve->findings->burst_count; k++) {
        const struct burst *b = &curve->findings->bursts[k];
        double from = curve_data_at(&curve->data, b->start_s), to = curve_data_at(&curve->data, b->end_s);
        if (!(to > from))
            continue;
        plot_band(curve->figure, &curve->volts, from, to);
        plot_band(curve->figure, &curve->amps, from, to);
        if (k >= 3)
            continue;
        char words[160], time[32], wh[64];
        double x = scale_at(&curve->volts.x, from);
        number_print_duration(b->end_s - b->start_s, time, sizeof time);
        snprintf(words, sizeof words, "burst: %.3g A for %s", b->current_a, time);
        want_label(curve, x, volts_top - 26, name, 400, 0, 0, words);
        measure_print(&b->cost_wh, "Wh", wh, sizeof wh);
        snprintf(words, sizeof words, "cost %s%s", wh, isfinite(b->charge_bound_ah) && b->charge_bound_ah < 0.01 * curve->findings->test_ah.value
                                                            ? "; next to no charge" : "");
        if (measure_known(&b->cost_wh))
            want_label(curve, x, volts_top - 10, cost, 400, 0, 1, words);
    }
}

static void draw_rated(struct curve *curve)
{
    const struct crossing *rated = &curve->findings->rated_ah;
    if (isnan(rated->rated) || curve->data.x_is_time)
        return;
    double x = scale_at(&curve->volts.x, rated->rated);
    if (!(x <= curve->volts.x.end))
        return;
    figure_line(curve->figure, x, volts_top - 6, x, curve->amps.y.start, (struct stroke){INK_MAIN, 1.4, LINE_SOLID});
    char words[160], time[32];
    number_print_duration(rated->at_s.value, time, sizeof time);
    if (rated->reached && measure_known(&rated->at_s))
        snprintf(words, sizeof words, "rated %.4g Ah passed at %s", rated->rated, time);
    else
        snprintf(words, sizeof words, "rated %.4g Ah %s", rated->rated, rated->reached ? "passed" : "not reached");
    const struct lettering soft = {.role = ROLE_SMALL, .ink = INK_SOFT, .anchor = ANCHOR_END};
    want_label(curve, x - 8, volts_top + 10, soft, 40, 60, 2, words);
}

static void draw_end(struct curve *curve)
{
    const struct ending *end = &curve->findings->runs[curve->findings->test_last_run].ended;
    size_t last = curve->data.count - 1;
    char words[160];
    snprintf(words, sizeof words, "%s at %.2f V", end->by == ENDED_CANNOT_TELL ? "ended" : ended_by_name(end->by),
             measure_known(&end->end_v) ? end->end_v.value : curve->data.v[last]);
    const struct lettering label = {.role = ROLE_LABEL, .ink = INK_FIRST, .anchor = ANCHOR_END};
    want_label(curve, scale_at(&curve->volts.x, curve->data.x[last]) - 10,
               scale_at(&curve->volts.y, curve->data.v[last]) + 2, label, 120, 90, 1, words);
}

static void draw_marks(struct curve *curve)
{
    const struct lettering soft = {.role = ROLE_SMALL, .ink = INK_SOFT, .italic = true};
    for (size_t k = 0; k < curve->data.mark_count; k++) {
        double x = scale_at(&curve->volts.x, curve->data.marks[k].x);
        figure_line(curve->figure, x, volts_top, x, curve->amps.y.start, (struct stroke){INK_SOFT, 1, LINE_DOTTED});
        want_label(curve, x + 4, curve->volts.y.start - 6, soft, 140, 60, 4, curve->data.marks[k].words);
    }
}

static void draw_curves(struct curve *curve)
{
    const struct curve_data *d = &curve->data;
    const struct stroke volts = {INK_FIRST, 2.2, LINE_SOLID}, amps = {INK_SECOND, 1.6, LINE_DASHED};
    struct stroke thin_v = volts, thin_a = amps;
    if (d->sparse) { /* what lies between sightings is carried, not seen */
        thin_v = (struct stroke){INK_FIRST, 1.1, LINE_DOTTED};
        thin_a = (struct stroke){INK_SECOND, 1.1, LINE_DOTTED};
    }
    plot_series(curve->figure, &curve->volts, d->x, d->v, d->count, thin_v);
    plot_series(curve->figure, &curve->amps, d->x, d->a, d->count, thin_a);
    for (size_t k = 0; d->sparse && k < d->count; k++) {
        figure_circle(curve->figure, scale_at(&curve->volts.x, d->x[k]), scale_at(&curve->volts.y, d->v[k]), 3.4, INK_PAPER, volts);
        figure_circle(curve->figure, scale_at(&curve->amps.x, d->x[k]), scale_at(&curve->amps.y, d->a[k]), 2.6, INK_PAPER,
                      (struct stroke){INK_SECOND, 1.6, LINE_SOLID});
    }
}

static void name_curves(struct curve *curve)
{
    const struct curve_data *d = &curve->data;
    size_t at = d->count / 6;
    const struct lettering volts = {.role = ROLE_LABEL, .ink = INK_FIRST}, amps = {.role = ROLE_LABEL, .ink = INK_SECOND};
    double x = curve->volts.x.start + 0.06 * (curve->volts.x.end - curve->volts.x.start);
    want_label(curve, x, scale_at(&curve->volts.y, d->v[at]) + 26, volts, 200, 60, 2, "volts under load");
    char words[160];
    const struct load_finding *load = &curve->findings->load;
    if (load->law == LOAD_POWER && isfinite(load->level))
        snprintf(words, sizeof words, "amps, climbing: the load holds %.3g W", load->level);
    else if (load->law == LOAD_CURRENT)
        snprintf(words, sizeof words, "amps, held");
    else
        snprintf(words, sizeof words, "amps");
    want_label(curve, x, scale_at(&curve->amps.y, d->a[at]) - 8, amps, 200, 60, 2, words);
}

static void range_of(const double *y, size_t count, double *ret_low, double *ret_high)
{
    *ret_low = INFINITY, *ret_high = -INFINITY;
    for (size_t k = 0; k < count; k++) {
        *ret_low = fmin(*ret_low, y[k]); /* fmin and fmax pass over NaN */
        *ret_high = fmax(*ret_high, y[k]);
    }
}

static void set_scales(struct curve *curve, double width)
{
    const struct curve_data *d = &curve->data;
    double low_v, high_v, low_a, high_a, x_end = d->x[d->count - 1];
    range_of(d->v, d->count, &low_v, &high_v);
    range_of(d->a, d->count, &low_a, &high_a);
    if (!d->x_is_time && curve->findings->rated_ah.rated < 1.6 * x_end)
        x_end = fmax(x_end, curve->findings->rated_ah.rated);
    x_end += 0.015 * (x_end - d->x[0]);
    scale_round(&low_v, &high_v, 6);
    low_a = fmin(low_a, 0);
    scale_round(&low_a, &high_a, 3);
    struct scale x = {d->x[0], x_end, left, width - right_room};
    double volts_bottom = volts_top + volts_height, amps_bottom = volts_bottom + amps_gap + amps_height;
    curve->volts = (struct plot){x, {low_v, high_v, volts_bottom, volts_top}, "", "V", d->x_is_time, true};
    curve->amps = (struct plot){x, {low_a, high_a, amps_bottom, volts_bottom + amps_gap}, d->x_is_time ? "" : "Ah", "A",
                                d->x_is_time, false};
}

bool curve_figure(const struct assessment *assessment, size_t record, double width, struct figure *ret_figure)
{
    struct curve curve = {.figure = ret_figure, .findings = &assessment->records[record].findings};
    if (!curve.findings->has_test || !curve_data_make(&assessment->records[record], &curve.data))
        return false;
    set_scales(&curve, width);
    figure_init(ret_figure, width, curve.amps.y.start + 36, "Discharge curve",
                "Volts and amps of the discharge against the charge delivered, with bursts, marks, the rated value and "
                "the end.");
    draw_bursts(&curve);
    plot_frame(ret_figure, &curve.amps);
    plot_frame(ret_figure, &curve.volts);
    draw_rated(&curve);
    draw_marks(&curve);
    draw_curves(&curve);
    draw_end(&curve);
    name_curves(&curve);
    draw_labels(&curve);
    curve_data_free(&curve.data);
    return true;
}
