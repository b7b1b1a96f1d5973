#include "intake/rows.h"

#include "base/memory.h"
#include "intake/cells.h"

#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>

enum {
    PIECE_BYTES = 1 << 18,
    THREADS_MOST = 64,
    LINE_USUAL = 1 << 12,
    LINE_MOST = 1 << 20, /* and no more than sixteen times that */
    QUOTED_MOST = 1 << 14,
};

struct piece {
    size_t start, end;    /* lines that start in [start, end) */
    size_t lines, quotes; /* counted */
    size_t row;           /* where its readings go */
    struct row_sink sink;
};

struct job {
    const struct source *source;
    const struct row_plan *plan;
    const struct rows_how *how;
    struct rows *rows;
    struct piece *pieces;
    size_t piece_count, piece_bytes;
    void (*work)(struct job *, struct piece *, struct text *);
    atomic_size_t next;
    bool stopped;
};

/* Makes the buffer hold `size` bytes and the padding, zeroed behind what was read. */
static size_t load(const struct job *job, size_t offset, size_t size, struct text *buffer)
{
    if (buffer->s == NULL || buffer->capacity < size + ROW_PADDING) {
        buffer->s = memory_resize(buffer->s, size + ROW_PADDING, 1);
        buffer->capacity = size + ROW_PADDING;
    }
    buffer->length = source_read(job->source, offset, buffer->s, size);
    memset(buffer->s + buffer->length, 0, ROW_PADDING);
    return buffer->length;
}

/* Blocks of 255 fit a byte, so that the compiler can count many bytes at once. */
static size_t count_byte(const char *p, size_t n, char wanted)
{
    size_t total = 0;
    while (n > 0) {
        size_t block = n < 255 * 32 ? n : 255 * 32;
        unsigned char lanes[32] = {0};
        size_t k = 0;
        for (; k + 32 <= block; k += 32)
            for (size_t j = 0; j < 32; j++)
                lanes[j] = (unsigned char)(lanes[j] + (p[k + j] == wanted));
        for (size_t j = 0; j < 32; j++)
            total += lanes[j];
        for (; k < block; k++)
            total += p[k] == wanted;
        p += block;
        n -= block;
    }
    return total;
}

/* A line starts after a line end: those of [start - 1, end - 1) are the piece's. */
static void count_lines(struct job *job, struct piece *piece, struct text *buffer)
{
    bool first = piece == job->pieces;
    size_t from = first ? piece->start : piece->start - 1;
    size_t size = load(job, from, piece->end - from, buffer);
    size_t ends = size > 0 ? size - 1 : 0;
    piece->lines = count_byte(buffer->s, ends, job->plan->layout->newline) + (first && size > 0);
    piece->quotes = count_byte(buffer->s, size, '"');
}

static void aim(const struct job *job, size_t row, size_t room, struct row_sink *sink)
{
    const struct series *series = &job->rows->series;
    const struct digits *digits = &job->rows->digits;
    sink->room = room;
    sink->t_s = series->t_s + row;
    sink->keep_digits = job->how->digits;
    sink->time_digits = digits->time != NULL ? digits->time + row : NULL;
    for (int c = 0; c < CHANNELS; c++) {
        sink->column[c] = series->column[c] != NULL ? series->column[c] + row : NULL;
        sink->digits[c] = digits->column[c] != NULL ? digits->column[c] + row : NULL;
    }
    sink->mode = job->rows->mode != NULL ? job->rows->mode + row : NULL;
    sink->last_t = -INFINITY;
}

/* Loads from `from` a piece of `own` bytes and what it takes for its last line to end, and sets where that
 * is. A line that does not end within LINE_MOST is none: then the end is that of the line before. */
static const char *load_lines(const struct job *job, size_t from, size_t own, struct text *buffer,
                              bool *ret_endless)
{
    char newline = job->plan->layout->newline;
    for (size_t more = LINE_USUAL;; more *= 16) {
        size_t size = load(job, from, own + more, buffer);
        const char *end = size >= own ? memchr(buffer->s + own - 1, newline, size - own + 1) : NULL;
        *ret_endless = false;
        if (end != NULL)
            return end + 1;
        if (size < own + more || from + size >= job->source->size)
            return buffer->s + size;
        if (more >= LINE_MOST) {
            *ret_endless = true;
            end = memrchr(buffer->s, newline, size);
            return end != NULL ? end + 1 : buffer->s;
        }
    }
}

/* The piece's own lines: from behind the first line end at or after start - 1 to the first at or after
 * end - 1. The last of them runs on beyond the piece by an unknown length. */
