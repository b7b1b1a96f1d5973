#include "draw/paper.h"

#include "base/memory.h"
#include "base/output.h"
#include "draw/flow.h"
#include "draw/table.h"
#include "draw/type.h"

#include <cairo-pdf.h>
#include <pango/pangocairo.h>
#include <string.h>

#define SIDE_MARGIN 48.0 /* 17 mm */
#define TOP_MARGIN 42.0
#define BOTTOM_MARGIN 58.0
#define FOOT_DROP 22.0 /* from the text's lower edge to the foot's rule */

enum { LEAST_PIXELS = 100, MOST_PIXELS = 4000 }; /* of a picture of a page */

struct paper {
    double width, height; /* of the sheet */
    char *title, *subject, *foot, *date;
    struct flow flow;
    double body; /* size of body text */
    void (*words)(const void *context, char *words);
    const void *context;
};

/* The properties of a file are text too. */
static char *copy_clean(const char *s)
{
    struct text clean = TEXT_EMPTY;
    letters_add_clean(&clean, s);
    return clean.s;
}

/* A text as it is to be set; the caller frees it. */
static char *worded(const struct paper *paper, const char *text)
{
    struct text copy = TEXT_EMPTY;
    text_add_signed(&copy, text != NULL ? text : "");
    if (paper->words != NULL)
        paper->words(paper->context, copy.s);
    return copy.s;
}

struct paper *paper_open(const struct paper_about *about)
{
    struct paper *paper = memory_get(sizeof *paper);
    bool letter = about->size == PAPER_LETTER;
    paper->width = letter ? 612 : 210 * 72 / 25.4;
    paper->height = letter ? 792 : 297 * 72 / 25.4;
    paper->title = copy_clean(about->title);
    paper->subject = copy_clean(about->subject);
    paper->words = about->words;
    paper->context = about->context;
    paper->foot = worded(paper, about->foot);
    paper->date = memory_copy_string(about->date);
    paper->body = TYPE_BODY;
    flow_init(&paper->flow, paper->width - 2 * SIDE_MARGIN, paper->height - TOP_MARGIN - BOTTOM_MARGIN);
    return paper;
}

void paper_free(struct paper *paper)
{
    if (paper == NULL)
        return;
    free(paper->title);
    free(paper->subject);
    free(paper->foot);
    free(paper->date);
    flow_free(&paper->flow);
    free(paper);
}

struct setting {
    double size, leading, before;
    bool strong, heading;
    enum ink ink;
};

/* One strip a line, so that a paragraph can go on overleaf; its first two and last two lines keep
 * together. */
static void set_text(struct flow *flow, struct setting setting, const char *text)
{
    PangoLayout *layout = letters_layout(text != NULL ? text : "", setting.size, setting.strong, false,
                                         ink_colour(PALETTE_PRINT, INK_SOFT));
    pango_layout_set_width(layout, (int)floor(flow_width(flow) * PANGO_SCALE));
    pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
    int count = pango_layout_get_line_count(layout);
    for (int line = 0; line < count; line++) {
        bool keep = setting.heading || (line == 0 && count > 1) || line == count - 2;
        flow_strip(flow, line == 0 ? setting.before : 0, setting.size * setting.leading, keep);
        flow_words(flow, layout, line, 0, TYPE_BASELINE(setting.size, setting.leading), setting.ink);
    }
    g_object_unref(layout);
}

void paper_heading(struct paper *paper, int level, const char *text)
{
    struct flow *flow = &paper->flow;
    struct setting setting = {.strong = true, .heading = true, .leading = 1.3, .ink = INK_MAIN};
    setting.size = level <= 1 ? 20 : level == 2 ? 11 : fmax(paper->body, TYPE_NOTE);
    setting.before = level <= 1 ? 18 : level == 2 ? 6 : paper->body > TYPE_NOTE ? 9 : 6;
    if (level == 2) {
        flow_strip(flow, paper->body > TYPE_NOTE ? 16 : 13, RULE_STRONG, true);
        flow_rule(flow, 0, RULE_STRONG / 2, flow_width(flow), INK_MAIN, RULE_STRONG);
    }
    char *words = worded(paper, text);
    set_text(flow, setting, words);
    free(words);
}

