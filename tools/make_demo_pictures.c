/* Draws what a camera would have seen of sample 014 once it was opened. Drawings, plainly: there is no such battery. The
 * codes on its cells are made by libqrencode and libdmtx and say what hut-pack.opened says, so that they can be read. */
#include "make_demo.h"

#include "draw/raster.h"

#include <dmtx.h>
#include <math.h>
#include <qrencode.h>

static const double wide = 840, high = 560, pixels = 1.5;

static const struct stroke edge = {INK_MAIN, 1.6, LINE_SOLID}, thin = {INK_SOFT, 1, LINE_SOLID},
                           hair = {INK_HAIR, 1, LINE_SOLID}, hidden = {INK_SOFT, 1, LINE_DASHED};
static const struct lettering label = {.role = ROLE_LABEL}, note = {.role = ROLE_SMALL, .ink = INK_SOFT},
                              print = {.role = ROLE_HEADING, .strong = true};

static struct lettering centred(struct lettering lettering)
{
    lettering.anchor = ANCHOR_MIDDLE;
    return lettering;
}

static void begin(struct figure *figure, const char *name)
{
    figure_init(figure, wide, high, name, "a drawing of what never was");
    figure_rect(figure, 0, 0, wide, high, INK_PAPER, STROKE_NONE);
    figure_text(figure, 24, high - 16, note, "INVENTED. A drawing by tools/make_demo_pictures.c: no such battery exists.");
}

static enum status keep(struct figure *figure, const char *folder, const char *name, struct message *message)
{
    struct text png = TEXT_EMPTY;
    enum status status = raster_render(figure, pixels, &png, message);
    figure_free(figure);
    return status != STATUS_OK ? status : demo_save(folder, name, &png, message);
}

/* A line from what is shown to its name. */
static void name_it(struct figure *figure, double x, double y, double to_x, double to_y, const char *words)
{
    struct lettering lettering = label;
    lettering.anchor = to_x < x ? ANCHOR_END : ANCHOR_START;
    figure_line(figure, x, y, to_x, to_y, thin);
    figure_circle(figure, x, y, 2.5, INK_SOFT, STROKE_NONE);
    figure_text(figure, to_x + (to_x < x ? -5 : 5), to_y + 5, lettering, words);
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
        figure_text(figure, left + 42, y + 112, centred(note), words);
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
    begin(&figure, "The opened case from above");
    figure_text(&figure, 24, 34, (struct lettering){.role = ROLE_HEADING, .strong = true}, "Sample 014, opened, from above");
    figure_rect(&figure, 150, 60, 440, 440, INK_PAPER, edge);
    figure_rect(&figure, 158, 68, 424, 424, INK_PAPER, thin);
    for (int k = 0; k < 10; k++) /* the screws of the lid */
        figure_circle(&figure, k < 5 ? 154 : 586, 90 + 95.0 * (k % 5), 3, INK_HAIR, thin);
    draw_cells_from_above(&figure, 192, 258);
    figure_rect(&figure, 250, 96, 240, 110, INK_FIRST, edge);
    figure_rect(&figure, 270, 112, 200, 46, INK_HAIR, edge);
    figure_text(&figure, 370, 190, (struct lettering){.role = ROLE_SMALL, .ink = INK_PAPER, .anchor = ANCHOR_MIDDLE}, "HX-4S-80");
    figure_rect(&figure, 396, 84, 120, 60, INK_PAPER, hidden);
    figure_text(&figure, 456, 118, centred(note), "foam");
    for (int k = 0; k < 5; k++) { /* the balance leads, over the edge of the plate */
        double to_x = k < 4 ? 230 + 90.0 * k : 516;
        struct point lead[] = {{300 + 14.0 * k, 206}, {300 + 14.0 * k, 228 + 4.0 * k}, {to_x + 14, 236 + 4.0 * k}, {to_x + 14, 276}};
        figure_polyline(&figure, lead, 4, (struct stroke){INK_SOFT, 1.5, LINE_SOLID});
    }
    for (int k = 0; k < 2; k++) {
        double beside = 9.0 * k;
        struct point plus[] = {{234, 287}, {172 + beside, 262}, {172 + beside, 92}, {204, 92}};
        struct point minus[] = {{490, 170 + beside}, {560 - beside, 170 + beside}, {560 - beside, 92}, {540, 92}};
        cable(&figure, plus, 4, 6, INK_SECOND);
        cable(&figure, minus, 4, 6, INK_SOFT);
    }
    stud(&figure, 208, 92, 13);
    stud(&figure, 538, 92, 13);
    figure_text(&figure, 208, 126, centred(label), "+");
    figure_text(&figure, 538, 126, centred(label), "−");
    figure_circle(&figure, 371, 380, 5, INK_SECOND, edge);
    name_it(&figure, 176, 180, 148, 180, "lead +, 2 × 10 AWG");
    name_it(&figure, 556, 140, 616, 140, "lead −, 2 × 10 AWG");
    name_it(&figure, 480, 196, 616, 204, "board, marked 80 A");
    name_it(&figure, 470, 249, 616, 244, "balance leads, no fuse");
    name_it(&figure, 376, 380, 616, 366, "sensor, taped to cell 2");
    name_it(&figure, 514, 443, 616, 430, "bus bars, 20 × 2 mm");
    return keep(&figure, folder, "hut-pack.case.png", message);
}

