#include "web/qr.h"

#include <qrencode.h>

enum { QUIET = 4 }; /* light squares around it, which a camera needs (ISO/IEC 18004 7.1) */

static bool is_dark(const QRcode *code, int x, int y)
{
    return x >= 0 && y >= 0 && x < code->width && y < code->width && (code->data[y * code->width + x] & 1) != 0;
}

static QRcode *encode(const char *words)
{
    return QRcode_encodeString8bit(words, 0, QR_ECLEVEL_M);
}

bool qr_add_blocks(const char *words, struct text *text)
{
    /* Black on white is set outright: on a dark terminal the code would else be inverted, which not all cameras read. */
    static const char *const block[2][2] = {{" ", "\u2584"}, {"\u2580", "\u2588"}};
    QRcode *code = encode(words);
    if (code == NULL)
        return false;
    for (int y = -QUIET; y < code->width + QUIET; y += 2) {
        text_add(text, "\x1b[30;107m");
        for (int x = -QUIET; x < code->width + QUIET; x++)
            text_add(text, block[is_dark(code, x, y)][is_dark(code, x, y + 1)]);
        text_add(text, "\x1b[0m\n");
    }
    QRcode_free(code);
    return true;
}

bool qr_add_svg(const char *words, const char *title, struct text *text)
{
    QRcode *code = encode(words);
    if (code == NULL)
        return false;
    int side = code->width + 2 * QUIET;
    text_addf(text, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" role=\"img\" "
                    "shape-rendering=\"crispEdges\"><title>", side, side);
    text_add_escaped(text, title);
    text_addf(text, "</title><rect width=\"%d\" height=\"%d\" fill=\"#fff\"/><path fill=\"#000\" d=\"", side, side);
    for (int y = 0; y < code->width; y++)
        for (int x = 0; x < code->width; x++)
            if (is_dark(code, x, y))
                text_addf(text, "M%d %dh1v1h-1z", x + QUIET, y + QUIET);
    text_add(text, "\"/></svg>");
    QRcode_free(code);
    return true;
}
