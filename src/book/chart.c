/* Chart: least and most of any stretch of a column, from as few bytes as resolve it; see book/stream.h.
 *
 * The time asked for is divided into as many even parts as there may be points; what begins in the same part is
 * one stretch. What is strung together are readings where few blocks are touched, else cells of level 0, else
 * cells of level 1; a block that is covered in part is always taken reading by reading. */
#include "book/stream.h"

#include "book/room.h"
#include "book/summary_row.h"

#include <math.h>

enum { DECODED_BLOCKS = 16 }; /* so many are decoded sooner than their summaries would do */

struct charting {
    struct book *book;
    const struct book_stream *stream;
    int position;
    double from_s, to_s, parts_per_s;
    size_t points, count, part; /* part: the one that the last stretch began in */
    struct chart_stretch *stretches;
};

/* `next` follows upon all before. */
static void add(struct charting *chart, const struct chart_stretch *next)
{
    double share = (next->from_s - chart->from_s) * chart->parts_per_s;
    size_t part = share < (double)chart->points ? (size_t)share : chart->points - 1;
    struct chart_stretch *last = &chart->stretches[chart->count > 0 ? chart->count - 1 : 0];
    if (chart->count == 0 || part != chart->part) {
        chart->part = part;
        chart->stretches[chart->count++] = *next;
        return;
    }
    last->to_s = next->to_s;
    if (next->count == 0)
        return;
    if (last->count == 0)
        last->first = last->min = last->max = next->first;
    last->last = next->last;
    last->min = next->min < last->min ? next->min : last->min;
    last->max = next->max > last->max ? next->max : last->max;
    last->count += next->count;
}

static void add_readings(struct charting *chart, const double *t_s, const double *values, size_t count)
{
    for (size_t k = 0; k < count; k++)
        if (t_s[k] >= chart->from_s && t_s[k] <= chart->to_s)
            add(chart, &(struct chart_stretch){t_s[k], t_s[k], values[k], values[k], values[k], values[k],
                                               !isnan(values[k])});
}

static enum status add_block(struct charting *chart, struct span bytes, struct message *message)
{
    const double *t_s, *values;
    size_t count;
    struct message cause = {0};
    struct block_workspace *workspace = book_workspace(chart->book);
    if (block_trace(bytes, workspace, chart->position, &t_s, &values, &count, &cause) != STATUS_OK)
        return room_damaged(chart->book, cause.what, message);
    add_readings(chart, t_s, values, count);
    return STATUS_OK;
}

static enum status add_blocks(struct charting *chart, int64_t from, int64_t to, struct message *message)
{
    enum status status = STATUS_OK;
    struct sql q = sql_begin(chart->book, "SELECT bytes FROM block WHERE stream = ?1 AND seq BETWEEN ?2 AND ?3 "
                                          "ORDER BY seq");
    sql_integer(&q, chart->stream->id);
    sql_integer(&q, from);
    sql_integer(&q, to);
    while (status == STATUS_OK && sql_row(&q))
        status = add_block(chart, sql_bytes_at(&q, 0), message);
    enum status ended = sql_end(&q, message);
    return ended != STATUS_OK ? ended : status;
}

static enum status add_row(struct charting *chart, struct span times, struct span cells, struct message *message)
{
    double time[CELL_FIELDS][CELLS_LIMIT], field[CELL_FIELDS][CELLS_LIMIT];
    size_t count = 0, counted = 0;
    struct message cause = {0};
    struct block_workspace *workspace = book_workspace(chart->book);
    if (cells_values(times, 0, workspace, time, &count, &cause) != STATUS_OK ||
        cells_values(cells, chart->position, workspace, field, &counted, &cause) != STATUS_OK)
        return room_damaged(chart->book, cause.what, message);
    if (count != counted)
        return room_damaged(chart->book, "the summaries of time and of a column differ in their cells", message);
    for (size_t k = 0; k < count; k++) {
        bool some = field[CELL_NUMBERS][k] >= 1 && field[CELL_NUMBERS][k] <= BLOCK_CELL * LEVEL_CELLS;
        add(chart, &(struct chart_stretch){time[CELL_FIRST][k], time[CELL_LAST][k], field[CELL_MIN][k],
                                           field[CELL_MAX][k], field[CELL_FIRST][k], field[CELL_LAST][k],
                                           some ? (int64_t)field[CELL_NUMBERS][k] : 0});
    }
    return STATUS_OK;
}

