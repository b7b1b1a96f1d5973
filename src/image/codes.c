#include "image/codes.h"

#include "base/memory.h"
#include "image/windows.h"

#include <dmtx.h>
#include <math.h>
#include <string.h>
#include <zbar.h>

enum {
    LEVELS = 8,         /* the picture, halved again and again */
    LINES_WINDOWS = 60, /* searched for QR and bars at most, once as they are and once evened */
    BARS_LINES = 3,     /* that read the same: one alone is soon made up from print */
    EVEN_HALF = 24,     /* of the square by which contrast is evened */
    MATRIX_GAP = 16,    /* between the lines along which outlines are looked for */
    MATRIX_LEAST = 32,  /* the side of the smallest Data Matrix in its window */
    MATRIX_EDGE = 16,   /* steps of grey across three pixels of an outline */
    MATRIX_POINTS = 200 /* of outlines followed in a window at most */
};
static const size_t matrix_windows[2] = {20, 8}; /* likewise, as they are and evened */
static const double full = 0.3;                  /* the share of a window that a code takes which made it */
static const double same_place = 0.03; /* of the longer side */

const char *code_kind_name(enum code_kind kind)
{
    static const char *const names[] = {"QR", "Data Matrix", "Code 128"};
    return names[kind];
}

/* Corners of the rectangle about what was read, in pixels of the whole picture. */
struct place {
    double left, top, right, bottom;
};

struct search {
    struct code *codes;
    struct place *places; /* one a code */
    size_t count, room;
    double width, height; /* of the whole picture */
    zbar_image_scanner_t *scanner;
};

/* A part of a level of the picture: what is searched at one go. */
struct part {
    struct grey grey;
    double x, y, scale; /* its corner, in pixels of its level; how many pixels of the picture one of its own is */
};

static struct place grown(struct place place, double x, double y)
{
    return (struct place){fmin(place.left, x), fmin(place.top, y), fmax(place.right, x), fmax(place.bottom, y)};
}

/* `corners`: x and y in pixels of the part. */
static void keep(struct search *search, const struct part *part, enum code_kind kind, struct span data,
                 double (*corners)[2], size_t corner_count)
{
    struct code code = {.kind = kind};
    struct place place = {INFINITY, INFINITY, -INFINITY, -INFINITY};
    for (size_t k = 0; k < corner_count; k++)
        place = grown(place, (part->x + corners[k][0]) * part->scale, (part->y + corners[k][1]) * part->scale);
    code.x = (place.left + place.right) / 2 / search->width;
    code.y = (place.top + place.bottom) / 2 / search->height;
    span_copy(data, code.text, sizeof code.text);
    for (char *c = code.text; *c != '\0'; c++)
        if ((unsigned char)*c < ' ' || *c == 127)
            *c = ' ';
    double longer = fmax(search->width, search->height);
    for (size_t k = 0; k < search->count; k++) {
        const struct code *other = &search->codes[k];
        if (strcmp(other->text, code.text) == 0 &&
            hypot((other->x - code.x) * search->width, (other->y - code.y) * search->height) < same_place * longer)
            return;
    }
    if (search->count < search->room && code.text[0] != '\0') {
        search->codes[search->count] = code;
        search->places[search->count++] = place;
    }
}

static void scan_lines(struct search *search, const struct part *part)
{
    zbar_image_t *image = zbar_image_create();
    zbar_image_set_format(image, zbar_fourcc('Y', '8', '0', '0'));
    zbar_image_set_size(image, (unsigned)part->grey.width, (unsigned)part->grey.height);
    zbar_image_set_data(image, part->grey.p, (unsigned long)part->grey.width * (unsigned long)part->grey.height, NULL);
    zbar_scan_image(search->scanner, image);
    for (const zbar_symbol_t *s = zbar_image_first_symbol(image); s != NULL; s = zbar_symbol_next(s)) {
        double corners[4][2];
        unsigned count = zbar_symbol_get_loc_size(s);
        bool square = zbar_symbol_get_type(s) == ZBAR_QRCODE;
        if (count == 0 || (!square && zbar_symbol_get_quality(s) < BARS_LINES))
            continue;
        for (unsigned k = 0; k < count; k++) {
            corners[k % 4][0] = zbar_symbol_get_loc_x(s, k);
            corners[k % 4][1] = zbar_symbol_get_loc_y(s, k);
        }
        keep(search, part, square ? CODE_QR : CODE_BARS,
             (struct span){zbar_symbol_get_data(s), zbar_symbol_get_data_length(s)}, corners, count < 4 ? count : 4);
    }
    zbar_image_destroy(image);
}

