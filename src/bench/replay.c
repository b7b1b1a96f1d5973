#include "bench/replay.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "base/number.h"
#include "book/stream.h"

static const double second_ns = 1e9;

/* How a stored cell becomes one of the link: other decimals, other sign. */
struct turn {
    int column; /* of the stream; from 1 */
    int decimals;
    bool negate;
};

struct replay {
    const struct link *link;
    const struct clock *clock;
    char book_path[256];
    int64_t run;
    struct book *book;
    struct book_stream stream;
    struct turn turns[LINK_CHANNELS];
    struct decimal *cells[BLOCK_COLUMNS]; /* of one block, time first */
    size_t count, at;
    struct text odd;
    const char *odd_next;
    double last_s;  /* time of the last reading loaded; -INFINITY before */
    size_t at_last; /* readings of that same time loaded */
    size_t skipped; /* of these, passed over again in this walk */
    bool began;
    int64_t zero_ns; /* clock at which the run's time 0 is */
};

static enum status prepare(const struct link *link, const struct clock *clock, void **ret_state,
                           struct message *message)
{
    const char *colon = strrchr(link->address, ':');
    double run = 0;
    if (colon == NULL || colon == link->address || !number_is(span_of(colon + 1), '.', &run) || run < 1 ||
        run != floor(run) || run > 1e15) {
        link_fault(link, NULL, NULL, message, "[%s]: '%s' names no run of a book", link->name, link->address);
        return status_remedy(message,
                             "write `address = workshop.book:12`, the book and the number of its run");
    }
    if (link->channel_count == 0) {
        link_fault(link, NULL, NULL, message, "[%s] replays no channel", link->name);
        return status_remedy(message, "add `voltage from = voltage` and the like");
    }
    struct replay *replay = memory_get(sizeof *replay);
    replay->link = link;
    replay->clock = clock;
    replay->run = (int64_t)run;
    span_copy((struct span){link->address, (size_t)(colon - link->address)}, replay->book_path,
              sizeof replay->book_path);
    *ret_state = replay;
    return STATUS_OK;
}

static enum status choose_stream(struct replay *replay, struct message *message)
{
    const struct link_setting *wanted = link_setting(replay->link, "stream", NULL);
    struct book_stream_list list = {0};
    enum status status = book_streams(replay->book, replay->run, &list, message);
    if (status != STATUS_OK)
        return status;
    struct text names = TEXT_EMPTY;
    size_t found = list.count;
    for (size_t k = 0; k < list.count; k++) {
        text_addf(&names, "%s%s", k > 0 ? ", " : "", list.items[k].name);
        if (wanted != NULL ? name_alike(span_of(wanted->value), list.items[k].name) : list.count == 1)
            found = k;
    }
    if (found < list.count) {
        replay->stream = list.items[found];
    } else {
        link_fault(replay->link, wanted, NULL, message, "[%s]: run %lld holds %zu streams: %s",
                   replay->link->name, (long long)replay->run, list.count, text_string(&names));
        status = status_remedy(message, list.count == 0 ? "name a run that holds readings"
                                                        : "say which with `stream = NAME`");
    }
    text_free(&names);
    book_stream_list_free(&list);
    return status;
}

static int find_column(const struct replay *replay, const char *source)
{
    double place;
    if (strncmp(source, "column ", 7) == 0 && number_is(span_of(source + 7), '.', &place) && place >= 1 &&
        place <= replay->stream.columns && place == floor(place))
        return (int)place;
    for (int c = 0; c < replay->stream.columns; c++)
        if (name_alike(span_of(source), replay->stream.column[c].name))
            return c + 1;
    return 0;
}

static enum status fault_at(const struct replay *replay, const struct link_channel *channel,
                            struct message *message, const char *what, const char *remedy)
{
    link_fault(replay->link, NULL, channel, message, "[%s]: %s", replay->link->name, what);
    return status_remedy(message, "%s", remedy);
}

static enum status set_turn(const struct replay *replay, const struct link_channel *channel,
                            struct turn *ret_turn, struct message *message)
{
    char text[320], remedy[160];
    int at = find_column(replay, channel->source);
    if (at == 0) {
        snprintf(text, sizeof text, "run %lld has no column '%s'", (long long)replay->run, channel->source);
        snprintf(remedy, sizeof remedy, "its first is called '%s'", replay->stream.column[0].name);
        return fault_at(replay, channel, message, text, remedy);
    }
    const struct book_column *column = &replay->stream.column[at - 1];
    double tens = log10(fabs(column->unit.factor / channel->unit.factor));
    if (column->unit.quantity != channel->unit.quantity || fabs(tens - round(tens)) > 1e-9 ||
        column->unit.shift != 0 || channel->unit.shift != 0) {
        if (column->unit.quantity == channel->unit.quantity && column->unit.factor == channel->unit.factor &&
            column->unit.shift == channel->unit.shift) {
            *ret_turn = (struct turn){at, 0, false}; /* °F as °F */
            return STATUS_OK;
        }
        snprintf(text, sizeof text, "column '%s' is stored in %s", column->name, column->unit_symbol);
        snprintf(remedy, sizeof remedy, "write `%s from = %s in %s`", channel->name, channel->source,
                 column->unit_symbol);
        return fault_at(replay, channel, message, text, remedy);
    }
    *ret_turn = (struct turn){at, -(int)lround(tens), column->unit.factor / channel->unit.factor < 0};
    return STATUS_OK;
}

static void let_go(struct replay *replay)
{
    book_close(replay->book);
    replay->book = NULL;
}