/* Cells of the rows `from` to `to` of a level. */
static enum status add_cells(struct charting *chart, int level, int64_t from, int64_t to, struct message *message)
{
    enum status status = STATUS_OK;
    struct sql q =
        sql_begin(chart->book, "SELECT time.cells, own.cells FROM summary AS own JOIN summary AS time "
                               "ON time.stream = own.stream AND time.position = 0 AND time.level = own.level "
                               "AND time.seq = own.seq WHERE own.stream = ?1 AND own.position = ?2 "
                               "AND own.level = ?3 AND own.seq BETWEEN ?4 AND ?5 ORDER BY own.seq");
    sql_integer(&q, chart->stream->id);
    sql_integer(&q, chart->position);
    sql_integer(&q, level);
    sql_integer(&q, from);
    sql_integer(&q, to);
    while (status == STATUS_OK && sql_row(&q))
        status = add_row(chart, sql_bytes_at(&q, 0), sql_bytes_at(&q, 1), message);
    enum status ended = sql_end(&q, message);
    return ended != STATUS_OK ? ended : status;
}

/* Whole blocks by their summaries: the coarser level where it has them and they resolve enough. */
static enum status add_summaries(struct charting *chart, int64_t from, int64_t to, bool coarse,
                                 struct message *message)
{
    int64_t first = (from + LEVEL_BLOCKS - 1) / LEVEL_BLOCKS, end = (to + 1) / LEVEL_BLOCKS;
    if (!coarse || first >= end)
        return from <= to ? add_cells(chart, 0, from, to, message) : STATUS_OK;
    enum status status = STATUS_OK;
    if (from < first * LEVEL_BLOCKS)
        status = add_cells(chart, 0, from, first * LEVEL_BLOCKS - 1, message);
    if (status == STATUS_OK)
        status = add_cells(chart, 1, first, end - 1, message);
    if (status == STATUS_OK && end * LEVEL_BLOCKS <= to)
        status = add_cells(chart, 0, end * LEVEL_BLOCKS, to, message);
    return status;
}

static enum status block_bounds(struct charting *chart, int64_t seq, double *ret_from_s, double *ret_to_s,
                                struct message *message)
{
    bool there = false;
    struct sql q = sql_begin(chart->book, "SELECT from_s, to_s FROM block WHERE stream = ?1 AND seq = ?2");
    sql_integer(&q, chart->stream->id);
    sql_integer(&q, seq);
    if (sql_row(&q)) {
        there = true;
        *ret_from_s = sql_real_at(&q, 0);
        *ret_to_s = sql_real_at(&q, 1);
    }
    enum status status = sql_end(&q, message);
    if (status != STATUS_OK || there)
        return status;
    status_fail(message, STATUS_UNREADABLE, "block %lld of stream %lld is missing", (long long)seq,
                (long long)chart->stream->id);
    return status_at(message, book_path(chart->book), 0, 0);
}

/* The first block that ends at or after from_s, and the last one that begins at or before to_s. */
static enum status find_blocks(struct charting *chart, int64_t blocks, int64_t *ret_from, int64_t *ret_to,
                               struct message *message)
{
    int64_t ends[2] = {0, 0};
    for (int end = 0; end < 2; end++) {
        int64_t low = 0, high = blocks; /* all below `low` are before, none from `high` on */
        while (low < high) {
            int64_t middle = low + (high - low) / 2;
            double from_s = NAN, to_s = NAN;
            enum status status = block_bounds(chart, middle, &from_s, &to_s, message);
            if (status != STATUS_OK)
                return status;
            if (end == 0 ? to_s < chart->from_s : from_s <= chart->to_s)
                low = middle + 1;
            else
                high = middle;
        }
        ends[end] = low;
    }
    *ret_from = ends[0];
    *ret_to = ends[1] - 1;
    return STATUS_OK;
}

static enum status add_sealed(struct charting *chart, int64_t from, int64_t to, struct message *message)
{
    if (to - from < DECODED_BLOCKS)
        return add_blocks(chart, from, to, message);
    double begin_s = NAN, end_s = NAN, unused;
    bool coarse = (to - from) * (BLOCK_READINGS / BLOCK_CELL / LEVEL_CELLS) >= (int64_t)chart->points;
    enum status status = block_bounds(chart, from, &begin_s, &unused, message);
    if (status == STATUS_OK)
        status = block_bounds(chart, to, &unused, &end_s, message);
    bool cut_first = begin_s < chart->from_s, cut_last = end_s > chart->to_s;
    if (status == STATUS_OK && cut_first)
        status = add_blocks(chart, from, from, message);
    if (status == STATUS_OK)
        status = add_summaries(chart, from + cut_first, to - cut_last, coarse, message);
    if (status == STATUS_OK && cut_last)
        status = add_blocks(chart, to, to, message);
    return status;
}

