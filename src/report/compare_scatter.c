/* Delivered energy against price, mass or volume: each sample a point with its intervals both ways. Lines through the
 * origin join places of the same energy for the same price, mass or volume. */
#include "report/compare_parts.h"

#include "draw/plot.h"
#include "report/curve_tags.h"

#define LEFT 52.0
#define RIGHT 14.0
#define TOP 30.0
#define BOTTOM 36.0
#define SPARE 0.12 /* of the span of all intervals, at either end */
enum { RAYS = 5 };

struct place {
    size_t sample;
    double x, x_lo, x_hi, y, y_lo, y_hi;
    bool claimed; /* x was not measured */
};

struct scatter {
    struct figure *figure;
    struct plot plot;
    struct place places[COMPARED_MOST];
    size_t count;
    struct tags tags;
    enum compare_figure which;
    char per[24]; /* of the lines: "Wh/kg" */
};

/* The currency that most prices are in; of others no rate is known. */
static const char *main_currency(const struct compare *compare)
{
    const char *best = "";
    size_t most = 0;
    for (size_t k = 0; k < compare->count; k++) {
        size_t same = 0;
        for (size_t j = 0; j < compare->count; j++)
            same += compare->items[j].entry.price > 0 && strcmp(compare->items[j].entry.currency, compare->items[k].entry.currency) == 0;
        if (compare->items[k].entry.price > 0 && same > most)
            most = same, best = compare->items[k].entry.currency;
    }
    return best;
}

/* NULL: it can be shown. */
static const char *take_x(const struct shelf_entry *entry, enum compare_figure which, const char *currency, struct place *place)
{
    const struct measure *m = which == COMPARE_MASS ? &entry->mass_kg : &entry->volume_l;
    if (which == COMPARE_PRICE) {
        place->x = place->x_lo = place->x_hi = entry->price;
        return !(entry->price > 0) ? "no price" : strcmp(entry->currency, currency) != 0 ? "its price is in another currency" : NULL;
    }
    place->x = m->value;
    place->x_lo = isfinite(m->lo) ? m->lo : m->value;
    place->x_hi = isfinite(m->hi) ? m->hi : m->value;
    place->claimed = which == COMPARE_MASS ? entry->mass_claimed : entry->volume_claimed;
    return measure_known(m) ? NULL : which == COMPARE_MASS ? "neither weighed nor claimed" : "size neither measured nor claimed";
}

static void take_places(const struct compare *compare, enum compare_figure which, struct scatter *scatter, struct absent *absent)
{
    const char *currency = main_currency(compare);
    for (size_t k = 0; k < compare->count; k++) {
        const struct shelf_entry *entry = &compare->items[k].entry;
        const struct measure *wh = &entry->energy_wh;
        struct place place = {.sample = k, .y = wh->value, .y_lo = isfinite(wh->lo) ? wh->lo : wh->value,
                              .y_hi = isfinite(wh->hi) ? wh->hi : wh->value};
        const char *why = take_x(entry, which, currency, &place);
        if (!measure_known(wh))
            absent_add(absent, compare->items[k].name, wh->why);
        else if (why != NULL)
            absent_add(absent, compare->items[k].name, why);
        else
            scatter->places[scatter->count++] = place;
    }
}

static struct scale scale_over(double low, double high, double start, double end)
{
    double spare = high > low ? SPARE * (high - low) : 0.1 * fabs(high);
    return (struct scale){fmax(low - spare, 0), high + spare, start, end};
}

static void set_scales(struct scatter *scatter, double width, double height)
{
    double x_lo = INFINITY, x_hi = -INFINITY, y_lo = INFINITY, y_hi = -INFINITY;
    for (size_t k = 0; k < scatter->count; k++) {
        const struct place *p = &scatter->places[k];
        x_lo = fmin(x_lo, p->x_lo), x_hi = fmax(x_hi, p->x_hi);
        y_lo = fmin(y_lo, p->y_lo), y_hi = fmax(y_hi, p->y_hi);
    }
    if (scatter->count == 0)
        x_lo = y_lo = 0, x_hi = y_hi = 1;
    scatter->plot.x = scale_over(x_lo, x_hi, LEFT, width - RIGHT);
    scatter->plot.y = scale_over(y_lo, y_hi, height - BOTTOM, TOP);
}

/* A line of so much energy for each, as far as it lies in the frame. */
static void draw_ray(struct scatter *scatter, double slope, const char *words)
{
    const struct scale *x = &scatter->plot.x, *y = &scatter->plot.y;
    double from = fmax(x->from, y->from / slope), to = fmin(x->to, y->to / slope);
    const struct lettering letters = {.role = ROLE_SMALL, .ink = INK_SOFT, .anchor = ANCHOR_END};
    if (!(from < to))
        return;
    figure_line(scatter->figure, scale_at(x, from), scale_at(y, slope * from), scale_at(x, to), scale_at(y, slope * to),
                (struct stroke){INK_SOFT, 1, LINE_DOTTED});
    tags_want(&scatter->tags, (struct wish){scale_at(x, to) - 4, scale_at(y, slope * to) + 14, 60, 40, 9, letters}, "", words);
}

