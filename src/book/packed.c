#include "book/packed.h"

#include "base/memory.h"
#include "book/checksum.h"
#include "book/sequence.h"

#include <math.h>

enum { VERSION = 1, HEAD = 16 };
/* Of a column: what follows before its mantissas; ALIGNED: all mantissas count the last decimal of the column. */
enum { FORM_KINDS = 1, FORM_DECIMALS = 2, FORM_ALIGNED = 4, FORMS = 8 };

struct block_workspace {
    uint64_t mantissa[BLOCK_READINGS], decimals[BLOCK_READINGS], kind[BLOCK_READINGS];
    unsigned char bytes[SEQUENCE_BYTES];
    double t_s[BLOCK_READINGS], values[BLOCK_READINGS];
    struct sequence_space *sequence;
};

/* A column between its bytes and its decimals. The arrays are those of the workspace. */
struct column {
    unsigned form;
    int decimals; /* the most of its numbers */
    size_t odd;   /* cells that no decimal holds */
};

struct block_workspace *block_workspace_new(void)
{
    struct block_workspace *workspace = memory_get(sizeof *workspace);
    workspace->sequence = sequence_space_new();
    return workspace;
}

void block_workspace_free(struct block_workspace *workspace)
{
    if (workspace == NULL)
        return;
    sequence_space_free(workspace->sequence);
    free(workspace);
}

static bool has_digits(unsigned kind)
{
    return kind == DECIMAL_NUMBER || kind == DECIMAL_NEGATIVE_ZERO;
}

static int64_t ten_to(int exponent)
{
    int64_t ten = 1;
    for (int k = 0; k < exponent; k++)
        ten *= 10;
    return ten;
}

/* Every mantissa on the scale of the most decimals, so that `12.9` among `12.90` is no step. */
static bool align(struct block_workspace *workspace, size_t count, int decimals)
{
    for (size_t k = 0; k < count; k++) {
        int64_t scaled;
        int missing = decimals - (int)(int64_t)workspace->decimals[k];
        if (missing > DECIMAL_DIGITS ||
            __builtin_mul_overflow((int64_t)workspace->mantissa[k], ten_to(missing), &scaled))
            return false;
    }
    for (size_t k = 0; k < count; k++)
        workspace->mantissa[k] *= (uint64_t)ten_to(decimals - (int)(int64_t)workspace->decimals[k]);
    return true;
}

/* Where a cell has no digits, those of the cell before stand in: they cost nothing. */
static struct column take_uneven(const struct decimal *cells, size_t count, struct block_workspace *workspace)
{
    struct column column = {0, INT8_MIN, 0};
    struct decimal held = {.decimals = 0};
    for (size_t k = count; k-- > 0;)
        held = has_digits(cells[k].kind) ? cells[k] : held;
    bool even = true;
    int first = held.decimals;
    for (size_t k = 0; k < count; k++) {
        held = has_digits(cells[k].kind) ? cells[k] : held;
        workspace->kind[k] = cells[k].kind;
        workspace->mantissa[k] = held.kind == DECIMAL_NUMBER ? (uint64_t)held.mantissa : 0;
        workspace->decimals[k] = (uint64_t)(int64_t)held.decimals;
        column.decimals = held.decimals > column.decimals ? held.decimals : column.decimals;
        column.form |= cells[k].kind != DECIMAL_NUMBER ? FORM_KINDS : 0;
        column.odd += cells[k].kind == DECIMAL_ODD;
        even = even && held.decimals == first;
    }
    if (!even)
        column.form |= FORM_DECIMALS | (align(workspace, count, column.decimals) ? FORM_ALIGNED : 0);
    return column;
}

static struct column take_column(const struct decimal *cells, size_t count, struct block_workspace *workspace)
{
    if (decimal_mantissas(cells, count, (int64_t *)workspace->mantissa))
        return (struct column){0, cells[0].decimals, 0};
    return take_uneven(cells, count, workspace);
}

static void add_sequence(const uint64_t *numbers, size_t count, struct block_workspace *workspace, struct text *text)
{
    size_t size = sequence_pack(numbers, count, workspace->sequence, workspace->bytes);
    text_add_bytes(text, (const char *)workspace->bytes, size);
}

