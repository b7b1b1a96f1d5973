#include "draw/flow.h"

#include "base/memory.h"

#include <assert.h>
#include <pango/pangocairo.h>

void flow_init(struct flow *flow, double width, double height)
{
    *flow = (struct flow){.width = width, .height = height};
}

void flow_free(struct flow *flow)
{
    for (size_t k = 0; k < flow->piece_count; k++) {
        g_clear_object(&flow->pieces[k].layout);
        figure_free(&flow->pieces[k].figure);
        cairo_surface_destroy(flow->pieces[k].photograph); /* NULL is fine */
    }
    free(flow->pieces);
    free(flow->strips);
    free(flow->placed);
    *flow = (struct flow){0};
}

static void place(struct flow *flow, size_t strip)
{
    flow->placed = memory_grow(flow->placed, flow->placed_count, &flow->placed_capacity);
    flow->placed[flow->placed_count++] = (struct placement){strip, flow->page, flow->y};
    flow->y += flow->strips[strip].height;
}

static double room_for(double y, const struct strip *strip)
{
    return (y > 0 ? strip->before : 0) + strip->height;
}

static void start_page(struct flow *flow, const struct strip *strip)
{
    flow->page++;
    flow->y = 0;
    for (size_t k = strip->head; k < strip->head_end; k++)
        place(flow, k);
}

/* Strips [first, end) keep together: they go overleaf as one when that helps. */
static void place_chain(struct flow *flow, size_t first, size_t end)
{
    double here = flow->y, alone = 0;
    for (size_t k = first; k < end; k++) {
        here += room_for(here, &flow->strips[k]);
        alone += room_for(alone, &flow->strips[k]);
    }
    if (here > flow->height && flow->y > 0 && alone <= flow->height)
        start_page(flow, &flow->strips[first]);
    for (size_t k = first; k < end; k++) {
        const struct strip *strip = &flow->strips[k];
        if (flow->y > 0 && flow->y + room_for(flow->y, strip) > flow->height)
            start_page(flow, strip);
        if (flow->y > 0)
            flow->y += strip->before;
        place(flow, k);
    }
}

/* Places every chain that is complete; with `all`, the last one too. */
static void settle(struct flow *flow, bool all)
{
    size_t first = flow->settled;
    for (size_t k = first; k < flow->strip_count; k++) {
        bool last = k + 1 == flow->strip_count;
        if (flow->strips[k].keep_next && !(all && last))
            continue;
        place_chain(flow, first, k + 1);
        first = k + 1;
    }
    flow->settled = first;
}

void flow_settle(struct flow *flow)
{
    settle(flow, true);
}

void flow_strip(struct flow *flow, double before, double height, bool keep_next)
{
    if (flow->column_count == 0)
        settle(flow, false);
    flow->strips = memory_grow(flow->strips, flow->strip_count, &flow->strip_capacity);
    flow->strips[flow->strip_count++] = (struct strip){.before = before,
                                                       .height = height,
                                                       .first = flow->piece_count,
                                                       .keep_next = keep_next || flow->keeping,
                                                       .column = flow->column};
    flow->last_keeps = keep_next;
}

void flow_space(struct flow *flow, double height)
{
    bool kept = flow->strip_count > flow->settled && flow->strips[flow->strip_count - 1].keep_next;
    flow_strip(flow, height, 0, kept);
}

void flow_repeat(struct flow *flow, size_t head, size_t head_end)
{
    struct strip *strip = &flow->strips[flow->strip_count - 1];
    strip->head = head;
    strip->head_end = head_end;
}

static double left(const struct flow *flow)
{
    return flow->column_count > 0 ? flow->column_left[flow->column] : 0;
}

static struct piece *add_piece(struct flow *flow, enum piece_kind kind, double x, double y)
{
    assert(flow->strip_count > flow->settled);
    flow->pieces = memory_grow(flow->pieces, flow->piece_count, &flow->piece_capacity);
    struct piece *piece = &flow->pieces[flow->piece_count++];
    *piece = (struct piece){.kind = kind, .x = left(flow) + x, .y = y};
    flow->strips[flow->strip_count - 1].count++;
    return piece;
}

