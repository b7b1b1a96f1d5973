#include "draw/layout.h"

#include "base/memory.h"
#include "draw/letters.h"

#include <pango/pangocairo.h>

struct extent layout_measure(struct lettering lettering, const char *text)
{
    PangoLayout *layout = letters_layout(text, figure_letter_size(lettering.role), lettering.strong,
                                         lettering.italic, 0);
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

bool box_overlaps(const struct box *a, const struct box *b)
{
    return a->left < b->right && b->left < a->right && a->top < b->bottom && b->top < a->bottom;
}

/* What a label must stay clear of. */
struct ground {
    struct box *boxes; /* grown by the gap, so that touching one is clear enough */
    size_t count;
    struct box frame;
};

static bool is_clear(const struct ground *ground, const struct box *box)
{
    if (box->left < ground->frame.left || box->right > ground->frame.right ||
        box->top < ground->frame.top || box->bottom > ground->frame.bottom)
        return false;
    for (size_t k = 0; k < ground->count; k++)
        if (box_overlaps(box, &ground->boxes[k]))
            return false;
    return true;
}

/* The shifts worth trying along one axis: none, to each edge of the frame, and just past either side
 * of each box. The nearest free place always touches something or is the wish itself. */
static size_t list_shifts(const struct tag *label, const struct ground *ground, bool along_x,
                          double *ret_shifts)
{
    double low = along_x ? label->wish.left : label->wish.top;
    double high = along_x ? label->wish.right : label->wish.bottom;
    double reach = along_x ? label->reach_x : label->reach_y;
    size_t count = 0;
    ret_shifts[count++] = 0;
    for (size_t k = 0; k <= ground->count; k++) {
        const struct box *box = k < ground->count ? &ground->boxes[k] : &ground->frame;
        double before = along_x ? box->left : box->top, after = along_x ? box->right : box->bottom;
        double to_before = (k < ground->count ? before - high : before - low);
        double to_after = (k < ground->count ? after - low : after - high);
        if (fabs(to_before) <= reach)
            ret_shifts[count++] = to_before;
        if (fabs(to_after) <= reach)
            ret_shifts[count++] = to_after;
    }
    return count;
}

static void place_one(struct tag *label, const struct ground *ground, double *x_shifts,
                      double *y_shifts)
{
    size_t x_count = list_shifts(label, ground, true, x_shifts);
    size_t y_count = list_shifts(label, ground, false, y_shifts);
    double best = INFINITY;
    label->placed = false;
    label->box = label->wish;
    for (size_t j = 0; j < y_count; j++)
        for (size_t i = 0; i < x_count; i++) {
            double distance = hypot(x_shifts[i], y_shifts[j]);
            struct box box = {label->wish.left + x_shifts[i], label->wish.top + y_shifts[j],
                              label->wish.right + x_shifts[i], label->wish.bottom + y_shifts[j]};
            if (distance >= best || !is_clear(ground, &box))
                continue;
            best = distance;
            label->box = box;
            label->placed = true;
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

/* The label to place next: the first not yet done of the lowest rank. */
static struct tag *next_tag(struct tag *labels, const bool *done, size_t count)
{
    struct tag *next = NULL;
    for (size_t k = 0; k < count; k++)
        if (!done[k] && (next == NULL || labels[k].rank < next->rank))
            next = &labels[k];
    return next;
}

size_t layout_place(struct tag *labels, size_t label_count, const struct box *taken,
                    size_t taken_count, struct box frame, double gap)
{
    size_t most = label_count + taken_count, dropped = 0;
    struct ground ground = {memory_resize(NULL, most + 1, sizeof(struct box)), 0, frame};
    double *shifts = memory_resize(NULL, 4 * most + 6, sizeof *shifts);
    bool *done = memory_get(label_count + 1);
    for (size_t k = 0; k < taken_count; k++)
        add_to_ground(&ground, &taken[k], gap);
    for (size_t k = 0; k < label_count; k++) {
        struct tag *label = next_tag(labels, done, label_count);
        place_one(label, &ground, shifts, shifts + 2 * most + 3);
        if (label->placed)
            add_to_ground(&ground, &label->box, gap);
        else
            dropped++;
        done[label - labels] = true;
    }
    free(ground.boxes);
    free(shifts);
    free(done);
    return dropped;
}

static struct box box_of(struct point a, struct point b)
{
    return (struct box){fmin(a.x, b.x), fmin(a.y, b.y), fmax(a.x, b.x), fmax(a.y, b.y)};
}

size_t layout_line_boxes(const struct point *points, size_t count, double stride,
                         struct box *ret_boxes, size_t limit)
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
