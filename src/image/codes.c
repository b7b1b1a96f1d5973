#include "image/codes.h"

#include "base/memory.h"

#include <dmtx.h>
#include <math.h>
#include <string.h>
#include <zbar.h>

enum { DMTX_SIDE = 1200, DMTX_MS = 250, WINDOW_SHARE = 24 };
static const double same_place = 0.03; /* of the longer side */

const char *code_kind_name(enum code_kind kind)
{
    static const char *const names[] = {"QR", "Data Matrix", "Code 128"};
    return names[kind];
}

struct grey {
    unsigned char *p;
    int width, height;
};

struct found {
    struct code *codes;
    size_t count, room;
};

static void keep(struct found *found, enum code_kind kind, const char *data, size_t n, double x, double y)
{
    struct code code = {.kind = kind, .x = x, .y = y};
    span_copy((struct span){data, n}, code.text, sizeof code.text);
    for (char *c = code.text; *c != '\0'; c++)
        if ((unsigned char)*c < ' ' || *c == 127)
            *c = ' ';
    for (size_t k = 0; k < found->count; k++)
        if (strcmp(found->codes[k].text, code.text) == 0 && hypot(found->codes[k].x - x, found->codes[k].y - y) < same_place)
            return;
    if (found->count < found->room && code.text[0] != '\0')
        found->codes[found->count++] = code;
}

static void middle(const zbar_symbol_t *symbol, const struct grey *grey, double *ret_x, double *ret_y)
{
    unsigned count = zbar_symbol_get_loc_size(symbol);
    double x = 0, y = 0;
    for (unsigned k = 0; k < count; k++) {
        x += zbar_symbol_get_loc_x(symbol, k);
        y += zbar_symbol_get_loc_y(symbol, k);
    }
    *ret_x = count > 0 ? x / count / grey->width : 0.5;
    *ret_y = count > 0 ? y / count / grey->height : 0.5;
}

static void scan_qr(const struct grey *grey, struct found *found)
{
    zbar_image_scanner_t *scanner = zbar_image_scanner_create();
    zbar_image_t *image = zbar_image_create();
    zbar_image_scanner_set_config(scanner, ZBAR_NONE, ZBAR_CFG_ENABLE, 0);
    zbar_image_scanner_set_config(scanner, ZBAR_QRCODE, ZBAR_CFG_ENABLE, 1);
    zbar_image_scanner_set_config(scanner, ZBAR_CODE128, ZBAR_CFG_ENABLE, 1);
    zbar_image_set_format(image, zbar_fourcc('Y', '8', '0', '0'));
    zbar_image_set_size(image, (unsigned)grey->width, (unsigned)grey->height);
    zbar_image_set_data(image, grey->p, (unsigned long)grey->width * (unsigned long)grey->height, NULL);
    zbar_scan_image(scanner, image);
    for (const zbar_symbol_t *s = zbar_image_first_symbol(image); s != NULL; s = zbar_symbol_next(s)) {
        double x, y;
        middle(s, grey, &x, &y);
        keep(found, zbar_symbol_get_type(s) == ZBAR_QRCODE ? CODE_QR : CODE_BARS, zbar_symbol_get_data(s),
             zbar_symbol_get_data_length(s), x, y);
    }
    zbar_image_destroy(image);
    zbar_image_scanner_destroy(scanner);
}

/* Region after region until the time is over; what libdmtx finds is gone through once more with each. */
static void scan_matrix(const struct grey *grey, struct found *found)
{
    DmtxImage *image = dmtxImageCreate(grey->p, grey->width, grey->height, DmtxPack8bppK);
    DmtxDecode *decode = image != NULL ? dmtxDecodeCreate(image, 1) : NULL;
    DmtxTime until = dmtxTimeAdd(dmtxTimeNow(), DMTX_MS);
    DmtxRegion *region;
    if (decode != NULL)
        dmtxDecodeSetProp(decode, DmtxPropScanGap, 4);
    while (decode != NULL && (region = dmtxRegionFindNext(decode, &until)) != NULL) {
        DmtxMessage *message = dmtxDecodeMatrixRegion(decode, region, DmtxUndefined);
        if (message != NULL) {
            DmtxVector2 p = {0.5, 0.5};
            dmtxMatrix3VMultiplyBy(&p, region->fit2raw);
            keep(found, CODE_DATA_MATRIX, (const char *)message->output, (size_t)message->outputIdx, p.X / grey->width,
                 1 - p.Y / grey->height); /* libdmtx counts from below */
        }
        dmtxMessageDestroy(&message);
        dmtxRegionDestroy(&region);
    }
    if (decode != NULL)
        dmtxDecodeDestroy(&decode);
    if (image != NULL)
        dmtxImageDestroy(&image);
}