void flow_words(struct flow *flow, PangoLayout *layout, int line, double x, double baseline, enum ink ink)
{
    struct piece *piece = add_piece(flow, PIECE_WORDS, x, baseline);
    piece->layout = g_object_ref(layout);
    piece->line = line;
    piece->ink = ink;
}

void flow_rule(struct flow *flow, double x, double y, double width, enum ink ink, double thickness)
{
    struct piece *piece = add_piece(flow, PIECE_RULE, x, y);
    piece->width = width;
    piece->ink = ink;
    piece->thickness = thickness;
}

void flow_figure(struct flow *flow, const struct figure *figure, double x, double width)
{
    struct piece *piece = add_piece(flow, PIECE_FIGURE, x, 0);
    piece->width = width;
    figure_copy(figure, &piece->figure);
}

void flow_photograph(struct flow *flow, cairo_surface_t *photograph, double x, double width)
{
    struct piece *piece = add_piece(flow, PIECE_PHOTOGRAPH, x, 0);
    piece->width = width;
    piece->photograph = cairo_surface_reference(photograph);
}

void flow_break(struct flow *flow)
{
    assert(flow->column_count == 0);
    settle(flow, true);
    if (flow->y > 0) {
        flow->page++;
        flow->y = 0;
    }
}

void flow_keep(struct flow *flow)
{
    assert(!flow->keeping && flow->column_count == 0);
    if (flow->strip_count > 0) /* so that last_keeps speaks of strips inside the keep */
        flow->last_keeps = flow->strips[flow->strip_count - 1].keep_next;
    flow->keeping = true;
}

void flow_keep_end(struct flow *flow)
{
    assert(flow->keeping);
    flow->keeping = false;
    if (flow->strip_count > flow->settled)
        flow->strips[flow->strip_count - 1].keep_next = flow->last_keeps;
}

void flow_columns(struct flow *flow, size_t count, const double *shares, double gap)
{
    assert(count >= 1 && count <= FLOW_MOST_COLUMNS && flow->column_count == 0 && !flow->keeping);
    settle(flow, false);
    double sum = 0, x = 0;
    for (size_t k = 0; k < count; k++)
        sum += shares != NULL ? shares[k] : 1;
    for (size_t k = 0; k < count; k++) {
        double share = (shares != NULL ? shares[k] : 1) / sum;
        flow->column_left[k] = x;
        flow->column_width[k] = (flow->width - gap * (double)(count - 1)) * share;
        x += flow->column_width[k] + gap;
    }
    flow->column_count = count;
    flow->column = 0;
    flow->column_strip = flow->strip_count;
    flow->column_piece = flow->piece_count;
}

void flow_next_column(struct flow *flow)
{
    assert(flow->column + 1 < flow->column_count);
    flow->column++;
}

/* Height of what stands in a column so far. */
static double column_height(const struct flow *flow, size_t column)
{
    double height = 0;
    for (size_t k = flow->column_strip; k < flow->strip_count; k++)
        if (flow->strips[k].column == column)
            height += room_for(height, &flow->strips[k]);
    return height;
}

/* Makes one strip of all columns: their pieces move down to where their own strips would stand. */
static void join_columns(struct flow *flow, double height)
{
    double y[FLOW_MOST_COLUMNS] = {0}, before = 0;
    for (size_t k = flow->column_strip; k < flow->strip_count; k++) {
        const struct strip *strip = &flow->strips[k];
        double *down = &y[strip->column];
        if (*down == 0)
            before = fmax(before, strip->before);
        *down += *down > 0 ? strip->before : 0;
        for (size_t p = strip->first; p < strip->first + strip->count; p++)
            flow->pieces[p].y += *down;
        *down += strip->height;
    }
    flow->strip_count = flow->column_strip;
    flow->strips[flow->strip_count++] = (struct strip){.before = before,
                                                       .height = height,
                                                       .first = flow->column_piece,
                                                       .count = flow->piece_count - flow->column_piece};
}

