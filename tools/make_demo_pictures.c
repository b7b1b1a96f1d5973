/* Draws what a camera would have seen of sample 014 once it was opened. Drawings, plainly: there is no such battery. The
 * codes on its cells are made by libqrencode and libdmtx and say what hut-pack.opened says, so that they can be read. */
#include "make_demo.h"

#include "draw/raster.h"

#include <dmtx.h>
#include <math.h>
#include <qrencode.h>

static const double pixels = 1.5;

static const struct stroke edge = {INK_MAIN, 1.6, LINE_SOLID}, thin = {INK_SOFT, 1, LINE_SOLID},
                           hair = {INK_HAIR, 1, LINE_SOLID}, hidden = {INK_SOFT, 1, LINE_DASHED};
static const struct lettering label = {.role = ROLE_LABEL}, print = {.role = ROLE_HEADING, .strong = true};

static struct lettering centred(struct lettering lettering)
{
    lettering.anchor = ANCHOR_MIDDLE;
    return lettering;
}

static void begin(struct figure *figure, double wide, double high, const char *name)
{
    figure_init(figure, wide, high, name, "a drawing of what never was");
    figure_rect(figure, 0, 0, wide, high, INK_PAPER, STROKE_NONE);
    figure_text(figure, 16, high - 12, (struct lettering){.role = ROLE_HEADING, .ink = INK_SOFT}, "INVENTED: a drawing");
}

static enum status keep(struct figure *figure, const char *folder, const char *name, struct message *message)
{
    struct text png = TEXT_EMPTY;
    enum status status = raster_render(figure, pixels, &png, message);
    figure_free(figure);
    return status != STATUS_OK ? status : demo_save(folder, name, &png, message);
}

/* A thick line with edges, as a cable looks from above. */
static void cable(struct figure *figure, const struct point *points, size_t count, double width, enum ink ink)
{
    figure_polyline(figure, points, count, (struct stroke){INK_MAIN, width + 2.5, LINE_SOLID});
    figure_polyline(figure, points, count, (struct stroke){ink, width, LINE_SOLID});
}

static void stud(struct figure *figure, double x, double y, double radius)
{
    figure_circle(figure, x, y, radius, INK_PAPER, edge);
    figure_circle(figure, x, y, radius / 2, INK_HAIR, thin);
}

/* Four cells side by side, three bars that join them, the board above, foam over a part of it. */
static void draw_cells_from_above(struct figure *figure, double x, double y)
{
    for (int k = 0; k < 4; k++) {
        double left = x + 90.0 * k;
        figure_rect(figure, left, y, 84, 212, INK_BAND, edge);
        char words[16];
        snprintf(words, sizeof words, "cell %d", k + 1);
        figure_text(figure, left + 42, y + 112, centred(label), words);
        figure_circle(figure, left + 42, y + 86, 6, INK_PAPER, thin); /* its burst disc */
    }
    for (int k = 0; k < 3; k++) { /* minus and plus change sides from cell to cell */
        double bar_y = k % 2 == 0 ? y + 172 : y + 16;
        figure_rect(figure, x + 90.0 * k + 24, bar_y, 126, 26, INK_HAIR, edge);
    }
    for (int k = 0; k < 4; k++) {
        stud(figure, x + 90.0 * k + 42, y + 29, 9);
        stud(figure, x + 90.0 * k + 42, y + 185, 9);
    }
}

static enum status draw_case(const char *folder, struct message *message)
{
    struct figure figure;
    begin(&figure, 480, 510, "The opened case from above");
    figure_rect(&figure, 20, 20, 440, 440, INK_PAPER, edge);
    figure_rect(&figure, 28, 28, 424, 424, INK_PAPER, thin);
    for (int k = 0; k < 10; k++) /* the screws of the lid */
        figure_circle(&figure, k < 5 ? 24 : 456, 50 + 95.0 * (k % 5), 3, INK_HAIR, thin);
    draw_cells_from_above(&figure, 62, 218);
    figure_rect(&figure, 120, 56, 240, 110, INK_FIRST, edge);
    figure_rect(&figure, 140, 72, 200, 46, INK_HAIR, edge);
    figure_text(&figure, 240, 152, (struct lettering){.role = ROLE_HEADING, .ink = INK_PAPER, .anchor = ANCHOR_MIDDLE}, "HX-4S-80");
    figure_rect(&figure, 266, 44, 120, 60, INK_PAPER, hidden);
    figure_text(&figure, 326, 80, centred(label), "foam");
    for (int k = 0; k < 5; k++) { /* the balance leads, over the edge of the plate */
        double to_x = k < 4 ? 100 + 90.0 * k : 386;
        struct point lead[] = {{170 + 14.0 * k, 166}, {170 + 14.0 * k, 188 + 4.0 * k}, {to_x + 14, 196 + 4.0 * k}, {to_x + 14, 236}};
        figure_polyline(&figure, lead, 4, (struct stroke){INK_SOFT, 1.5, LINE_SOLID});
    }
    for (int k = 0; k < 2; k++) {
        double beside = 9.0 * k;
        struct point plus[] = {{104, 247}, {42 + beside, 222}, {42 + beside, 52}, {74, 52}};
        struct point minus[] = {{360, 130 + beside}, {430 - beside, 130 + beside}, {430 - beside, 52}, {410, 52}};
        cable(&figure, plus, 4, 6, INK_SECOND);
        cable(&figure, minus, 4, 6, INK_SOFT);
    }
    stud(&figure, 78, 52, 13);
    stud(&figure, 408, 52, 13);
    figure_text(&figure, 78, 90, centred(print), "+");
    figure_text(&figure, 408, 90, centred(print), "−");
    figure_circle(&figure, 241, 340, 6, INK_SECOND, edge); /* the sensor */
    return keep(&figure, folder, "hut-pack.case.png", message);
}