static void parse_piece(struct job *job, struct piece *piece, struct text *buffer)
{
    bool first = piece == job->pieces, endless;
    size_t from = first ? piece->start : piece->start - 1;
    const char *end = load_lines(job, from, piece->end - from, buffer, &endless), *start = buffer->s;
    if (!first)
        start = memchr(buffer->s, job->plan->layout->newline, buffer->length);
    if (start == NULL)
        return; /* all of it belongs to a line that starts before */
    start += !first;
    aim(job, piece->row, piece->lines, &piece->sink);
    if (start < end)
        row_parse(job->plan, start, end, end, &piece->sink);
    if (endless)
        row_too_long(&piece->sink, (struct span){end, 40});
}

static void *worker(void *context)
{
    struct job *job = context;
    struct text buffer = TEXT_EMPTY;
    for (size_t k; (k = atomic_fetch_add(&job->next, 1)) < job->piece_count;)
        job->work(job, &job->pieces[k], &buffer);
    free(buffer.s);
    return NULL;
}

/* Tells how far it is, and asks whether to go on: else no thread takes another piece. */
static void tell(struct job *job, size_t piece, double from_share, double to_share)
{
    double done = (double)(piece + 1) / (double)job->piece_count;
    if (job->how->progress != NULL)
        job->how->progress(job->how->context, from_share + (to_share - from_share) * done);
    job->stopped = job->stopped || (job->how->stopped != NULL && job->how->stopped(job->how->context));
    if (job->stopped)
        atomic_store(&job->next, job->piece_count);
}

/* The calling thread works too, and is the one that tells how far it is. */
static void run(struct job *job, int threads, double from_share, double to_share)
{
    pthread_t others[THREADS_MOST];
    int started = 0;
    atomic_store(&job->next, 0);
    while (started < threads - 1 && (size_t)started + 1 < job->piece_count &&
           pthread_create(&others[started], NULL, worker, job) == 0)
        started++;
    struct text buffer = TEXT_EMPTY;
    for (size_t k; (k = atomic_fetch_add(&job->next, 1)) < job->piece_count;) {
        job->work(job, &job->pieces[k], &buffer);
        tell(job, k, from_share, to_share);
    }
    free(buffer.s);
    for (int k = 0; k < started; k++)
        pthread_join(others[k], NULL);
}

/* In order on this thread: a quoted cell may take lines that start in the next piece. */
static void run_in_order(struct job *job)
{
    size_t offset = job->pieces[0].start, row = 0;
    long lines = 0;
    struct text buffer = TEXT_EMPTY;
    for (size_t k = 0; k < job->piece_count && !job->stopped; k++) {
        struct piece *piece = &job->pieces[k];
        bool endless;
        piece->row = row;
        piece->sink.lines = lines;
        if (offset >= piece->end)
            continue;
        const char *end = load_lines(job, offset, piece->end - offset, &buffer, &endless);
        size_t used = (size_t)(end - buffer.s);
        (void)load(job, offset, used + QUOTED_MOST, &buffer);
        used = used < buffer.length ? used : buffer.length;
        aim(job, row, job->rows->series.capacity - row, &piece->sink);
        const char *stop =
            row_parse(job->plan, buffer.s, buffer.s + used, buffer.s + buffer.length, &piece->sink);
        offset += (size_t)(stop - buffer.s);
        if (endless) {
            row_too_long(&piece->sink, (struct span){stop, 40});
            offset = piece->end;
        }
        row += piece->sink.rows;
        lines = piece->sink.lines;
        tell(job, k, 0.2, 1);
    }
    free(buffer.s);
}

static void cut(struct job *job)
{
    size_t start = job->plan->layout->data_offset, size = job->source->size;
    job->piece_count = (size - start + job->piece_bytes - 1) / job->piece_bytes;
    job->pieces = memory_get((job->piece_count + 1) * sizeof *job->pieces);
    for (size_t k = 0; k < job->piece_count; k++) {
        size_t end = start + (k + 1) * job->piece_bytes;
        job->pieces[k] =
            (struct piece){.start = start + k * job->piece_bytes, .end = end < size ? end : size};
    }
}

size_t rows_lanes(const struct rows *rows, struct rows_lane ret_lanes[static ROWS_LANES])
{
    const struct digits *digits = &rows->digits;
    struct rows_lane all[ROWS_LANES] = {{(char *)rows->series.t_s, sizeof(double)},
                                        {(char *)rows->mode, 1},
                                        {(char *)digits->time, 1},
                                        {(char *)digits->printed, sizeof *digits->printed}};
    for (int c = 0; c < CHANNELS; c++) {
        all[4 + 2 * c] = (struct rows_lane){(char *)rows->series.column[c], sizeof(double)};
        all[5 + 2 * c] = (struct rows_lane){(char *)digits->column[c], 1};
    }
    size_t count = 0;
    for (size_t k = 0; k < ROWS_LANES; k++)
        if (all[k].items != NULL)
            ret_lanes[count++] = all[k];
    return count;
}

