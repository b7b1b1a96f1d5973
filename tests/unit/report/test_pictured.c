#include "assessed.h"

#include "report/pictured.h"

TEST(ladder_and_curve_come_in_every_form)
{
    struct assessment demo = assessed_demo();
    struct message message = {0};
    struct publishing comma = {.comma = true};
    for (int what = PICTURED_LADDER; what <= PICTURED_CURVE; what++) {
        struct text svg = TEXT_EMPTY, part = TEXT_EMPTY, png = TEXT_EMPTY;
        CHECK(pictured_make(&demo, &comma, (enum pictured)what, PICTURE_SVG, PICTURED_WIDTH, &svg, &message) == STATUS_OK);
        CHECK(pictured_make(&demo, &comma, (enum pictured)what, PICTURE_SVG_PART, 360, &part, &message) == STATUS_OK);
        CHECK(pictured_make(&demo, &comma, (enum pictured)what, PICTURE_PNG, 360, &png, &message) == STATUS_OK);
        CHECK(strstr(svg.s, "<style") != NULL && strstr(part.s, "<style") == NULL);
        CHECK(strncmp(part.s, "<svg", 4) == 0);
        CHECK(png.length > 8 && memcmp(png.s, "\x89PNG\r\n\x1a\n", 8) == 0);
        CHECK(strstr(svg.s, ",") != NULL);
        text_free(&svg);
        text_free(&part);
        text_free(&png);
    }
    assessment_free(&demo);
}

TEST(nothing_to_draw_is_said)
{
    struct assessment none = {.label = label_empty()};
    struct message message = {0};
    struct text picture = TEXT_EMPTY;
    struct publishing usual = {0};
    CHECK(pictured_make(&none, &usual, PICTURED_LADDER, PICTURE_SVG, 800, &picture, &message) == STATUS_USAGE);
    CHECK(strstr(message.what, "no claims") != NULL);
    CHECK(pictured_make(&none, &usual, PICTURED_CURVE, PICTURE_PNG, 800, &picture, &message) == STATUS_USAGE);
    CHECK(strstr(message.what, "no discharge") != NULL);
    CHECK(picture.length == 0);
}