static enum status connect_replay(void *state, char *ret_identity, struct message *message)
{
    struct replay *replay = state;
    struct book_options options = {.access = BOOK_READ};
    let_go(replay);
    enum status status = book_open(replay->book_path, &options, &replay->book, message);
    if (status == STATUS_OK)
        status = choose_stream(replay, message);
    for (int c = 0; c < replay->link->channel_count && status == STATUS_OK; c++)
        status = set_turn(replay, &replay->link->channels[c], &replay->turns[c], message);
    for (int c = 0; c <= replay->stream.columns && status == STATUS_OK; c++)
        if (replay->cells[c] == NULL)
            replay->cells[c] = memory_get(BLOCK_READINGS * sizeof *replay->cells[c]);
    if (status != STATUS_OK) {
        let_go(replay);
        return status;
    }
    snprintf(ret_identity, 128, "replay of run %lld, %s", (long long)replay->run, replay->stream.name);
    replay->last_s = -INFINITY;
    replay->at_last = replay->count = replay->at = 0;
    replay->began = false;
    return STATUS_OK;
}

static const char *line_after(const char *text)
{
    const char *end = strchr(text, '\n');
    return end != NULL ? end + 1 : text + strlen(text);
}

/* Copies the first readings that have not been loaded yet. Equal times are told apart by their count. */
static bool load(void *context, const struct block_columns *block)
{
    struct replay *replay = context;
    size_t from = 0;
    const char *odd = block->odd != NULL ? block->odd : "";
    for (; from < block->count; from++) {
        double t_s = decimal_value(block->cells[0][from]);
        if (t_s > replay->last_s || (t_s == replay->last_s && replay->skipped++ >= replay->at_last))
            break;
        for (int c = 1; c < block->columns; c++)
            odd = block->cells[c][from].kind == DECIMAL_ODD ? line_after(odd) : odd;
    }
    if (from == block->count)
        return true;
    replay->count = block->count - from;
    for (int c = 0; c < block->columns; c++)
        memcpy(replay->cells[c], block->cells[c] + from, replay->count * sizeof **replay->cells);
    replay->odd.length = 0;
    text_add(&replay->odd, odd);
    double last_s = decimal_value(replay->cells[0][replay->count - 1]);
    size_t same = 0;
    while (same < replay->count && decimal_value(replay->cells[0][replay->count - 1 - same]) == last_s)
        same++;
    replay->at_last = last_s == replay->last_s ? replay->at_last + same : same;
    replay->last_s = last_s;
    return false;
}

static enum status load_more(struct replay *replay, struct message *message)
{
    replay->count = replay->at = replay->skipped = 0;
    enum status status =
        stream_walk(replay->book, replay->stream.id, replay->last_s, INFINITY, load, replay, message);
    replay->odd_next = text_string(&replay->odd);
    return status;
}

static struct decimal turned(struct decimal cell, const struct turn *turn)
{
    if (cell.kind != DECIMAL_NUMBER && cell.kind != DECIMAL_NEGATIVE_ZERO)
        return cell;
    cell.decimals = (int8_t)(cell.decimals + turn->decimals);
    if (turn->negate && cell.kind == DECIMAL_NUMBER && cell.mantissa != 0)
        cell.mantissa = -cell.mantissa;
    return cell;
}

static void hand_over(struct replay *replay, int64_t due_ns, struct arrival *ret_arrival)
{
    *ret_arrival = (struct arrival){.at_ns = due_ns};
    if (replay->link->own_time)
        ret_arrival->time = replay->cells[0][replay->at];
    for (int c = 1; c <= replay->stream.columns; c++) { /* texts of odd cells stand in the stream's order */
        if (replay->cells[c][replay->at].kind != DECIMAL_ODD)
            continue;
        const char *next = line_after(replay->odd_next);
        size_t length = (size_t)(next - replay->odd_next);
        if (ret_arrival->odd[0] == '\0' && length > 1)
            span_copy((struct span){replay->odd_next, length - 1}, ret_arrival->odd, sizeof ret_arrival->odd);
        replay->odd_next = next;
    }
    for (int k = 0; k < replay->link->channel_count; k++)
        ret_arrival->cells[k] = turned(replay->cells[replay->turns[k].column][replay->at], &replay->turns[k]);
    replay->at++;
}

static enum heard hear(void *state, double timeout_s, struct arrival *ret_arrival, struct message *message)
{
    struct replay *replay = state;
    const struct clock *clock = replay->clock;
    if (replay->at == replay->count && load_more(replay, message) != STATUS_OK)
        return HEARD_LOST;
    if (replay->count == 0) {
        status_fail(message, STATUS_OK, "run %lld is at its end", (long long)replay->run);
        return HEARD_END;
    }
    int64_t t_ns = llround(decimal_value(replay->cells[0][replay->at]) * second_ns);
    int64_t now = clock->now_ns(clock->context);
    if (!replay->began)
        replay->zero_ns = now - t_ns;
    replay->began = true;
    int64_t due = replay->zero_ns + t_ns, until = now + (int64_t)(timeout_s * second_ns);
    if (due > now)
        clock->wait_ns(clock->context, due < until ? due : until);
    if (due > until && due > clock->now_ns(clock->context))
        return HEARD_NOTHING;
    hand_over(replay, due, ret_arrival);
    return HEARD_READING;
}

static void disconnect(void *state)
{
    let_go(state);
}

static void free_replay(void *state)
{
    struct replay *replay = state;
    let_go(replay);
    for (int c = 0; c < BLOCK_COLUMNS; c++)
        free(replay->cells[c]);
    text_free(&replay->odd);
    free(replay);
}

const struct driver driver_replay = {
    "replay",    "a run of a book speaks again (docs/recording.md)",
    prepare,     connect_replay,
    hear,        disconnect,
    free_replay,
};