/* A rule in millimetres below, so that a reader can measure. */
static void draw_rule(struct figure *figure, double x, double y, double mm, int length_mm)
{
    figure_rect(figure, x - 8, y, mm * length_mm + 50, 44, INK_PAPER, edge);
    for (int k = 0; k <= length_mm; k++) {
        figure_line(figure, x + k * mm, y, x + k * mm, y + (k % 10 == 0 ? 18 : k % 5 == 0 ? 13 : 8), thin);
        if (k % 10 == 0) {
            char words[16];
            snprintf(words, sizeof words, "%d", k);
            figure_text(figure, x + k * mm, y + 34, centred(note), words);
        }
    }
    figure_text(figure, x + mm * length_mm + 16, y + 34, note, "mm");
}

static enum status draw_lead(const char *folder, struct message *message)
{
    const double mm = 3.7, x = 70;
    struct figure figure;
    begin(&figure, "One of the two leads to the plus terminal");
    figure_text(&figure, 24, 34, print, "Sample 014, lead + (one of two, laid out)");
    double from = x + 14 * mm, to = x + 166 * mm, thick = 5.2 * mm;
    for (int k = 0; k < 2; k++) { /* a lug at either end, 180 mm between their holes */
        double hole = k == 0 ? x : x + 180 * mm, way = k == 0 ? 1 : -1;
        figure_circle(&figure, hole, 200, 5.5 * mm, INK_HAIR, edge);
        figure_circle(&figure, hole, 200, 3.1 * mm, INK_PAPER, edge);
        figure_rect(&figure, k == 0 ? hole + 5 * mm : hole - 12 * mm, 200 - 10, 7 * mm, 20, INK_HAIR, edge);
        for (int strand = -3; strand <= 3; strand++)
            figure_line(&figure, hole + way * 12 * mm, 200 + 2.2 * strand, hole + way * 14.5 * mm, 200 + 2.4 * strand, thin);
    }
    figure_rect(&figure, from, 200 - thick / 2, to - from, thick, INK_SECOND, edge);
    for (int k = 0; k < 3; k++)
        figure_text(&figure, from + 90 + 180.0 * k, 205,
                    (struct lettering){.role = ROLE_SMALL, .ink = INK_PAPER, .anchor = ANCHOR_MIDDLE}, "10 AWG   200 °C");
    struct point nick[] = {{x + 167.4 * mm, 206}, {x + 168.6 * mm, 214}, {x + 169.4 * mm, 206}};
    figure_area(&figure, nick, 3, INK_PAPER, edge);
    figure_line(&figure, x + 169 * mm, 190, x + 174 * mm, 190, (struct stroke){INK_SECOND, 3, LINE_SOLID});
    name_it(&figure, x + 168.6 * mm, 214, 560, 290, "one strand nicked at the lug");
    name_it(&figure, x + 172 * mm, 190, 560, 130, "lug pressed on this side only");
    name_it(&figure, x, 200, 150, 290, "bolted lug, to the cell");
    draw_rule(&figure, x, 360, mm, 180);
    return keep(&figure, folder, "hut-pack.lead.png", message);
}

