#include "archive/book_json.h"

#include "archive/photograph.h"
#include "base/number.h"

json_t *utc_json(int64_t utc_ns)
{
    char time[NUMBER_INSTANT], marked[NUMBER_INSTANT + 1];
    number_print_instant((double)utc_ns / 1e9, time);
    snprintf(marked, sizeof marked, "%sZ", time);
    return time[0] != '\0' ? json_string(marked) : json_null();
}

json_t *sample_json(const struct book_sample *sample)
{
    json_t *one = json_object();
    json_put(one, "sample", json_integer(sample->id));
    json_put_words(one, "name", sample->name);
    json_put(one, "invented", json_boolean(sample->invented));
    json_put(one, "added", utc_json(sample->added_utc_ns));
    json_put(one, "run_count", json_integer(sample->runs));
    return one;
}

json_t *run_facts_json(const struct book_run *run, const char *sample_name)
{
    json_t *one = json_object();
    json_put(one, "run", json_integer(run->id));
    json_put(one, "sample", json_integer(run->sample));
    if (sample_name != NULL)
        json_put_words(one, "sample_name", sample_name);
    json_put_words(one, "name", run->name);
    json_put_words(one, "kind", test_kind_words[run->kind]);
    json_put_words(one, "origin", test_origin_words[run->origin]);
    json_put(one, "start_utc_s", json_number(run->start_utc_s));
    json_put(one, "zone_known", json_boolean(run->zone_known));
    json_put(one, "end_s", json_number(run->end_s));
    json_put(one, "open", json_boolean(run->open));
    json_put(one, "invented", json_boolean(run->invented));
    json_put(one, "added", utc_json(run->added_utc_ns));
    return one;
}

json_t *document_json(const struct document *document)
{
    json_t *one = json_object();
    json_put(one, "document", json_integer(document->id));
    json_put_words(one, "kind", document_kind_words[document->kind]);
    json_put_words(one, "name", document->name);
    json_put(one, "put", utc_json(document->utc_ns));
    json_put_words(one, "text", text_string(&document->text));
    return one;
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

static enum status add_versions(struct book *book, int64_t latest, json_t *array, struct message *message)
{
    int64_t *ids = NULL;
    size_t count = 0;
    enum status status = document_versions(book, latest, &ids, &count, message);
    for (size_t k = 0; k < count && status == STATUS_OK; k++) {
        struct document document;
        status = document_get(book, ids[k], &document, message);
        if (status != STATUS_OK)
            break;
        json_array_append_new(array, document_json(&document));
        document_free(&document);
    }
    free(ids);
    return status;
}

enum status papers_json(struct book *book, int64_t sample, json_t *array, struct message *message)
{
    int64_t *ids = NULL;
    size_t count = 0;
    enum status status = document_list(book, sample, &ids, &count, message);
    for (size_t k = 0; k < count && status == STATUS_OK; k++)
        status = add_versions(book, ids[k], array, message);
    free(ids);
    return status;
}

enum status picture_json(struct book *book, const struct picture *picture, json_t **ret_json, struct message *message)
{
    struct picture_size size;
    enum status status = photograph_size(book, picture->id, &size, message);
    if (status != STATUS_OK)
        return status;
    json_t *one = json_object();
    json_put(one, "picture", json_integer(picture->id));
    json_put(one, "run", picture->run != 0 ? json_integer(picture->run) : json_null());
    json_put_words(one, "kind", picture->kind);
    json_put_words(one, "name", picture->name);
    json_put_words(one, "caption", text_string(&picture->caption));
    json_put_words(one, "item", picture->item);
    json_put(one, "shown", json_boolean(picture->shown));
    json_put(one, "bytes", json_integer(picture->size));
    json_put(one, "width", size.width > 0 ? json_integer(size.width) : json_null());
    json_put(one, "height", size.height > 0 ? json_integer(size.height) : json_null());
    json_put(one, "added", utc_json(picture->utc_ns));
    *ret_json = one;
    return STATUS_OK;
}

enum status pictures_json(struct book *book, int64_t sample, json_t *array, struct message *message)
{
    struct picture_list list = {0};
    enum status status = book_pictures(book, sample, &list, message);
    for (size_t k = 0; k < list.count && status == STATUS_OK; k++) {
        json_t *one = NULL;
        status = picture_json(book, &list.items[k], &one, message);
        if (status == STATUS_OK)
            json_array_append_new(array, one);
    }
    picture_list_free(&list);
    return status;
}

static enum status add_runs(struct book *book, int64_t sample, json_t *all, struct message *message)
{
    struct book_run_list list = {0};
    json_t *items = json_array();
    enum status status = book_runs(book, sample, &list, message);
    for (size_t k = 0; k < list.count; k++)
        json_array_append_new(items, run_facts_json(&list.items[k], NULL));
    json_put(all, "runs", items);
    book_run_list_free(&list);
    return status;
}

static enum status add_corrections(struct book *book, int64_t sample, json_t *all, struct message *message)
{
    struct correction_list list = {0};
    enum status status = book_corrections(book, sample, 0, &list, message);
    json_put(all, "corrections", corrections_json(&list));
    correction_list_free(&list);
    return status;
}

enum status sample_whole_json(struct book *book, const struct book_sample *sample, json_t **ret_json,
                              struct message *message)
{
    json_t *all = sample_json(sample), *documents = json_array(), *pictures = json_array();
    enum status status = papers_json(book, sample->id, documents, message);
    json_put(all, "documents", documents);
    json_put(all, "pictures", pictures);
    if (status == STATUS_OK)
        status = pictures_json(book, sample->id, pictures, message);
    if (status == STATUS_OK)
        status = add_runs(book, sample->id, all, message);
    if (status == STATUS_OK)
        status = add_corrections(book, sample->id, all, message);
    if (status == STATUS_OK)
        *ret_json = all;
    else
        json_decref(all);
    return status;
}
