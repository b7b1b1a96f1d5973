/* The shelf: all samples in one answer, and a new one. */
#include "web/areas.h"

#include "report/shelf.h"
#include "web/shelf_keeper.h"

enum { NEW_SAMPLE_LIMIT = 256 << 10 };

static enum status list_one(struct workshop *workshop, double sample, struct text *json, struct message *message)
{
    size_t stale = 0;
    struct book *book = workshop_take(workshop, BOOK_READ, message);
    enum status status = book != NULL ? shelf_list(book, (int64_t)sample, json, &stale, message) : message->status;
    workshop_put(workshop, book);
    return status;
}

static void on_list(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    double sample = 0;
    enum status status = http_number("sample", http_query(request, "sample"), 0, 9e15, 0, &sample, &message);
    if (status == STATUS_OK)
        status = sample > 0 ? list_one(workshop, sample, &reply->body, &message)
                            : shelf_keeper_list(workshop_shelf(workshop), &reply->body, reply->tag, &message);
    if (status != STATUS_OK) {
        text_free(&reply->body);
        http_fail(reply, 0, &message);
    }
}

/* What `rundown sample add` does: all or nothing. */
static enum status add(struct workshop *workshop, struct book *book, const json_t *wanted, int64_t *ret_id,
                       struct message *message)
{
    const char *name = json_string_value(json_object_get(wanted, "name"));
    const char *label = json_string_value(json_object_get(wanted, "label"));
    bool invented = json_is_true(json_object_get(wanted, "invented"));
    struct span text = span_of(label != NULL ? label : "");
    struct label read = label_empty();
    struct notices notices = {0};
    int64_t utc_ns = workshop_utc_ns(workshop), paper = 0;
    enum status status = STATUS_OK;
    if (name == NULL)
        status = status_fail(message, STATUS_USAGE, "the new sample has no name");
    if (status == STATUS_OK && span_trim(text).n > 0)
        status = label_read_text("label", text, &read, &notices, message);
    if (status == STATUS_OK)
        status = book_sample_add(book, name, invented || read.invented, utc_ns, ret_id, message);
    if (status == STATUS_OK && span_trim(text).n > 0)
        status = document_put(book, *ret_id, DOCUMENT_LABEL, "label", text, utc_ns, &paper, message);
    label_free(&read);
    notices_free(&notices);
    return status;
}

static enum status add_whole(struct workshop *workshop, const json_t *wanted, int64_t *ret_id, struct message *message)
{
    struct book *book = workshop_take(workshop, BOOK_WRITE, message);
    if (book == NULL)
        return message->status;
    enum status status = book_begin(book, message);
    if (status == STATUS_OK)
        status = add(workshop, book, wanted, ret_id, message);
    if (status == STATUS_OK)
        status = book_commit(book, message);
    workshop_put(workshop, book); /* rolls back what failed */
    return status;
}

static void on_add(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    json_t *wanted = NULL;
    int64_t id = 0;
    enum status status = http_body_json(request, &wanted, &message);
    if (status == STATUS_OK)
        status = add_whole(workshop, wanted, &id, &message);
    json_decref(wanted);
    if (status != STATUS_OK) {
        http_fail(reply, 0, &message);
        return;
    }
    workshop_tell(workshop, "sample", id, id);
    json_t *made = json_object();
    json_put(made, "sample", json_integer(id));
    reply->status = 201;
    http_json(reply, made);
}

const struct http_route shelf_routes[] = {
    {.method = "GET", .pattern = "/api/samples", .role = HTTP_READER, .answer = on_list},
    {.method = "POST", .pattern = "/api/samples", .role = HTTP_OPERATOR, .body_limit = NEW_SAMPLE_LIMIT, .answer = on_add},
    {0},
};
