#include "cli/run_words.h"

#include "archive/book_json.h"
#include "archive/run_facts.h"
#include "base/number.h"
#include "book/stream.h"
#include "cli/desk.h"
#include "cli/sample_words.h"
#include "cli/table_text.h"

/* The samples stand in the order of their numbers. */
static const char *name_of(const struct book_sample_list *samples, int64_t id)
{
    size_t from = 0, to = samples->count;
    while (from < to) {
        size_t middle = from + (to - from) / 2;
        if (samples->items[middle].id < id)
            from = middle + 1;
        else
            to = middle;
    }
    return from < samples->count && samples->items[from].id == id ? samples->items[from].name : "";
}

static void start_words(const struct book_run *run, char buffer[static DESK_TIME])
{
    desk_time(run->start_utc_s, run->zone_known, buffer);
    if (buffer[0] == '\0')
        snprintf(buffer, DESK_TIME, "start unknown");
}

void run_list_words(const struct book_run_list *runs, const struct book_sample_list *samples, int indent,
                    struct text *text)
{
    struct listing listing = listing_of(7);
    for (size_t k = 0; k < runs->count; k++) {
        const struct book_run *run = &runs->items[k];
        char start[DESK_TIME], length[32] = "";
        start_words(run, start);
        if (isfinite(run->end_s))
            number_print_duration(run->end_s, length, sizeof length);
        listing_add(&listing, "%lld", (long long)run->id);
        listing_add(&listing, "%s", start);
        listing_add(&listing, "%s", test_kind_words[run->kind]);
        listing_add(&listing, "%s", length);
        listing_add(&listing, "%s", samples != NULL ? name_of(samples, run->sample) : "");
        listing_add(&listing, "%s", run->name);
        listing_add(&listing, "%s%s%s", run->open ? "open" : "", run->open && run->invented ? ", " : "",
                    run->invented ? "invented" : "");
    }
    table_text(&listing, indent, text);
    listing_free(&listing);
}

json_t *run_list_json(const struct book_run_list *runs, const struct book_sample_list *samples)
{
    json_t *items = json_array();
    for (size_t k = 0; k < runs->count; k++)
        json_array_append_new(items, run_facts_json(&runs->items[k],
                                                    samples != NULL ? name_of(samples, runs->items[k].sample) : NULL));
    return items;
}

static void paper_words(const struct document *document, struct text *text)
{
    char time[DESK_TIME];
    desk_time((double)document->utc_ns / 1e9, false, time);
    bool named = strcmp(document->name, document_kind_words[document->kind]) != 0;
    text_addf(text, "%s%s%s, of %s\n", document_kind_words[document->kind], named ? " " : "",
              named ? document->name : "", time);
}

/* The label or rig that held for the run. */
static enum status add_paper(struct book *book, int64_t id, struct text *text, struct message *message)
{
    struct document document;
    if (id == 0)
        return STATUS_OK;
    enum status status = document_get(book, id, &document, message);
    if (status != STATUS_OK)
        return status;
    paper_words(&document, text);
    document_free(&document);
    return STATUS_OK;
}

static void add_range(struct listing *listing, const char *name, const char *symbol, const struct summary *summary)
{
    char least[64] = "", most[64] = "";
    if (summary->numbers > 0) {
        number_print(summary->min, NAN, least, sizeof least);
        number_print(summary->max, NAN, most, sizeof most);
    }
    listing_add(listing, "%s", name);
    listing_add(listing, "%lld number%s", (long long)summary->numbers, summary->numbers == 1 ? "" : "s");
    if (summary->numbers > 0)
        listing_add(listing, "%s to %s %s", least, most, symbol);
    else
        listing_add(listing, "%s", "");
}

static enum status add_stream(struct book *book, const struct book_stream *stream, struct text *text,
                              struct message *message)
{
    struct summary totals[BLOCK_COLUMNS];
    enum status status = stream_totals(book, stream->id, totals, message);
    if (status != STATUS_OK)
        return status;
    struct listing listing = listing_of(3);
    for (int c = 0; c < stream->columns; c++)
        add_range(&listing, stream->column[c].name, quantity_symbol(stream->column[c].quantity), &totals[c + 1]);
    text_addf(text, "\n%s%s%s: %lld reading%s\n", stream->name, stream->identity[0] != '\0' ? ", " : "",
              stream->identity, (long long)totals[0].count, totals[0].count == 1 ? "" : "s");
    table_text(&listing, 2, text);
    listing_free(&listing);
    return STATUS_OK;
}