/* Returns the number of its odd cells. */
static size_t add_column(const struct decimal *cells, size_t count, struct block_workspace *workspace,
                       struct text *scratch, struct text *text)
{
    struct column column = take_column(cells, count, workspace);
    char head[2] = {(char)column.form, (char)column.decimals};
    scratch->length = 0;
    text_add_bytes(scratch, head, sizeof head);
    if ((column.form & FORM_KINDS) != 0)
        add_sequence(workspace->kind, count, workspace, scratch);
    if ((column.form & FORM_DECIMALS) != 0)
        add_sequence(workspace->decimals, count, workspace, scratch);
    add_sequence(workspace->mantissa, count, workspace, scratch);
    unsigned char length[VARINT_LIMIT];
    text_add_bytes(text, (const char *)length, (size_t)(write_varint(length, scratch->length) - length));
    text_add_bytes(text, scratch->s, scratch->length);
    return column.odd;
}

static size_t count_lines(const char *text, size_t length)
{
    size_t lines = 0;
    for (size_t k = 0; k < length; k++)
        lines += text[k] == '\n';
    return lines;
}

static void write_head(unsigned char *p, const struct block_columns *columns, size_t size)
{
    uint64_t head = VERSION | (uint64_t)columns->columns << 8 | (uint64_t)columns->count << 16 | (uint64_t)size << 32;
    store_u64(p, head);
    store_u64(p + 8, checksum(p + HEAD, size - HEAD, head));
}

enum status block_pack(const struct block_columns *columns, struct block_workspace *workspace,
                       struct text *ret_bytes, struct message *message)
{
    if (columns->count < 1 || columns->count > BLOCK_READINGS || columns->columns < 1 ||
        columns->columns > BLOCK_COLUMNS)
        return status_fail(message, STATUS_LIMIT, "a block holds 1 to %d readings of 1 to %d columns, not %zu of %d",
                           BLOCK_READINGS, BLOCK_COLUMNS, columns->count, columns->columns);
    size_t length = columns->odd != NULL ? strlen(columns->odd) : 0, odd = 0;
    struct text bytes = TEXT_EMPTY, scratch = TEXT_EMPTY;
    text_add_bytes(&bytes, (const char[HEAD]){0}, HEAD);
    for (int c = 0; c < columns->columns; c++)
        odd += add_column(columns->cells[c], columns->count, workspace, &scratch, &bytes);
    text_add_bytes(&bytes, columns->odd, length);
    text_free(&scratch);
    if (odd != count_lines(columns->odd, length) || (length > 0 && columns->odd[length - 1] != '\n') ||
        bytes.length > UINT32_MAX) {
        text_free(&bytes);
        return status_fail(message, STATUS_MALFORMED, "the texts beside a block are not those of its odd cells");
    }
    write_head((unsigned char *)bytes.s, columns, bytes.length);
    text_free(ret_bytes);
    *ret_bytes = bytes;
    return STATUS_OK;
}

const double *block_times(const struct block_columns *columns, struct block_workspace *workspace)
{
    decimal_values(columns->cells[0], columns->count, workspace->t_s);
    return workspace->t_s;
}

size_t block_readings(struct span bytes)
{
    size_t count = bytes.n >= HEAD ? load_u64((const unsigned char *)bytes.p) >> 16 & UINT16_MAX : 0;
    return count <= BLOCK_READINGS ? count : 0;
}

