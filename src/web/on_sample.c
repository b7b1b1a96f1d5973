/* One sample: what the book holds of it, what it comes to, and how it is corrected. */
#include "archive/book_json.h"
#include "draw/svg.h"
#include "report/chain.h"
#include "report/figures.h"
#include "report/json.h"
#include "report/pictured.h"
#include "report/signs.h"
#include "web/areas.h"
#include "web/benches.h"
#include "web/masked.h"
#include "web/published.h"
#include "web/visit.h"

enum { BODY_LIMIT = 1 << 16 };

static void on_get(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    json_t *all = NULL;
    if (!visit_sample(&visit, context, request, reply, BOOK_READ))
        return;
    enum status status = sample_whole_json(visit.book, &visit.sample, &all, &visit.message);
    if (status == STATUS_OK) {
        masked_json(all, request->role);
        http_json(reply, all);
    }
    visit_end(&visit, status);
}

/* A wanted word of the body; fails when it is none. */
static enum status body_words(json_t *body, const char *key, const char **ret_words, struct message *message)
{
    *ret_words = json_string_value(json_object_get(body, key));
    if (*ret_words != NULL)
        return STATUS_OK;
    status_fail(message, STATUS_MALFORMED, "the body has no \"%s\" in words", key);
    return status_remedy(message, "send {\"%s\": \"...\"}", key);
}

static void on_rename(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    json_t *body = NULL;
    const char *name = NULL;
    if (!visit_sample(&visit, context, request, reply, BOOK_WRITE))
        return;
    int64_t id = visit.sample.id;
    enum status status = http_body_json(request, &body, &visit.message);
    if (status == STATUS_OK)
        status = body_words(body, "name", &name, &visit.message);
    if (status == STATUS_OK)
        status = book_sample_rename(visit.book, id, name, workshop_utc_ns(visit.workshop), &visit.message);
    if (status == STATUS_OK)
        status = book_sample_by_id(visit.book, id, &visit.sample, &visit.message);
    if (status == STATUS_OK) {
        http_json(reply, sample_json(&visit.sample));
        workshop_tell(visit.workshop, "sample", id, id);
    }
    json_decref(body);
    visit_end(&visit, status);
}

static enum status nothing_recorded(struct visit *visit)
{
    struct book_run_list runs = {0};
    enum status status = book_runs(visit->book, visit->sample.id, &runs, &visit->message);
    for (size_t k = 0; k < runs.count && status == STATUS_OK; k++) {
        struct session *session = benches_take(workshop_benches(visit->workshop), runs.items[k].id);
        if (session == NULL)
            continue;
        if (runs.items[k].open) {
            status = status_fail(&visit->message, STATUS_USAGE, "run %lld of it is being recorded",
                                 (long long)runs.items[k].id);
            status_remedy(&visit->message, "end the recording first");
        }
        benches_put(workshop_benches(visit->workshop), session);
    }
    book_run_list_free(&runs);
    return status;
}

/* For good: the name must be given, so that no slip does it. */
static void on_remove(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    json_t *body = NULL;
    const char *name = NULL;
    if (!visit_sample(&visit, context, request, reply, BOOK_WRITE))
        return;
    int64_t id = visit.sample.id;
    enum status status = http_body_json(request, &body, &visit.message);
    if (status == STATUS_OK)
        status = body_words(body, "name", &name, &visit.message);
    if (status == STATUS_OK && strcmp(name, visit.sample.name) != 0) {
        status = status_fail(&visit.message, STATUS_USAGE, "this sample is called '%s'", visit.sample.name);
        status_remedy(&visit.message, "give its name just so to remove it with all that belongs to it");
    }
    if (status == STATUS_OK)
        status = nothing_recorded(&visit);
    if (status == STATUS_OK)
        status = book_sample_remove(visit.book, id, &visit.message);
    if (status == STATUS_OK) {
        http_json(reply, json_object());
        workshop_tell(visit.workshop, "sample", id, id);
    }
    json_decref(body);
    visit_end(&visit, status);
}

/* The assessment of the sample; NULL: the reply says why. Give it back to the workshop. */
static const struct assessment *assessed(struct workshop *workshop, const struct http_request *request,
                                         struct http_reply *reply)
{
    struct visit visit;
    if (!visit_sample(&visit, workshop, request, reply, BOOK_READ))
        return NULL;
    int64_t id = visit.sample.id;
    visit_end(&visit, STATUS_OK);
    const struct assessment *assessment = workshop_assessed(workshop, id, 0, &visit.message);
    if (assessment == NULL)
        http_fail(reply, 0, &visit.message);
    return assessment;
}

static void on_assessment(void *context, const struct http_request *request, struct http_reply *reply)
{
    const struct assessment *assessment = assessed(context, request, reply);
    if (assessment == NULL)
        return;
    json_assessment(assessment, &reply->body);
    workshop_give_back(context, assessment);
}

static void on_ladder(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct published published;
    double width = NAN;
    if (!published_begin(&published, context, request, reply))
        return;
    enum status status = http_number("width", http_query(request, "width"), PICTURED_LEAST, PICTURED_MOST, 900, &width,
                                     &published.message);
    if (status == STATUS_OK) {
        struct figure figure;
        struct signs signs = signs_of(published.assessment, published.publishing.comma);
        ladder_figure(published.assessment, width, &figure);
        signs_set_figure(&signs, &figure);
        svg_add(&figure, "ladder", &reply->body);
        figure_free(&figure);
        signs_free(&signs);
        reply->type = "image/svg+xml";
    }
    published_end(&published, status);
}

static void on_chain(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct finding_chain chain;
    struct message message;
    const struct assessment *assessment = assessed(context, request, reply);
    if (assessment == NULL)
        return;
    enum status status = chain_make(assessment, request->parts[1], &chain, &message);
    if (status == STATUS_OK) {
        http_json(reply, json_chain(&chain));
        chain_free(&chain);
    } else {
        http_fail(reply, status == STATUS_USAGE ? 404 : 0, &message);
    }
    workshop_give_back(context, assessment);
}

const struct http_route sample_routes[] = {
    {.method = "GET", .pattern = "/api/samples/{}", .role = HTTP_READER, .answer = on_get},
    {.method = "PATCH", .pattern = "/api/samples/{}", .role = HTTP_OPERATOR, .body_limit = BODY_LIMIT,
     .answer = on_rename},
    {.method = "DELETE", .pattern = "/api/samples/{}", .role = HTTP_OPERATOR, .body_limit = BODY_LIMIT,
     .answer = on_remove},
    {.method = "GET", .pattern = "/api/samples/{}/assessment", .role = HTTP_READER, .answer = on_assessment},
    {.method = "GET", .pattern = "/api/samples/{}/ladder.svg", .role = HTTP_READER, .answer = on_ladder},
    {.method = "GET", .pattern = "/api/samples/{}/chains/{}", .role = HTTP_READER, .answer = on_chain},
    {0},
};
