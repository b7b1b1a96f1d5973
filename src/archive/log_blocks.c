#include "archive/log_blocks.h"

#include "base/memory.h"
#include "book/ready.h"

#include <pthread.h>
#include <unistd.h>

enum { MAKERS_MOST = 16, SLOTS_A_MAKER = 3 };

/* One thread's room for a block of decimals. */
struct room {
    const struct log_plan *plan;
    struct decimal *cells[BLOCK_COLUMNS];
    struct text odd;
    struct block_workspace *workspace;
    struct cells *scratch;
};

static struct room *room_new(const struct log_plan *plan)
{
    struct room *room = memory_get(sizeof *room);
    room->plan = plan;
    room->workspace = block_workspace_new();
    room->scratch = memory_get(sizeof *room->scratch);
    for (int c = 0; c < plan->columns; c++)
        room->cells[c] = memory_get(BLOCK_READINGS * sizeof *room->cells[c]);
    return room;
}

static void room_free(struct room *room)
{
    for (int c = 0; c < room->plan->columns; c++)
        free(room->cells[c]);
    free(room->scratch);
    block_workspace_free(room->workspace);
    text_free(&room->odd);
    free(room);
}

static void fill_channel(const struct log *log, int channel, size_t from, size_t count, struct decimal *cells)
{
    const uint8_t *byte = log->digits.column[channel] + from;
    const double *own = log->series.column[channel] + from;
    const int8_t *mode = log->digits.mode != NULL ? log->digits.mode + from : NULL;
    const bool *turned = log->digits.turned[channel];
    if (mode == NULL || (!turned[0] && !turned[1])) {
        digits_decimals(byte, own, count, &log->digits.unit[channel], cells);
        return;
    }
    for (size_t k = 0; k < count; k++) {
        bool turn = (mode[k] == 1 && turned[0]) || (mode[k] == -1 && turned[1]);
        cells[k] = digits_decimal(byte[k], turn ? -own[k] : own[k], &log->digits.unit[channel]);
    }
}

static void fill_printed(const struct log *log, size_t from, size_t count, struct decimal *cells)
{
    const struct digits *digits = &log->digits;
    for (size_t k = 0; k < count; k++)
        cells[k] = digits->printed != NULL
                       ? digits->printed[from + k]
                       : digits_decimal(digits->time[from + k], log->series.t_s[from + k], &digits->time_unit);
}

static size_t first_odd(const struct digits *digits, size_t row)
{
    size_t lo = 0, hi = digits->odd_count;
    while (lo < hi) {
        size_t middle = lo + (hi - lo) / 2;
        if (digits->odd[middle].row < row)
            lo = middle + 1;
        else
            hi = middle;
    }
    return lo;
}

static void fill_odd(struct room *room, size_t from, size_t count)
{
    const struct digits *digits = &room->plan->log->digits;
    room->odd.length = 0;
    for (size_t k = first_odd(digits, from); k < digits->odd_count && digits->odd[k].row < from + count; k++) {
        if (digits->odd[k].channel == CHANNELS && room->plan->printed == 0)
            continue;
        text_add(&room->odd, digits->odd[k].text);
        text_add(&room->odd, "\n");
    }
}

static struct block_columns fill(struct room *room, size_t from, size_t count)
{
    const struct log_plan *plan = room->plan;
    const struct log *log = plan->log;
    int column = 1;
    log_times_decimals(&plan->times, log, from, count, room->cells[0]);
    for (int c = 0; c < CHANNELS; c++)
        if (log->series.column[c] != NULL)
            fill_channel(log, c, from, count, room->cells[column++]);
    for (size_t k = 0; k < count && plan->mode > 0; k++)
        room->cells[plan->mode][k] = (struct decimal){.mantissa = log->digits.mode[from + k], .kind = DECIMAL_NUMBER};
    if (plan->printed > 0)
        fill_printed(log, from, count, room->cells[plan->printed]);
    fill_odd(room, from, count);
    struct block_columns block = {.count = count, .columns = plan->columns};
    block.odd = room->odd.length > 0 ? room->odd.s : "";
    for (int c = 0; c < plan->columns; c++)
        block.cells[c] = room->cells[c];
    return block;
}

struct slot {
    struct ready_block block;
    bool full;
    enum status status;
    struct message message;
};

/* Block k is made in slot k modulo their number, once the block that lay there is in the book. */
struct line {
    const struct log_plan *plan;
    size_t blocks, next, done; /* next to be made; so many are in the book */
    struct slot *slots;
    size_t slot_count;
    bool stop;
    pthread_mutex_t lock;
    pthread_cond_t changed;
};

