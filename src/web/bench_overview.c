#include "web/bench_parts.h"

#include "book/sample.h"
#include "instrument/rig_cautions.h"
#include "intake/rig_links.h"
#include "rehearsal/script.h"
#include "report/cautions.h"

static json_t *words_json(const char *const *words)
{
    json_t *items = json_array();
    for (size_t k = 0; words[k] != NULL; k++)
        json_array_append_new(items, json_words(words[k]));
    return items;
}

/* A rig of the workshop, and what it would start. */
static json_t *rig_json(const struct document *document)
{
    struct links links = {0};
    struct message message = {0};
    json_t *one = json_object(), *instruments = json_array();
    json_put(one, "id", json_integer(document->id));
    json_put_words(one, "name", document->name);
    enum status status = rig_links_read_text(document->name, (struct span){document->text.s, document->text.length},
                                             &links, &message);
    if (status != STATUS_OK)
        json_put_words(one, "fault", message.what);
    for (size_t k = 0; k < links.count && status == STATUS_OK; k++)
        if (links.items[k].channel_count > 0)
            json_array_append_new(instruments, json_words(links.items[k].name));
    json_put(one, "instruments", instruments);
    if (status == STATUS_OK)
        links_free(&links);
    return one;
}

static enum status add_rigs(struct book *book, json_t *rigs, struct message *message)
{
    int64_t *ids = NULL;
    size_t count = 0;
    enum status status = document_list(book, 0, &ids, &count, message);
    for (size_t k = 0; k < count && status == STATUS_OK; k++) {
        struct document document = {0};
        status = document_get(book, ids[k], &document, message);
        if (status == STATUS_OK && document.kind == DOCUMENT_RIG)
            json_array_append_new(rigs, rig_json(&document));
        document_free(&document);
    }
    free(ids);
    return status;
}

static enum status add_samples(struct book *book, json_t *samples, struct message *message)
{
    struct book_sample_list list = {0};
    enum status status = book_samples(book, &list, message);
    for (size_t k = 0; k < list.count && status == STATUS_OK; k++) {
        json_t *one = json_object();
        json_put(one, "id", json_integer(list.items[k].id));
        json_put_words(one, "name", list.items[k].name);
        json_put(one, "invented", json_boolean(list.items[k].invented));
        json_array_append_new(samples, one);
    }
    book_sample_list_free(&list);
    return status;
}

/* Open and not of a session here: a crash left it, or another program records it. */
static enum status add_left_open(struct benches *benches, struct book *book, json_t *left, struct message *message)
{
    struct book_run_list runs = {0};
    enum status status = book_runs(book, 0, &runs, message);
    for (size_t k = 0; k < runs.count && status == STATUS_OK; k++) {
        const struct book_run *run = &runs.items[k];
        struct book_sample sample = {0};
        if (!run->open || benches_record(benches, run->id))
            continue;
        status = book_sample_by_id(book, run->sample, &sample, message);
        json_t *one = json_object();
        json_put(one, "run", json_integer(run->id));
        json_put(one, "sample", json_integer(run->sample));
        json_put_words(one, "sample_name", sample.name);
        json_put_words(one, "kind", test_kind_words[run->kind]);
        json_put_words(one, "origin", test_origin_words[run->origin]);
        json_put(one, "start_utc_s", json_number(run->start_utc_s));
        json_put(one, "end_s", json_number(run->end_s));
        json_array_append_new(left, one);
    }
    book_run_list_free(&runs);
    return status;
}

static json_t *recordings_json(struct benches *benches)
{
    int64_t runs[BENCHES_KEPT];
    size_t count = benches_runs(benches, runs);
    json_t *items = json_array();
    for (size_t k = 0; k < count; k++) {
        struct session *session = benches_take(benches, runs[k]);
        if (session == NULL)
            continue;
        json_t *one = benches_json(session, true);
        json_object_del(one, "said");
        json_array_append_new(items, one);
        benches_put(benches, session);
    }
    return items;
}

void bench_overview(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    struct book *book = workshop_take(workshop, BOOK_READ, &message);
    if (book == NULL) {
        http_fail(reply, 0, &message);
        return;
    }
    struct benches *benches = workshop_benches(workshop);
    json_t *all = json_object(), *samples = json_array(), *rigs = json_array(), *left = json_array();
    json_put(all, "kinds", json_array());
    for (int k = 0; k < TEST_WHOLE; k++)
        json_array_append_new(json_object_get(all, "kinds"), json_words(test_kind_words[k]));
    json_put(all, "samples", samples);
    json_put(all, "rigs", rigs);
    json_put(all, "recordings", recordings_json(benches));
    json_put(all, "left_open", left);
    json_put(all, "rig_cautions", words_json(rig_cautions));
    json_put(all, "cautions", words_json(cautions));
    json_put_words(all, "script", script_default);
    enum status status = add_samples(book, samples, &message);
    if (status == STATUS_OK)
        status = add_rigs(book, rigs, &message);
    if (status == STATUS_OK)
        status = add_left_open(benches, book, left, &message);
    workshop_put(workshop, book);
    if (status == STATUS_OK) {
        http_json(reply, all);
        return;
    }
    json_decref(all);
    http_fail(reply, 0, &message);
}
