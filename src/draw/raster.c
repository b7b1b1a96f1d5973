#include "draw/raster.h"

#include "base/output.h"
#include "draw/canvas.h"

#include <cairo.h>

#define MOST_PIXELS 20000

static cairo_status_t take_bytes(void *closure, const unsigned char *bytes, unsigned count)
{
    text_add_bytes(closure, (const char *)bytes, count);
    return CAIRO_STATUS_SUCCESS;
}

enum status raster_render(const struct figure *figure, double scale, struct text *ret_png, struct message *message)
{
    double width = ceil(figure->width * scale), height = ceil(figure->height * scale);
    if (!(width >= 1 && height >= 1 && width <= MOST_PIXELS && height <= MOST_PIXELS)) {
        status_fail(message, STATUS_LIMIT, "a picture of %.0f × %.0f pixels cannot be made", width, height);
        status_remedy(message, "Ask for at most %d pixels either way", MOST_PIXELS);
        return STATUS_LIMIT;
    }
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, (int)width, (int)height);
    cairo_t *cairo = cairo_create(surface);
    canvas_set_colour(cairo, ink_colour(PALETTE_LIGHT, INK_PAPER));
    cairo_paint(cairo);
    cairo_scale(cairo, scale, scale);
    canvas_draw(cairo, figure, PALETTE_LIGHT);
    struct text png = TEXT_EMPTY;
    cairo_status_t fault = cairo_status(cairo);
    if (fault == CAIRO_STATUS_SUCCESS)
        fault = cairo_surface_write_to_png_stream(surface, take_bytes, &png);
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    if (fault == CAIRO_STATUS_SUCCESS) {
        *ret_png = png;
        return STATUS_OK;
    }
    text_free(&png);
    status_fail(message, STATUS_LIMIT, "the picture cannot be drawn: %s", cairo_status_to_string(fault));
    status_remedy(message, "Ask for a smaller picture");
    return STATUS_LIMIT;
}

enum status raster_save(const struct figure *figure, double scale, const char *path, struct message *message)
{
    struct text png = TEXT_EMPTY;
    enum status status = raster_render(figure, scale, &png, message);
    if (status != STATUS_OK) {
        status_at(message, path, 0, 0);
        return status;
    }
    status = output_save(path, &png, message);
    text_free(&png);
    return status;
}