/* A rule in millimetres below, so that a reader can measure. */
static void draw_rule(struct figure *figure, double x, double y, double mm, int length_mm)
{
    figure_rect(figure, x - 14, y, mm * length_mm + 60, 48, INK_PAPER, edge);
    for (int k = 0; k <= length_mm; k++) {
        figure_line(figure, x + k * mm, y, x + k * mm, y + (k % 10 == 0 ? 18 : k % 5 == 0 ? 13 : 8), thin);
        if (k % 20 == 0) {
            char words[16];
            snprintf(words, sizeof words, "%d", k);
            figure_text(figure, x + k * mm, y + 38, centred(label), words);
        }
    }
    figure_text(figure, x + mm * length_mm + 16, y + 38, label, "mm");
}

static enum status draw_lead(const char *folder, struct message *message)
{
    const double mm = 3.2, x = 36, y = 60;
    struct figure figure;
    begin(&figure, 680, 210, "One of the two leads to the plus terminal");
    double from = x + 14 * mm, to = x + 166 * mm, thick = 6.4 * mm;
    for (int k = 0; k < 2; k++) { /* a lug at either end, 180 mm between their holes */
        double hole = k == 0 ? x : x + 180 * mm, way = k == 0 ? 1 : -1;
        figure_circle(&figure, hole, y, 6 * mm, INK_HAIR, edge);
        figure_circle(&figure, hole, y, 3.1 * mm, INK_PAPER, edge);
        figure_rect(&figure, k == 0 ? hole + 5 * mm : hole - 12 * mm, y - 10, 7 * mm, 20, INK_HAIR, edge);
        for (int strand = -3; strand <= 3; strand++)
            figure_line(&figure, hole + way * 12 * mm, y + 2.2 * strand, hole + way * 14.5 * mm, y + 2.4 * strand, thin);
    }
    figure_rect(&figure, from, y - thick / 2, to - from, thick, INK_SECOND, edge);
    for (int k = 0; k < 2; k++)
        figure_text(&figure, from + 125 + 235.0 * k, y + 5.5,
                    (struct lettering){.role = ROLE_HEADING, .ink = INK_PAPER, .anchor = ANCHOR_MIDDLE}, "10 AWG   200 °C");
    struct point nick[] = {{x + 167 * mm, y + 8}, {x + 168.6 * mm, y + 17}, {x + 170 * mm, y + 8}};
    figure_area(&figure, nick, 3, INK_PAPER, edge); /* one strand is cut */
    figure_line(&figure, x + 169 * mm, y - 10, x + 174 * mm, y - 10, (struct stroke){INK_SECOND, 4, LINE_SOLID}); /* pressed here only */
    draw_rule(&figure, x, 112, mm, 180);
    return keep(&figure, folder, "hut-pack.lead.png", message);
}

static enum status draw_board(const char *folder, struct message *message)
{
    struct figure figure;
    begin(&figure, 660, 450, "The protection board");
    figure_rect(&figure, 20, 16, 620, 390, INK_BAND, edge);
    for (int k = 0; k < 12; k++) { /* two rows of six transistors on the plate */
        double left = 94 + 82.0 * (k % 6), top = k < 6 ? 60 : 140;
        figure_rect(&figure, left, top, 56, 44, INK_MAIN, edge);
        for (int leg = 0; leg < 3; leg++)
            figure_line(&figure, left + 12 + 16.0 * leg, top + 44, left + 12 + 16.0 * leg, top + 56,
                        (struct stroke){INK_SOFT, 4, LINE_SOLID});
    }
    figure_rect(&figure, 60, 42, 540, 168, INK_NONE, hidden); /* the plate */
    figure_text(&figure, 62, 272, (struct lettering){.role = ROLE_TITLE, .strong = true}, "HX-4S-80");
    figure_text(&figure, 62, 300, print, "12.8V 4S LFP");
    figure_rect(&figure, 270, 250, 120, 60, INK_HAIR, edge);
    for (int k = 0; k < 3; k++)
        figure_rect(&figure, 440 + 50.0 * k, 262, 38, 22, INK_MAIN, edge); /* shunts */
    figure_text(&figure, 509, 308, centred(print), "R005");
    figure_rect(&figure, 250, 346, 160, 38, INK_PAPER, edge);
    for (int k = 0; k < 5; k++)
        figure_circle(&figure, 274 + 28.0 * k, 365, 5, INK_HAIR, thin);
    figure_circle(&figure, 586, 364, 22, INK_HAIR, edge);
    figure_text(&figure, 552, 370, (struct lettering){.role = ROLE_HEADING, .anchor = ANCHOR_END, .strong = true}, "P−");
    figure_circle(&figure, 74, 364, 22, INK_HAIR, edge);
    figure_text(&figure, 106, 370, print, "B−");
    return keep(&figure, folder, "hut-pack.board.png", message);
}

