/* What the recorder holds goes into the book: all of it in one transaction, or none. */
#include "bench/recorder_parts.h"

#include "base/memory.h"

static const double second_ns = 1e9, say_again_s = 60;

/* Another program that writes for a second is no reason for alarm. */
enum { REFUSED_BEFORE_SAID = 2 };

size_t recorder_cells_left(const struct recorder *recorder)
{
    size_t held = 0;
    for (size_t k = 0; k < recorder->links.count; k++)
        held += held_cells(&recorder->sources[k].held);
    size_t most = recorder->request.held_cells > 0 ? recorder->request.held_cells : HELD_CELLS_AT_MOST;
    return most > held ? most - held : 0;
}

static struct book_stream stream_of(const struct recorder *recorder, const struct recorder_source *source)
{
    const struct link *link = source->link;
    struct book_stream stream = {.run = recorder->run, .columns = link->channel_count};
    snprintf(stream.name, sizeof stream.name, "%s", link->name);
    snprintf(stream.identity, sizeof stream.identity, "%s", source->identity);
    for (int c = 0; c < link->channel_count; c++) {
        const struct link_channel *channel = &link->channels[c];
        struct book_column *column = &stream.column[c];
        *column = (struct book_column){
            .channel = channel->channel, .quantity = channel->quantity, .unit = channel->unit};
        snprintf(column->name, sizeof column->name, "%s", channel->name);
        snprintf(column->unit_symbol, sizeof column->unit_symbol, "%s", channel->unit_symbol);
        if (channel->channel != CHANNELS)
            column->resolution = recorder->rig.of[channel->channel].resolution;
    }
    return stream;
}

static enum status put_readings(struct recorder *recorder, struct recorder_source *source, int64_t *stream,
                                struct message *message)
{
    enum status status = STATUS_OK;
    if (*stream == 0) {
        struct book_stream fresh = stream_of(recorder, source);
        status = stream_add(recorder->book, &fresh, stream, message);
    }
    for (size_t from = 0; from < source->held.count && status == STATUS_OK; from += BLOCK_READINGS) {
        struct block_columns block = held_block(&source->held, from, &recorder->odd);
        status = stream_append(recorder->book, *stream, &block, message);
    }
    return status;
}

void recorder_tie_topic(const struct recorder_source *source, char *topic, size_t size)
{
    snprintf(topic, size, "tie of %s", source->link->name);
}

/* So that a resumed run stamps an instrument's own time as before. */
static enum status put_tie(struct recorder *recorder, const struct recorder_source *source,
                           struct message *message)
{
    char topic[96], tie[48];
    recorder_tie_topic(source, topic, sizeof topic);
    int length = snprintf(tie, sizeof tie, "%.6f", source->timeline.tie_s);
    return book_run_text_put(recorder->book, recorder->run, topic, (struct span){tie, (size_t)length},
                             message);
}

static bool has_new_tie(const struct recorder_source *source)
{
    return source->timeline.tied && source->timeline.tie_s != source->kept_tie_s;
}

static enum status put_events(struct recorder *recorder, const int64_t *streams, struct message *message)
{
    enum status status = STATUS_OK;
    for (size_t k = 0; k < recorder->event_count && status == STATUS_OK; k++) {
        struct book_event event = recorder->events[k].event;
        if (recorder->events[k].source != NULL)
            event.stream = streams[recorder->events[k].source - recorder->sources];
        status = book_event_add(recorder->book, recorder->run, &event, message);
    }
    return status;
}

static enum status put_all(struct recorder *recorder, int64_t *streams, struct message *message)
{
    enum status status = book_begin(recorder->book, message);
    if (status != STATUS_OK)
        return status;
    for (size_t k = 0; k < recorder->links.count && status == STATUS_OK; k++) {
        streams[k] = recorder->sources[k].stream;
        if (recorder->sources[k].held.count > 0)
            status = put_readings(recorder, &recorder->sources[k], &streams[k], message);
        if (status == STATUS_OK && has_new_tie(&recorder->sources[k]))
            status = put_tie(recorder, &recorder->sources[k], message);
    }
    if (status == STATUS_OK)
        status = put_events(recorder, streams, message);
    if (status == STATUS_OK)
        return book_commit(recorder->book, message);
    book_rollback(recorder->book);
    return status;
}

