/* Papers: label, rigs, loads, plans and notes as typed, each with its versions. */
#include "archive/book_json.h"
#include "book/sample.h"
#include "claims/paper_check.h"
#include "web/areas.h"
#include "web/masked.h"
#include "web/paper_put.h"
#include "web/visit.h"

enum { PAPER_LIMIT = 1 << 20 };

/* {"kind", "name", and of the latest "document", "put", "text"; "versions": of each "document" and "put"}. The flat
 * list has the versions of one paper behind each other, oldest first. */
static json_t *grouped(const json_t *flat)
{
    json_t *papers = json_array(), *one = NULL, *version;
    size_t k;
    json_array_foreach(flat, k, version) {
        if (one == NULL || !json_equal(json_object_get(one, "kind"), json_object_get(version, "kind")) ||
            !json_equal(json_object_get(one, "name"), json_object_get(version, "name"))) {
            one = json_object();
            json_put(one, "versions", json_array());
            json_array_append_new(papers, one);
        }
        json_t *brief = json_object();
        json_object_set(brief, "document", json_object_get(version, "document"));
        json_object_set(brief, "put", json_object_get(version, "put"));
        json_array_append_new(json_object_get(one, "versions"), brief);
        json_object_update(one, version);
    }
    return papers;
}

static enum status put_papers(struct visit *visit, int64_t sample, const char *key, json_t *all)
{
    json_t *flat = json_array();
    enum status status = papers_json(visit->book, sample, flat, &visit->message);
    json_put(all, key, grouped(flat));
    json_decref(flat);
    return status;
}

static void on_papers(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    if (!visit_sample(&visit, context, request, reply, BOOK_READ))
        return;
    json_t *all = json_object();
    enum status status = put_papers(&visit, visit.sample.id, "papers", all);
    if (status == STATUS_OK)
        status = put_papers(&visit, 0, "workshop", all);
    masked_json(all, request->role);
    if (status == STATUS_OK)
        http_json(reply, json_incref(all));
    json_decref(all);
    visit_end(&visit, status);
}

static bool kind_of(const char *word, enum document_kind *ret_kind)
{
    for (int k = 0; k < DOCUMENT_KINDS; k++) {
        if (strcmp(document_kind_words[k], word) != 0)
            continue;
        *ret_kind = (enum document_kind)k;
        return true;
    }
    return false;
}

enum status paper_put(struct book *book, int64_t sample, enum document_kind kind, const char *name, struct span text,
                      int64_t utc_ns, struct notices *notices, int64_t *ret_id, struct message *message)
{
    bool shared = kind == DOCUMENT_RIG || kind == DOCUMENT_LOADS;
    enum status status = STATUS_OK;
    name = name != NULL ? name : document_kind_words[kind];
    if (strlen(name) >= BOOK_NAME || name[0] == '\0') {
        status_fail(message, STATUS_USAGE, "a paper cannot be called '%.60s'", name);
        return status_remedy(message, "give a name of at most %d bytes", BOOK_NAME - 1);
    }
    if (span_bad_utf8(text) < text.n) {
        status_fail(message, STATUS_MALFORMED, "this text is not UTF-8");
        return status_at(message, name, 0, 0);
    }
    enum paper_form form;
    if (paper_has_form(kind, &form))
        status = paper_judge(form, name, text, notices, message);
    return status == STATUS_OK ? document_put(book, shared ? 0 : sample, kind, name, text, utc_ns, ret_id, message)
                               : status;
}

static enum status put(struct visit *visit, enum document_kind kind, json_t **ret_json)
{
    struct notices notices = {0};
    struct document document;
    int64_t id = 0, before = 0;
    const char *name = http_query(visit->request, "name");
    enum status status = document_latest(visit->book, visit->sample.id, kind, name, &before, &visit->message);
    if (status == STATUS_OK)
        status = paper_put(visit->book, visit->sample.id, kind, name, visit->request->body,
                           workshop_utc_ns(visit->workshop), &notices, &id, &visit->message);
    if (status == STATUS_OK)
        status = document_get(visit->book, id, &document, &visit->message);
    if (status == STATUS_OK) {
        json_t *one = document_json(&document);
        json_put(one, "notices", json_notices(&notices));
        if (id != before)
            workshop_tell(visit->workshop, "document", id, document.sample);
        document_free(&document);
        *ret_json = one;
    }
    notices_free(&notices);
    return status;
}

static void on_put_paper(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    enum document_kind kind;
    json_t *answer = NULL;
    if (!kind_of(request->parts[1], &kind)) {
        http_refuse(reply, 404, "a paper is a label, rig, loads, plan, note, opened or summary, not a '%.40s'", request->parts[1]);
        return;
    }
    if (!visit_sample(&visit, context, request, reply, BOOK_WRITE))
        return;
    enum status status = put(&visit, kind, &answer);
    if (status == STATUS_OK)
        http_json(reply, answer);
    visit_end(&visit, status);
}

/* A version stays what it is. */
static void on_paper(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct document document;
    int64_t id = 0;
    if (!visit_begin(&visit, context, request, reply, BOOK_READ))
        return;
    enum status status = http_id(request->parts[0], &id, &visit.message);
    if (status == STATUS_OK)
        status = document_get(visit.book, id, &document, &visit.message);
    if (status == STATUS_OK) {
        reply->type = "text/plain; charset=utf-8";
        if (document.kind == DOCUMENT_RIG && request->role != HTTP_OPERATOR) {
            masked_rig((struct span){text_string(&document.text), document.text.length}, &reply->body);
        } else {
            reply->body = document.text;
            document.text = TEXT_EMPTY;
        }
        visit_tag(reply);
        document_free(&document);
    } else if (status == STATUS_USAGE) {
        http_fail(reply, 404, &visit.message);
        status = STATUS_OK;
    }
    visit_end(&visit, status);
}

const struct http_route paper_routes[] = {
    {.method = "GET", .pattern = "/api/samples/{}/papers", .role = HTTP_READER, .answer = on_papers},
    {.method = "PUT", .pattern = "/api/samples/{}/papers/{}", .role = HTTP_OPERATOR, .body_limit = PAPER_LIMIT,
     .answer = on_put_paper},
    {.method = "GET", .pattern = "/api/papers/{}", .role = HTTP_READER, .answer = on_paper},
    {0},
};
