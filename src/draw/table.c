#include "draw/table.h"

#include "base/memory.h"
#include "draw/type.h"

#include <pango/pangocairo.h>

#define COLUMN_GAP 14.0
#define ROW_PAD 2.6
#define PLAIN_ROW_PAD 0.4

struct table {
    struct flow *flow;
    const struct paper_column *columns;
    size_t column_count;
    double *left, *width; /* a column */
    double whole;         /* width of the table */
    bool ruled;
};

static PangoLayout *cell_layout(const char *text, double size)
{
    return letters_layout(text != NULL ? text : "", size, false, false,
                          ink_colour(PALETTE_PRINT, INK_SOFT));
}

static double natural_width(const char *text, double size)
{
    if (text == NULL || *text == '\0')
        return 0;
    PangoLayout *layout = cell_layout(text, size);
    PangoRectangle logical;
    pango_layout_get_extents(layout, NULL, &logical);
    g_object_unref(layout);
    return (double)(logical.width + 1) / PANGO_SCALE; /* so that it does not wrap for a rounding */
}

static bool has_head(const struct table *table)
{
    for (size_t c = 0; c < table->column_count; c++)
        if (table->columns[c].heading != NULL && *table->columns[c].heading != '\0')
            return true;
    return false;
}

/* Natural widths first; then the columns with shares take what is left, but at least a sixth of the
 * table each, or less if they need less. */
static void size_columns(struct table *table, const char *const *cells, size_t row_count)
{
    size_t n = table->column_count;
    double room = flow_width(table->flow) - COLUMN_GAP * (double)(n - 1);
    double fixed = 0, shares = 0, least = 0;
    for (size_t c = 0; c < n; c++) {
        double widest = natural_width(table->columns[c].heading, TYPE_NOTE);
        for (size_t r = 0; r < row_count; r++)
            widest = fmax(widest, natural_width(cells[r * n + c], TYPE_BODY));
        table->width[c] = widest;
        if (table->columns[c].share > 0) {
            shares += table->columns[c].share;
            least += fmin(widest, room / 6);
        } else {
            fixed += widest;
        }
    }
    double shrink = fixed + least > room ? (room - least) / fixed : 1;
    double x = 0;
    for (size_t c = 0; c < n; c++) {
        double share = table->columns[c].share;
        table->width[c] = share > 0 ? (room - fixed * shrink) * share / shares : table->width[c] * shrink;
        table->left[c] = x;
        x += table->width[c] + COLUMN_GAP;
    }
    table->whole = x - COLUMN_GAP;
}

static void set_cell(const struct table *table, size_t c, PangoLayout *layout, double size, double top,
                     enum ink ink)
{
    enum anchor anchor = table->columns[c].anchor;
    for (int line = 0; line < pango_layout_get_line_count(layout); line++) {
        PangoRectangle logical;
        pango_layout_line_get_extents(pango_layout_get_line_readonly(layout, line), NULL, &logical);
        double slack = table->width[c] - (double)logical.width / PANGO_SCALE;
        double x = table->left[c] + (anchor == ANCHOR_START ? 0 : anchor == ANCHOR_END ? slack : slack / 2);
        double y = top + line * size * TYPE_LEADING + TYPE_BASELINE(size, TYPE_LEADING);
        flow_words(table->flow, layout, line, x, y, ink);
    }
}

/* `cells` NULL sets the head. */
static void set_row(const struct table *table, const char *const *cells, bool first, bool last, size_t head)
{
    size_t n = table->column_count;
    double size = cells != NULL ? TYPE_BODY : TYPE_NOTE;
    double pad = table->ruled ? ROW_PAD : PLAIN_ROW_PAD;
    PangoLayout **layouts = memory_get(n * sizeof *layouts);
    int lines = 1;
    for (size_t c = 0; c < n; c++) {
        layouts[c] = cell_layout(cells != NULL ? cells[c] : table->columns[c].heading, size);
        pango_layout_set_width(layouts[c], (int)ceil(table->width[c] * PANGO_SCALE));
        pango_layout_set_wrap(layouts[c], PANGO_WRAP_WORD_CHAR);
        int count = pango_layout_get_line_count(layouts[c]);
        lines = count > lines ? count : lines;
    }
    double height = lines * size * TYPE_LEADING + 2 * pad;
    flow_strip(table->flow, first ? (table->ruled ? 6 : 5 - PLAIN_ROW_PAD) : 0, height, cells == NULL || (first && !last), head);
    if (table->ruled && first)
        flow_rule(table->flow, 0, 0, table->whole, INK_MAIN, RULE_FINE);
    for (size_t c = 0; c < n; c++) {
        set_cell(table, c, layouts[c], size, pad, cells != NULL ? INK_MAIN : INK_SOFT);
        g_object_unref(layouts[c]);
    }
    if (table->ruled)
        flow_rule(table->flow, 0, height, table->whole, last || cells == NULL ? INK_MAIN : INK_HAIR,
                  RULE_FINE);
    free(layouts);
}

void table_set(struct flow *flow, const struct paper_column *columns, size_t column_count,
               const char *const *cells, size_t row_count, bool ruled)
{
    if (column_count == 0)
        return;
    double *numbers = memory_get(2 * column_count * sizeof *numbers);
    struct table table = {flow, columns, column_count, numbers, numbers + column_count, 0, ruled};
    size_columns(&table, cells, row_count);
    size_t head = 0;
    if (ruled && has_head(&table)) {
        set_row(&table, NULL, true, false, 0);
        head = flow->strip_count;
    }
    for (size_t r = 0; r < row_count; r++)
        set_row(&table, cells + r * column_count, r == 0 && head == 0, r + 1 == row_count, head);
    free(numbers);
}
