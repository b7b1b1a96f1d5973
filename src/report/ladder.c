/* The claims ladder. A forest plot turned to claims: the rail is the claim, a rung the measured
 * interval, a dot its value; right of the rail is better for the buyer. */
#include "report/figures.h"

#include "draw/layout.h"
#include "draw/scale.h"
#include "report/words.h"

enum { REASON_LINES = 4, LINE_BYTES = 160 };

static const double head_height = 52, foot_height = 34, row_least = 54, row_untested = 42, line_height = 16;

/* Places of the three columns. */
struct columns {
    double name_width, left, right, rail, verdict;
};

/* How a claim's axis is read: per cent of the claim, or kelvins where a percentage means nothing. */
struct axis {
    double half;      /* value of the axis at its ends, in per cent */
    struct scale scale;
};

static struct columns columns_of(double width)
{
    return (struct columns){
        .name_width = 0.25 * width,
        .left = 0.275 * width,
        .right = 0.70 * width,
        .rail = 0.4875 * width,
        .verdict = 0.725 * width,
    };
}

static bool is_temperature(const struct claim *claim)
{
    return claim->quantity == QUANTITY_TEMPERATURE;
}

/* Departure from the claim, positive when better for the buyer; in per cent, or in kelvins. */
static double better_by(const struct claim *claim, double value)
{
    double by = is_temperature(claim) ? value - claim->stated : 100 * (value / claim->stated - 1);
    return claim->sense == SENSE_AT_MOST ? -by : by;
}

static bool has_rung(const struct decision *d)
{
    return measure_known(&d->measured) && isfinite(d->claim->stated) && d->claim->stated != 0 &&
           d->verdict != VERDICT_NOT_EXERCISED && d->verdict != VERDICT_NOT_TESTED;
}

static struct axis axis_of(const struct assessment *assessment, const struct columns *columns)
{
    static const double halves[] = {2, 5, 10, 20};
    double reach = 0;
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (has_rung(d) && !is_temperature(d->claim))
            reach = fmax(reach, fmax(fabs(better_by(d->claim, d->measured.lo)), fabs(better_by(d->claim, d->measured.hi))));
    }
    double half = halves[3];
    for (int k = 3; k >= 0; k--)
        if (reach <= halves[k])
            half = halves[k];
    return (struct axis){half, {-half, half, columns->left, columns->right}};
}

static void draw_grid(struct figure *figure, const struct axis *axis, const struct columns *columns, double bottom)
{
    const struct lettering tick = {.role = ROLE_SMALL, .ink = INK_SOFT, .anchor = ANCHOR_MIDDLE};
    double step = axis->half / 2;
    for (int k = -2; k <= 2; k++) {
        if (k == 0)
            continue;
        double x = scale_at(&axis->scale, k * step);
        figure_line(figure, x, head_height - 8, x, bottom, (struct stroke){INK_HAIR, 1, LINE_SOLID});
        char label[32];
        snprintf(label, sizeof label, "%s%.3g %%", k < 0 ? "−" : "+", fabs(k * step));
        figure_text(figure, x, bottom + 20, tick, label);
    }
    struct lettering head = {.role = ROLE_SMALL, .ink = INK_SOFT, .anchor = ANCHOR_MIDDLE};
    figure_text(figure, columns->rail, 26, head, "the claim");
    head.anchor = ANCHOR_END;
    figure_text(figure, columns->rail - 42, 26, head, "← falls short");
    head.anchor = ANCHOR_START;
    figure_text(figure, columns->rail + 42, 26, head, "better than claimed →");
    figure_line(figure, columns->rail, head_height - 14, columns->rail, bottom, (struct stroke){INK_MAIN, 2.2, LINE_SOLID});
}

/* Keeps a place on the axis; says whether it lay beyond. */
static double clipped(const struct axis *axis, double value, bool *ret_beyond)
{
    *ret_beyond = fabs(value) > axis->half * 1.04;
    double limit = axis->half * 1.04;
    return scale_at(&axis->scale, value < -limit ? -limit : value > limit ? limit : value);
}

static void draw_arrow(struct figure *figure, double x, double y, double direction, enum ink ink)
{
    struct point head[] = {{x + direction * 9, y}, {x, y - 5}, {x, y + 5}};
    figure_area(figure, head, 3, ink, STROKE_NONE);
}

