#include "draw/table.h"

#include "base/memory.h"
#include "draw/type.h"

#include <pango/pangocairo.h>

#define PLAIN_ROW_PAD 0.4

struct table {
    struct flow *flow;
    const struct paper_column *columns;
    size_t column_count;
    double *left, *width; /* a column */
    double whole;         /* width of the table */
    struct table_form form;
    size_t head, head_end; /* strips of the head */
};

static PangoLayout *cell_layout(const char *text, double size)
{
    return letters_layout(text != NULL ? text : "", size, false, false, ink_colour(PALETTE_PRINT, INK_SOFT));
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

/* Of the column's heading and cells. */
static double widest_in(const struct table *table, const char *const *cells, size_t row_count, size_t column)
{
    double widest = natural_width(table->columns[column].heading, fmin(table->form.size, TYPE_NOTE));
    for (size_t r = 0; r < row_count; r++)
        widest = fmax(widest, natural_width(cells[r * table->column_count + column], table->form.size));
    return widest;
}

/* The least that a column wants: figures, which stand to the right, are not broken; words are, between them. */
static double least_in(const struct table *table, const char *const *cells, size_t row_count, size_t column)
{
    if (table->columns[column].anchor == ANCHOR_END)
        return table->width[column];
    double widest = 0;
    for (size_t r = 0; r <= row_count; r++) {
        const char *text = r < row_count ? cells[r * table->column_count + column] : table->columns[column].heading;
        while (text != NULL && *(text += strspn(text, " ")) != '\0') {
            size_t length = strcspn(text, " ");
            char *word = memory_copy_string(text);
            word[length] = '\0';
            widest = fmax(widest, natural_width(word, table->form.size));
            free(word);
            text += length;
        }
    }
    return fmin(widest, table->width[column]);
}

/* Columns without shares into less than they want: down towards the least of each, and below that all alike. */
static void shrink_columns(struct table *table, const char *const *cells, size_t row_count, double wanted, double room)
{
    double least = 0, *own = memory_get(table->column_count * sizeof *own);
    for (size_t c = 0; c < table->column_count; c++)
        least += own[c] = table->columns[c].share > 0 ? 0 : least_in(table, cells, row_count, c);
    double part = wanted > least ? fmax(0, (room - least) / (wanted - least)) : 0, below = least > room ? room / least : 1;
    for (size_t c = 0; c < table->column_count; c++)
        table->width[c] = (own[c] + (table->width[c] - own[c]) * part) * below;
    free(own);
}

/* Natural widths first; then the columns with shares take what is left, but at least a sixth of the
 * table each, or less if they need less: which is measured only when it matters. */
static void size_columns(struct table *table, const char *const *cells, size_t row_count)
{
    size_t n = table->column_count;
    double gap = table->form.size * 1.45;
    double room = flow_width(table->flow) - gap * (double)(n - 1);
    double fixed = 0, shares = 0, least = 0;
    for (size_t c = 0; c < n; c++) {
        shares += table->columns[c].share;
        least += table->columns[c].share > 0 ? room / 6 : 0;
        table->width[c] = table->columns[c].share > 0 ? 0 : widest_in(table, cells, row_count, c);
        fixed += table->width[c];
    }
    if (fixed + least > room) {
        least = 0;
        for (size_t c = 0; c < n; c++)
            least += table->columns[c].share > 0 ? fmin(widest_in(table, cells, row_count, c), room / 6) : 0;
    }
    if (fixed + least > room) {
        shrink_columns(table, cells, row_count, fixed, room - least);
        fixed = room - least;
    }
    double x = 0;
    for (size_t c = 0; c < n; c++) {
        double share = table->columns[c].share;
        if (share > 0)
            table->width[c] = (room - fixed) * share / shares;
        table->left[c] = x;
        x += table->width[c] + gap;
    }
    table->whole = x - gap;
}

static void set_words(const struct table *table, size_t c, PangoLayout *layout, int line, double baseline,
                      enum ink ink)
{
    PangoRectangle logical;
    pango_layout_line_get_extents(pango_layout_get_line_readonly(layout, line), NULL, &logical);
    double slack = table->width[c] - (double)logical.width / PANGO_SCALE;
    enum anchor anchor = table->columns[c].anchor;
    double x = table->left[c] + (anchor == ANCHOR_START ? 0 : anchor == ANCHOR_END ? slack : slack / 2);
    flow_words(table->flow, layout, line, x, baseline, ink);
}

static int wrap_cells(const struct table *table, const char *const *cells, double size,
                      PangoLayout **ret_layouts)
{
    int lines = 1;
    for (size_t c = 0; c < table->column_count; c++) {
        PangoLayout *layout = cell_layout(cells != NULL ? cells[c] : table->columns[c].heading, size);
        pango_layout_set_width(layout, (int)ceil(table->width[c] * PANGO_SCALE));
        pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
        int count = pango_layout_get_line_count(layout);
        lines = count > lines ? count : lines;
        ret_layouts[c] = layout;
    }
    return lines;
}

struct row {
    const char *const *cells;     /* NULL: the head */
    bool first, last, keeps_next; /* `first` has the rule of the table above it */
};

/* One strip a line, kept together, so that a row is whole unless no page could hold it. */
static void set_row(const struct table *table, struct row row)
{
    double size = row.cells != NULL ? table->form.size : fmin(table->form.size, TYPE_NOTE), leading = TYPE_LEADING(size);
    double row_pad = table->form.size > TYPE_NOTE ? 2.6 : 1.2;
    double pad = table->form.ruled ? row_pad : PLAIN_ROW_PAD, before = table->form.ruled ? 6 : 5 - pad;
    PangoLayout **layouts = memory_resize(NULL, table->column_count, sizeof(PangoLayout *));
    int lines = wrap_cells(table, row.cells, size, layouts);
    for (int line = 0; line < lines; line++) {
        bool top = line == 0, bottom = line == lines - 1;
        double above = top ? pad : 0, height = above + size * leading + (bottom ? pad : 0);
        flow_strip(table->flow, row.first && top ? before : 0, height, row.keeps_next || !bottom);
        flow_repeat(table->flow, table->head, table->head_end);
        if (table->form.ruled && row.first && top)
            flow_rule(table->flow, 0, 0, table->whole, INK_MAIN, RULE_FINE);
        for (size_t c = 0; c < table->column_count; c++)
            if (line < pango_layout_get_line_count(layouts[c]))
                set_words(table, c, layouts[c], line, above + TYPE_BASELINE(size, leading),
                          row.cells != NULL ? INK_MAIN : INK_SOFT);
        if (table->form.ruled && bottom)
            flow_rule(table->flow, 0, height, table->whole,
                      row.last || row.cells == NULL ? INK_MAIN : INK_HAIR, RULE_FINE);
    }
    for (size_t c = 0; c < table->column_count; c++)
        g_object_unref(layouts[c]);
    free(layouts);
}

void table_set(struct flow *flow, const struct paper_column *columns, size_t column_count,
               const char *const *cells, size_t row_count, struct table_form form)
{
    if (column_count == 0)
        return;
    double *numbers = memory_get(2 * column_count * sizeof *numbers);
    struct table table = {flow, columns, column_count, numbers, numbers + column_count, 0, form, 0, 0};
    size_columns(&table, cells, row_count);
    bool headed = form.ruled && has_head(&table);
    if (headed) {
        size_t head = flow->strip_count;
        set_row(&table, (struct row){NULL, true, false, true});
        table.head = head;
        table.head_end = flow->strip_count;
    }
    for (size_t r = 0; r < row_count; r++) {
        bool last = r + 1 == row_count, keeps_next = !last && (r == 0 || r + 2 == row_count);
        set_row(&table, (struct row){cells + r * column_count, r == 0 && !headed, last, keeps_next});
    }
    flow_space(flow, TYPE_AFTER);
    free(numbers);
}
