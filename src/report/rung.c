#include "report/rung.h"

#include "draw/layout.h"

#define OVERHANG 12.0      /* words may stand out so far to either side of the axis */
#define FOUND_DROP 19.0    /* from a rung to the baseline of what was found */
#define RAIL_CLEAR 6.0     /* words keep so far from the rail */
#define EMPTY_PLACE 42.0   /* half the length of a dotted place */
#define KELVIN_SCALE 16.0  /* height of a temperature's own scale */
enum { FOUND_LINES = 3 };

static const struct lettering found_letters = {.role = ROLE_SMALL, .halo = true};

static bool is_temperature(const struct claim *claim)
{
    return claim->quantity == QUANTITY_TEMPERATURE;
}

/* Departure from the claim, positive when better for the buyer; in per cent, or in kelvins. */
static double better_by(const struct claim *claim, double value)
{
    double by = is_temperature(claim) ? value - claim->stated : 100 * (value - claim->stated) / fabs(claim->stated);
    return claim->sense == SENSE_AT_MOST ? -by : by;
}

static bool has_rung(const struct decision *d)
{
    bool decided = d->verdict != VERDICT_NOT_EXERCISED && d->verdict != VERDICT_NOT_TESTED;
    bool on_scale = is_temperature(d->claim) || d->claim->stated != 0;
    return decided && on_scale && measure_known(&d->measured) && isfinite(d->claim->stated);
}

static double reach_of(const struct assessment *assessment, bool temperatures)
{
    double reach = 0;
    for (size_t k = 0; k < assessment->decision_count; k++) {
        const struct decision *d = &assessment->decisions[k];
        if (!has_rung(d) || is_temperature(d->claim) != temperatures)
            continue;
        reach = fmax(reach, fabs(better_by(d->claim, d->measured.lo)));
        reach = fmax(reach, fabs(better_by(d->claim, d->measured.hi)));
    }
    return reach;
}

/* The least of the halves that holds the reach; the largest when none does. */
static double half_for(double reach, const double *halves, int count)
{
    for (int k = 0; k < count; k++)
        if (reach <= halves[k])
            return halves[k];
    return halves[count - 1];
}

struct axis axis_of(const struct assessment *assessment, double left, double right)
{
    static const double percents[] = {2, 5, 10, 20}, kelvins[] = {5, 10, 20};
    return (struct axis){.left = left,
                         .right = right,
                         .rail = 0.5 * (left + right),
                         .half = half_for(reach_of(assessment, false), percents, 4),
                         .half_k = half_for(reach_of(assessment, true), kelvins, 3)};
}

/* Place of a departure, given as a share of the half axis; kept on the axis and a little beyond. */
static double place(const struct axis *axis, double share)
{
    double kept = fmin(fmax(share, -1.04), 1.04);
    return axis->rail + kept * (axis->right - axis->rail);
}

void axis_grid(struct figure *figure, const struct axis *axis, double top, double bottom)
{
    for (int k = -2; k <= 2; k++) {
        double x = place(axis, k / 2.0);
        if (k != 0)
            figure_line(figure, x, top, x, bottom, (struct stroke){INK_HAIR, 1, LINE_SOLID});
    }
}

void axis_ticks(struct figure *figure, const struct axis *axis, double baseline)
{
    const struct lettering tick = {.role = ROLE_SMALL, .ink = INK_SOFT, .anchor = ANCHOR_MIDDLE};
    for (int k = -2; k <= 2; k++) {
        char label[32];
        snprintf(label, sizeof label, "%s%.3g %%", k < 0 ? "−" : "+", fabs(k * axis->half / 2));
        if (k != 0)
            figure_text(figure, place(axis, k / 2.0), baseline, tick, label);
    }
}

void axis_head(struct figure *figure, const struct axis *axis, double baseline)
{
    struct lettering head = {.role = ROLE_SMALL, .ink = INK_SOFT, .anchor = ANCHOR_MIDDLE};
    figure_text(figure, axis->rail, baseline, head, "the claim");
    head.anchor = ANCHOR_END;
    figure_text(figure, axis->rail - 40, baseline, head, "← falls short");
    head.anchor = ANCHOR_START;
    const char *better = "better than claimed →", *narrow = "better →";
    double width = layout_measure(head, better).width;
    figure_text(figure, axis->rail + 40, baseline, head, axis->rail + 40 + width < figure->width ? better : narrow);
}

