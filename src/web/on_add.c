/* Adding readings: a file is dropped, looked at, set right, and then stored, or forgotten. */
#include "web/areas.h"
#include "web/drops.h"

#define DROP_LIMIT ((size_t)2 << 30) /* bytes */
enum { WISH_LIMIT = 1 << 16 };

static enum status drop_id(const struct http_request *request, int64_t *ret_id, struct message *message)
{
    return http_id(request->parts[0], ret_id, message);
}

static void answer_with(struct workshop *workshop, int64_t id, struct http_reply *reply)
{
    json_t *preview = drops_json(workshop_drops(workshop), id);
    if (preview != NULL)
        http_json(reply, preview);
    else
        http_refuse(reply, 404, "this file is not here any more: drop it once more");
}

static void on_drop(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    const char *name = http_query(request, "name");
    int64_t id = 0;
    if (request->body_path == NULL)
        http_refuse(reply, 400, "there is nothing in this file");
    else if (drops_take(workshop_drops(context), request->body_path, name != NULL ? name : "", &id, &message) !=
             STATUS_OK)
        http_fail(reply, 0, &message);
    else
        answer_with(context, id, reply);
}

static void on_get(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    int64_t id;
    if (drop_id(request, &id, &message) != STATUS_OK)
        http_fail(reply, 0, &message);
    else
        answer_with(context, id, reply);
}

static void on_wish(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    json_t *said = NULL;
    int64_t id;
    enum status status = drop_id(request, &id, &message);
    if (status == STATUS_OK)
        status = http_body_json(request, &said, &message);
    if (status == STATUS_OK)
        status = drops_wish(workshop_drops(context), id, said, &message);
    json_decref(said);
    if (status != STATUS_OK)
        http_fail(reply, 0, &message);
    else
        answer_with(context, id, reply);
}

static void on_forget(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    int64_t id;
    if (drop_id(request, &id, &message) != STATUS_OK)
        http_fail(reply, 0, &message);
    else if (!drops_forget(workshop_drops(context), id))
        http_refuse(reply, 404, "this file is not here any more");
    else
        http_json(reply, json_object());
}

static enum status take_kind(const json_t *body, enum test_kind *ret_kind, struct message *message)
{
    const char *word = json_string_value(json_object_get(body, "kind"));
    int kind = 0;
    while (word != NULL && test_kind_words[kind] != NULL && strcmp(test_kind_words[kind], word) != 0)
        kind++;
    if (word != NULL && test_kind_words[kind] == NULL) {
        status_fail(message, STATUS_USAGE, "'%.40s' is no kind of test", word);
        return status_remedy(message, "say discharge, charge, rest, protection or whole");
    }
    *ret_kind = word != NULL ? (enum test_kind)kind : TEST_WHOLE;
    return STATUS_OK;
}

/* A paper of the book by its number, of the kind that is wanted. */
static enum status take_paper(struct book *book, const json_t *body, enum document_kind kind, int64_t *ret_id,
                              struct message *message)
{
    const json_t *value = json_object_get(body, document_kind_words[kind]);
    int64_t id = json_integer_value(value);
    struct document document;
    if (value != NULL && !json_is_null(value) && !json_is_integer(value))
        return status_fail(message, STATUS_USAGE, "\"%s\" is the number of a paper, or null", document_kind_words[kind]);
    if (id == 0)
        return STATUS_OK;
    enum status status = document_get(book, id, &document, message);
    if (status != STATUS_OK)
        return status;
    if (document.kind != kind)
        status = status_fail(message, STATUS_USAGE, "paper %lld is no %s", (long long)id, document_kind_words[kind]);
    else
        *ret_id = id;
    document_free(&document);
    return status;
}

/* Whose readings these are: a sample of the book by its number, or a name. */
static enum status take_sample(struct book *book, const json_t *body, struct bring_in *request, struct message *message)
{
    const json_t *sample = json_object_get(body, "sample");
    struct book_sample found;
    const char *name = json_string_value(sample);
    if (json_is_integer(sample)) {
        request->stored.run.sample = json_integer_value(sample);
        return book_sample_by_id(book, request->stored.run.sample, &found, message);
    }
    if (name == NULL || span_trim(span_of(name)).n == 0) {
        status_fail(message, STATUS_USAGE, "whose readings are these? No sample is named");
        return status_remedy(message, "choose a sample, or name a new one");
    }
    if (strlen(name) >= BOOK_NAME)
        return status_fail(message, STATUS_USAGE, "the name of a sample has at most %d bytes", BOOK_NAME - 1);
    request->sample = name;
    return STATUS_OK;
}

static enum status take_request(struct workshop *workshop, const json_t *body, struct bring_in *request,
                                struct message *message)
{
    struct book_run *run = &request->stored.run;
    const char *name = json_string_value(json_object_get(body, "name"));
    struct book *book = workshop_take(workshop, BOOK_READ, message);
    if (book == NULL)
        return message->status;
    enum status status = take_kind(body, &run->kind, message);
    if (status == STATUS_OK)
        status = take_sample(book, body, request, message);
    if (status == STATUS_OK)
        status = take_paper(book, body, DOCUMENT_RIG, &run->rig_document, message);
    if (status == STATUS_OK)
        status = take_paper(book, body, DOCUMENT_LABEL, &run->label_document, message);
    span_copy(span_trim(span_of(name != NULL ? name : "")), run->name, sizeof run->name);
    run->added_utc_ns = workshop_utc_ns(workshop);
    workshop_put(workshop, book);
    return status;
}

static void on_confirm(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    struct bring_in bring = {0};
    json_t *body = NULL;
    int64_t id, task = 0;
    enum status status = drop_id(request, &id, &message);
    if (status == STATUS_OK)
        status = http_body_json(request, &body, &message);
    if (status == STATUS_OK)
        status = take_request(context, body, &bring, &message);
    if (status == STATUS_OK)
        status = drops_confirm(workshop_drops(context), id, &bring, &task, &message);
    json_decref(body);
    if (status != STATUS_OK)
        http_fail(reply, 0, &message);
    else
        http_json(reply, json_pack("{s:I}", "task", (json_int_t)task));
}

const struct http_route add_routes[] = {
    {"POST", "/api/drops", HTTP_OPERATOR, DROP_LIMIT, HTTP_SPOOL, on_drop},
    {"GET", "/api/drops/{}", HTTP_READER, 0, HTTP_PLAIN, on_get},
    {"PATCH", "/api/drops/{}", HTTP_OPERATOR, WISH_LIMIT, HTTP_PLAIN, on_wish},
    {"DELETE", "/api/drops/{}", HTTP_OPERATOR, WISH_LIMIT, HTTP_PLAIN, on_forget},
    {"POST", "/api/drops/{}/confirm", HTTP_OPERATOR, WISH_LIMIT, HTTP_PLAIN, on_confirm},
    {0},
};
