#include "draw/plot.h"

#include "base/memory.h"
#include "draw/decimate.h"
#include "draw/layout.h"

#define TICK_ROOM_X 90.0 /* a tick at least every so many units */
#define TICK_ROOM_Y 50.0
#define THINNEST 0.5 /* a column of thinning: half a unit, so that it holds at twice the size */

static size_t most_ticks(const struct scale *scale, double room)
{
    return (size_t)(fabs(scale->end - scale->start) / room) + 2;
}

static void frame_y(struct figure *figure, const struct plot *plot)
{
    const struct lettering small = {.role = ROLE_SMALL, .ink = INK_SOFT, .anchor = ANCHOR_END};
    struct ticks ticks = ticks_between(plot->y.from, plot->y.to, most_ticks(&plot->y, TICK_ROOM_Y));
    double top = plot->y.start;
    for (size_t k = 0; k < ticks.count; k++) {
        char label[48];
        double y = scale_at(&plot->y, tick_value(&ticks, k));
        top = fmin(top, y);
        figure_line(figure, plot->x.start, y, plot->x.end, y, (struct stroke){INK_HAIR, 1, LINE_SOLID});
        tick_print(&ticks, k, NULL, label, sizeof label);
        figure_text(figure, plot->x.start - 8, y + 4.5, small, label);
    }
    figure_text(figure, plot->x.start - 8, top - 14, small, plot->y_unit);
}

/* A number is centred on its tick; the unit follows the last one, and moves it only where it would
 * leave the figure. */
static void frame_x(struct figure *figure, const struct plot *plot)
{
    const struct lettering small = {.role = ROLE_SMALL, .ink = INK_SOFT};
    size_t most = most_ticks(&plot->x, TICK_ROOM_X);
    struct ticks ticks = plot->x_is_time ? ticks_of_time(plot->x.from, plot->x.to, most)
                                         : ticks_between(plot->x.from, plot->x.to, most);
    for (size_t k = 0; k < ticks.count; k++) {
        char number[48], label[64];
        tick_print(&ticks, k, NULL, number, sizeof number);
        tick_print(&ticks, k, plot->x_unit, label, sizeof label);
        double x = scale_at(&plot->x, tick_value(&ticks, k)) - layout_measure(small, number).width / 2;
        x = fmin(x, figure->width - layout_measure(small, label).width);
        figure_text(figure, x, plot->y.start + 22, small, label);
    }
}

void plot_frame(struct figure *figure, const struct plot *plot)
{
    frame_y(figure, plot);
    if (!plot->x_bare)
        frame_x(figure, plot);
}

void plot_series(struct figure *figure, const struct plot *plot, const double *x, const double *y,
                 size_t count, struct stroke stroke)
{
    double low = fmin(plot->x.from, plot->x.to), high = fmax(plot->x.from, plot->x.to);
    size_t columns = (size_t)(fabs(plot->x.end - plot->x.start) / THINNEST) + 1;
    if (!(low < high))
        return;
    struct point *points = memory_resize(NULL, decimate_limit(columns), sizeof *points);
    size_t kept = decimate_line(x, y, count, low, high, columns, points);
    for (size_t k = 0; k < kept; k++)
        points[k] = (struct point){scale_at(&plot->x, points[k].x), scale_at(&plot->y, points[k].y)};
    figure_polyline(figure, points, kept, stroke);
    free(points);
}

void plot_band(struct figure *figure, const struct plot *plot, double from, double to)
{
    double left = scale_at(&plot->x, from), right = scale_at(&plot->x, to);
    figure_rect(figure, left, plot->y.end, right - left, plot->y.start - plot->y.end, INK_BAND, STROKE_NONE);
}