/* Head and checksum; leaves the reader at the first column. */
static enum status open_block(struct span bytes, struct byte_reader *ret_reader, size_t *ret_count, int *ret_columns,
                              struct message *message)
{
    const unsigned char *p = (const unsigned char *)bytes.p;
    uint64_t head = bytes.n >= HEAD ? load_u64(p) : 0;
    size_t count = head >> 16 & UINT16_MAX, columns = head >> 8 & UINT8_MAX;
    if (bytes.n >= HEAD && (head & UINT8_MAX) > VERSION && head >> 32 == bytes.n)
        return status_fail(message, STATUS_UNREADABLE, "a block is of form %d, which is newer than this program",
                           (int)(head & UINT8_MAX));
    if (bytes.n < HEAD || head >> 32 != bytes.n)
        return status_fail(message, STATUS_UNREADABLE, "a block is cut off or overwritten: %zu bytes", bytes.n);
    if (checksum(p + HEAD, bytes.n - HEAD, head) != load_u64(p + 8))
        return status_fail(message, STATUS_UNREADABLE, "a block's bytes are not those written: the checksum differs");
    if ((head & UINT8_MAX) != VERSION || count < 1 || count > BLOCK_READINGS || columns < 1 ||
        columns > BLOCK_COLUMNS)
        return status_fail(message, STATUS_UNREADABLE, "a block's head makes no sense");
    *ret_reader = (struct byte_reader){p + HEAD, bytes.n - HEAD, false};
    *ret_count = count;
    *ret_columns = (int)columns;
    return STATUS_OK;
}

static bool read_column(struct byte_reader *reader, size_t count, struct block_workspace *workspace,
                        struct column *ret_column)
{
    struct column column = {read_byte(reader), (int8_t)read_byte(reader), 0};
    if (reader->bad || column.form >= FORMS ||
        ((column.form & FORM_ALIGNED) != 0 && (column.form & FORM_DECIMALS) == 0))
        return false;
    if ((column.form & FORM_KINDS) != 0 && !sequence_unpack(reader, count, workspace->sequence, workspace->kind))
        return false;
    if ((column.form & FORM_DECIMALS) != 0 &&
        !sequence_unpack(reader, count, workspace->sequence, workspace->decimals))
        return false;
    if (!sequence_unpack(reader, count, workspace->sequence, workspace->mantissa) || reader->left > 0)
        return false;
    for (size_t k = 0; k < count && (column.form & FORM_KINDS) != 0; k++) {
        if (workspace->kind[k] > DECIMAL_ODD)
            return false;
        column.odd += workspace->kind[k] == DECIMAL_ODD;
    }
    for (size_t k = 0; k < count && (column.form & FORM_DECIMALS) != 0; k++) {
        int64_t decimals = (int64_t)workspace->decimals[k];
        if (decimals < INT8_MIN || decimals > column.decimals)
            return false;
    }
    *ret_column = column;
    return true;
}

/* The next column; a NULL `wanted` skips it. */
static bool next_column(struct byte_reader *reader, size_t count, struct block_workspace *workspace, bool wanted,
                        struct column *ret_column)
{
    uint64_t length = read_varint(reader);
    const unsigned char *bytes = length <= reader->left ? read_bytes(reader, length) : NULL;
    if (bytes == NULL)
        return false;
    return !wanted || read_column(&(struct byte_reader){bytes, length, false}, count, workspace, ret_column);
}

static bool give_decimals(const struct column *column, size_t count, const struct block_workspace *workspace,
                          struct decimal *ret_cells)
{
    struct decimal cell = {0, (int8_t)column->decimals, DECIMAL_NUMBER};
    for (size_t k = 0; k < count; k++) {
        cell.mantissa = (int64_t)workspace->mantissa[k];
        memcpy(&ret_cells[k], &cell, sizeof cell); /* whole, faster than field by field */
    }
    for (size_t k = 0; k < count && (column->form & FORM_DECIMALS) != 0; k++) {
        ret_cells[k].decimals = (int8_t)workspace->decimals[k];
        int missing = column->decimals - ret_cells[k].decimals;
        int64_t scale = missing <= DECIMAL_DIGITS ? ten_to(missing) : 0;
        if ((column->form & FORM_ALIGNED) == 0)
            continue;
        if (scale == 0 || ret_cells[k].mantissa % scale != 0)
            return false;
        ret_cells[k].mantissa /= scale;
    }
    for (size_t k = 0; k < count && (column->form & FORM_KINDS) != 0; k++) {
        unsigned char kind = (unsigned char)workspace->kind[k];
        if (!has_digits(kind))
            ret_cells[k] = (struct decimal){.kind = kind};
        else if (kind == DECIMAL_NEGATIVE_ZERO && ret_cells[k].mantissa != 0)
            return false;
        ret_cells[k].kind = kind;
    }
    return true;
}

