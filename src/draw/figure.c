#include "draw/figure.h"

#include "base/memory.h"
#include "draw/layout.h"
#include "draw/letters.h"

void figure_init(struct figure *figure, double width, double height, const char *name,
                 const char *description)
{
    *figure = (struct figure){.width = width, .height = height};
    text_add_bytes(&figure->strings, "", 1);
    figure->name = letters_add_clean(&figure->strings, name);
    figure->description = letters_add_clean(&figure->strings, description);
}

void figure_free(struct figure *figure)
{
    free(figure->shapes);
    free(figure->points);
    text_free(&figure->strings);
    *figure = (struct figure){0};
}

void figure_copy(const struct figure *figure, struct figure *ret_copy)
{
    struct figure copy = *figure;
    copy.capacity = figure->count;
    copy.shapes = memory_resize(NULL, figure->count + 1, sizeof *copy.shapes);
    copy.point_capacity = figure->point_count;
    copy.points = memory_resize(NULL, figure->point_count + 1, sizeof *copy.points);
    copy.strings = TEXT_EMPTY;
    text_add_bytes(&copy.strings, figure->strings.s, figure->strings.length);
    if (figure->count > 0)
        memcpy(copy.shapes, figure->shapes, figure->count * sizeof *copy.shapes);
    if (figure->point_count > 0)
        memcpy(copy.points, figure->points, figure->point_count * sizeof *copy.points);
    *ret_copy = copy;
}

static bool is_known(struct point point)
{
    return isfinite(point.x) && isfinite(point.y);
}

static struct item *add(struct figure *figure, enum shape_kind kind, const struct point *points, size_t count)
{
    figure->shapes = memory_grow(figure->shapes, figure->count, &figure->capacity);
    struct item *shape = &figure->shapes[figure->count++];
    *shape = (struct item){
        .kind = kind, .first = figure->point_count, .count = count, .fill = INK_NONE, .stroke = STROKE_NONE};
    for (size_t k = 0; k < count; k++) {
        figure->points = memory_grow(figure->points, figure->point_count, &figure->point_capacity);
        figure->points[figure->point_count++] = is_known(points[k]) ? points[k] : (struct point){NAN, NAN};
    }
    return shape;
}

void figure_line(struct figure *figure, double x1, double y1, double x2, double y2, struct stroke stroke)
{
    figure_polyline(figure, (struct point[]){{x1, y1}, {x2, y2}}, 2, stroke);
}

void figure_polyline(struct figure *figure, const struct point *points, size_t count, struct stroke stroke)
{
    add(figure, SHAPE_LINE, points, count)->stroke = stroke;
}

void figure_area(struct figure *figure, const struct point *points, size_t count, enum ink fill,
                 struct stroke stroke)
{
    for (size_t k = 0; k < count; k++)
        if (!is_known(points[k]))
            return;
    struct item *shape = add(figure, SHAPE_AREA, points, count);
    shape->fill = fill;
    shape->stroke = stroke;
}

void figure_rect(struct figure *figure, double x, double y, double width, double height, enum ink fill,
                 struct stroke stroke)
{
    struct point corners[2] = {{fmin(x, x + width), fmin(y, y + height)},
                               {fmax(x, x + width), fmax(y, y + height)}};
    if (!isfinite(x + width) || !isfinite(y + height))
        return;
    struct item *shape = add(figure, SHAPE_RECT, corners, 2);
    shape->fill = fill;
    shape->stroke = stroke;
}

void figure_circle(struct figure *figure, double x, double y, double radius, enum ink fill,
                   struct stroke stroke)
{
    struct point points[2] = {{x, y}, {radius, radius}};
    if (!is_known(points[0]) || !is_known(points[1]))
        return;
    struct item *shape = add(figure, SHAPE_CIRCLE, points, 2);
    shape->fill = fill;
    shape->stroke = stroke;
}

/* Of paper around the letters: enough that a line stops visibly short of them. */
#define HALO 2.0

void figure_text(struct figure *figure, double x, double y, struct lettering lettering, const char *text)
{
    struct point at = {x, y};
    if (!is_known(at) || text == NULL || *text == '\0')
        return;
    if (lettering.halo) {
        struct box box = layout_ink_box(x, y, lettering, text);
        figure_rect(figure, box.left - HALO, box.top - HALO, box.right - box.left + 2 * HALO,
                    box.bottom - box.top + 2 * HALO, INK_PAPER, STROKE_NONE);
    }
    struct item *shape = add(figure, SHAPE_TEXT, &at, 1);
    shape->lettering = lettering;
    shape->text = letters_add_clean(&figure->strings, text);
}

void figure_group(struct figure *figure, const char *name, const char *description)
{
    struct item *shape = add(figure, SHAPE_GROUP, NULL, 0);
    shape->text = letters_add_clean(&figure->strings, name);
    shape->description = letters_add_clean(&figure->strings, description);
}

void figure_group_end(struct figure *figure)
{
    add(figure, SHAPE_GROUP_END, NULL, 0);
}

const char *figure_string(const struct figure *figure, size_t string)
{
    return string < figure->strings.length ? figure->strings.s + string : "";
}

double figure_letter_size(enum role role)
{
    static const double sizes[ROLE_COUNT] = {14, 12.5, 16, 27};
    return role < ROLE_COUNT ? sizes[role] : sizes[ROLE_LABEL];
}

bool figure_dashes(enum line line, double ret_on_off[2])
{
    if (line == LINE_SOLID)
        return false;
    ret_on_off[0] = line == LINE_DASHED ? 6 : 1.5;
    ret_on_off[1] = line == LINE_DASHED ? 3.5 : 3;
    return true;
}
