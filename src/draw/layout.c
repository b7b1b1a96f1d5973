#include "draw/layout.h"

#include "base/memory.h"
#include "draw/letters.h"

#include <pango/pangocairo.h>

#define WIDEST 1e5 /* user units; Pango counts in int */

struct extent layout_measure(struct lettering lettering, const char *text)
{
    PangoLayout *layout =
        letters_layout(text, figure_letter_size(lettering.role), lettering.strong, lettering.italic, 0);
    pango_layout_set_single_paragraph_mode(layout, TRUE);
    PangoRectangle logical;
    pango_layout_get_extents(layout, NULL, &logical);
    double baseline = (double)pango_layout_get_baseline(layout) / PANGO_SCALE;
    struct extent extent = {(double)logical.width / PANGO_SCALE, baseline,
                            (double)logical.height / PANGO_SCALE - baseline};
    g_object_unref(layout);
    return extent;
}

struct box layout_text_box(double x, double y, struct lettering lettering, const char *text)
{
    struct extent extent = layout_measure(lettering, text);
    double share = lettering.anchor == ANCHOR_START ? 0 : lettering.anchor == ANCHOR_MIDDLE ? 0.5 : 1;
    double left = x - share * extent.width;
    return (struct box){left, y - extent.ascent, left + extent.width, y + extent.descent};
}

struct box layout_ink_box(double x, double y, struct lettering lettering, const char *text)
{
    struct box box = layout_text_box(x, y, lettering, text);
    double size = figure_letter_size(lettering.role);
    box.top = y - 0.75 * size;
    box.bottom = y + 0.22 * size;
    return box;
}

double layout_leading(enum role role)
{
    return 1.35 * figure_letter_size(role);
}

/* Shortens `line` by whole characters until it fits with an ellipsis after it. */
static void shorten(struct text *line, struct lettering lettering, double width)
{
    struct text shorter = TEXT_EMPTY;
    do {
        while (line->length > 0 && (line->s[line->length - 1] & 0xc0) == 0x80)
            line->length--;
        line->length -= line->length > 0;
        shorter.length = 0;
        text_add_bytes(&shorter, text_string(line), line->length);
        text_add(&shorter, "…");
    } while (line->length > 0 && layout_measure(lettering, shorter.s).width > width);
    text_free(line);
    *line = shorter;
}

size_t layout_text(struct figure *figure, double x, double y, struct lettering lettering, double width,
                   size_t most, const char *text)
{
    PangoLayout *layout =
        letters_layout(text, figure_letter_size(lettering.role), lettering.strong, lettering.italic, 0);
    pango_layout_set_width(layout, (int)(fmin(fmax(width, 0), WIDEST) * PANGO_SCALE));
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    size_t all = (size_t)pango_layout_get_line_count(layout), count = all < most ? all : most;
    for (size_t k = 0; k < count && figure != NULL; k++) {
        PangoLayoutLine *at = pango_layout_get_line_readonly(layout, (int)k);
        const char *first = pango_layout_get_text(layout) + at->start_index;
        struct text line = TEXT_EMPTY;
        text_add_bytes(&line, first, (size_t)at->length);
        if (k + 1 == count && all > count)
            shorten(&line, lettering, width);
        figure_text(figure, x, y + (double)k * layout_leading(lettering.role), lettering, line.s);
        text_free(&line);
    }
    g_object_unref(layout);
    return count;
}

bool box_overlaps(const struct box *a, const struct box *b)
{
    return a->left < b->right && b->left < a->right && a->top < b->bottom && b->top < a->bottom;
}

/* What a tag must stay clear of. */
struct ground {
    struct box *boxes; /* grown by the gap, so that touching one is clear enough */
    size_t count;
    struct box frame;
};

static bool is_clear(const struct ground *ground, const struct box *box)
{
    if (box->left < ground->frame.left || box->right > ground->frame.right || box->top < ground->frame.top ||
        box->bottom > ground->frame.bottom)
        return false;
    for (size_t k = 0; k < ground->count; k++)
        if (box_overlaps(box, &ground->boxes[k]))
            return false;
    return true;
}

/* A place along one axis. Where it touches something it has that very edge, so that no rounding makes
 * it overlap. */
struct place {
    double low, high, shift;
};

/* The places worth trying along one axis: the wish, the edges of the frame, and just beside each box.
 * The free place nearest to the wish is the wish or touches one of them, along each axis. */