static enum status makes_no_sense(int column, struct message *message)
{
    return status_fail(message, STATUS_UNREADABLE, "column %d of a block makes no sense", column);
}

enum status block_unpack(struct span bytes, struct block_workspace *workspace,
                         struct decimal *const cells[static BLOCK_COLUMNS], size_t *ret_count, struct text *ret_odd,
                         struct message *message)
{
    struct byte_reader reader;
    size_t count = 0, odd = 0;
    int columns = 0;
    bool all = true;
    enum status status = open_block(bytes, &reader, &count, &columns, message);
    for (int c = 0; status == STATUS_OK && c < BLOCK_COLUMNS; c++) {
        struct column column;
        bool wanted = cells[c] != NULL, there = c < columns;
        if (there ? !next_column(&reader, count, workspace, wanted, &column) : wanted)
            return makes_no_sense(c, message);
        if (wanted && !give_decimals(&column, count, workspace, cells[c]))
            return makes_no_sense(c, message);
        all = all && (wanted || !there);
        odd += wanted ? column.odd : 0;
    }
    if (status != STATUS_OK)
        return status;
    const char *text = (const char *)reader.p;
    if ((reader.left > 0 && text[reader.left - 1] != '\n') || memchr(text, '\0', reader.left) != NULL ||
        (all && odd != count_lines(text, reader.left)))
        return status_fail(message, STATUS_UNREADABLE, "the texts in a block are not those of its odd cells");
    if (ret_odd != NULL) {
        ret_odd->length = 0;
        text_add_bytes(ret_odd, text, reader.left);
    }
    *ret_count = count;
    return STATUS_OK;
}

static void give_values(const struct column *column, size_t count, struct block_workspace *workspace,
                        double *ret_values)
{
    const int64_t *mantissas = (const int64_t *)workspace->mantissa;
    if ((column->form & FORM_DECIMALS) == 0 || (column->form & FORM_ALIGNED) != 0)
        decimal_scale(mantissas, count, column->decimals, ret_values);
    else
        for (size_t k = 0; k < count; k++)
            ret_values[k] =
                decimal_value((struct decimal){mantissas[k], (int8_t)workspace->decimals[k], DECIMAL_NUMBER});
    for (size_t k = 0; k < count && (column->form & FORM_KINDS) != 0; k++)
        if (workspace->kind[k] != DECIMAL_NUMBER)
            ret_values[k] = workspace->kind[k] == DECIMAL_NEGATIVE_ZERO ? -0.0 : (double)NAN;
}

enum status block_values(struct span bytes, struct block_workspace *workspace,
                         double *const values[static BLOCK_COLUMNS], size_t *ret_count, struct message *message)
{
    struct byte_reader reader;
    size_t count = 0;
    int columns = 0;
    enum status status = open_block(bytes, &reader, &count, &columns, message);
    for (int c = 0; status == STATUS_OK && c < BLOCK_COLUMNS; c++) {
        struct column column;
        bool wanted = values[c] != NULL;
        if (c < columns ? !next_column(&reader, count, workspace, wanted, &column) : wanted)
            return makes_no_sense(c, message);
        if (wanted)
            give_values(&column, count, workspace, values[c]);
    }
    if (status == STATUS_OK)
        *ret_count = count;
    return status;
}

enum status block_trace(struct span bytes, struct block_workspace *workspace, int column, const double **ret_t_s,
                        const double **ret_values, size_t *ret_count, struct message *message)
{
    double *values[BLOCK_COLUMNS] = {workspace->t_s};
    for (int c = 1; c < BLOCK_COLUMNS; c++)
        values[c] = c == column ? workspace->values : NULL;
    enum status status = block_values(bytes, workspace, values, ret_count, message);
    if (status != STATUS_OK)
        return status;
    *ret_t_s = workspace->t_s;
    *ret_values = column > 0 ? workspace->values : workspace->t_s;
    return STATUS_OK;
}