void paper_paragraph(struct paper *paper, enum paper_tone tone, const char *text)
{
    static const struct setting settings[] = {
        [PAPER_BODY] = {.size = TYPE_BODY, .before = 5, .ink = INK_MAIN},
        [PAPER_LEAD] = {.size = TYPE_LEAD, .before = 8, .ink = INK_MAIN},
        [PAPER_NOTE] = {.size = TYPE_NOTE, .before = 4, .ink = INK_SOFT},
    };
    struct setting setting = settings[tone];
    if (tone != PAPER_LEAD)
        setting.size = fmin(setting.size, paper->body);
    setting.leading = TYPE_LEADING(setting.size);
    char *words = worded(paper, text);
    set_text(&paper->flow, setting, words);
    free(words);
}

void paper_small(struct paper *paper, bool small)
{
    paper->body = small ? TYPE_SMALL : TYPE_BODY;
}

/* A table whose texts have passed paper->words. */
static void set_table(struct paper *paper, const struct paper_column *columns, size_t column_count,
                      const char *const *cells, size_t row_count, struct table_form form)
{
    size_t count = column_count * row_count;
    char **texts = memory_get((count + column_count + 1) * sizeof *texts);
    struct paper_column *heads = memory_get((column_count + 1) * sizeof *heads);
    for (size_t k = 0; k < count; k++)
        texts[k] = worded(paper, cells[k]);
    for (size_t k = 0; k < column_count; k++) {
        texts[count + k] = worded(paper, columns[k].heading);
        heads[k] = (struct paper_column){texts[count + k], columns[k].anchor, columns[k].share};
    }
    table_set(&paper->flow, heads, column_count, (const char *const *)texts, row_count, form);
    for (size_t k = 0; k < count + column_count; k++)
        free(texts[k]);
    free(texts);
    free(heads);
}

void paper_pairs(struct paper *paper, const struct paper_pair *pairs, size_t count)
{
    static const struct paper_column columns[2] = {{NULL, ANCHOR_START, 0}, {NULL, ANCHOR_START, 1}};
    const char **cells = memory_get(2 * count * sizeof *cells + 1);
    struct text keys = TEXT_EMPTY;
    size_t *starts = memory_get(count * sizeof *starts + 1);
    for (size_t k = 0; k < count; k++) {
        starts[k] = keys.length;
        text_addf(&keys, PAPER_SOFT "%s", pairs[k].key != NULL ? pairs[k].key : "");
        text_add_bytes(&keys, "", 1);
        cells[2 * k + 1] = pairs[k].value;
    }
    for (size_t k = 0; k < count; k++)
        cells[2 * k] = keys.s + starts[k];
    set_table(paper, columns, 2, cells, count, (struct table_form){paper->body, false});
    free(starts);
    free(cells);
    text_free(&keys);
}

void paper_table(struct paper *paper, const struct paper_column *columns, size_t column_count,
                 const char *const *cells, size_t row_count)
{
    set_table(paper, columns, column_count, cells, row_count, (struct table_form){paper->body, true});
}

void paper_figure(struct paper *paper, const struct figure *figure, double width)
{
    struct flow *flow = &paper->flow;
    if (!(figure->width > 0 && figure->height > 0))
        return;
    if (!(width > 0))
        width = flow_width(flow);
    double most = flow->height * figure->width / figure->height; /* no taller than a page */
    width = fmin(width, most);
    flow_strip(flow, 6, width * figure->height / figure->width, false);
    flow_figure(flow, figure, 0, width);
    flow_space(flow, TYPE_AFTER);
}

static cairo_surface_t *surface_of(const struct paper_photograph *photograph)
{
    int width = photograph->width, height = photograph->height;
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
    unsigned char *rows = cairo_image_surface_get_data(surface);
    size_t stride = (size_t)cairo_image_surface_get_stride(surface), row = (size_t)width * sizeof *photograph->pixels;
    for (int y = 0; rows != NULL && y < height; y++)
        memcpy(rows + (size_t)y * stride, photograph->pixels + (size_t)y * (size_t)width, row);
    cairo_surface_mark_dirty(surface);
    unsigned char *jpeg = memory_get(photograph->jpeg.n + 1);
    memcpy(jpeg, photograph->jpeg.p, photograph->jpeg.n);
    if (cairo_surface_set_mime_data(surface, CAIRO_MIME_TYPE_JPEG, jpeg, photograph->jpeg.n, free, jpeg) != CAIRO_STATUS_SUCCESS)
        free(jpeg);
    return surface;
}