static size_t list_places(const struct tag *tag, const struct ground *ground, bool along_x,
                          struct place *ret_places)
{
    double low = along_x ? tag->wish.left : tag->wish.top,
           high = along_x ? tag->wish.right : tag->wish.bottom;
    double reach = along_x ? tag->reach_x : tag->reach_y, length = high - low;
    size_t count = 0;
    ret_places[count++] = (struct place){low, high, 0};
    for (size_t k = 0; k <= ground->count; k++) {
        bool inside = k == ground->count; /* of the frame; beside a box */
        const struct box *box = inside ? &ground->frame : &ground->boxes[k];
        double first = along_x ? box->left : box->top, last = along_x ? box->right : box->bottom;
        double start = inside ? first : last, end = inside ? last : first;
        if (fabs(start - low) <= reach)
            ret_places[count++] = (struct place){start, start + length, start - low};
        if (fabs(end - high) <= reach)
            ret_places[count++] = (struct place){end - length, end, end - high};
    }
    return count;
}

static void place_one(struct tag *tag, const struct ground *ground, struct place *x, struct place *y)
{
    size_t x_count = list_places(tag, ground, true, x);
    size_t y_count = list_places(tag, ground, false, y);
    double best = INFINITY;
    tag->placed = false;
    tag->box = tag->wish;
    for (size_t j = 0; j < y_count; j++)
        for (size_t i = 0; i < x_count; i++) {
            double distance = hypot(x[i].shift, y[j].shift);
            struct box box = {x[i].low, y[j].low, x[i].high, y[j].high};
            if (distance >= best || !is_clear(ground, &box))
                continue;
            best = distance;
            tag->box = box;
            tag->placed = true;
        }
}

static bool is_known_box(const struct box *box)
{
    return isfinite(box->left) && isfinite(box->right) && isfinite(box->top) && isfinite(box->bottom);
}

static void add_to_ground(struct ground *ground, const struct box *box, double gap)
{
    if (is_known_box(box))
        ground->boxes[ground->count++] =
            (struct box){box->left - gap, box->top - gap, box->right + gap, box->bottom + gap};
}

/* The tag to place next: the first not yet done of the lowest rank. */
static struct tag *next_tag(struct tag *tags, const bool *done, size_t count)
{
    struct tag *next = NULL;
    for (size_t k = 0; k < count; k++)
        if (!done[k] && (next == NULL || tags[k].rank < next->rank))
            next = &tags[k];
    return next;
}

size_t layout_place(struct tag *tags, size_t tag_count, const struct box *taken, size_t taken_count,
                    struct box frame, double gap)
{
    size_t most = tag_count + taken_count, dropped = 0;
    struct ground ground = {memory_resize(NULL, most + 1, sizeof(struct box)), 0, frame};
    struct place *places = memory_resize(NULL, 4 * most + 6, sizeof *places);
    bool *done = memory_get(tag_count + 1);
    for (size_t k = 0; k < taken_count; k++)
        add_to_ground(&ground, &taken[k], gap);
    for (size_t k = 0; k < tag_count; k++) {
        struct tag *tag = next_tag(tags, done, tag_count);
        place_one(tag, &ground, places, places + 2 * most + 3);
        if (tag->placed)
            add_to_ground(&ground, &tag->box, gap);
        else
            dropped++;
        done[tag - tags] = true;
    }
    free(ground.boxes);
    free(places);
    free(done);
    return dropped;
}

static struct box box_of(struct point a, struct point b)
{
    return (struct box){fmin(a.x, b.x), fmin(a.y, b.y), fmax(a.x, b.x), fmax(a.y, b.y)};
}

size_t layout_line_boxes(const struct point *points, size_t count, double stride, struct box *ret_boxes,
                         size_t limit)
{
    size_t used = 0;
    bool open = false; /* the last box may still grow */
    for (size_t k = 1; k < count; k++) {
        struct box piece = box_of(points[k - 1], points[k]);
        if (isnan(points[k - 1].x) || isnan(points[k].x)) {
            open = false;
            continue;
        }
        if (open) {
            struct box *last = &ret_boxes[used - 1];
            struct box joined = {fmin(last->left, piece.left), fmin(last->top, piece.top),
                                 fmax(last->right, piece.right), fmax(last->bottom, piece.bottom)};
            if (joined.right - joined.left <= stride) {
                *last = joined;
                continue;
            }
        }
        if (used == limit)
            break;
        ret_boxes[used++] = piece;
        open = true;
    }
    return used;
}