enum status recorder_commit(struct recorder *recorder, struct message *message)
{
    if (isnan(recorder->waiting_since_s))
        return STATUS_OK;
    int64_t *streams = memory_get((recorder->links.count + 1) * sizeof *streams);
    enum status status = put_all(recorder, streams, message);
    for (size_t k = 0; k < recorder->links.count && status == STATUS_OK; k++) {
        recorder->sources[k].stream = streams[k];
        if (recorder->sources[k].timeline.tied)
            recorder->sources[k].kept_tie_s = recorder->sources[k].timeline.tie_s;
        held_clear(&recorder->sources[k].held);
    }
    free(streams);
    if (status != STATUS_OK)
        return status;
    for (size_t k = 0; k < recorder->event_count; k++)
        free(recorder->events[k].event.text);
    recorder->event_count = 0;
    recorder->waiting_since_s = NAN;
    return STATUS_OK;
}

static void tell_trouble(struct recorder *recorder, const struct message *trouble)
{
    int64_t now = recorder->clock.now_ns(recorder->clock.context);
    bool again =
        (double)(now - recorder->said_unwritable_ns) > say_again_s * second_ns * recorder->clock.rate;
    if (recorder->said_unwritable ? !again : recorder->refused < REFUSED_BEFORE_SAID)
        return;
    recorder->said_unwritable = true;
    recorder->said_unwritable_ns = now;
    struct call call =
        call_make(CALL_DISK, recorder_now_s(recorder), true,
                  "The book cannot be written (%.120s): %zu readings are held in memory and tried again.",
                  trouble->what, recorder_held(recorder));
    recorder_call(recorder, &call);
}

/* What memory did not hold shows in the book as a gap. */
void recorder_note_losses(struct recorder *recorder)
{
    for (size_t k = 0; k < recorder->links.count; k++) {
        struct recorder_source *source = &recorder->sources[k];
        if (source->lost == 0)
            continue;
        recorder_event(recorder, EVENT_GAP, source, source->lost_from_s, source->lost_until_s, "not held",
                       "%zu readings came while the book could not be written and memory was full",
                       source->lost);
        source->lost = 0;
    }
    if (recorder->events_lost > 0)
        recorder_event(recorder, EVENT_NOTE, NULL, recorder_now_s(recorder), NAN, "not held",
                       "%zu marks and calls came while the book could not be written", recorder->events_lost);
    recorder->events_lost = 0;
}

static bool block_is_full(const struct recorder *recorder)
{
    for (size_t k = 0; k < recorder->links.count; k++)
        if (recorder->sources[k].held.count >= BLOCK_READINGS)
            return true;
    return recorder->event_count >= RECORDER_EVENTS / 2;
}

void recorder_commit_due(struct recorder *recorder)
{
    int64_t now = recorder->clock.now_ns(recorder->clock.context);
    if (now < recorder->commit_due_ns && (recorder->refused > 0 || !block_is_full(recorder)))
        return;
    double every_s = recorder->request.commit_s > 0 ? recorder->request.commit_s : 1;
    recorder->commit_due_ns = now + (int64_t)(every_s * second_ns * recorder->clock.rate);
    struct message trouble = {0};
    if (recorder_commit(recorder, &trouble) != STATUS_OK) {
        recorder->refused++;
        tell_trouble(recorder, &trouble);
        return;
    }
    bool said = recorder->said_unwritable;
    recorder->refused = 0;
    recorder->said_unwritable = false;
    recorder_note_losses(recorder);
    if (!said)
        return;
    struct call call = call_make(CALL_DISK, recorder_now_s(recorder), false,
                                 "The book can be written again; what was held is in it.");
    recorder_call(recorder, &call);
}