void paper_photograph(struct paper *paper, const struct paper_photograph *photograph, double width, double height)
{
    struct flow *flow = &paper->flow;
    if (photograph->width <= 0 || photograph->height <= 0)
        return;
    double ratio = (double)photograph->height / photograph->width;
    width = width > 0 ? fmin(width, flow_width(flow)) : flow_width(flow);
    width = fmin(width, fmin(height > 0 ? height : flow->height, 0.8 * flow->height) / ratio);
    cairo_surface_t *surface = surface_of(photograph);
    bool captioned = photograph->caption != NULL && photograph->caption[0] != '\0';
    flow_strip(flow, 6, width * ratio, captioned);
    flow_photograph(flow, surface, 0, width);
    cairo_surface_destroy(surface);
    if (captioned)
        paper_paragraph(paper, PAPER_NOTE, photograph->caption);
    flow_space(flow, TYPE_AFTER);
}

void paper_space(struct paper *paper, double height)
{
    flow_space(&paper->flow, height);
}

void paper_rule(struct paper *paper, enum ink ink, double width)
{
    flow_strip(&paper->flow, 6, width, true);
    flow_rule(&paper->flow, 0, width / 2, flow_width(&paper->flow), ink, width);
}

void paper_break(struct paper *paper)
{
    flow_break(&paper->flow);
}

void paper_keep(struct paper *paper)
{
    flow_keep(&paper->flow);
}

void paper_keep_end(struct paper *paper)
{
    flow_keep_end(&paper->flow);
}

void paper_columns(struct paper *paper, size_t count, const double *shares, double gap)
{
    flow_columns(&paper->flow, count, shares, gap);
}

void paper_next_column(struct paper *paper)
{
    flow_next_column(&paper->flow);
}

void paper_columns_end(struct paper *paper)
{
    flow_columns_end(&paper->flow);
    flow_space(&paper->flow, TYPE_AFTER);
}

void paper_append(struct paper *paper, struct paper *more)
{
    flow_append(&paper->flow, &more->flow);
}

double paper_width(const struct paper *paper)
{
    return flow_width(&paper->flow);
}

int paper_page(const struct paper *paper)
{
    int page;
    double y;
    flow_where(&paper->flow, &page, &y);
    return page + 1;
}

double paper_y(const struct paper *paper)
{
    int page;
    double y;
    flow_where(&paper->flow, &page, &y);
    return y;
}

double paper_remaining(const struct paper *paper)
{
    return fmax(0, paper->flow.height - paper_y(paper));
}

#define NUMBER_ROOM 80.0

static void show_line(cairo_t *cairo, const char *text, double x, double y, double room, bool to_the_left)
{
    PangoLayout *layout = letters_layout(text, TYPE_NOTE, false, false, 0);
    pango_layout_set_width(layout, (int)(room * PANGO_SCALE));
    pango_layout_set_ellipsize(layout, PANGO_ELLIPSIZE_END);
    PangoLayoutLine *line = pango_layout_get_line_readonly(layout, 0);
    PangoRectangle logical;
    pango_layout_line_get_extents(line, NULL, &logical);
    cairo_move_to(cairo, to_the_left ? x - (double)logical.width / PANGO_SCALE : x, y);
    pango_cairo_show_layout_line(cairo, line);
    cairo_new_path(cairo);
    g_object_unref(layout);
}