static void draw_arrow(struct figure *figure, double x, double y, double direction, enum ink ink)
{
    struct point head[] = {{x + direction * 9, y}, {x, y - 5}, {x, y + 5}};
    figure_area(figure, head, 3, ink, STROKE_NONE);
}

/* Does the rung lie right of the rail, by its value? */
static bool is_right(const struct decision *d)
{
    if (d->verdict == VERDICT_NOT_EXERCISED)
        return false;
    return has_rung(d) ? better_by(d->claim, d->measured.value) >= 0 : d->verdict != VERDICT_NOT_MET;
}

/* Where the words of what was found may stand: on the side of the rung, clear of the rail. */
struct room {
    double left, right;
};

static struct room room_of(const struct axis *axis, const struct decision *d)
{
    return is_right(d) ? (struct room){axis->rail + RAIL_CLEAR, axis->right + OVERHANG}
                       : (struct room){axis->left - OVERHANG, axis->rail - RAIL_CLEAR};
}

/* What was found, under its rung at x. */
static void draw_found(struct figure *figure, const struct axis *axis, const struct decision *d, double x, double y)
{
    struct room room = room_of(axis, d);
    double width = layout_measure(found_letters, d->found).width;
    double left = fmax(room.left, fmin(x - 0.5 * width, room.right - width));
    layout_text(figure, left, y + FOUND_DROP, found_letters, room.right - left + 1, FOUND_LINES, d->found);
}

double rung_depth(const struct axis *axis, const struct decision *d)
{
    struct room room = room_of(axis, d);
    size_t lines = 0;
    if (d->found[0] != '\0')
        lines = layout_text(NULL, 0, 0, found_letters, room.right - room.left + 1, FOUND_LINES, d->found);
    double depth = lines > 0 ? FOUND_DROP + (double)(lines - 1) * layout_leading(ROLE_SMALL) + 5 : 8;
    return depth + (has_rung(d) && is_temperature(d->claim) ? KELVIN_SCALE : 0);
}

/* The half axis of a claim in its own terms. */
static double half_of(const struct axis *axis, const struct claim *claim)
{
    return is_temperature(claim) ? axis->half_k : axis->half;
}

/* What still conforms with a claim that says 'about'. */
static void draw_tolerance(struct figure *figure, const struct axis *axis, const struct claim *claim, double y)
{
    double tolerance = is_temperature(claim) ? claim->tolerance : 100 * claim->tolerance / fabs(claim->stated);
    double share = tolerance / half_of(axis, claim);
    if (claim->sense != SENSE_ABOUT || !isfinite(share))
        return;
    double from = place(axis, -fmin(share, 1)), to = place(axis, fmin(share, 1));
    const struct stroke edge = {INK_SOFT, 1, LINE_SOLID};
    figure_rect(figure, from, y - 9, to - from, 18, INK_BAND, STROKE_NONE);
    for (int side = -1; side <= 1 && share < 1.0001; side += 2) {
        double x = side < 0 ? from : to, in = x - side * 4;
        struct point bracket[] = {{in, y - 9}, {x, y - 9}, {x, y + 9}, {in, y + 9}};
        figure_polyline(figure, bracket, 4, edge);
    }
}

/* Kelvins under the rung of a temperature: the percentages above are not its own. */
static void draw_kelvins(struct figure *figure, const struct axis *axis, double y)
{
    const struct stroke fine = {INK_SOFT, 1, LINE_SOLID};
    figure_line(figure, axis->left, y, axis->right, y, fine);
    for (int k = -2; k <= 2; k++) {
        struct lettering tick = {.role = ROLE_SMALL, .ink = INK_SOFT, .anchor = ANCHOR_MIDDLE, .halo = true};
        char label[32];
        double x = place(axis, k / 2.0);
        figure_line(figure, x, y - 3, x, y + 3, fine);
        snprintf(label, sizeof label, "%s%.3g K", k < 0 ? "−" : "+", fabs(k * axis->half_k / 2));
        if (k != 0)
            figure_text(figure, x, y + 15, tick, label);
    }
}

static enum ink ink_of(enum verdict verdict)
{
    return verdict == VERDICT_NOT_MET ? INK_SECOND : verdict == VERDICT_MET ? INK_FIRST : INK_MAIN;
}

