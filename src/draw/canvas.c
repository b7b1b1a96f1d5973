#include "draw/canvas.h"

#include "draw/letters.h"

#include <pango/pangocairo.h>

void canvas_set_colour(cairo_t *cairo, unsigned rgb)
{
    cairo_set_source_rgb(cairo, (rgb >> 16 & 255) / 255.0, (rgb >> 8 & 255) / 255.0, (rgb & 255) / 255.0);
}

/* Fills and strokes the current path, and clears it. */
static void ink_path(cairo_t *cairo, const struct item *shape, enum palette palette)
{
    const struct stroke *stroke = &shape->stroke;
    if (shape->fill != INK_NONE) {
        canvas_set_colour(cairo, ink_colour(palette, shape->fill));
        cairo_fill_preserve(cairo);
    }
    if (stroke->width > 0 && stroke->ink != INK_NONE) {
        double dashes[2];
        bool dashed = figure_dashes(stroke->line, dashes);
        canvas_set_colour(cairo, ink_colour(palette, stroke->ink));
        cairo_set_line_width(cairo, stroke->width);
        cairo_set_dash(cairo, dashes, dashed ? 2 : 0, 0);
        cairo_stroke_preserve(cairo);
    }
    cairo_new_path(cairo);
}

static void trace_points(cairo_t *cairo, const struct point *points, size_t count)
{
    bool down = false;
    for (size_t k = 0; k < count; k++) {
        if (isnan(points[k].x))
            down = false;
        else if (down)
            cairo_line_to(cairo, points[k].x, points[k].y);
        else {
            cairo_move_to(cairo, points[k].x, points[k].y);
            down = true;
        }
    }
}

static void draw_text(cairo_t *cairo, const struct figure *figure, const struct item *shape,
                      enum palette palette)
{
    const struct lettering *lettering = &shape->lettering;
    struct point at = figure->points[shape->first];
    PangoLayout *layout =
        letters_layout(figure_string(figure, shape->text), figure_letter_size(lettering->role),
                       lettering->strong, lettering->italic, 0);
    pango_layout_set_single_paragraph_mode(layout, TRUE);
    PangoLayoutLine *line = pango_layout_get_line_readonly(layout, 0);
    PangoRectangle logical;
    pango_layout_line_get_extents(line, NULL, &logical);
    double width = (double)logical.width / PANGO_SCALE;
    double left = lettering->anchor == ANCHOR_START    ? 0
                  : lettering->anchor == ANCHOR_MIDDLE ? width / 2
                                                       : width;

    cairo_move_to(cairo, at.x - left, at.y);
    canvas_set_colour(cairo, ink_colour(palette, lettering->ink));
    pango_cairo_show_layout_line(cairo, line);
    cairo_new_path(cairo);
    g_object_unref(layout);
}

void canvas_draw(cairo_t *cairo, const struct figure *figure, enum palette palette)
{
    cairo_save(cairo);
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
    for (size_t k = 0; k < figure->count; k++) {
        const struct item *shape = &figure->shapes[k];
        const struct point *points = figure->points + shape->first;
        switch (shape->kind) {
        case SHAPE_LINE:
        case SHAPE_AREA:
            trace_points(cairo, points, shape->count);
            if (shape->kind == SHAPE_AREA)
                cairo_close_path(cairo);
            ink_path(cairo, shape, palette);
            break;
        case SHAPE_RECT:
            cairo_rectangle(cairo, points[0].x, points[0].y, points[1].x - points[0].x,
                            points[1].y - points[0].y);
            ink_path(cairo, shape, palette);
            break;
        case SHAPE_CIRCLE:
            cairo_arc(cairo, points[0].x, points[0].y, points[1].x, 0, 2 * G_PI);
            cairo_close_path(cairo);
            ink_path(cairo, shape, palette);
            break;
        case SHAPE_TEXT: draw_text(cairo, figure, shape, palette); break;
        case SHAPE_GROUP:
        case SHAPE_GROUP_END: break;
        }
    }
    cairo_restore(cairo);
}
