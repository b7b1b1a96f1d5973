#include "cli/sample_words.h"

#include "book/picture.h"
#include "book/teardown.h"
#include "cli/desk.h"
#include "cli/run_words.h"
#include "cli/table_text.h"

json_t *utc_json(int64_t utc_ns)
{
    char time[DESK_TIME];
    desk_time((double)utc_ns / 1e9, true, time);
    if (time[0] != '\0')
        time[10] = 'T';
    return time[0] != '\0' ? json_string(time) : json_null();
}

static json_t *sample_json(const struct book_sample *sample)
{
    json_t *one = json_object();
    json_put(one, "sample", json_integer(sample->id));
    json_put_words(one, "name", sample->name);
    json_put(one, "invented", json_boolean(sample->invented));
    json_put(one, "added", utc_json(sample->added_utc_ns));
    json_put(one, "run_count", json_integer(sample->runs));
    return one;
}

static void list_words(const struct book_sample_list *list, struct text *text)
{
    struct listing listing = listing_of(4);
    for (size_t k = 0; k < list->count; k++) {
        char added[DESK_TIME];
        desk_time((double)list->items[k].added_utc_ns / 1e9, false, added);
        listing_add(&listing, "%s", list->items[k].name);
        listing_add(&listing, "%d run%s", list->items[k].runs, list->items[k].runs == 1 ? "" : "s");
        listing_add(&listing, "added %.10s", added);
        listing_add(&listing, "%s", list->items[k].invented ? "invented" : "");
    }
    table_text(&listing, 0, text);
    listing_free(&listing);
}

static void finish_json(json_t *all, struct text *text)
{
    json_add_text(all, false, text);
    text_add(text, "\n");
    json_decref(all);
}

void sample_list_text(const struct book_sample_list *list, bool json, struct text *text)
{
    if (!json) {
        list_words(list, text);
        return;
    }
    json_t *all = json_object(), *items = json_array();
    for (size_t k = 0; k < list->count; k++)
        json_array_append_new(items, sample_json(&list->items[k]));
    json_put(all, "samples", items);
    finish_json(all, text);
}

void corrections_words(const struct correction_list *list, struct text *text)
{
    for (size_t k = 0; k < list->count; k++) {
        const struct correction *one = &list->items[k];
        char time[DESK_TIME];
        desk_time((double)one->utc_ns / 1e9, false, time);
        text_addf(text, "%s%s  %s: '%s' became '%s'\n", k == 0 ? "\nCorrected\n  " : "  ", time, one->field, one->before,
                  one->after);
    }
}

json_t *corrections_json(const struct correction_list *list)
{
    json_t *items = json_array();
    for (size_t k = 0; k < list->count; k++) {
        json_t *one = json_object();
        json_put_words(one, "field", list->items[k].field);
        json_put_words(one, "before", list->items[k].before);
        json_put_words(one, "after", list->items[k].after);
        json_put(one, "when", utc_json(list->items[k].utc_ns));
        json_array_append_new(items, one);
    }
    return items;
}

static void document_words(const struct document *document, size_t versions, struct text *text)
{
    char time[DESK_TIME];
    desk_time((double)document->utc_ns / 1e9, false, time);
    bool named = strcmp(document->name, document_kind_words[document->kind]) != 0;
    text_addf(text, "\n%s%s%s, of %s", document_kind_words[document->kind], named ? " " : "",
              named ? document->name : "", time);
    if (versions > 1)
        text_addf(text, ", version %zu", versions);
    text_add(text, "\n");
    const char *line = text_string(&document->text), *end = line + document->text.length;
    while (line < end) {
        size_t n = strcspn(line, "\r\n");
        text_add(text, "    ");
        text_add_bytes(text, line, n);
        text_add(text, "\n");
        line += n;
        line += line < end && line[0] == '\r' && line[1] == '\n';
        line += line < end;
    }
}

static json_t *document_json(const struct document *document)
{
    json_t *one = json_object();
    json_put(one, "document", json_integer(document->id));
    json_put_words(one, "kind", document_kind_words[document->kind]);
    json_put_words(one, "name", document->name);
    json_put(one, "put", utc_json(document->utc_ns));
    json_put_words(one, "text", text_string(&document->text));
    return one;
}