static enum status add_streams(struct book *book, int64_t run, struct text *text, struct message *message)
{
    struct book_stream_list streams = {0};
    enum status status = book_streams(book, run, &streams, message);
    for (size_t k = 0; k < streams.count && status == STATUS_OK; k++)
        status = add_stream(book, &streams.items[k], text, message);
    book_stream_list_free(&streams);
    return status;
}

static void event_words(const struct book_event *event, struct listing *listing)
{
    char from[32], until[32] = "";
    number_print_duration(event->t_s, from, sizeof from);
    if (isfinite(event->until_s))
        number_print_duration(event->until_s, until, sizeof until);
    listing_add(listing, "%s%s%s", from, until[0] != '\0' ? " to " : "", until);
    listing_add(listing, "%s", event->topic[0] != '\0' ? event->topic : event_kind_words[event->kind]);
    listing_add(listing, "%s", event->text);
}

static enum status add_events(struct book *book, int64_t run, struct text *text, struct message *message)
{
    struct book_event_list events = {0};
    struct listing listing = listing_of(3);
    enum status status = book_events(book, run, &events, message);
    for (size_t k = 0; k < events.count && status == STATUS_OK; k++)
        event_words(&events.items[k], &listing);
    if (events.count > 0)
        text_add(text, "\nWhat happened\n");
    table_text(&listing, 2, text);
    listing_free(&listing);
    book_event_list_free(&events);
    return status;
}

static enum status show_parts(struct book *book, const struct book_run *run, struct text *text, struct message *message)
{
    struct correction_list corrections = {0};
    enum status status = add_paper(book, run->label_document, text, message);
    if (status == STATUS_OK)
        status = add_paper(book, run->rig_document, text, message);
    if (status == STATUS_OK)
        status = add_streams(book, run->id, text, message);
    if (status == STATUS_OK)
        status = add_events(book, run->id, text, message);
    if (status == STATUS_OK)
        status = book_corrections(book, 0, run->id, &corrections, message);
    corrections_words(&corrections, text);
    correction_list_free(&corrections);
    return status;
}

static void head_words(const struct book_run *run, const struct book_sample *sample, struct text *text)
{
    char start[DESK_TIME], length[32] = "no readings";
    start_words(run, start);
    if (isfinite(run->end_s))
        number_print_duration(run->end_s, length, sizeof length);
    text_addf(text, "run %lld of %s: %s%s\n%s, %s, %s%s\n", (long long)run->id, sample->name, run->name,
              run->invented ? " (invented)" : "", test_kind_words[run->kind], test_origin_words[run->origin], length,
              run->open ? ", open: it is being recorded, or was cut off (`rundown record --resume`)" : "");
    text_addf(text, "%s%s\n", start, isnan(run->start_utc_s) || run->zone_known ? "" : " by a local clock");
}

static enum status show_json(struct book *book, const struct book_run *run, struct text *text, struct message *message)
{
    json_t *all;
    enum status status = run_facts(book, run, &all, message);
    if (status != STATUS_OK)
        return status;
    json_add_text(all, false, text);
    text_add(text, "\n");
    json_decref(all);
    return STATUS_OK;
}

enum status run_show_text(struct book *book, const struct book_run *run, bool json, struct text *text,
                          struct message *message)
{
    struct book_sample sample;
    struct text words = TEXT_EMPTY;
    if (json)
        return show_json(book, run, text, message);
    enum status status = book_sample_by_id(book, run->sample, &sample, message);
    if (status != STATUS_OK)
        return status;
    head_words(run, &sample, &words);
    status = show_parts(book, run, &words, message);
    if (status == STATUS_OK)
        text_add(text, text_string(&words));
    text_free(&words);
    return status;
}