static enum status add_journal(struct charting *chart, struct message *message)
{
    enum status status = STATUS_OK;
    struct sql q = sql_begin(chart->book, "SELECT bytes FROM journal WHERE stream = ?1 AND to_s >= ?2 "
                                          "AND from_s <= ?3 ORDER BY id");
    sql_integer(&q, chart->stream->id);
    sql_real(&q, chart->from_s);
    sql_real(&q, chart->to_s);
    while (status == STATUS_OK && sql_row(&q))
        status = add_block(chart, sql_bytes_at(&q, 0), message);
    enum status ended = sql_end(&q, message);
    return ended != STATUS_OK ? ended : status;
}

/* Bounds beyond the stream are brought to its first and last reading. */
static enum status find_bounds(struct charting *chart, int64_t *ret_blocks, struct message *message)
{
    struct sql q = sql_begin(
        chart->book, "SELECT (SELECT ifnull(max(seq) + 1, 0) FROM block WHERE stream = ?1), "
                     "(SELECT from_s FROM block WHERE stream = ?1 AND seq = 0), "
                     "(SELECT to_s FROM block WHERE stream = ?1 ORDER BY seq DESC LIMIT 1), "
                     "min(from_s), max(to_s) FROM journal WHERE stream = ?1");
    sql_integer(&q, chart->stream->id);
    if (sql_row(&q)) {
        *ret_blocks = sql_integer_at(&q, 0);
        double first_s = fmin(sql_real_at(&q, 1), sql_real_at(&q, 3)), last_s = fmax(sql_real_at(&q, 2), sql_real_at(&q, 4));
        chart->from_s = fmax(chart->from_s, first_s); /* fmin and fmax leave out what is not there */
        chart->to_s = fmin(chart->to_s, last_s);
    }
    return sql_end(&q, message);
}

static enum status chart_all(struct charting *chart, struct message *message)
{
    int64_t blocks = 0, from = 0, to = -1;
    enum status status = find_bounds(chart, &blocks, message);
    if (status != STATUS_OK || !(chart->from_s <= chart->to_s))
        return status;
    double span_s = chart->to_s - chart->from_s;
    chart->parts_per_s = span_s > 0 && !isinf(span_s) ? (double)chart->points / span_s : 0;
    status = find_blocks(chart, blocks, &from, &to, message);
    if (status == STATUS_OK && from <= to)
        status = add_sealed(chart, from, to, message);
    return status == STATUS_OK ? add_journal(chart, message) : status;
}

static void bring_to_own_unit(struct charting *chart)
{
    const struct unit *unit = &chart->stream->column[chart->position - 1].unit;
    for (size_t k = 0; k < chart->count; k++) {
        struct chart_stretch *stretch = &chart->stretches[k];
        double least = unit_own(stretch->min, unit), most = unit_own(stretch->max, unit);
        stretch->min = unit->factor < 0 ? most : least;
        stretch->max = unit->factor < 0 ? least : most;
        stretch->first = unit_own(stretch->first, unit);
        stretch->last = unit_own(stretch->last, unit);
    }
}

/* Within one transaction, so that a block sealed meanwhile is not met twice or missed. */
enum status stream_chart(struct book *book, const struct book_stream *stream, int column, double from_s, double to_s,
                         size_t points, struct chart_stretch *ret_stretches, size_t *ret_count, struct message *message)
{
    struct charting chart = {.book = book,
                             .stream = stream,
                             .position = column + 1,
                             .from_s = from_s,
                             .to_s = to_s,
                             .points = points,
                             .stretches = ret_stretches};
    enum status status = points > 0 ? book_begin(book, message) : STATUS_OK;
    if (points == 0 || status != STATUS_OK) {
        *ret_count = points == 0 ? 0 : *ret_count;
        return status;
    }
    status = book_settle(book, chart_all(&chart, message), message);
    if (status != STATUS_OK)
        return status;
    bring_to_own_unit(&chart);
    *ret_count = chart.count;
    return STATUS_OK;
}