static void make(struct line *line, struct room *room, size_t k)
{
    struct slot *slot = &line->slots[k % line->slot_count];
    size_t from = k * BLOCK_READINGS, all = line->plan->log->series.count;
    size_t count = all - from < BLOCK_READINGS ? all - from : BLOCK_READINGS;
    struct block_columns block = fill(room, from, count);
    slot->status = ready_make(&block, room->workspace, room->scratch, &slot->block, &slot->message);
}

static void *maker(void *context)
{
    struct line *line = context;
    struct room *room = room_new(line->plan);
    pthread_mutex_lock(&line->lock);
    while (!line->stop && line->next < line->blocks) {
        size_t k = line->next;
        if (k >= line->done + line->slot_count) {
            pthread_cond_wait(&line->changed, &line->lock);
            continue;
        }
        line->next++;
        pthread_mutex_unlock(&line->lock);
        make(line, room, k);
        pthread_mutex_lock(&line->lock);
        line->slots[k % line->slot_count].full = true;
        pthread_cond_broadcast(&line->changed);
    }
    pthread_mutex_unlock(&line->lock);
    room_free(room);
    return NULL;
}

static enum status put_one(struct book *book, int64_t stream, struct slot *slot, struct message *message)
{
    if (slot->status == STATUS_OK)
        return stream_fill_ready(book, stream, &slot->block, message);
    if (message != NULL)
        *message = slot->message;
    return slot->status;
}

/* `room` is NULL where others make the blocks. */
static enum status put_all(struct book *book, int64_t stream, struct line *line, struct room *room,
                           const struct stored_request *request, struct message *message)
{
    enum status status = STATUS_OK;
    for (size_t k = 0; k < line->blocks && status == STATUS_OK; k++) {
        struct slot *slot = &line->slots[k % line->slot_count];
        if (room != NULL)
            make(line, room, k);
        pthread_mutex_lock(&line->lock);
        while (room == NULL && !slot->full)
            pthread_cond_wait(&line->changed, &line->lock);
        pthread_mutex_unlock(&line->lock);
        status = put_one(book, stream, slot, message);
        pthread_mutex_lock(&line->lock);
        slot->full = false;
        line->done = k + 1;
        pthread_cond_broadcast(&line->changed);
        pthread_mutex_unlock(&line->lock);
        if (request->progress != NULL)
            request->progress(request->context, (double)(k + 1) / (double)line->blocks);
        if (status == STATUS_OK && request->stopped != NULL && request->stopped(request->context))
            status = status_fail(message, STATUS_UNREADABLE, "the storing was stopped; nothing of the log is kept");
    }
    return status;
}

static int start_makers(struct line *line, pthread_t makers[static MAKERS_MOST])
{
    long wanted = sysconf(_SC_NPROCESSORS_ONLN);
    int started = 0;
    wanted = wanted > MAKERS_MOST ? MAKERS_MOST : wanted;
    while (line->blocks > 1 && started < wanted && pthread_create(&makers[started], NULL, maker, line) == 0)
        started++;
    return started;
}

enum status log_blocks_put(struct book *book, int64_t stream, const struct log_plan *plan,
                           const struct stored_request *request, struct message *message)
{
    struct line line = {.plan = plan, .slot_count = MAKERS_MOST * SLOTS_A_MAKER};
    pthread_t makers[MAKERS_MOST];
    struct room *room = NULL;
    line.blocks = (plan->log->series.count + BLOCK_READINGS - 1) / BLOCK_READINGS;
    line.slots = memory_get(line.slot_count * sizeof *line.slots);
    pthread_mutex_init(&line.lock, NULL);
    pthread_cond_init(&line.changed, NULL);
    int started = start_makers(&line, makers);
    if (started == 0)
        room = room_new(plan);
    enum status status = put_all(book, stream, &line, room, request, message);
    pthread_mutex_lock(&line.lock);
    line.stop = true;
    pthread_cond_broadcast(&line.changed);
    pthread_mutex_unlock(&line.lock);
    for (int k = 0; k < started; k++)
        pthread_join(makers[k], NULL);
    if (room != NULL)
        room_free(room);
    for (size_t k = 0; k < line.slot_count; k++)
        ready_free(&line.slots[k].block);
    free(line.slots);
    pthread_cond_destroy(&line.changed);
    pthread_mutex_destroy(&line.lock);
    return status;
}