/* Each pixel against the mean about it, by sums over rectangles (a summed-area table): shade goes, edges stay. */
static bool even_out(const struct grey *grey, struct grey *ret_even)
{
    int w = grey->width, h = grey->height, half = (w > h ? w : h) / WINDOW_SHARE / 2 + 1;
    size_t line = (size_t)w + 1;
    uint32_t *sums = memory_try(line * ((size_t)h + 1), sizeof *sums);
    unsigned char *even = memory_try((size_t)w * (size_t)h, 1);
    if (sums == NULL || even == NULL) {
        memory_try_free(sums, line * ((size_t)h + 1), sizeof *sums);
        memory_try_free(even, (size_t)w * (size_t)h, 1);
        return false;
    }
    memset(sums, 0, line * sizeof *sums);
    for (int y = 0; y < h; y++) {
        uint32_t row = 0;
        sums[(size_t)(y + 1) * line] = 0;
        for (int x = 0; x < w; x++) {
            row += grey->p[(size_t)y * (size_t)w + (size_t)x];
            sums[(size_t)(y + 1) * line + (size_t)x + 1] = sums[(size_t)y * line + (size_t)x + 1] + row;
        }
    }
    for (int y = 0; y < h; y++) {
        int top = y > half ? y - half : 0, bottom = y + half < h ? y + half : h;
        for (int x = 0; x < w; x++) {
            int left = x > half ? x - half : 0, right = x + half < w ? x + half : w;
            uint32_t sum = sums[(size_t)bottom * line + (size_t)right] - sums[(size_t)top * line + (size_t)right] -
                           sums[(size_t)bottom * line + (size_t)left] + sums[(size_t)top * line + (size_t)left];
            int mean = (int)(sum / (uint32_t)((bottom - top) * (right - left)));
            int value = 128 + 3 * (grey->p[(size_t)y * (size_t)w + (size_t)x] - mean);
            even[(size_t)y * (size_t)w + (size_t)x] = (unsigned char)(value < 0 ? 0 : value > 255 ? 255 : value);
        }
    }
    memory_try_free(sums, line * ((size_t)h + 1), sizeof *sums);
    *ret_even = (struct grey){even, w, h};
    return true;
}

static bool grey_of(const struct image *image, int side, struct grey *ret_grey)
{
    struct image *scaled;
    if (image_scaled(image, side, &scaled, NULL) != STATUS_OK)
        return false;
    struct grey grey = {.width = image_width(scaled), .height = image_height(scaled)};
    grey.p = memory_try((size_t)grey.width * (size_t)grey.height, 1);
    if (grey.p != NULL)
        image_grey(scaled, grey.p);
    image_free(scaled);
    *ret_grey = grey;
    return grey.p != NULL;
}

static void grey_free(struct grey *grey)
{
    memory_try_free(grey->p, (size_t)grey->width * (size_t)grey->height, 1);
}

size_t codes_find(const struct image *image, struct code *ret_codes, size_t room)
{
    static const struct {
        int side;
        void (*scan)(const struct grey *, struct found *);
    } tries[] = {{CODES_SIDE, scan_qr}, {DMTX_SIDE, scan_matrix}};
    struct found found = {ret_codes, 0, room};
    for (size_t k = 0; k < sizeof tries / sizeof tries[0]; k++) {
        struct grey grey, even;
        if (!grey_of(image, tries[k].side, &grey))
            continue;
        tries[k].scan(&grey, &found);
        if (even_out(&grey, &even)) {
            tries[k].scan(&even, &found);
            grey_free(&even);
        }
        grey_free(&grey);
    }
    return found.count;
}
