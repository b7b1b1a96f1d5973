#include "check.h"

#include "draw/layout.h"
#include "draw/plot.h"

static struct box box_of(const struct figure *figure, const struct item *shape)
{
    struct point at = figure->points[shape->first];
    return layout_text_box(at.x, at.y, shape->lettering, figure_string(figure, shape->text));
}

/* Labels of a frame lie within the figure and apart from each other. */
static void check_labels(const struct figure *figure, size_t least)
{
    size_t count = 0;
    for (size_t i = 0; i < figure->count; i++) {
        if (figure->shapes[i].kind != SHAPE_TEXT)
            continue;
        struct box a = box_of(figure, &figure->shapes[i]);
        CHECK(a.left >= 0 && a.right <= figure->width + 1e-9 && a.top >= 0 && a.bottom <= figure->height);
        count++;
        for (size_t j = 0; j < i; j++) {
            if (figure->shapes[j].kind != SHAPE_TEXT)
                continue;
            struct box b = box_of(figure, &figure->shapes[j]);
            CHECK(!box_overlaps(&a, &b));
        }
    }
    CHECK(count >= least);
}

TEST(labels_of_the_frame_stand_apart)
{
    const double ends[][2] = {{0, 61.2}, {-1, 0.3}, {0, 3.7e6}, {12.1, 12.13}, {-4000, 120}};
    for (size_t k = 0; k < 5; k++)
        for (int time = 0; time < 2; time++) {
            struct figure figure;
            figure_init(&figure, 560, 240, "Curve", NULL);
            struct plot plot = {
                {ends[k][0], ends[k][1], 66, 540}, {9.8, 13.4, 200, 40}, "Ah", "V", time == 1, false};
            plot_frame(&figure, &plot);
            check_labels(&figure, 5);
            figure_free(&figure);
        }
}

TEST(draws_a_long_series_within_its_pixels)
{
    static double x[200003], y[200003];
    for (size_t k = 0; k < 200003; k++) {
        x[k] = (double)k * 0.137;
        y[k] = 12.8 - 0.00001 * (double)k;
    }
    y[777] = 9.137; /* one sample that must not get lost */
    struct figure figure;
    figure_init(&figure, 560, 240, "Curve", NULL);
    struct plot plot = {{0, x[200002], 46, 540}, {9, 13.4, 200, 40}, "s", "V", false, false};
    plot_series(&figure, &plot, x, y, 200003, (struct stroke){INK_FIRST, 2, LINE_SOLID});
    CHECK(figure.point_count > 900 && figure.point_count < 5000);
    double lowest = 0;
    for (size_t k = 0; k < figure.point_count; k++)
        lowest = fmax(lowest, figure.points[k].y);
    CHECK_NEAR(lowest, scale_at(&plot.y, 9.137), 1e-9);
    CHECK_NEAR(figure.points[0].x, 46, 1e-9);
    CHECK_NEAR(figure.points[figure.point_count - 1].x, 540, 1e-9);
    figure_free(&figure);
}

TEST(a_scale_without_extent_draws_nothing)
{
    const double x[] = {1, 1}, y[] = {2, 3};
    struct figure figure;
    figure_init(&figure, 560, 240, "Curve", NULL);
    struct plot plot = {{1, 1, 46, 540}, {NAN, NAN, 200, 40}, "s", "V", false, false};
    plot_frame(&figure, &plot);
    plot_series(&figure, &plot, x, y, 2, (struct stroke){INK_FIRST, 2, LINE_SOLID});
    plot_band(&figure, &plot, NAN, 2);
    CHECK(figure.point_count <= 1); /* the unit may stand, no more */
    figure_free(&figure);
}
