/* Pictured: a figure of an assessment as the bytes of a picture. */
#ifndef RUNDOWN_REPORT_PICTURED_H
#define RUNDOWN_REPORT_PICTURED_H

#include "report/publishing.h"

enum pictured { PICTURED_LADDER, PICTURED_CURVE };

enum picture_form {
    PICTURE_SVG,     /* a document of its own */
    PICTURE_SVG_PART, /* an element to put into a page that has the figures' style (draw/svg.h) */
    PICTURE_PNG,
};

#define PICTURED_WIDTH 980.0
#define PICTURED_LEAST 280.0
#define PICTURED_MOST 2400.0

/* So many units wide (PICTURED_WIDTH is usual). The curve is that of the record that the capacity rests on. A usage
 * error where there is nothing to draw. */
enum status pictured_make(const struct assessment *assessment, const struct publishing *publishing, enum pictured what,
                          enum picture_form form, double width, struct text *ret_picture, struct message *message);

#endif
