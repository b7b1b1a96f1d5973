/* Check: book_check of book.h. What is found is told and counted; the check goes on. */
#include "book/book.h"

#include "base/memory.h"
#include "book/room.h"
#include "book/state.h"
#include "book/summary_row.h"

#include <stdarg.h>

/* What the coarser summaries of one column should come to, as its blocks go by. */
struct column_sum {
    struct summary summary;
    struct cells cells;
};

struct check {
    struct book *book;
    void (*found)(void *context, const char *fault);
    void (*progress)(void *context, double share);
    void *context;
    long faults;
    int64_t blocks, done;
    /* of the stream at work */
    int64_t stream, seq, rows;
    double last_s;
    struct room room;
    struct column_sum *sums; /* one a column */
    struct cells *cells, *stored; /* one each */
    bool whole; /* every block of the coarser stretch at work could be read */
};

__attribute__((format(printf, 2, 3))) static void tell(struct check *check, const char *format, ...)
{
    char text[512];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    check->faults++;
    if (check->found != NULL)
        check->found(check->context, text);
}

/* A fault of the file is found, not failed at; a lack of memory proves nothing. */
static enum status take_end(struct check *check, struct sql *q, struct message *message)
{
    struct message cause = {0};
    enum status status = sql_end(q, &cause);
    if (status == STATUS_UNREADABLE) {
        tell(check, "%s", cause.what);
        return STATUS_OK;
    }
    if (status != STATUS_OK && message != NULL)
        *message = cause;
    return status;
}

static enum status check_pages(struct check *check, struct message *message)
{
    struct sql q = sql_begin(check->book, "PRAGMA integrity_check(1000)");
    while (sql_row(&q))
        if (strcmp(sql_words_at(&q, 0), "ok") != 0)
            tell(check, "%s", sql_words_at(&q, 0));
    enum status status = take_end(check, &q, message);
    if (status != STATUS_OK)
        return status;
    q = sql_begin(check->book, "PRAGMA foreign_key_check");
    while (sql_row(&q))
        tell(check, "row %lld of %s refers to what is not in %s", (long long)sql_integer_at(&q, 1),
             sql_words_at(&q, 0), sql_words_at(&q, 2));
    return take_end(check, &q, message);
}

static bool same_cells(const struct cells *a, const struct cells *b, int position)
{
    if (a->count != b->count)
        return false;
    for (int field = 0; field < (position == 0 ? CELL_LAST + 1 : CELL_FIELDS); field++)
        for (size_t k = 0; k < a->count; k++) {
            struct decimal x = a->field[field][k], y = b->field[field][k];
            if (x.kind != y.kind || x.mantissa != y.mantissa || x.decimals != y.decimals)
                return false;
        }
    return true;
}

/* Whether the table holds this summary with these cells. */
static enum status check_row(struct check *check, struct summary_place place, const struct summary *summary,
                             const struct cells *cells, struct message *message)
{
    struct sql q = sql_begin(check->book, "SELECT " SUMMARY_COLUMNS ", cells FROM summary WHERE stream = ?1 "
                                          "AND position = ?2 AND level = ?3 AND seq = ?4");
    sql_integer(&q, place.stream);
    sql_integer(&q, place.position);
    sql_integer(&q, place.level);
    sql_integer(&q, place.seq);
    const char *fault = "is missing";
    if (sql_row(&q)) {
        struct summary kept = summary_at(&q);
        struct message cause = {0};
        enum status unpacked = cells_unpack(sql_bytes_at(&q, SUMMARY_FIELDS), place.position,
                                            book_workspace(check->book), check->stored, &cause);
        fault = !summary_agree(summary, &kept) ? "is not what its readings come to"
                : unpacked != STATUS_OK || !same_cells(cells, check->stored, place.position)
                    ? "has cells that are not what its readings come to"
                    : NULL;
    }
    enum status status = take_end(check, &q, message);
    check->rows++;
    if (status == STATUS_OK && fault != NULL)
        tell(check, "stream %lld: the summary of column %d over %s %lld %s", (long long)place.stream, place.position,
             place.level == 0 ? "block" : "stretch", (long long)place.seq, fault);
    return status;
}

static enum status check_summaries(struct check *check, struct message *message)
{
    struct block_columns block = room_block(&check->room);
    const double *t_s = block_times(&block, book_workspace(check->book));
    enum status status = STATUS_OK;
    for (int c = 0; c < block.columns && status == STATUS_OK; c++) {
        struct summary_place place = {check->stream, check->seq, c, 0};
        struct summary summary = cells_of(&block, t_s, c, check->cells);
        status = check_row(check, place, &summary, check->cells, message);
        struct column_sum *sum = &check->sums[c];
        summary_join(&sum->summary, &summary);
        if (status == STATUS_OK)
            status = cells_coarsen(check->cells, &sum->cells, message);
    }
    return status;
}

/* After every LEVEL_BLOCKS blocks. */
static enum status check_coarse(struct check *check, struct message *message)
{
    enum status status = STATUS_OK;
    for (int c = 0; c < check->room.columns && status == STATUS_OK; c++) {
        struct summary_place place = {check->stream, check->seq / LEVEL_BLOCKS, c, 1};
        struct column_sum *sum = &check->sums[c];
        if (check->whole)
            status = check_row(check, place, &sum->summary, &sum->cells, message);
        else
            check->rows++;
        sum->summary = summary_none();
        sum->cells.count = 0;
    }
    check->whole = true;
    return status;
}

