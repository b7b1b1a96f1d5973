#include "archive/stored_parts.h"

#include "base/memory.h"
#include "base/number.h"
#include "book/stream.h"
#include "intake/readings.h"
#include "quantity/join.h"

const char stored_taken_back[] = "taken back";

static bool same(const struct book_event *a, const struct book_event *b)
{
    return a->t_s == b->t_s && strcmp(a->text, b->text) == 0;
}

/* One note for one line: of two alike at one instant the first is gone. */
bool stored_is_taken_back(const struct book_event_list *events, size_t line)
{
    const struct book_event *of = &events->items[line];
    size_t alike = 0, notes = 0;
    for (size_t k = 0; k < events->count && events->items[k].t_s <= of->t_s; k++) {
        const struct book_event *event = &events->items[k];
        alike += k <= line && event->kind == of->kind && same(event, of);
        notes += event->kind == EVENT_NOTE && strcmp(event->topic, stored_taken_back) == 0 && same(event, of);
    }
    return (of->kind == EVENT_LINE || of->kind == EVENT_MARK) && alike <= notes;
}

/* Neighbours further apart than this many periods are not joined: one reading may be lost, a gap is a gap. */
static const double join_within = 3;

/* The streams of a run that have readings. */
struct parts {
    struct book_stream_list streams;
    struct book_event_list events;
    struct series *series; /* one a stream that has readings, in the order of the streams */
    size_t *stream;        /* which each is of */
    size_t count;
};

static void parts_free(struct parts *parts)
{
    for (size_t k = 0; k < parts->count; k++)
        series_free(&parts->series[k]);
    free(parts->series);
    free(parts->stream);
    book_stream_list_free(&parts->streams);
    book_event_list_free(&parts->events);
}

/* So that joining carries nothing across: the interval itself is known. */
static void add_gaps(const struct book_event_list *events, int64_t stream, struct series *series)
{
    for (size_t k = 0; k < events->count; k++) {
        const struct book_event *event = &events->items[k];
        size_t after = 1;
        if (event->kind != EVENT_GAP || (event->stream != 0 && event->stream != stream))
            continue;
        while (after < series->count && series->t_s[after] <= event->t_s)
            after++;
        double s = after < series->count ? series->t_s[after] - series->t_s[after - 1] : 0;
        if (after < series->count)
            series_gap(series, (struct gap){after, s, s, s, "a gap while recording"});
    }
}

static enum status take_parts(struct book *book, int64_t run, struct parts *parts, struct message *message)
{
    enum status status = book_events(book, run, &parts->events, message);
    if (status == STATUS_OK)
        status = book_streams(book, run, &parts->streams, message);
    parts->series = memory_get((parts->streams.count + 1) * sizeof *parts->series);
    parts->stream = memory_get((parts->streams.count + 1) * sizeof *parts->stream);
    for (size_t k = 0; k < parts->streams.count && status == STATUS_OK; k++) {
        struct series *series = &parts->series[parts->count];
        status = stream_series(book, &parts->streams.items[k], series, message);
        if (status == STATUS_OK && series->count > 0) {
            add_gaps(&parts->events, parts->streams.items[k].id, series);
            parts->stream[parts->count++] = k;
        } else if (status == STATUS_OK) {
            series_free(series);
        }
    }
    return status;
}

static const char *stream_name(const struct parts *parts, int64_t id)
{
    for (size_t k = 0; k < parts->streams.count; k++)
        if (parts->streams.items[k].id == id)
            return parts->streams.items[k].name;
    return "any instrument";
}

/* One choice a channel that an instrument delivered, and the clock. */
static void say_columns(const struct parts *parts, struct log *log)
{
    size_t most = 1;
    for (size_t k = 0; k < parts->streams.count; k++)
        most += (size_t)parts->streams.items[k].columns;
    log->columns = memory_get(most * sizeof *log->columns);
    log->columns[0] = (struct column_choice){.number = 1, .header = "time", .role = COLUMN_TIME, .unit = "s",
                                             .factor = 1, .why = "seconds of the recorder's clock"};
    log->column_count = 1;
    bool given[CHANNELS] = {false};
    for (size_t k = 0; k < parts->streams.count; k++) {
        const struct book_stream *stream = &parts->streams.items[k];
        for (int c = 0; c < stream->columns; c++) {
            const struct book_column *column = &stream->column[c];
            struct column_choice *choice = &log->columns[log->column_count++];
            bool taken = column->channel < CHANNELS && !given[column->channel] && log->series.column[column->channel] != NULL;
            *choice = (struct column_choice){.number = (int)log->column_count, .factor = column->unit.factor};
            choice->role = taken ? COLUMN_CHANNEL : COLUMN_UNUSED;
            choice->channel = taken ? column->channel : 0;
            snprintf(choice->header, sizeof choice->header, "%s", column->name);
            snprintf(choice->unit, sizeof choice->unit, "%s", column->unit_symbol);
            snprintf(choice->why, sizeof choice->why, "%s %s", taken ? "recorded from" : "not used: kept from", stream->name);
            if (taken)
                given[column->channel] = true;
        }
    }
}

