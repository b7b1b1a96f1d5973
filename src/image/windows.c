#include "image/windows.h"

#include "base/memory.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Least busyness of a code in the worst light that is read; and above how many times that of a plain place, such as a
 * tenth of any picture is that is not filled by one code. */
static const double least = 12, above_plain = 5;
/* Tiles: a square of 2 × AROUND + 1 has edges each way if it lies in a code; those about all places no farther than DEEP do. */
enum { AROUND = 1, DEEP = 1, MARGIN = DEEP + 3 };

struct tensor {
    int64_t xx, yy, xy;
};

struct tiles {
    int across, down;
    struct tensor *tensors;
    double *around, *busy;
    unsigned char *lightest, *seen;
};

static struct tensor of_tile(const struct grey *grey, int left, int top, unsigned char *ret_lightest)
{
    int lightest = 0;
    struct tensor sum = {0, 0, 0};
    for (int y = top; y < top + WINDOW_TILE; y++) {
        const unsigned char *p = grey->p + (size_t)y * (size_t)grey->width, *above = p - grey->width, *below = p + grey->width;
        int xx = 0, yy = 0, xy = 0;
        for (int x = left; x < left + WINDOW_TILE; x++) {
            int dx = p[x + 1] - p[x - 1], dy = below[x] - above[x];
            xx += dx * dx;
            yy += dy * dy;
            xy += dx * dy;
            lightest = p[x] > lightest ? p[x] : lightest;
        }
        sum.xx += xx;
        sum.yy += yy;
        sum.xy += xy;
    }
    *ret_lightest = (unsigned char)lightest;
    return sum;
}

static double at_tile(const struct tiles *tiles, const double *values, int x, int y)
{
    return values[(size_t)y * (size_t)tiles->across + (size_t)x];
}

static double lesser_eigenvalue(const struct tiles *tiles, int x, int y)
{
    struct tensor sum = {0, 0, 0};
    int count = 0;
    for (int j = y - AROUND; j <= y + AROUND; j++) {
        for (int i = x - AROUND; i <= x + AROUND; i++) {
            if (i < 0 || j < 0 || i >= tiles->across || j >= tiles->down)
                continue;
            struct tensor one = tiles->tensors[(size_t)j * (size_t)tiles->across + (size_t)i];
            sum = (struct tensor){sum.xx + one.xx, sum.yy + one.yy, sum.xy + one.xy};
            count++;
        }
    }
    double half = (double)(sum.xx + sum.yy) / 2, apart = (double)(sum.xx - sum.yy) / 2;
    return (half - hypot(apart, (double)sum.xy)) / (count * WINDOW_TILE * WINDOW_TILE);
}

