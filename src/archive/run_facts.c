#include "archive/run_facts.h"

#include "archive/book_json.h"
#include "book/sample.h"
#include "book/stream.h"

/* The label or rig that held for the run. */
static enum status add_paper(struct book *book, int64_t id, const char *key, json_t *all, struct message *message)
{
    struct document document;
    if (id == 0) {
        json_put(all, key, json_null());
        return STATUS_OK;
    }
    enum status status = document_get(book, id, &document, message);
    if (status != STATUS_OK)
        return status;
    json_t *one = json_object();
    json_put(one, "document", json_integer(id));
    json_put_words(one, "name", document.name);
    json_put(one, "put", utc_json(document.utc_ns));
    json_put_words(one, "text", text_string(&document.text));
    json_put(all, key, one);
    document_free(&document);
    return STATUS_OK;
}

static json_t *column_json(const struct book_column *column, const struct summary *summary)
{
    json_t *one = json_object();
    json_put_words(one, "name", column->name);
    json_put(one, "channel", column->channel < CHANNELS ? json_string(channel_name(column->channel)) : json_null());
    json_put_words(one, "unit", quantity_symbol(column->quantity));
    json_put_words(one, "unit_as_it_came", column->unit_symbol);
    json_put(one, "numbers", json_integer(summary->numbers));
    json_put(one, "min", json_number(summary->min));
    json_put(one, "max", json_number(summary->max));
    return one;
}

static enum status add_stream(struct book *book, const struct book_stream *stream, json_t *all, struct message *message)
{
    struct summary totals[BLOCK_COLUMNS];
    enum status status = stream_totals(book, stream->id, totals, message);
    if (status != STATUS_OK)
        return status;
    json_t *one = json_object(), *columns = json_array();
    for (int c = 0; c < stream->columns; c++)
        json_array_append_new(columns, column_json(&stream->column[c], &totals[c + 1]));
    json_put_words(one, "name", stream->name);
    json_put_words(one, "identity", stream->identity);
    json_put(one, "readings", json_integer(totals[0].count));
    json_put(one, "from_s", json_number(totals[0].first));
    json_put(one, "to_s", json_number(totals[0].last));
    json_put(one, "columns", columns);
    json_array_append_new(all, one);
    return STATUS_OK;
}

static enum status add_streams(struct book *book, int64_t run, json_t *all, struct message *message)
{
    struct book_stream_list streams = {0};
    json_t *items = json_array();
    enum status status = book_streams(book, run, &streams, message);
    for (size_t k = 0; k < streams.count && status == STATUS_OK; k++)
        status = add_stream(book, &streams.items[k], items, message);
    json_put(all, "streams", items);
    book_stream_list_free(&streams);
    return status;
}

static enum status add_events(struct book *book, int64_t run, json_t *all, struct message *message)
{
    struct book_event_list events = {0};
    json_t *items = json_array();
    enum status status = book_events(book, run, &events, message);
    for (size_t k = 0; k < events.count && status == STATUS_OK; k++) {
        const struct book_event *event = &events.items[k];
        json_t *one = json_object();
        json_put_words(one, "kind", event_kind_words[event->kind]);
        json_put(one, "t_s", json_number(event->t_s));
        json_put(one, "until_s", json_number(event->until_s));
        json_put_words(one, "topic", event->topic);
        json_put_words(one, "text", event->text);
        json_array_append_new(items, one);
    }
    json_put(all, "events", items);
    book_event_list_free(&events);
    return status;
}

static enum status add_corrections(struct book *book, int64_t run, json_t *all, struct message *message)
{
    struct correction_list corrections = {0};
    enum status status = book_corrections(book, 0, run, &corrections, message);
    json_put(all, "corrections", corrections_json(&corrections));
    correction_list_free(&corrections);
    return status;
}

enum status run_facts(struct book *book, const struct book_run *run, json_t **ret_facts, struct message *message)
{
    struct book_sample sample;
    enum status status = book_sample_by_id(book, run->sample, &sample, message);
    if (status != STATUS_OK)
        return status;
    json_t *all = run_facts_json(run, sample.name);
    status = add_paper(book, run->label_document, "label", all, message);
    if (status == STATUS_OK)
        status = add_paper(book, run->rig_document, "rig", all, message);
    if (status == STATUS_OK)
        status = add_streams(book, run->id, all, message);
    if (status == STATUS_OK)
        status = add_events(book, run->id, all, message);
    if (status == STATUS_OK)
        status = add_corrections(book, run->id, all, message);
    if (status == STATUS_OK)
        *ret_facts = all;
    else
        json_decref(all);
    return status;
}