void flow_columns_end(struct flow *flow)
{
    assert(flow->column_count > 0);
    double height = 0;
    for (size_t k = 0; k < flow->column_count; k++)
        height = fmax(height, column_height(flow, k));
    if (flow->strip_count > flow->column_strip && height <= flow->height)
        join_columns(flow, height);
    flow->column_count = flow->column = 0;
    flow->last_keeps = false;
}

void flow_append(struct flow *flow, struct flow *more)
{
    assert(flow->column_count == 0 && more->column_count == 0 && !more->keeping);
    settle(flow, false);
    size_t strips = flow->strip_count, pieces = flow->piece_count;
    for (size_t k = 0; k < more->piece_count; k++) {
        flow->pieces = memory_grow(flow->pieces, flow->piece_count, &flow->piece_capacity);
        flow->pieces[flow->piece_count++] = more->pieces[k];
    }
    for (size_t k = 0; k < more->strip_count; k++) {
        struct strip strip = more->strips[k];
        strip.first += pieces;
        strip.head += strips, strip.head_end += strips;
        flow->strips = memory_grow(flow->strips, flow->strip_count, &flow->strip_capacity);
        flow->strips[flow->strip_count++] = strip;
    }
    flow->last_keeps = more->last_keeps;
    more->piece_count = 0; /* they have a new owner */
    double width = more->width, height = more->height;
    flow_free(more);
    flow_init(more, width, height);
}

double flow_width(const struct flow *flow)
{
    return flow->column_count > 0 ? flow->column_width[flow->column] : flow->width;
}

void flow_where(const struct flow *flow, int *ret_page, double *ret_y)
{
    int page = flow->page;
    double y = flow->y;
    size_t end = flow->column_count > 0 ? flow->column_strip : flow->strip_count;
    for (size_t k = flow->settled; k < end; k++) {
        if (y > 0 && y + room_for(y, &flow->strips[k]) > flow->height) {
            page++;
            y = 0;
        }
        y += room_for(y, &flow->strips[k]);
    }
    if (flow->column_count > 0)
        y += column_height(flow, flow->column);
    *ret_page = page;
    *ret_y = y;
}

static void draw_piece(const struct piece *piece, cairo_t *cairo)
{
    canvas_set_colour(cairo, ink_colour(PALETTE_PRINT, piece->ink));
    switch (piece->kind) {
    case PIECE_WORDS:
        cairo_move_to(cairo, piece->x, piece->y);
        pango_cairo_show_layout_line(cairo, pango_layout_get_line_readonly(piece->layout, piece->line));
        cairo_new_path(cairo);
        break;
    case PIECE_RULE:
        cairo_rectangle(cairo, piece->x, piece->y - piece->thickness / 2, piece->width, piece->thickness);
        cairo_fill(cairo);
        break;
    case PIECE_FIGURE:
        cairo_save(cairo);
        cairo_translate(cairo, piece->x, piece->y);
        cairo_scale(cairo, piece->width / piece->figure.width, piece->width / piece->figure.width);
        canvas_draw(cairo, &piece->figure, PALETTE_PRINT);
        cairo_restore(cairo);
        break;
    case PIECE_PHOTOGRAPH: {
        double scale = piece->width / cairo_image_surface_get_width(piece->photograph);
        cairo_save(cairo);
        cairo_translate(cairo, piece->x, piece->y);
        cairo_scale(cairo, scale, scale);
        cairo_set_source_surface(cairo, piece->photograph, 0, 0);
        cairo_paint(cairo);
        cairo_restore(cairo);
        break;
    }
    }
}

void flow_draw(const struct flow *flow, cairo_t *cairo, int page)
{
    for (size_t k = 0; k < flow->placed_count; k++) {
        const struct placement *placement = &flow->placed[k];
        const struct strip *strip = &flow->strips[placement->strip];
        if (placement->page != page)
            continue;
        cairo_save(cairo);
        cairo_translate(cairo, 0, placement->y);
        for (size_t p = strip->first; p < strip->first + strip->count; p++)
            draw_piece(&flow->pieces[p], cairo);
        cairo_restore(cairo);
    }
}