static double least_about(const struct tiles *tiles, int x, int y)
{
    double value = INFINITY;
    for (int j = y - DEEP; j <= y + DEEP; j++)
        for (int i = x - DEEP; i <= x + DEEP; i++)
            if (i >= 0 && j >= 0 && i < tiles->across && j < tiles->down)
                value = fmin(value, at_tile(tiles, tiles->around, i, j));
    return value;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double tenth(const double *values, size_t count)
{
    double *sorted = memory_resize(NULL, count, sizeof *sorted);
    memcpy(sorted, values, count * sizeof *sorted);
    qsort(sorted, count, sizeof *sorted, by_size);
    double tenth = sorted[count / 10];
    free(sorted);
    return tenth;
}

/* The first pixel of tile k: one away from the border, where differences begin. */
static int at(int k)
{
    return 1 + k * WINDOW_TILE;
}

static int clamp(int v, int most)
{
    return v < 0 ? 0 : v < most ? v : most;
}

/* Of a tile: how busy for its light, so that a code in the shade is not behind print in the sun. */
static double contrast(const struct tiles *tiles, int x, int y)
{
    double white = 16; /* below it there is only noise */
    for (int j = y - DEEP; j <= y + DEEP; j++)
        for (int i = x - DEEP; i <= x + DEEP; i++)
            if (i >= 0 && j >= 0 && i < tiles->across && j < tiles->down)
                white = fmax(white, tiles->lightest[(size_t)j * (size_t)tiles->across + (size_t)i]);
    return at_tile(tiles, tiles->busy, x, y) / (white * white);
}

/* The window from x, y on, unless all tiles in it are plain. */
static void put(const struct tiles *tiles, struct window window, double busy, struct windows *windows)
{
    bool any = false;
    for (int j = (window.y + WINDOW_TILE - 2) / WINDOW_TILE; j < tiles->down && at(j + 1) <= window.y + window.height; j++) {
        for (int i = (window.x + WINDOW_TILE - 2) / WINDOW_TILE; i < tiles->across && at(i + 1) <= window.x + window.width; i++) {
            if (at_tile(tiles, tiles->busy, i, j) < busy)
                continue;
            window.contrast = fmax(window.contrast, contrast(tiles, i, j));
            any = true;
        }
    }
    if (!any)
        return;
    windows->all = memory_grow(windows->all, windows->count, &windows->capacity);
    windows->all[windows->count++] = window;
}

/* Tiles first to last each way, with the margin; in pieces where that is large. */
static void cut(const struct grey *grey, const struct tiles *tiles, const int first[2], const int last[2], double busy,
                struct windows *windows)
{
    int left = clamp(at(first[0] - MARGIN), grey->width), right = clamp(at(last[0] + 1 + MARGIN), grey->width);
    int top = clamp(at(first[1] - MARGIN), grey->height), bottom = clamp(at(last[1] + 1 + MARGIN), grey->height);
    for (int y = top; y == top || y + WINDOW_SIDE / 2 < bottom; y += WINDOW_SIDE / 2) {
        for (int x = left; x == left || x + WINDOW_SIDE / 2 < right; x += WINDOW_SIDE / 2) {
            struct window window = {x, y, right - x, bottom - y, 0};
            window.width = window.width < WINDOW_SIDE ? window.width : WINDOW_SIDE;
            window.height = window.height < WINDOW_SIDE ? window.height : WINDOW_SIDE;
            put(tiles, window, busy, windows);
        }
    }
}

/* All busy tiles that hang together with one, each marked as seen. */
static void gather(struct tiles *tiles, size_t from, double busy, size_t *stack, int first[2], int last[2])
{
    size_t count = 0;
    stack[count++] = from;
    tiles->seen[from] = 1;
    first[0] = first[1] = INT32_MAX;
    last[0] = last[1] = 0;
    while (count > 0) {
        size_t one = stack[--count];
        int place[2] = {(int)(one % (size_t)tiles->across), (int)(one / (size_t)tiles->across)};
        for (int k = 0; k < 2; k++) {
            first[k] = place[k] < first[k] ? place[k] : first[k];
            last[k] = place[k] > last[k] ? place[k] : last[k];
        }
        for (int j = -1; j <= 1; j++) {
            for (int i = -1; i <= 1; i++) {
                int x = place[0] + i, y = place[1] + j;
                size_t next = (size_t)y * (size_t)tiles->across + (size_t)x;
                if (x < 0 || y < 0 || x >= tiles->across || y >= tiles->down || tiles->seen[next] || tiles->busy[next] < busy)
                    continue;
                tiles->seen[next] = 1;
                stack[count++] = next;
            }
        }
    }
}

static int busiest_first(const void *a, const void *b)
{
    const struct window *x = a, *y = b;
    if (x->contrast != y->contrast)
        return x->contrast < y->contrast ? 1 : -1;
    return x->y != y->y ? x->y - y->y : x->x - y->x;
}

static void measure(const struct grey *grey, struct tiles *tiles)
{
    size_t k = 0;
    for (int y = 0; y < tiles->down; y++)
        for (int x = 0; x < tiles->across; x++)
            tiles->tensors[k] = of_tile(grey, at(x), at(y), &tiles->lightest[k]), k++;
    k = 0;
    for (int y = 0; y < tiles->down; y++)
        for (int x = 0; x < tiles->across; x++)
            tiles->around[k++] = lesser_eigenvalue(tiles, x, y);
    k = 0;
    for (int y = 0; y < tiles->down; y++)
        for (int x = 0; x < tiles->across; x++)
            tiles->busy[k++] = least_about(tiles, x, y);
}

struct windows windows_find(const struct grey *grey)
{
    struct windows windows = {0};
    struct tiles tiles = {.across = (grey->width - 2) / WINDOW_TILE, .down = (grey->height - 2) / WINDOW_TILE};
    if (tiles.across < 2 || tiles.down < 2)
        return windows;
    size_t count = (size_t)tiles.across * (size_t)tiles.down, *stack = memory_resize(NULL, count, sizeof *stack);
    tiles.tensors = memory_resize(NULL, count, sizeof *tiles.tensors);
    tiles.around = memory_resize(NULL, count, sizeof *tiles.around);
    tiles.busy = memory_resize(NULL, count, sizeof *tiles.busy);
    tiles.lightest = memory_get(count);
    tiles.seen = memory_get(count);
    measure(grey, &tiles);
    double busy = fmax(least, above_plain * tenth(tiles.around, count));
    for (size_t k = 0; k < count; k++) {
        int first[2], last[2];
        if (tiles.seen[k] || tiles.busy[k] < busy)
            continue;
        gather(&tiles, k, busy, stack, first, last);
        cut(grey, &tiles, first, last, busy, &windows);
    }
    if (windows.count > 1)
        qsort(windows.all, windows.count, sizeof *windows.all, busiest_first);
    free(stack);
    free(tiles.tensors);
    free(tiles.around);
    free(tiles.busy);
    free(tiles.lightest);
    free(tiles.seen);
    return windows;
}

void windows_free(struct windows *windows)
{
    free(windows->all);
    *windows = (struct windows){0};
}