static enum status draw_board(const char *folder, struct message *message)
{
    struct figure figure;
    begin(&figure, "The protection board");
    figure_text(&figure, 24, 34, print, "Sample 014, protection board, foam taken off");
    figure_rect(&figure, 90, 64, 620, 400, INK_BAND, edge);
    for (int k = 0; k < 12; k++) { /* two rows of six transistors on the plate */
        double left = 150 + 84.0 * (k % 6), top = k < 6 ? 110 : 190;
        figure_rect(&figure, left, top, 56, 44, INK_MAIN, edge);
        for (int leg = 0; leg < 3; leg++)
            figure_line(&figure, left + 12 + 16.0 * leg, top + 44, left + 12 + 16.0 * leg, top + 56,
                        (struct stroke){INK_SOFT, 4, LINE_SOLID});
    }
    figure_rect(&figure, 130, 92, 540, 168, INK_NONE, hidden);
    figure_text(&figure, 664, 278, (struct lettering){.role = ROLE_SMALL, .ink = INK_SOFT, .anchor = ANCHOR_END},
                "aluminium plate, no path to the case");
    figure_text(&figure, 132, 330, (struct lettering){.role = ROLE_TITLE, .strong = true}, "HX-4S-80");
    figure_text(&figure, 132, 358, print, "12.8V 4S LFP");
    figure_rect(&figure, 330, 310, 120, 60, INK_HAIR, edge);
    figure_text(&figure, 390, 345, centred(note), "control");
    for (int k = 0; k < 3; k++)
        figure_rect(&figure, 480 + 44.0 * k, 320, 34, 20, INK_MAIN, edge); /* shunts */
    figure_text(&figure, 541, 362, centred(note), "R005 × 3");
    figure_rect(&figure, 330, 404, 130, 34, INK_PAPER, edge);
    for (int k = 0; k < 5; k++)
        figure_circle(&figure, 348 + 23.0 * k, 421, 4, INK_HAIR, thin);
    figure_text(&figure, 472, 426, note, "B− B1 B2 B3 B+");
    figure_circle(&figure, 640, 420, 20, INK_HAIR, edge);
    figure_text(&figure, 612, 426, (struct lettering){.role = ROLE_LABEL, .anchor = ANCHOR_END, .strong = true}, "P−");
    figure_circle(&figure, 140, 420, 20, INK_HAIR, edge);
    figure_text(&figure, 168, 426, (struct lettering){.role = ROLE_LABEL, .strong = true}, "B−");
    figure_text(&figure, 90, 490, label, "12 transistors, one path for charge and discharge; no coating");
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
    static const struct squares places[] = {{71, 178, 4.6, -4}, {272, 170, 4.6, 3}, {466, 176, 6, -2}};
    struct figure figure;
    begin(&figure, "The cells from above, with their codes");
    figure_text(&figure, 24, 34, print, "Sample 014, its cells");
    for (int k = 0; k < 4; k++) {
        double left = 40 + 196.0 * k;
        figure_rect(&figure, left, 70, 180, 390, INK_PAPER, edge);
        stud(&figure, left + 42, 110, 17);
        stud(&figure, left + 138, 110, 17);
        if (k == 3)
            break;
        char half[13];
        snprintf(half, sizeof half, "%s", codes[k]);
        figure_text(&figure, left + 90, 340, centred(print), "LF100 3.2V");
        figure_text(&figure, left + 90, 366, centred((struct lettering){.role = ROLE_SMALL}), half);
        figure_text(&figure, left + 90, 384, centred((struct lettering){.role = ROLE_SMALL}), codes[k] + 12);
        if (k < 2)
            draw_qr(&figure, &places[k], codes[k]);
        else
            draw_data_matrix(&figure, &places[k], codes[k]);
    }
    figure_rect(&figure, 622, 146, 196, 330, INK_BAND, edge);
    for (int k = 0; k < 40; k++)
        figure_circle(&figure, 640 + 36.0 * (k % 5) + 8 * (k % 3), 164 + 40.0 * (k / 5) + 7 * (k % 2), 3, INK_HAIR, hair);
    figure_text(&figure, 720, 320, centred(label), "foam, glued");
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