static void say_events(const struct parts *parts, struct log *log)
{
    for (size_t k = 0; k < parts->events.count; k++) {
        const struct book_event *event = &parts->events.items[k];
        char from[32], until[32];
        if (stored_is_taken_back(&parts->events, k))
            continue;
        struct text typed = TEXT_EMPTY;
        number_print_duration(event->t_s, from, sizeof from);
        number_print_duration(event->until_s, until, sizeof until);
        switch (event->kind) {
        case EVENT_MARK: series_mark(&log->series, event->t_s, event->text, 0); break;
        case EVENT_LINE:
            text_addf(&typed, "typed: %s", event->text);
            series_mark(&log->series, event->t_s, text_string(&typed), 0);
            break;
        case EVENT_GAP:
            notices_add(&log->notices, "gap", 0, "From %s to %s nothing came from %s: %s.", from,
                        isnan(event->until_s) ? "the end" : until, stream_name(parts, event->stream), event->text);
            break;
        default: break;
        }
        text_free(&typed);
    }
}

static void finish(const struct parts *parts, const struct book_run *run, struct log *log)
{
    struct series *series = &log->series;
    free(series->gaps); /* the clock had none: they are told as notices */
    series->gaps = NULL;
    series->gap_count = series->gap_capacity = 0;
    series->start_utc_s = run->start_utc_s;
    series->zone_known = run->zone_known;
    log->sign = SIGN_DISCHARGE_POSITIVE; /* the rig's channels are so */
    log->rows = (long)series->count;
    log->invented = run->invented;
    log->decimal = '.';
    for (int c = 0; c < CHANNELS; c++)
        for (size_t k = 0; series->column[c] != NULL && k < series->count; k++)
            log->missing_cells += isnan(series->column[c][k]);
    say_columns(parts, log);
    say_events(parts, log);
    if (run->open)
        notices_add(&log->notices, "run", 0, "This run is still open: it is being recorded, or a crash ended it.");
}

/* Lines typed while nothing but the tester read the meters. */
static enum status take_lines(const struct parts *parts, struct stored *stored, struct message *message)
{
    struct text typed = TEXT_EMPTY;
    static const char *const kinds[TEST_KINDS] = {[TEST_DISCHARGE] = "discharge", [TEST_CHARGE] = "charge", [TEST_REST] = "rest"};
    const struct book_run *run = &stored->run;
    size_t lines = 0;
    text_addf(&typed, "times: elapsed\n%s", run->invented ? "invented: yes\n" : "");
    if (kinds[run->kind] != NULL)
        text_addf(&typed, "kind: %s\n", kinds[run->kind]);
    for (size_t k = 0; k < parts->events.count; k++) {
        const struct book_event *event = &parts->events.items[k];
        long s = lround(fmax(0, fmin(event->t_s, 1e9)));
        if ((event->kind != EVENT_LINE && event->kind != EVENT_MARK) || stored_is_taken_back(&parts->events, k))
            continue;
        lines += event->kind == EVENT_LINE;
        text_addf(&typed, "%ld:%02ld:%02ld  %s\n", s / 3600, s / 60 % 60, s % 60, event->text);
    }
    enum status status;
    if (lines == 0) {
        status_fail(message, STATUS_UNREADABLE, "this run holds no readings");
        status = status_at(message, stored->log.path, 0, 0);
    } else {
        status = readings_read_text(stored->log.path, (struct span){typed.s, typed.length}, &stored->sightings,
                                    &stored->notices, message);
    }
    text_free(&typed);
    stored->by_eye = status == STATUS_OK;
    if (stored->by_eye) {
        stored->sightings.start_utc_s = run->start_utc_s;
        stored->sightings.zone_known = run->zone_known;
    }
    return status;
}

enum status stored_typed(struct book *book, int64_t run, struct sightings *ret_typed, struct message *message)
{
    static const struct readings_form form = {.times = TIMES_ELAPSED, .had = HAD_SEEN};
    struct book_event_list events = {0};
    struct sightings typed = {0};
    struct notices notices = {0};
    enum status status = book_events(book, run, &events, message);
    for (size_t k = 0; k < events.count && status == STATUS_OK; k++) {
        const struct book_event *event = &events.items[k];
        struct instant instant = {0};
        if ((event->kind != EVENT_LINE && event->kind != EVENT_MARK) || stored_is_taken_back(&events, k))
            continue;
        status = readings_line(&form, "typed", 1, span_of(event->text), &instant, &notices, message);
        if (status != STATUS_OK)
            break;
        instant.t_s = event->t_s;
        typed.instants = memory_grow(typed.instants, typed.count, &typed.capacity);
        typed.instants[typed.count++] = instant;
    }
    notices_free(&notices);
    book_event_list_free(&events);
    if (status == STATUS_OK)
        *ret_typed = typed;
    else
        sightings_free(&typed);
    return status;
}

enum status stored_read_recorded(struct book *book, const struct book_run *run, struct stored *stored,
                                 struct message *message)
{
    struct parts parts = {0};
    enum status status = take_parts(book, run->id, &parts, message);
    if (status == STATUS_OK && parts.count == 0)
        status = take_lines(&parts, stored, message);
    else if (status == STATUS_OK && parts.count == 1)
        stored->log.series = parts.series[--parts.count];
    else if (status == STATUS_OK)
        status = series_join(parts.series, parts.count, join_within, &stored->log.series, &stored->skew_s, message);
    if (status == STATUS_OK && !stored->by_eye)
        finish(&parts, run, &stored->log);
    else if (status != STATUS_OK && message != NULL && message->file[0] == '\0')
        status_at(message, stored->log.path, 0, 0);
    parts_free(&parts);
    return status;
}