static void keep_matrix(struct search *search, const struct part *part, DmtxRegion *region, const DmtxMessage *message)
{
    static const double units[4][2] = {{0, 0}, {1, 0}, {1, 1}, {0, 1}};
    double corners[4][2];
    for (int k = 0; k < 4; k++) {
        DmtxVector2 p = {units[k][0], units[k][1]};
        dmtxMatrix3VMultiplyBy(&p, region->fit2raw);
        corners[k][0] = p.X;
        corners[k][1] = part->grey.height - p.Y; /* libdmtx counts from below */
    }
    keep(search, part, CODE_DATA_MATRIX, (struct span){(const char *)message->output, (size_t)message->outputIdx}, corners, 4);
}

/* By codes that were read: there is nothing more to be found. */
static bool filled(const struct search *search, const struct part *part)
{
    double left = part->x * part->scale, top = part->y * part->scale, right = left + part->grey.width * part->scale,
           bottom = top + part->grey.height * part->scale, taken = 0;
    for (size_t k = 0; k < search->count; k++) {
        struct place p = search->places[k];
        taken += fmax(0, fmin(p.right, right) - fmax(p.left, left)) * fmax(0, fmin(p.bottom, bottom) - fmax(p.top, top));
    }
    return taken > full * (right - left) * (bottom - top);
}

/* One point of an outline is enough for libdmtx to follow it; false when there is no more to be looked for. */
static bool try_point(struct search *search, const struct part *part, DmtxDecode *decode, int x, int y)
{
    DmtxRegion *region = dmtxRegionScanPixel(decode, x, part->grey.height - 1 - y);
    DmtxMessage *message = region != NULL ? dmtxDecodeMatrixRegion(decode, region, DmtxUndefined) : NULL;
    if (message != NULL)
        keep_matrix(search, part, region, message);
    dmtxMessageDestroy(&message);
    dmtxRegionDestroy(&region);
    return message == NULL || !filled(search, part);
}

/* Where the grey changes most along a row (a column) is tried; false when there is no more to be looked for. */
static bool try_line(struct search *search, const struct part *part, DmtxDecode *decode, bool column, int at, int *left)
{
    const struct grey *grey = &part->grey;
    int n = column ? grey->height : grey->width;
    ptrdiff_t step = column ? grey->width : 1;
    const unsigned char *p = grey->p + (column ? (ptrdiff_t)at : (ptrdiff_t)at * grey->width);
    for (int k = 2; k + 2 < n && *left > 0; k++) {
        const unsigned char *q = p + k * step;
        int before = abs(q[0] - q[-2 * step]), here = abs(q[step] - q[-step]), after = abs(q[2 * step] - q[0]);
        if (here < MATRIX_EDGE || here < before || here <= after)
            continue;
        --*left;
        if (!try_point(search, part, decode, column ? at : k, column ? k : at))
            return false;
    }
    return true;
}

/* Lines from the middle outwards: a code that made the window is crossed by the first. */
static void scan_matrix(struct search *search, const struct part *part)
{
    const struct grey *grey = &part->grey;
    DmtxImage *image = dmtxImageCreate(grey->p, grey->width, grey->height, DmtxPack8bppK);
    DmtxDecode *decode = image != NULL ? dmtxDecodeCreate(image, 1) : NULL;
    int left = MATRIX_POINTS;
    bool more = decode != NULL;
    if (decode != NULL)
        dmtxDecodeSetProp(decode, DmtxPropEdgeMin, MATRIX_LEAST);
    for (int k = 0; more && k * MATRIX_GAP < grey->width + grey->height; k++) {
        int away = (k + 1) / 2 * MATRIX_GAP * (k % 2 == 0 ? 1 : -1), y = grey->height / 2 + away, x = grey->width / 2 + away;
        if (y >= 0 && y < grey->height)
            more = try_line(search, part, decode, false, y, &left);
        if (more && x >= 0 && x < grey->width)
            more = try_line(search, part, decode, true, x, &left);
    }
    if (decode != NULL)
        dmtxDecodeDestroy(&decode);
    if (image != NULL)
        dmtxImageDestroy(&image);
}