/* Those about the samples. */
static void draw_rays(struct scatter *scatter)
{
    double least = INFINITY, most = 0;
    for (size_t k = 0; k < scatter->count; k++) {
        double each = scatter->places[k].y / scatter->places[k].x;
        least = fmin(least, each), most = fmax(most, each);
    }
    struct ticks ticks = ticks_between(0.75 * least, 1.33 * most, RAYS);
    for (size_t k = 0; k < ticks.count; k++) {
        char number[48], words[80];
        tick_print(&ticks, k, NULL, number, sizeof number);
        snprintf(words, sizeof words, "%s %s", number, scatter->per);
        if (tick_value(&ticks, k) > 0)
            draw_ray(scatter, tick_value(&ticks, k), words);
    }
}

static void draw_place(struct scatter *scatter, const struct compare *compare, const struct place *p)
{
    const struct compared *one = &compare->items[p->sample];
    enum ink ink = compare_stroke(p->sample, 1).ink;
    const struct stroke bar = {ink, 3, LINE_SOLID};
    double x = scale_at(&scatter->plot.x, p->x), y = scale_at(&scatter->plot.y, p->y);
    char said[400], words[96];
    measure_print_in(&one->entry.energy_wh, QUANTITY_ENERGY, words, sizeof words);
    snprintf(said, sizeof said, "%s: %s", one->name, words);
    figure_group(scatter->figure, said, p->claimed ? "as claimed, not measured" : "");
    figure_line(scatter->figure, scale_at(&scatter->plot.x, p->x_lo), y, scale_at(&scatter->plot.x, p->x_hi), y, bar);
    figure_line(scatter->figure, x, scale_at(&scatter->plot.y, p->y_lo), x, scale_at(&scatter->plot.y, p->y_hi), bar);
    figure_circle(scatter->figure, x, y, 4.6, INK_PAPER, (struct stroke){ink, 2.4, p->claimed ? LINE_DOTTED : LINE_SOLID});
    figure_group_end(scatter->figure);
    snprintf(said, sizeof said, "%s%s%s%s", one->name, p->claimed ? " (" : "", p->claimed ? compare_words[scatter->which] : "",
             p->claimed ? " as claimed)" : "");
    tags_want(&scatter->tags, (struct wish){x + 9, y - 6, 160, 90, 0, {.role = ROLE_LABEL, .ink = ink}}, "", said);
}

static size_t taken_boxes(const struct scatter *scatter, struct box *ret_boxes)
{
    for (size_t k = 0; k < scatter->count; k++) {
        const struct place *p = &scatter->places[k];
        const struct scale *sx = &scatter->plot.x, *sy = &scatter->plot.y;
        double x = scale_at(sx, p->x), y = scale_at(sy, p->y);
        ret_boxes[2 * k] = (struct box){fmin(scale_at(sx, p->x_lo), x - 5), y - 5, fmax(scale_at(sx, p->x_hi), x + 5), y + 5};
        ret_boxes[2 * k + 1] = (struct box){x - 3, fmin(scale_at(sy, p->y_hi), y - 5), x + 3, fmax(scale_at(sy, p->y_lo), y + 5)};
    }
    return 2 * scatter->count;
}

void compare_scatter(const struct compare *compare, enum compare_figure which, double width, double height,
                     struct figure *ret_figure)
{
    struct scatter scatter = {.figure = ret_figure, .which = which};
    struct absent absent = {TEXT_EMPTY};
    struct box taken[2 * COMPARED_MOST];
    const char *unit = which == COMPARE_PRICE ? main_currency(compare) : which == COMPARE_MASS ? "kg" : "L";
    figure_init(ret_figure, width, height, compare_titles[which],
                "Each sample a point with its 95 % intervals; dotted lines join places of the same energy for each unit.");
    take_places(compare, which, &scatter, &absent);
    set_scales(&scatter, width, height);
    scatter.plot.x_unit = unit;
    scatter.plot.y_unit = "Wh";
    snprintf(scatter.per, sizeof scatter.per, "Wh/%s", unit);
    if (scatter.count > 0) {
        plot_frame(ret_figure, &scatter.plot);
        draw_rays(&scatter);
    }
    for (size_t k = 0; k < scatter.count; k++)
        draw_place(&scatter, compare, &scatter.places[k]);
    tags_place(&scatter.tags, taken, taken_boxes(&scatter, taken), (struct box){LEFT, 4, width - 2, height - BOTTOM});
    tags_draw(&scatter.tags, ret_figure);
    if (scatter.count == 0)
        ret_figure->height = 0;
    absent_draw(&absent, compare, ret_figure);
}
