#include "report/pictured.h"

#include "draw/raster.h"
#include "draw/svg.h"
#include "report/figures.h"
#include "report/signs.h"

#define PIXELS 2.0        /* of a PNG, a unit */
#define CURVE_SHARE 0.48  /* of its width */
#define LEAST_CURVE 320.0 /* on a phone it stands taller than wide */

static enum status draw(const struct assessment *assessment, enum pictured what, double width, struct figure *ret_figure,
                        struct message *message)
{
    const struct record *main = assessment_main(assessment);
    if (what == PICTURED_LADDER && assessment->decision_count > 0) {
        ladder_figure(assessment, width, ret_figure);
        return STATUS_OK;
    }
    double height = fmax(CURVE_SHARE * width, LEAST_CURVE);
    if (what == PICTURED_CURVE && main != NULL &&
        curve_figure(assessment, (size_t)(main - assessment->records), width, height, ret_figure))
        return STATUS_OK;
    if (what == PICTURED_CURVE) {
        status_fail(message, STATUS_USAGE, "there is no discharge to draw the curve of");
        return status_remedy(message, "give a log that holds a discharge");
    }
    status_fail(message, STATUS_USAGE, "there are no claims to draw the ladder of");
    return status_remedy(message, "give them with a label, or ask for the curve");
}

enum status pictured_make(const struct assessment *assessment, const struct publishing *publishing, enum pictured what,
                          enum picture_form form, double width, struct text *ret_picture, struct message *message)
{
    struct figure figure;
    struct text picture = TEXT_EMPTY;
    enum status status = draw(assessment, what, width, &figure, message);
    if (status != STATUS_OK)
        return status;
    struct signs signs = signs_of(assessment, publishing->comma);
    signs_set_figure(&signs, &figure);
    signs_free(&signs);
    if (form == PICTURE_PNG)
        status = raster_render(&figure, PIXELS, &picture, message);
    else if (form == PICTURE_SVG)
        svg_add_document(&figure, &picture);
    else
        svg_add(&figure, what == PICTURED_LADDER ? "ladder" : "curve", &picture);
    figure_free(&figure);
    if (status == STATUS_OK)
        *ret_picture = picture;
    return status;
}
