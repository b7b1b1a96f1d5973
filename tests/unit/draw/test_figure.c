#include "check.h"

#include "draw/figure.h"

TEST(owns_what_it_is_handed)
{
    struct figure figure;
    char name[] = "Ladder", words[] = "61.1 ± 0.9 Ah";
    struct point points[] = {{1.5, 2.25}, {NAN, 3}, {4, INFINITY}, {5, 6}};
    figure_init(&figure, 317.5, 90.25, name, NULL);
    figure_polyline(&figure, points, 4, (struct stroke){INK_FIRST, 2.2, LINE_SOLID});
    figure_text(&figure, 10, 20, (struct lettering){0}, words);
    name[0] = words[0] = 'X';
    points[0].x = 99;
    CHECK_TEXT(figure_string(&figure, figure.name), "Ladder");
    CHECK_TEXT(figure_string(&figure, figure.description), "");
    CHECK(figure.count == 2);
    CHECK_NEAR(figure.points[0].x, 1.5, 0);
    CHECK(isnan(figure.points[1].x) && isnan(figure.points[1].y));
    CHECK(isnan(figure.points[2].x));
    CHECK_TEXT(figure_string(&figure, figure.shapes[1].text), "61.1 ± 0.9 Ah");
    figure_free(&figure);
    figure_free(&figure);
}

TEST(a_copy_outlives_its_source)
{
    struct figure figure, copy;
    figure_init(&figure, 300, 100, "Ladder", "Three rungs");
    figure_text(&figure, 10, 20, (struct lettering){.strong = true}, "Mass");
    figure_line(&figure, 0, 0, 7.5, 8, (struct stroke){INK_HAIR, 1, LINE_SOLID});
    figure_copy(&figure, &copy);
    figure_free(&figure);
    CHECK(copy.count == 2 && copy.point_count == 3);
    CHECK_TEXT(figure_string(&copy, copy.shapes[0].text), "Mass");
    CHECK_TEXT(figure_string(&copy, copy.description), "Three rungs");
    CHECK_NEAR(copy.points[2].x, 7.5, 0);
    figure_line(&copy, 0, 0, 1, 1, (struct stroke){INK_HAIR, 1, LINE_SOLID});
    CHECK(copy.count == 3);
    figure_free(&copy);
}

TEST(leaves_out_what_has_no_place)
{
    struct figure figure;
    figure_init(&figure, 300, 100, "", "");
    figure_circle(&figure, NAN, 3, 4, INK_PAPER, STROKE_NONE);
    figure_circle(&figure, 3, 3, INFINITY, INK_PAPER, STROKE_NONE);
    figure_rect(&figure, 1, 2, NAN, 4, INK_BAND, STROKE_NONE);
    figure_text(&figure, 1, NAN, (struct lettering){0}, "nowhere");
    figure_text(&figure, 1, 2, (struct lettering){0}, "");
    figure_text(&figure, 1, 2, (struct lettering){0}, NULL);
    figure_area(&figure, (struct point[]){{0, 0}, {1, NAN}, {2, 2}}, 3, INK_BAND, STROKE_NONE);
    CHECK(figure.count == 0);
    figure_rect(&figure, 10, 20, -4, -5, INK_BAND, STROKE_NONE);
    CHECK_NEAR(figure.points[figure.shapes[0].first].x, 6, 0);
    CHECK_NEAR(figure.points[figure.shapes[0].first].y, 15, 0);
    figure_free(&figure);
}

TEST(makes_any_bytes_drawable)
{
    struct figure figure;
    figure_init(&figure, 300, 100, "a\tb\nc", "\x1b[31m");
    figure_text(&figure, 1, 2, (struct lettering){0},
                "21 \xb0"
                "C");
    figure_text(&figure, 1, 2, (struct lettering){0}, "x\xef\xbf\xbfy\xc2\x85z");
    CHECK_TEXT(figure_string(&figure, figure.name), "a b c");
    CHECK_TEXT(figure_string(&figure, figure.description), " [31m");
    CHECK_TEXT(figure_string(&figure, figure.shapes[0].text), "21 \xef\xbf\xbd"
                                                              "C");
    CHECK_TEXT(figure_string(&figure, figure.shapes[1].text), "x\xef\xbf\xbdy z");
    figure_free(&figure);
}

/* Contrast by WCAG 2.1: relative luminance, (lighter + 0.05) / (darker + 0.05). */
static double luminance(unsigned rgb)
{
    const double weights[3] = {0.2126, 0.7152, 0.0722};
    double sum = 0;
    for (int k = 0; k < 3; k++) {
        double c = (rgb >> (16 - 8 * k) & 255) / 255.0;
        sum += weights[k] * (c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4));
    }
    return sum;
}

TEST(words_can_be_read_on_their_paper_and_their_band)
{
    const enum ink words[] = {INK_MAIN, INK_SOFT, INK_FIRST, INK_SECOND};
    for (enum palette palette = PALETTE_LIGHT; palette <= PALETTE_PRINT; palette++)
        for (int k = 0; k < 8; k++) {
            double a = luminance(ink_colour(palette, words[k / 2]));
            double b = luminance(ink_colour(palette, k % 2 == 0 ? INK_PAPER : INK_BAND));
            CHECK((fmax(a, b) + 0.05) / (fmin(a, b) + 0.05) >= 4.5);
        }
}

TEST(line_styles_differ_without_colour)
{
    double dashed[2] = {0}, dotted[2] = {0};
    CHECK(!figure_dashes(LINE_SOLID, dashed));
    CHECK(figure_dashes(LINE_DASHED, dashed) && figure_dashes(LINE_DOTTED, dotted));
    CHECK(dashed[0] > 3 * dotted[0]);
}