/* All windows of all levels, the clearest first. */
struct plan {
    struct sight {
        struct window window;
        int level;
    } *all;
    size_t count, capacity;
    struct grey levels[LEVELS];
    int level_count;
};

static int clearest_first(const void *a, const void *b)
{
    const struct sight *x = a, *y = b;
    if (x->window.contrast != y->window.contrast)
        return x->window.contrast < y->window.contrast ? 1 : -1;
    if (x->level != y->level)
        return x->level - y->level;
    return x->window.y != y->window.y ? x->window.y - y->window.y : x->window.x - y->window.x;
}

static void plan_sight(struct plan *plan, struct window window, int level)
{
    plan->all = memory_grow(plan->all, plan->count, &plan->capacity);
    plan->all[plan->count++] = (struct sight){window, level};
}

/* The last level is small enough to be searched whole. */
static struct plan plan_of(const struct image *image)
{
    struct plan plan = {0};
    struct grey grey = grey_of(image);
    for (; grey.p != NULL; grey = grey_halved(&plan.levels[plan.level_count - 1])) {
        plan.levels[plan.level_count++] = grey;
        bool small = grey.width <= WINDOW_SIDE && grey.height <= WINDOW_SIDE;
        if (small || plan.level_count == LEVELS || grey.width < 2 || grey.height < 2)
            break;
    }
    for (int level = 0; level < plan.level_count; level++) {
        struct windows windows = windows_find(&plan.levels[level]);
        for (size_t k = 0; k < windows.count; k++)
            plan_sight(&plan, windows.all[k], level);
        windows_free(&windows);
    }
    if (plan.level_count > 0) {
        struct grey last = plan.levels[plan.level_count - 1];
        plan_sight(&plan, (struct window){0, 0, last.width, last.height, INFINITY}, plan.level_count - 1);
        qsort(plan.all, plan.count, sizeof *plan.all, clearest_first);
    }
    return plan;
}

static void plan_free(struct plan *plan)
{
    for (int k = 0; k < plan->level_count; k++)
        grey_free(&plan->levels[k]);
    free(plan->all);
}

/* The part that is seen there, as it is or evened; false when nothing is left to be found in it, or for want of memory. */
static bool part_of(const struct search *search, const struct plan *plan, size_t k, bool even, struct part *ret_part)
{
    const struct window *w = &plan->all[k].window;
    struct part part = {{NULL, w->width, w->height}, w->x, w->y, 1 << plan->all[k].level};
    if (filled(search, &part))
        return false;
    part.grey = grey_part(&plan->levels[plan->all[k].level], w->x, w->y, w->width, w->height);
    if (even && part.grey.p != NULL) {
        struct grey evened = grey_evened(&part.grey, EVEN_HALF);
        grey_free(&part.grey);
        part.grey = evened;
    }
    *ret_part = part;
    return part.grey.p != NULL;
}

typedef void scanning(struct search *search, const struct part *part);

static void go_through(struct search *search, const struct plan *plan, scanning *scan, bool even, size_t windows)
{
    struct part part;
    for (size_t k = 0; k < plan->count && windows > 0; k++) {
        if (!part_of(search, plan, k, even, &part))
            continue;
        scan(search, &part);
        windows--;
        grey_free(&part.grey);
    }
}

size_t codes_find(const struct image *image, struct code *ret_codes, size_t room)
{
    struct plan plan = plan_of(image);
    struct search search = {.codes = ret_codes, .room = room, .width = image_width(image), .height = image_height(image)};
    search.places = memory_resize(NULL, room, sizeof *search.places);
    search.scanner = zbar_image_scanner_create();
    zbar_image_scanner_set_config(search.scanner, ZBAR_NONE, ZBAR_CFG_ENABLE, 0);
    zbar_image_scanner_set_config(search.scanner, ZBAR_QRCODE, ZBAR_CFG_ENABLE, 1);
    zbar_image_scanner_set_config(search.scanner, ZBAR_CODE128, ZBAR_CFG_ENABLE, 1);
    for (int even = 0; even < 2; even++) {
        zbar_image_scanner_set_config(search.scanner, ZBAR_NONE, ZBAR_CFG_TEST_INVERTED, even);
        go_through(&search, &plan, scan_lines, even, LINES_WINDOWS);
    }
    for (int even = 0; even < 2; even++)
        go_through(&search, &plan, scan_matrix, even, matrix_windows[even]);
    zbar_image_scanner_destroy(search.scanner);
    free(search.places);
    plan_free(&plan);
    return search.count;
}