/* Readings that were left out leave holes between the pieces: close them. */
static void close_holes(struct job *job, size_t *ret_rows)
{
    struct rows_lane lanes[ROWS_LANES];
    size_t rows = 0, lane_count = rows_lanes(job->rows, lanes);
    for (size_t k = 0; k < job->piece_count; k++) {
        struct piece *piece = &job->pieces[k];
        size_t n = piece->sink.rows;
        for (size_t j = 0; j < lane_count && n > 0 && rows != piece->row; j++)
            memmove(lanes[j].items + rows * lanes[j].size, lanes[j].items + piece->row * lanes[j].size,
                    n * lanes[j].size);
        piece->row = rows;
        rows += n;
    }
    *ret_rows = rows;
}

/* What runs on from piece to piece while they are put together. */
struct carry {
    long line;    /* of the piece's first row, less one */
    size_t slots; /* rows before it, good and bad */
    double last_t;
    char mark[96]; /* on the row before */
    uint64_t step;
    size_t marks, event_capacity;
};

/* A mark or step that only carries on what the piece before ended with is none. */
static void add_events(struct rows *rows, struct piece *piece, struct carry *carry)
{
    struct row_sink *sink = &piece->sink;
    for (size_t k = 0; k < sink->event_count; k++) {
        struct row_event event = sink->events[k];
        bool mark = event.words != NULL;
        bool same = mark ? event.row == 0 && span_is(span_of(event.words), carry->mark)
                         : event.step == carry->step && rows->event_count > 0;
        bool too_many = mark && carry->marks >= ROWS_MARKS_MOST;
        carry->step = mark ? carry->step : event.step;
        rows->marks_left_out += too_many && !same;
        if (same || too_many)
            continue;
        carry->marks += mark;
        event.row += piece->row;
        event.line += carry->line;
        sink->events[k].words = NULL;
        rows->events = memory_grow(rows->events, rows->event_count, &carry->event_capacity);
        rows->events[rows->event_count++] = event;
    }
    const struct last_words *last = &sink->last[row_words_of(COLUMN_MARK)];
    if (sink->rows > 0)
        cell_copy((struct span){last->text, last->length}, carry->mark, sizeof carry->mark);
}

static void add_bad(struct rows *rows, const struct row_sink *sink, long line)
{
    for (size_t k = 0; k < sink->bad_count && k < LOG_BAD_ROWS_LISTED; k++) {
        if (rows->bad_count + k >= LOG_BAD_ROWS_LISTED)
            break;
        rows->bad[rows->bad_count + k] = sink->bad[k];
        rows->bad[rows->bad_count + k].line += line;
    }
    rows->bad_count += sink->bad_count;
}

static void add_odd(struct digits *digits, struct row_sink *sink, size_t row)
{
    for (size_t k = 0; k < sink->odd_count; k++) {
        digits->odd = memory_grow(digits->odd, digits->odd_count, &digits->odd_capacity);
        digits->odd[digits->odd_count++] =
            (struct odd_cell){row + sink->odd[k].row, sink->odd[k].channel, sink->odd[k].text};
    }
    sink->odd_count = 0;
}

static void add_piece(const struct job *job, struct rows *rows, struct piece *piece, struct carry *carry)
{
    struct row_sink *sink = &piece->sink;
    double *t = rows->series.t_s + piece->row, period_s = job->plan->period_s;
    add_events(rows, piece, carry);
    add_bad(rows, sink, carry->line);
    add_odd(&rows->digits, sink, piece->row);
    if (sink->moved_header > 0 && rows->moved_header == 0)
        rows->moved_header = carry->line + sink->moved_header;
    rows->missing += sink->missing;
    rows->comments += sink->comments;
    rows->repeats += sink->repeats;
    rows->zone |= sink->zone;
    rows->order_open |= sink->order_open;
    if (sink->rows > 0 && period_s <= 0) {
        rows->unordered |= sink->unordered || t[0] < carry->last_t;
        carry->last_t = sink->last_t;
    }
    for (size_t k = 0; k < sink->rows && period_s > 0; k++)
        t[k] = (t[k] + (double)carry->slots) * period_s;
    carry->slots += sink->slots;
}

