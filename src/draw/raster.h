/* Raster: a figure as a PNG picture, light, on paper. */
#ifndef RUNDOWN_DRAW_RASTER_H
#define RUNDOWN_DRAW_RASTER_H

#include "base/status.h"
#include "draw/figure.h"

/* `scale` pixels a user unit. Refuses a picture beyond 20,000 pixels either way. */
enum status raster_render(const struct figure *figure, double scale, struct text *ret_png, struct message *message);
enum status raster_save(const struct figure *figure, double scale, const char *path, struct message *message);

#endif
