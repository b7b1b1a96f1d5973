#include "check.h"

#include "image/grey.h"

#include <stdlib.h>
#include <string.h>

static struct grey made(int width, int height, const unsigned char *p)
{
    struct grey grey = {malloc((size_t)width * (size_t)height), width, height};
    memcpy(grey.p, p, (size_t)width * (size_t)height);
    return grey;
}

TEST(halves_are_means_of_four_and_an_odd_edge_is_left_away)
{
    unsigned char p[] = {10, 20, 99, /**/ 30, 41, 99, /**/ 99, 99, 99};
    struct grey grey = {p, 3, 3}, half = grey_halved(&grey);
    CHECK(half.width == 1 && half.height == 1);
    CHECK(half.p[0] == 25); /* 101 / 4, rounded */
    grey_free(&half);
}

TEST(a_part_is_what_lies_there)
{
    const unsigned char p[] = {1, 2, 3, 4, /**/ 5, 6, 7, 8, /**/ 9, 10, 11, 12};
    struct grey grey = made(4, 3, p), part = grey_part(&grey, 1, 1, 2, 2);
    CHECK(part.width == 2 && part.height == 2);
    CHECK(memcmp(part.p, (const unsigned char[]){6, 7, 10, 11}, 4) == 0);
    grey_free(&part);
    free(grey.p);
}

/* A slope goes to the middle of grey, an edge stays three times as high. */
TEST(evened_out_shade_goes_and_an_edge_stays)
{
    enum { SIDE = 90, HALF = 10 };
    unsigned char p[SIDE * SIDE];
    for (int k = 0; k < SIDE * SIDE; k++)
        p[k] = (unsigned char)(60 + k % SIDE);
    for (int y = 0; y < SIDE; y++)
        p[y * SIDE + 45] += 30;
    struct grey grey = {p, SIDE, SIDE}, even = grey_evened(&grey, HALF);
    const unsigned char *middle = even.p + 45 * SIDE;
    CHECK(abs(middle[25] - 128) <= 3); /* the square reaches one pixel less to the right */
    CHECK(middle[45] > 128 + 3 * 25);
    CHECK(middle[44] < 128);
    grey_free(&even);
}

TEST(nothing_is_freed_twice)
{
    struct grey none = {0};
    grey_free(&none);
    CHECK(none.p == NULL);
}