static void merge(struct job *job, bool in_order, struct rows *rows)
{
    struct carry carry = {.line = job->plan->layout->data_line - 1, .last_t = -INFINITY};
    for (size_t k = 0; k < job->piece_count; k++) {
        add_piece(job, rows, &job->pieces[k], &carry);
        if (!in_order) /* else each piece went on counting where the one before ended */
            carry.line += (long)job->pieces[k].lines;
        row_sink_free(&job->pieces[k].sink);
    }
}

static enum status no_memory(const struct source *source, size_t lines, struct message *message)
{
    status_fail(message, STATUS_LIMIT, "memory does not hold its %zu lines", lines);
    status_remedy(message, "use a machine with more memory, or a part of the log");
    return status_at(message, source->name, 0, 0);
}

static enum status stopped(const struct source *source, struct message *message)
{
    status_fail(message, STATUS_UNREADABLE, "the reading was stopped");
    return status_at(message, source->name, 0, 0);
}

static int thread_count(const struct rows_how *how)
{
    long count = how->threads > 0 ? how->threads : sysconf(_SC_NPROCESSORS_ONLN);
    return count < 1 ? 1 : count > THREADS_MOST ? THREADS_MOST : (int)count;
}

static bool make_digits(const struct row_plan *plan, const struct series *series, struct digits *digits)
{
    bool whole = true;
    digits->capacity = series->capacity;
    if (plan->time >= 0 && plan->form.kind == STAMP_NUMBER)
        whole = (digits->time = memory_try(digits->capacity, 1)) != NULL;
    for (int c = 0; c < CHANNELS; c++)
        if (series->column[c] != NULL)
            whole &= (digits->column[c] = memory_try(digits->capacity, 1)) != NULL;
    digits->time_unit = row_time_unit(plan);
    for (size_t k = 0; k < plan->task_count; k++)
        if (plan->tasks[k].role == COLUMN_CHANNEL)
            digits->unit[plan->tasks[k].channel] = plan->tasks[k].unit;
    return whole;
}

static enum status read_pieces(struct job *job, struct rows *rows, struct message *message)
{
    int threads = thread_count(job->how);
    unsigned wanted = 0;
    bool modes = false;
    job->work = count_lines;
    run(job, threads, 0, 0.2);
    if (job->stopped)
        return stopped(job->source, message);
    size_t lines = 0, quotes = 0;
    for (size_t k = 0; k < job->piece_count; k++) {
        job->pieces[k].row = lines;
        lines += job->pieces[k].lines;
        quotes += job->pieces[k].quotes;
    }
    for (size_t k = 0; k < job->plan->task_count; k++) {
        modes |= job->plan->tasks[k].role == COLUMN_MODE;
        wanted |= job->plan->tasks[k].role == COLUMN_CHANNEL ? 1u << job->plan->tasks[k].channel : 0;
    }
    if (!series_init(&rows->series, lines, wanted))
        return no_memory(job->source, lines, message);
    rows->capacity = lines;
    if (modes && (rows->mode = memory_try(lines, 1)) == NULL)
        return no_memory(job->source, lines, message);
    if (job->how->digits && !make_digits(job->plan, &rows->series, &rows->digits))
        return no_memory(job->source, lines, message);
    job->rows = rows;
    job->work = parse_piece;
    if (quotes == 0)
        run(job, threads, 0.2, 1);
    else
        run_in_order(job);
    if (job->stopped)
        return stopped(job->source, message);
    close_holes(job, &rows->series.count);
    merge(job, quotes > 0, rows);
    return STATUS_OK;
}

enum status rows_read(const struct source *source, const struct row_plan *plan, const struct rows_how *how,
                      struct rows *ret_rows, struct message *message)
{
    struct job job = {
        .source = source, .plan = plan, .how = how, .piece_bytes = how->piece > 0 ? how->piece : PIECE_BYTES};
    struct rows rows = {0};
    cut(&job);
    enum status status = read_pieces(&job, &rows, message);
    for (size_t k = 0; k < job.piece_count; k++)
        row_sink_free(&job.pieces[k].sink);
    free(job.pieces);
    if (status == STATUS_OK)
        *ret_rows = rows;
    else
        rows_free(&rows);
    return status;
}

void rows_free(struct rows *rows)
{
    for (size_t k = 0; k < rows->event_count; k++)
        free(rows->events[k].words);
    free(rows->events);
    memory_try_free(rows->mode, rows->capacity, 1); /* the series may have been taken */
    digits_free(&rows->digits);
    series_free(&rows->series);
    *rows = (struct rows){0};
}