/* The value found, under its rung, kept within the axis' column. */
static void draw_found(struct figure *figure, const struct columns *columns, double x, double y, const char *found)
{
    const struct lettering small = {.role = ROLE_SMALL, .halo = true, .anchor = ANCHOR_MIDDLE};
    double half = 0.5 * layout_measure(small, found).width;
    x = fmin(fmax(x, columns->left + half - 12), columns->right - half + 12);
    figure_text(figure, x, y + 19, small, found);
}

static void draw_rung(struct figure *figure, const struct axis *axis, const struct columns *columns,
                      const struct decision *d, double y)
{
    /* a temperature has its own scale: one tick of the axis is printed as so many kelvins at the rung */
    double unit = is_temperature(d->claim) ? axis->half / 10 : 1;
    if (d->claim->sense == SENSE_ABOUT && isfinite(d->claim->tolerance)) {
        double tolerance = fmin(100 * fabs(d->claim->tolerance / d->claim->stated), axis->half);
        double from = scale_at(&axis->scale, -tolerance), to = scale_at(&axis->scale, tolerance);
        figure_rect(figure, from, y - 9, to - from, 18, INK_BAND, STROKE_NONE);
    }
    double at = unit * better_by(d->claim, d->measured.value);
    double lo = unit * better_by(d->claim, d->measured.lo), hi = unit * better_by(d->claim, d->measured.hi);
    bool beyond, beyond_lo, beyond_hi;
    double x = clipped(axis, at, &beyond);
    double x1 = clipped(axis, fmin(lo, hi), &beyond_lo), x2 = clipped(axis, fmax(lo, hi), &beyond_hi);
    enum ink ink = d->verdict == VERDICT_NOT_MET ? INK_SECOND : INK_FIRST;
    if (x2 - x1 > 1)
        figure_line(figure, x1, y, x2, y, (struct stroke){ink, 5, LINE_SOLID});
    if (beyond)
        draw_arrow(figure, x, y, at < 0 ? -1 : 1, ink);
    else
        figure_circle(figure, x, y, 4.6, INK_PAPER, (struct stroke){ink, 2.4, LINE_SOLID});
    draw_found(figure, columns, x, y, d->found);
}

static void draw_reach(struct figure *figure, const struct axis *axis, const struct columns *columns,
                       const struct decision *d, double y)
{
    double to = isfinite(d->reached) && isfinite(d->claim->stated) && d->claim->stated != 0
                    ? better_by(d->claim, d->reached)
                    : -axis->half;
    to = fmin(to, -0.06 * axis->half); /* it stops short of the rail whatever the level was */
    double x = scale_at(&axis->scale, fmax(to, -axis->half));
    const struct stroke dashed = {INK_SOFT, 2, LINE_DASHED};
    double from = columns->left - 6;
    if (x - from < 30)
        x = from + 30;
    figure_line(figure, from, y, x, y, dashed);
    figure_line(figure, x, y - 6, x, y + 6, (struct stroke){INK_SOFT, 2, LINE_SOLID});
    draw_found(figure, columns, 0.5 * (from + x), y, d->found);
}

/* A yes-or-no statement, or a claim without a number to measure against: words beside the rail. */
static void draw_answer(struct figure *figure, const struct columns *columns, const struct decision *d, double y)
{
    double x = columns->rail + (d->verdict == VERDICT_NOT_MET ? -26 : 26);
    enum ink ink = d->verdict == VERDICT_NOT_MET ? INK_SECOND : INK_FIRST;
    figure_circle(figure, x, y, 4.6, INK_PAPER, (struct stroke){ink, 2.4, LINE_SOLID});
    draw_found(figure, columns, x, y, d->found);
}

static void draw_place(struct figure *figure, const struct axis *axis, const struct columns *columns,
                       const struct decision *d, double y)
{
    if (has_rung(d))
        draw_rung(figure, axis, columns, d, y);
    else if (d->verdict == VERDICT_NOT_EXERCISED)
        draw_reach(figure, axis, columns, d, y);
    else if (d->verdict == VERDICT_NOT_TESTED)
        figure_line(figure, columns->rail - 42, y, columns->rail + 42, y, (struct stroke){INK_SOFT, 1.5, LINE_DOTTED});
    else
        draw_answer(figure, columns, d, y);
}