/* The latest of each; as JSON with every version before it. */
static enum status add_document(struct book *book, int64_t latest, json_t *all, struct text *text,
                                struct message *message)
{
    int64_t *ids = NULL;
    size_t count = 0;
    enum status status = document_versions(book, latest, &ids, &count, message);
    for (size_t k = 0; k < count && status == STATUS_OK; k++) {
        struct document document;
        status = document_get(book, ids[k], &document, message);
        if (status != STATUS_OK)
            break;
        if (k + 1 == count)
            document_words(&document, count, text);
        json_array_append_new(all, document_json(&document));
        document_free(&document);
    }
    free(ids);
    return status;
}

static enum status add_documents(struct book *book, int64_t sample, json_t *all, struct text *text,
                                 struct message *message)
{
    int64_t *ids = NULL;
    size_t count = 0;
    enum status status = document_list(book, sample, &ids, &count, message);
    for (size_t k = 0; k < count && status == STATUS_OK; k++)
        status = add_document(book, ids[k], all, text, message);
    free(ids);
    return status;
}

static enum status add_pictures(struct book *book, int64_t sample, json_t *all, struct text *text,
                                struct message *message)
{
    struct picture_list list = {0};
    json_t *items = json_array();
    enum status status = book_pictures(book, sample, &list, message);
    for (size_t k = 0; k < list.count; k++) {
        const struct picture *picture = &list.items[k];
        json_t *one = json_object();
        json_put(one, "picture", json_integer(picture->id));
        json_put(one, "run", picture->run != 0 ? json_integer(picture->run) : json_null());
        json_put_words(one, "kind", picture->kind);
        json_put_words(one, "name", picture->name);
        json_put_words(one, "caption", text_string(&picture->caption));
        json_put(one, "bytes", json_integer(picture->size));
        json_array_append_new(items, one);
        text_addf(text, "%s  %s  %s\n", k == 0 ? "\nPictures\n" : "", picture->name, text_string(&picture->caption));
    }
    json_put(all, "pictures", items);
    picture_list_free(&list);
    return status;
}

static enum status add_teardown(struct book *book, int64_t sample, json_t *all, struct text *text,
                                struct message *message)
{
    struct teardown_list list = {0};
    json_t *items = json_array();
    enum status status = book_teardown(book, sample, &list, message);
    for (size_t k = 0; k < list.count; k++) {
        const struct teardown_item *item = &list.items[k];
        json_t *one = json_object();
        json_put_words(one, "topic", text_string(&item->topic));
        json_put_words(one, "value", text_string(&item->value));
        json_put_words(one, "opinion", text_string(&item->opinion));
        json_array_append_new(items, one);
        text_addf(text, "%s  %s: %s%s%s\n", k == 0 ? "\nOpened\n" : "", text_string(&item->topic),
                  text_string(&item->value), item->opinion.length > 0 ? "; " : "", text_string(&item->opinion));
    }
    json_put(all, "teardown", items);
    teardown_list_free(&list);
    return status;
}

static enum status show_parts(struct book *book, const struct book_sample *sample, json_t *all, struct text *text,
                              struct message *message)
{
    struct correction_list corrections = {0};
    struct book_run_list runs = {0};
    json_t *documents = json_array();
    enum status status = add_documents(book, sample->id, documents, text, message);
    json_put(all, "documents", documents);
    if (status == STATUS_OK)
        status = add_pictures(book, sample->id, all, text, message);
    if (status == STATUS_OK)
        status = add_teardown(book, sample->id, all, text, message);
    if (status == STATUS_OK)
        status = book_runs(book, sample->id, &runs, message);
    if (status == STATUS_OK)
        status = book_corrections(book, sample->id, 0, &corrections, message);
    if (status == STATUS_OK) {
        json_put(all, "runs", run_list_json(&runs, NULL));
        json_put(all, "corrections", corrections_json(&corrections));
        if (runs.count > 0)
            text_add(text, "\nRuns\n");
        run_list_words(&runs, NULL, 2, text);
        corrections_words(&corrections, text);
    }
    book_run_list_free(&runs);
    correction_list_free(&corrections);
    return status;
}

enum status sample_show_text(struct book *book, const struct book_sample *sample, bool json, struct text *text,
                             struct message *message)
{
    struct text words = TEXT_EMPTY;
    char added[DESK_TIME];
    json_t *all = sample_json(sample);
    desk_time((double)sample->added_utc_ns / 1e9, false, added);
    text_addf(&words, "%s%s\nadded %s\n", sample->name, sample->invented ? " (invented)" : "", added);
    enum status status = show_parts(book, sample, all, &words, message);
    if (status == STATUS_OK && json)
        finish_json(json_incref(all), text);
    else if (status == STATUS_OK)
        text_add(text, text_string(&words));
    json_decref(all);
    text_free(&words);
    return status;
}