/* Squares of a code, turned by so many degrees about the corner at x, y. */
struct squares {
    double x, y, unit, turn_deg;
};

static void square_run(struct figure *figure, const struct squares *squares, int column, int row, int length)
{
    double turn = squares->turn_deg * 3.141592653589793 / 180, c = cos(turn), s = sin(turn);
    struct point corners[4];
    for (int k = 0; k < 4; k++) {
        double u = squares->unit * (column + (k == 1 || k == 2 ? length : 0)), v = squares->unit * (row + (k >= 2));
        corners[k] = (struct point){squares->x + c * u - s * v, squares->y + s * u + c * v};
    }
    figure_area(figure, corners, 4, INK_MAIN, STROKE_NONE);
}

static void draw_qr(struct figure *figure, const struct squares *squares, const char *words)
{
    QRcode *code = QRcode_encodeString(words, 0, QR_ECLEVEL_M, QR_MODE_8, 1);
    for (int row = 0; code != NULL && row < code->width; row++)
        for (int column = 0, end; column < code->width; column = end + 1) {
            const unsigned char *at = code->data + row * code->width;
            for (end = column; end < code->width && at[end] & 1; end++)
                ;
            if (end > column)
                square_run(figure, squares, column, row, end - column);
        }
    QRcode_free(code);
}

static void draw_data_matrix(struct figure *figure, const struct squares *squares, const char *words)
{
    DmtxEncode *encode = dmtxEncodeCreate();
    unsigned char bytes[64];
    size_t length = strlen(words);
    memcpy(bytes, words, length);
    if (encode != NULL && dmtxEncodeDataMatrix(encode, (int)length, bytes) == DmtxPass) {
        int rows = encode->region.symbolRows, columns = encode->region.symbolCols;
        for (int row = 0; row < rows; row++) /* libdmtx counts rows from below */
            for (int column = 0; column < columns; column++)
                if (dmtxSymbolModuleStatus(encode->message, encode->region.sizeIdx, rows - 1 - row, column) & DmtxModuleOn)
                    square_run(figure, squares, column, row, 1);
    }
    dmtxEncodeDestroy(&encode);
}

static enum status draw_codes(const char *folder, struct message *message)
{
    static const char *const codes[] = {"ZZZCB99HUT0001E7B0000412", "ZZZCB99HUT0001E7B0000415", "ZZZCB99HUT0001E7C0000038"};
    static const struct squares places[] = {{51, 126, 4.6, -4}, {252, 118, 4.6, 3}, {446, 124, 6, -2}};
    struct figure figure;
    begin(&figure, 816, 400, "The cells from above, with their codes");
    for (int k = 0; k < 4; k++) {
        double left = 20 + 196.0 * k;
        figure_rect(&figure, left, 16, 180, 344, INK_PAPER, edge);
        stud(&figure, left + 42, 58, 17);
        stud(&figure, left + 138, 58, 17);
        if (k == 3)
            break;
        char half[13];
        snprintf(half, sizeof half, "%s", codes[k]);
        figure_text(&figure, left + 90, 286, centred(print), "LF100 3.2V");
        figure_text(&figure, left + 90, 314, centred(label), half);
        figure_text(&figure, left + 90, 334, centred(label), codes[k] + 12);
        if (k < 2)
            draw_qr(&figure, &places[k], codes[k]);
        else
            draw_data_matrix(&figure, &places[k], codes[k]);
    }
    figure_rect(&figure, 602, 92, 196, 276, INK_BAND, edge);
    for (int k = 0; k < 35; k++)
        figure_circle(&figure, 620 + 36.0 * (k % 5) + 8 * (k % 3), 110 + 38.0 * (k / 5) + 7 * (k % 2), 3, INK_HAIR, hair);
    figure_text(&figure, 700, 236, centred(print), "foam");
    return keep(&figure, folder, "hut-pack.cells.png", message);
}

enum status demo_pictures(const char *folder, struct message *message)
{
    static enum status (*const draw[])(const char *, struct message *) = {draw_case, draw_lead, draw_board, draw_codes};
    enum status status = STATUS_OK;
    for (size_t k = 0; status == STATUS_OK && k < sizeof draw / sizeof *draw; k++)
        status = draw[k](folder, message);
    return status;
}