static void draw_foot(const struct paper *paper, cairo_t *cairo, int page, int pages)
{
    char number[48];
    double y = paper->flow.height + FOOT_DROP;
    canvas_set_colour(cairo, ink_colour(PALETTE_PRINT, INK_HAIR));
    cairo_rectangle(cairo, 0, y, paper->flow.width, RULE_FINE);
    cairo_fill(cairo);
    canvas_set_colour(cairo, ink_colour(PALETTE_PRINT, INK_SOFT));
    show_line(cairo, paper->foot != NULL ? paper->foot : "", 0, y + 12, paper->flow.width - NUMBER_ROOM,
              false);
    snprintf(number, sizeof number, "page %d of %d", page, pages);
    show_line(cairo, number, paper->flow.width, y + 12, NUMBER_ROOM, true);
}

static cairo_status_t take_bytes(void *closure, const unsigned char *bytes, unsigned count)
{
    text_add_bytes(closure, (const char *)bytes, count);
    return CAIRO_STATUS_SUCCESS;
}

static void set_properties(const struct paper *paper, cairo_surface_t *surface)
{
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, paper->title);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, paper->subject);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Rundown " RUNDOWN_VERSION);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, paper->date);
}

int paper_pages(struct paper *paper)
{
    flow_settle(&paper->flow);
    return paper->flow.page + (paper->flow.y > 0 || paper->flow.page == 0);
}

static void draw_page(const struct paper *paper, cairo_t *cairo, int page, int pages)
{
    flow_draw(&paper->flow, cairo, page);
    draw_foot(paper, cairo, page + 1, pages);
}

enum status paper_render(struct paper *paper, struct text *ret_pdf, struct message *message)
{
    struct text pdf = TEXT_EMPTY;
    int pages = paper_pages(paper);
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(take_bytes, &pdf, paper->width, paper->height);
    set_properties(paper, surface);
    cairo_t *cairo = cairo_create(surface);
    cairo_translate(cairo, SIDE_MARGIN, TOP_MARGIN);
    for (int page = 0; page < pages; page++) {
        draw_page(paper, cairo, page, pages);
        cairo_show_page(cairo);
    }
    cairo_status_t fault = cairo_status(cairo);
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    if (fault == CAIRO_STATUS_SUCCESS)
        fault = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    if (fault != CAIRO_STATUS_SUCCESS) {
        text_free(&pdf);
        return status_fail(message, STATUS_LIMIT, "the pages cannot be drawn: %s",
                           cairo_status_to_string(fault));
    }
    *ret_pdf = pdf;
    return STATUS_OK;
}

enum status paper_picture(struct paper *paper, int page, int pixels, struct text *ret_png, struct message *message)
{
    struct text png = TEXT_EMPTY;
    int pages = paper_pages(paper);
    if (page < 1 || page > pages || pixels < LEAST_PIXELS || pixels > MOST_PIXELS) {
        status_fail(message, STATUS_USAGE, "there is no page %d at %d pixels", page, pixels);
        return status_remedy(message, "ask for a page from 1 to %d, %d to %d pixels wide", pages, LEAST_PIXELS, MOST_PIXELS);
    }
    double scale = pixels / paper->width;
    cairo_surface_t *surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, pixels, (int)ceil(paper->height * scale));
    cairo_t *cairo = cairo_create(surface);
    canvas_set_colour(cairo, ink_colour(PALETTE_PRINT, INK_PAPER));
    cairo_paint(cairo);
    cairo_scale(cairo, scale, scale);
    cairo_translate(cairo, SIDE_MARGIN, TOP_MARGIN);
    draw_page(paper, cairo, page - 1, pages);
    cairo_status_t fault = cairo_status(cairo);
    if (fault == CAIRO_STATUS_SUCCESS)
        fault = cairo_surface_write_to_png_stream(surface, take_bytes, &png);
    cairo_destroy(cairo);
    cairo_surface_destroy(surface);
    if (fault != CAIRO_STATUS_SUCCESS) {
        text_free(&png);
        return status_fail(message, STATUS_LIMIT, "the page cannot be drawn: %s", cairo_status_to_string(fault));
    }
    *ret_png = png;
    return STATUS_OK;
}

enum status paper_save(struct paper *paper, const char *path, struct message *message)
{
    struct text pdf = TEXT_EMPTY;
    enum status status = paper_render(paper, &pdf, message);
    if (status == STATUS_OK)
        status = output_save(path, &pdf, message);
    text_free(&pdf);
    return status;
}
