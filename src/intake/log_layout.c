#include "intake/log_layout.h"

#include "base/memory.h"
#include "intake/cells.h"
#include "intake/headers.h"
#include "intake/log_family.h"

enum { HEAD_BYTES = 1 << 18 };

bool log_layout_is_comment(struct span line)
{
    line = span_trim(line);
    return line.n > 0 && (strchr("#%;!", line.p[0]) != NULL || (line.n > 1 && memcmp(line.p, "//", 2) == 0));
}

static enum status refuse(const char *name, struct message *message, const char *what, const char *remedy)
{
    status_fail(message, STATUS_UNREADABLE, "%s", what);
    if (remedy[0] != '\0')
        status_remedy(message, "%s", remedy);
    return status_at(message, name, 0, 0);
}

static enum status check_encoding(const char *name, const char *head, size_t size, struct message *message)
{
    if (size >= 2 && (memcmp(head, "\xFF\xFE", 2) == 0 || memcmp(head, "\xFE\xFF", 2) == 0))
        return refuse(name, message, "the log is in UTF-16, which is not read",
                      "save it as UTF-8, or: iconv -f UTF-16 -t UTF-8 LOG > NEW");
    const char *nul = memchr(head, '\0', size);
    if (nul != NULL) {
        status_fail(message, STATUS_UNREADABLE, "this is not text: byte %zu is zero",
                    (size_t)(nul - head) + 1);
        status_remedy(message,
                      "export the log as delimited text (CSV) in UTF-8; a log in UTF-16 can be turned "
                      "with: iconv -f UTF-16LE -t UTF-8 LOG > NEW");
        return status_at(message, name, 0, 0);
    }
    return STATUS_OK;
}

/* Does a quote that opens a cell stay open to the end of the line? */
static bool leaves_quote_open(struct span line)
{
    bool open = false;
    for (size_t k = 0; k < line.n; k++) {
        if (line.p[k] != '"')
            continue;
        if (!open && k > 0 && strchr(",;|\t ", line.p[k - 1]) == NULL)
            return false; /* a character of a word */
        open = !open;
        if (!open && k + 1 < line.n && line.p[k + 1] == '"')
            open = true, k++;
    }
    return open;
}

/* A quoted cell may hold line ends: the end of the line that starts at `start`. Returns the size of the
 * stretch when there is none. */
static size_t line_end(const char *head, size_t start, size_t size, char newline, long *lines)
{
    enum { LINES_QUOTED_MOST = 50 };
    size_t first = size;
    long count = 0;
    for (size_t k = start; count < LINES_QUOTED_MOST; k++) {
        const char *end = memchr(head + k, newline, size - k);
        k = end != NULL ? (size_t)(end - head) : size;
        first = count++ == 0 ? k : first;
        bool open = leaves_quote_open((struct span){head + start, k - start});
        if (!open)
            *lines = count;
        if (!open || k == size)
            return open ? first : k;
    }
    return first;
}

/* Old machines ended lines on CR alone. */
static char newline_of(const char *head, size_t size)
{
    size_t alone = 0, feeds = 0;
    for (size_t k = 0; k < size; k++) {
        feeds += head[k] == '\n';
        alone += head[k] == '\r' && (k + 1 == size || head[k + 1] != '\n');
    }
    return alone > feeds ? '\r' : '\n';
}

static void cut_lines(struct log_layout *layout, size_t start, size_t size, bool whole)
{
    layout->newline = newline_of(layout->head, size);
    layout->lines = memory_get(LAYOUT_LINES * sizeof *layout->lines);
    long number = 0;
    for (size_t k = start; k < size && layout->line_count < LAYOUT_LINES;) {
        long lines = 1;
        size_t end = line_end(layout->head, k, size, layout->newline, &lines);
        if (end == size && !whole && number > 0)
            return; /* cut in two by the end of the stretch */
        struct span text = {layout->head + k, end - k};
        if (span_trim(text).n > 0)
            layout->lines[layout->line_count++] = (struct log_line){text, number + 1};
        number += lines;
        k = end + 1;
    }
}

size_t log_layout_cells(const struct log_layout *layout, const struct log_line *line, struct span *cells)
{
    size_t count = cells_split(line->text, layout->delimiter, cells, LAYOUT_COLUMNS);
    return count < LAYOUT_COLUMNS ? count : LAYOUT_COLUMNS;
}

/* A header line may stand behind a comment sign. */
static struct span uncommented(struct span line)
{
    line = span_trim(line);
    while (line.n > 0 && strchr("#%;!/*", line.p[0]) != NULL && log_layout_is_comment(line)) {
        line.p++;
        line.n--;
        line = span_trim(line);
    }
    return line;
}

/* Each quantity counts once: a line of `Time Time Time` names one column. */
struct header_score {
    size_t cells, words, named, units;
    unsigned seen;
};

static void count_name(struct header_score *score, const char *text)
{
    struct header header = header_read(text, "");
    unsigned bit =
        1u << (header.role == COLUMN_CHANNEL ? COLUMN_CHANNEL + (int)header.channel : (int)header.role);
    if (header.role != COLUMN_UNUSED && !(score->seen & bit))
        score->named++;
    score->seen |= bit;
}

static struct header_score score_line(const struct log_layout *layout, const struct log_line *line)
{
    struct span cells[LAYOUT_COLUMNS];
    struct header_score score = {0};
    size_t count = cells_split(uncommented(line->text), layout->delimiter, cells, LAYOUT_COLUMNS);
    for (size_t k = 0; k < count && k < LAYOUT_COLUMNS; k++) {
        char text[96];
        struct unit unit;
        cell_copy(cells[k], text, sizeof text);
        if (text[0] == '\0')
            continue;
        score.cells = k + 1;
        if (log_cell_kind(cells[k], layout->decimal) == 'w')
            score.words++;
        if (header_is_unit(text, &unit))
            score.units++;
        else if (log_cell_kind(cells[k], layout->decimal) == 'w')
            count_name(&score, text);
    }
    return score;
}