static struct lettering verdict_lettering(enum verdict verdict)
{
    struct lettering l = {.role = ROLE_LABEL, .strong = true};
    switch (verdict) {
    case VERDICT_MET: l.ink = INK_FIRST; break;
    case VERDICT_NOT_MET: l.ink = INK_SECOND; break;
    case VERDICT_TOO_CLOSE: l.ink = INK_MAIN; break;
    default: l.ink = INK_SOFT, l.italic = true;
    }
    return l;
}

/* The reason as it stands under the verdict. */
static void reason_of(const struct decision *d, char *buffer, size_t size)
{
    char p[32] = "";
    bool shows_p = !isnan(d->probability) && d->verdict != VERDICT_NOT_EXERCISED && d->verdict != VERDICT_NOT_TESTED;
    if (shows_p)
        words_probability(d->probability, p, sizeof p);
    const char *more = d->verdict == VERDICT_TOO_CLOSE && d->would_decide[0] != '\0' ? d->would_decide : d->reason;
    snprintf(buffer, size, "%s%s%s", p, p[0] != '\0' && more[0] != '\0' ? " · " : "", more);
}

struct row {
    char name[3][LINE_BYTES], reason[REASON_LINES][LINE_BYTES];
    int names, reasons;
    double height;
};

static struct row row_of(const struct decision *d, const struct columns *columns, double width)
{
    struct row row = {0};
    const struct lettering small = {.role = ROLE_SMALL};
    char stated[256], reason[700];
    snprintf(stated, sizeof stated, "%s%s%s", d->claim->as_stated, d->claim->where[0] != '\0' ? " · " : "",
             d->claim->where);
    row.names = words_lines(stated, small, columns->name_width, row.name, 3);
    reason_of(d, reason, sizeof reason);
    row.reasons = words_lines(reason, small, width - columns->verdict, row.reason, REASON_LINES);
    int lines = row.names > row.reasons ? row.names : row.reasons;
    double least = d->verdict == VERDICT_NOT_TESTED ? row_untested : row_least;
    row.height = fmax(least, 20 + line_height * lines + 12);
    return row;
}

static void draw_row(struct figure *figure, const struct axis *axis, const struct columns *columns,
                     const struct decision *d, const struct row *row, double top)
{
    const struct lettering name = {.role = ROLE_LABEL, .strong = true}, soft = {.role = ROLE_SMALL, .ink = INK_SOFT};
    char said[400];
    snprintf(said, sizeof said, "%s, %s: %s; %s", d->claim->name, d->claim->as_stated, verdict_name(d->verdict), d->found);
    figure_group(figure, said, d->reason);
    double y = top + 18;
    figure_text(figure, 0, y, name, d->claim->name);
    for (int k = 0; k < row->names; k++)
        figure_text(figure, 0, y + line_height * (k + 1) + 2, soft, row->name[k]);
    figure_text(figure, columns->verdict, y, verdict_lettering(d->verdict), verdict_name(d->verdict));
    for (int k = 0; k < row->reasons; k++)
        figure_text(figure, columns->verdict, y + line_height * (k + 1) + 2, soft, row->reason[k]);
    draw_place(figure, axis, columns, d, y - 4);
    figure_group_end(figure);
}

void ladder_figure(const struct assessment *assessment, double width, struct figure *ret_figure)
{
    struct columns columns = columns_of(width);
    struct axis axis = axis_of(assessment, &columns);
    double height = head_height;
    for (size_t k = 0; k < assessment->decision_count; k++)
        height += row_of(&assessment->decisions[k], &columns, width).height;
    figure_init(ret_figure, width, height + foot_height, "Claims ladder",
                "Each claim of the label against what was measured, with 95 % intervals; right is better than claimed.");
    draw_grid(ret_figure, &axis, &columns, height - 6);
    double top = head_height;
    for (size_t k = 0; k < assessment->decision_count; k++) {
        struct row row = row_of(&assessment->decisions[k], &columns, width);
        draw_row(ret_figure, &axis, &columns, &assessment->decisions[k], &row, top);
        top += row.height;
    }
}
