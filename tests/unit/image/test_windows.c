#include "check.h"

#include "image/windows.h"
#include "numeric/random.h"

#include <math.h>

enum { WIDTH = 640, HEIGHT = 480 };
static unsigned char p[WIDTH * HEIGHT];
static const struct grey grey = {p, WIDTH, HEIGHT};

static void ground(double noise, struct random *random)
{
    for (int k = 0; k < WIDTH * HEIGHT; k++)
        p[k] = (unsigned char)(140 + 20 * sin(k % WIDTH / 90.0) + noise * random_normal(random));
}

/* Dark and light modules by chance, as a code has them. */
static void print_code(int left, int top, int side, int module, int dark, int light, struct random *random)
{
    for (int y = 0; y < side; y += module)
        for (int x = 0; x < side; x += module) {
            unsigned char tone = (unsigned char)(random_uniform(random) < 0.5 ? dark : light);
            for (int j = 0; j < module; j++)
                for (int i = 0; i < module; i++)
                    p[(top + y + j) * WIDTH + left + x + i] = tone;
        }
}

static bool holds(const struct window *w, int left, int top, int side)
{
    return w->x <= left && w->y <= top && w->x + w->width >= left + side && w->y + w->height >= top + side;
}

TEST(a_code_lies_whole_in_the_first_window)
{
    struct random *random = random_new(7);
    ground(3, random);
    print_code(211, 157, 120, 5, 30, 220, random);
    struct windows windows = windows_find(&grey);
    CHECK(windows.count >= 1);
    CHECK(windows.count > 0 && holds(&windows.all[0], 211, 157, 120));
    for (size_t k = 0; k < windows.count; k++)
        CHECK(windows.all[k].x >= 0 && windows.all[k].y >= 0 && windows.all[k].x + windows.all[k].width <= WIDTH &&
              windows.all[k].y + windows.all[k].height <= HEIGHT);
    windows_free(&windows);
    random_free(random);
}

/* In the shade the code is as clear for its light as in the sun. */
TEST(a_code_in_the_shade_is_found_beside_one_in_the_sun)
{
    struct random *random = random_new(8);
    ground(1, random);
    print_code(40, 60, 120, 5, 30, 240, random);
    print_code(430, 300, 120, 5, 8, 60, random);
    struct windows windows = windows_find(&grey);
    bool sun = false, shade = false;
    for (size_t k = 0; k < windows.count && k < 4; k++) {
        sun = sun || holds(&windows.all[k], 40, 60, 120);
        shade = shade || holds(&windows.all[k], 430, 300, 120);
    }
    CHECK(sun && shade);
    windows_free(&windows);
    random_free(random);
}

TEST(planes_edges_and_noise_are_no_codes)
{
    struct random *random = random_new(9);
    ground(6, random);
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 300; x < WIDTH; x++)
            p[y * WIDTH + x] -= 100; /* a straight edge from top to bottom */
    struct windows windows = windows_find(&grey);
    CHECK(windows.count == 0);
    windows_free(&windows);
    random_free(random);
}

TEST(a_picture_of_a_few_pixels_has_none)
{
    const struct grey small = {p, 12, 9};
    struct windows windows = windows_find(&small);
    CHECK(windows.count == 0);
    windows_free(&windows);
}