/* The line that names most columns; else the last one that has words for all of them. */
static void find_header(struct log_layout *layout)
{
    size_t most = 1;
    for (size_t k = layout->preamble_count; k-- > 0;) {
        struct header_score score = score_line(layout, &layout->lines[k]);
        bool fits = score.cells + 1 >= layout->columns && 2 * score.words >= score.cells;
        size_t worth = 2 * score.named + score.units;
        if (fits && worth > most && score.cells >= 2) {
            most = worth;
            layout->header = (int)k;
        }
    }
    if (layout->header < 0 && layout->preamble_count > 0) {
        struct header_score score = score_line(layout, &layout->lines[layout->preamble_count - 1]);
        if (score.cells >= 2 && score.words + 1 >= layout->columns)
            layout->header = (int)layout->preamble_count - 1;
    }
    for (size_t k = layout->preamble_count; layout->header >= 0 && k-- > (size_t)layout->header + 1;) {
        struct header_score score = score_line(layout, &layout->lines[k]);
        if (score.units >= 1 && score.named == 0 && 2 * score.units >= score.words)
            layout->units = (int)k;
    }
}

static void copy_header(struct log_layout *layout)
{
    struct span cells[LAYOUT_COLUMNS];
    size_t count = 0;
    layout->names = memory_get(LAYOUT_COLUMNS * sizeof *layout->names);
    layout->units_below = memory_get(LAYOUT_COLUMNS * sizeof *layout->units_below);
    if (layout->header >= 0)
        count = cells_split(uncommented(layout->lines[layout->header].text), layout->delimiter, cells,
                            LAYOUT_COLUMNS);
    for (size_t k = 0; k < count && k < LAYOUT_COLUMNS; k++) {
        cell_copy(cells[k], layout->names[k], sizeof layout->names[k]);
        if (layout->names[k][0] != '\0')
            layout->header_columns = k + 1;
    }
    count = 0;
    if (layout->units >= 0)
        count = cells_split(uncommented(layout->lines[layout->units].text), layout->delimiter, cells,
                            LAYOUT_COLUMNS);
    for (size_t k = 0; k < count && k < LAYOUT_COLUMNS; k++)
        cell_copy(cells[k], layout->units_below[k], sizeof layout->units_below[k]);
}

static enum status find_rows(struct log_layout *layout, const char *name, struct message *message)
{
    struct log_family family = log_family_find(layout->lines, layout->line_count);
    if (family.columns < 2)
        return refuse(name, message, "no lines of readings are found: none has two or more cells of numbers",
                      "give delimited text: cells parted by commas, semicolons, tabs, bars or blanks");
    if (family.cells >= LAYOUT_COLUMNS) {
        status_fail(message, STATUS_LIMIT, "the log has %d columns or more", LAYOUT_COLUMNS);
        status_remedy(message, "export fewer columns: time, voltage, current and temperature are enough");
        return status_at(message, name, layout->lines[family.first].number, 0);
    }
    layout->delimiter = family.delimiter;
    layout->decimal = family.decimal;
    layout->preamble_count = family.first;
    layout->data_line = layout->lines[family.first].number;
    layout->data_offset = (size_t)(layout->lines[family.first].text.p - layout->head);
    layout->columns = family.columns;
    layout->cells = family.cells;
    return STATUS_OK;
}

static size_t count_strays(const struct log_layout *layout)
{
    struct span cells[LAYOUT_COLUMNS];
    size_t strays = 0;
    for (size_t k = 0; k < layout->preamble_count; k++) {
        size_t count = log_layout_cells(layout, &layout->lines[k], cells), numbers = 0;
        for (size_t c = 0; c < count && numbers < 2; c++)
            numbers += log_cell_kind(cells[c], layout->decimal) == 'n';
        strays += numbers >= 2;
    }
    return strays;
}

enum status log_layout_find(const struct source *source, struct log_layout *ret_layout,
                            struct message *message)
{
    struct log_layout layout = {.head = memory_get(HEAD_BYTES), .header = -1, .units = -1};
    size_t size = source_read(source, 0, layout.head, HEAD_BYTES);
    enum status status = check_encoding(source->name, layout.head, size, message);
    size_t start = size >= 3 && memcmp(layout.head, "\xEF\xBB\xBF", 3) == 0 ? 3 : 0;
    if (status == STATUS_OK && size == start)
        status = refuse(source->name, message, "the file is empty", "");
    if (status == STATUS_OK) {
        cut_lines(&layout, start, size, size == source->size);
        status = find_rows(&layout, source->name, message);
    }
    if (status != STATUS_OK) {
        log_layout_free(&layout);
        return status;
    }
    find_header(&layout);
    copy_header(&layout);
    layout.strays = count_strays(&layout);
    *ret_layout = layout;
    return STATUS_OK;
}

void log_layout_free(struct log_layout *layout)
{
    free(layout->head);
    free(layout->lines);
    free(layout->names);
    free(layout->units_below);
    *layout = (struct log_layout){.header = -1, .units = -1};
}

bool log_layout_repeats(const struct log_layout *layout, struct span line)
{
    line = span_trim(line);
    for (size_t k = 0; k < layout->preamble_count; k++) {
        struct span old = span_trim(layout->lines[k].text);
        if (old.n == line.n && memcmp(old.p, line.p, line.n) == 0)
            return true;
    }
    return false;
}