/* Takes the bytes apart; whether they are what their row says. `what` names the row. */
static bool takes_apart(struct check *check, struct sql *q, const char *what, int64_t number)
{
    struct message cause = {0};
    struct room *room = &check->room;
    room->count = 0;
    room->odd.length = 0;
    if (room_take(room, check->book, sql_bytes_at(q, 4), sql_integer_at(q, 1), &cause) != STATUS_OK) {
        tell(check, "stream %lld, %s %lld: %s", (long long)check->stream, what, (long long)number, cause.what);
        return false;
    }
    double first_s = decimal_value(room->cells[0][0]), last_s = decimal_value(room->cells[0][room->count - 1]);
    bool rising = !(first_s < check->last_s);
    for (size_t k = 1; k < room->count; k++)
        rising = rising && decimal_value(room->cells[0][k]) >= decimal_value(room->cells[0][k - 1]);
    if (first_s != sql_real_at(q, 2) || last_s != sql_real_at(q, 3))
        tell(check, "stream %lld, %s %lld: it does not begin or end when its row says", (long long)check->stream, what,
             (long long)number);
    if (!rising)
        tell(check, "stream %lld, %s %lld: its times step back", (long long)check->stream, what, (long long)number);
    check->last_s = last_s;
    return true;
}

static enum status check_blocks(struct check *check, struct message *message)
{
    enum status status = STATUS_OK;
    struct sql q = sql_begin(check->book, "SELECT seq, readings, from_s, to_s, bytes FROM block "
                                          "WHERE stream = ?1 ORDER BY seq");
    sql_integer(&q, check->stream);
    for (check->seq = 0; status == STATUS_OK && sql_row(&q); check->seq++) {
        if (sql_integer_at(&q, 0) != check->seq) {
            tell(check, "stream %lld: block %lld is missing", (long long)check->stream, (long long)check->seq);
            check->seq = sql_integer_at(&q, 0);
            check->whole = false;
        }
        if (takes_apart(check, &q, "block", check->seq)) {
            status = check_summaries(check, message);
        } else {
            check->whole = false;
            check->rows += check->room.columns;
        }
        if (status == STATUS_OK && check->seq % LEVEL_BLOCKS == LEVEL_BLOCKS - 1)
            status = check_coarse(check, message);
        check->done++;
        if (check->progress != NULL)
            check->progress(check->context, (double)check->done / (double)check->blocks);
    }
    enum status ended = take_end(check, &q, message);
    return ended != STATUS_OK ? ended : status;
}

static enum status check_journal(struct check *check, struct message *message)
{
    struct sql q = sql_begin(check->book, "SELECT id, readings, from_s, to_s, bytes FROM journal "
                                          "WHERE stream = ?1 ORDER BY id");
    sql_integer(&q, check->stream);
    while (sql_row(&q))
        (void)takes_apart(check, &q, "journal row", sql_integer_at(&q, 0));
    return take_end(check, &q, message);
}

static enum status check_row_count(struct check *check, struct message *message)
{
    struct sql q = sql_begin(check->book, "SELECT count(*) FROM summary WHERE stream = ?1");
    sql_integer(&q, check->stream);
    int64_t rows = sql_row(&q) ? sql_integer_at(&q, 0) : check->rows;
    enum status status = take_end(check, &q, message);
    if (status == STATUS_OK && rows > check->rows)
        tell(check, "stream %lld: there are %lld summaries too many", (long long)check->stream,
             (long long)(rows - check->rows));
    return status;
}

static enum status check_stream(struct check *check, int64_t stream, int columns, struct message *message)
{
    check->stream = stream;
    check->rows = 0;
    check->last_s = -INFINITY;
    check->whole = true;
    if (columns > BLOCK_COLUMNS) {
        tell(check, "stream %lld has more columns than a block can hold", (long long)stream);
        return STATUS_OK;
    }
    for (int c = 0; c < columns; c++) {
        check->sums[c].summary = summary_none();
        check->sums[c].cells.count = 0;
    }
    if (!room_init(&check->room, columns))
        return sql_explain(check->book->path, NULL, SQLITE_NOMEM, message);
    enum status status = check_blocks(check, message);
    if (status == STATUS_OK)
        status = check_journal(check, message);
    if (status == STATUS_OK)
        status = check_row_count(check, message);
    room_free(&check->room);
    return status;
}

static enum status check_readings(struct check *check, struct message *message)
{
    struct sql q = sql_begin(check->book, "SELECT count(*) FROM block");
    check->blocks = sql_row(&q) ? sql_integer_at(&q, 0) : 0;
    enum status status = take_end(check, &q, message);
    if (status != STATUS_OK)
        return status;
    q = sql_begin(check->book, "SELECT id, (SELECT count(*) FROM stream_column WHERE stream = id) FROM stream "
                               "ORDER BY id");
    while (status == STATUS_OK && sql_row(&q))
        status = check_stream(check, sql_integer_at(&q, 0), 1 + (int)sql_integer_at(&q, 1), message);
    enum status ended = take_end(check, &q, message);
    return ended != STATUS_OK ? ended : status;
}

enum status book_check(struct book *book, void (*found)(void *context, const char *fault),
                       void (*progress)(void *context, double share), void *context, long *ret_faults,
                       struct message *message)
{
    struct check check = {.book = book, .found = found, .progress = progress, .context = context};
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    check.sums = memory_get(BLOCK_COLUMNS * sizeof *check.sums);
    check.cells = memory_get(sizeof *check.cells);
    check.stored = memory_get(sizeof *check.stored);
    status = check_pages(&check, message);
    if (status == STATUS_OK)
        status = check_readings(&check, message);
    book_rollback(book); /* it only read */
    free(check.sums);
    free(check.cells);
    free(check.stored);
    if (status == STATUS_OK)
        *ret_faults = check.faults;
    return status;
}