/* The value alone clears the rail; what the conditions may have done to it reaches across: how far is said
 * in words below, as the effect is bounded at best. */
static void draw_conditions(struct figure *figure, const struct axis *axis, double from, double to, double y)
{
    bool right = from > axis->rail, left = to < axis->rail;
    double near = right ? from : to, across = place(axis, right ? -0.06 : 0.06);
    const struct stroke dashed = {INK_SOFT, 2, LINE_DASHED}, end = {INK_SOFT, 2, LINE_SOLID};
    if (!right && !left)
        return;
    figure_line(figure, across, y, near, y, dashed);
    figure_line(figure, across, y - 4, across, y + 4, end);
}

static void draw_rung(struct figure *figure, const struct axis *axis, const struct decision *d, double y)
{
    double half = half_of(axis, d->claim), at = better_by(d->claim, d->measured.value) / half;
    double lo = better_by(d->claim, d->measured.lo) / half, hi = better_by(d->claim, d->measured.hi) / half;
    enum ink ink = ink_of(d->verdict);
    double from = place(axis, fmin(lo, hi)), to = place(axis, fmax(lo, hi)), x = place(axis, at);
    draw_tolerance(figure, axis, d->claim, y);
    if (d->conditions_open)
        draw_conditions(figure, axis, from, to, y);
    if (to - from > 1)
        figure_line(figure, from, y, to, y, (struct stroke){ink, 5, LINE_SOLID});
    if (fmin(lo, hi) < -1.04)
        draw_arrow(figure, place(axis, -1.04), y, -1, ink);
    if (fmax(lo, hi) > 1.04)
        draw_arrow(figure, place(axis, 1.04), y, 1, ink);
    if (fabs(at) <= 1.04)
        figure_circle(figure, x, y, 4.6, INK_PAPER, (struct stroke){ink, 2.4, LINE_SOLID});
    if (is_temperature(d->claim))
        draw_kelvins(figure, axis, y + rung_depth(axis, d) - KELVIN_SCALE + 2);
    draw_found(figure, axis, d, x, y);
}

/* How far a test got that did not reach the claim: it comes from the left and stops short of the rail,
 * whatever the level was; beyond the scale it is an arrow only. */
static void draw_reach(struct figure *figure, const struct axis *axis, const struct decision *d, double y)
{
    const struct stroke dashed = {INK_SOFT, 2, LINE_DASHED}, stop = {INK_SOFT, 2, LINE_SOLID};
    bool on_scale = isfinite(d->reached) && isfinite(d->claim->stated) && d->claim->stated != 0;
    double share = on_scale ? better_by(d->claim, d->reached) / half_of(axis, d->claim) : -INFINITY;
    double from = axis->left - 6;
    if (share < -0.9) {
        draw_arrow(figure, from, y, -1, INK_SOFT);
        figure_line(figure, from, y, from + 34, y, dashed);
        draw_found(figure, axis, d, from, y);
        return;
    }
    double x = place(axis, fmin(share, -0.06));
    figure_line(figure, from, y, x, y, dashed);
    figure_line(figure, x, y - 6, x, y + 6, stop);
    draw_found(figure, axis, d, 0.5 * (from + x), y);
}

/* A yes-or-no statement, or a claim without a number: on the side of its verdict. */
static void draw_answer(struct figure *figure, const struct axis *axis, const struct decision *d, double y)
{
    double x = axis->rail + (d->verdict == VERDICT_NOT_MET ? -26 : d->verdict == VERDICT_MET ? 26 : 0);
    figure_circle(figure, x, y, 4.6, INK_PAPER, (struct stroke){ink_of(d->verdict), 2.4, LINE_SOLID});
    draw_found(figure, axis, d, x, y);
}

void rung_draw(struct figure *figure, const struct axis *axis, const struct decision *d, double y)
{
    if (has_rung(d))
        draw_rung(figure, axis, d, y);
    else if (d->verdict == VERDICT_NOT_EXERCISED)
        draw_reach(figure, axis, d, y);
    else if (d->verdict == VERDICT_NOT_TESTED)
        figure_line(figure, axis->rail - EMPTY_PLACE, y, axis->rail + EMPTY_PLACE, y,
                    (struct stroke){INK_SOFT, 1.5, LINE_DOTTED});
    else
        draw_answer(figure, axis, d, y);
}
