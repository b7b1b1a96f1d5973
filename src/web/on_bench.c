/* Recordings: what runs on the benches, and what its operators say to it. */
#include "web/areas.h"
#include "web/bench_parts.h"

#include "rehearsal/beside.h"

enum { SAY_LIMIT = 4096, BEGIN_LIMIT = 512 << 10 };

static struct session *take(struct workshop *workshop, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    int64_t run = 0;
    if (http_id(request->parts[0], &run, &message) != STATUS_OK) {
        http_fail(reply, 0, &message);
        return NULL;
    }
    struct session *session = benches_take(workshop_benches(workshop), run);
    if (session == NULL)
        http_refuse(reply, 404, "run %lld is not being recorded here", (long long)run);
    return session;
}

static void show(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    struct session *session = take(workshop, request, reply);
    if (session == NULL)
        return;
    http_json(reply, benches_json(session, true));
    benches_put(workshop_benches(workshop), session);
}

static enum status say_it(struct session *session, const json_t *body, json_t **ret_value, struct message *message)
{
    static const double longest_ms = 600000; /* a line may be long in typing */
    const json_t *ago = json_object_get(body, "ago_ms"), *line = json_object_get(body, "line");
    double ago_ms = ago == NULL ? 0 : json_is_number(ago) ? json_number_value(ago) : NAN;
    struct session_said said;
    if (!json_is_string(line) || !(ago_ms >= 0 && ago_ms <= longest_ms)) {
        status_fail(message, STATUS_USAGE, "a line has its text, and how many milliseconds ago its first key was pressed");
        return status_remedy(message, "send {\"line\": \"12.9 V 24.8 A\", \"ago_ms\": 0 to 600000}");
    }
    enum status status = session_say(session, json_string_value(line), ago_ms / 1e3, &said, message);
    if (status == STATUS_OK)
        *ret_value = benches_said_json(&said);
    else
        message->file[0] = '\0'; /* there is but one line, and it stands there */
    return status;
}

static enum status take_it_back(struct session *session, const json_t *body, json_t **ret_value, struct message *message)
{
    enum status status =
        session_take_back(session, (size_t)json_integer_value(json_object_get(body, "number")), message);
    if (status == STATUS_OK)
        *ret_value = json_object();
    return status;
}

static enum status end_it(struct session *session, const json_t *body, json_t **ret_value, struct message *message)
{
    session_end(session, "ended by the operator");
    *ret_value = benches_json(session, false);
    return STATUS_OK;
}

static enum status give_it_up(struct session *session, const json_t *body, json_t **ret_value, struct message *message)
{
    session_give_up(session);
    *ret_value = benches_json(session, false);
    return STATUS_OK;
}

static void with_session(void *workshop, const struct http_request *request, struct http_reply *reply,
                         enum status (*act)(struct session *, const json_t *, json_t **, struct message *))
{
    struct message message = {0};
    json_t *body = NULL, *value = NULL;
    struct session *session = take(workshop, request, reply);
    if (session == NULL)
        return;
    enum status status = http_body_json(request, &body, &message);
    if (status == STATUS_OK)
        status = act(session, body, &value, &message);
    if (status == STATUS_OK)
        http_json(reply, value);
    else
        http_fail(reply, 0, &message);
    json_decref(body);
    benches_put(workshop_benches(workshop), session);
}

static void say(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    with_session(workshop, request, reply, say_it);
}

static void take_back(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    with_session(workshop, request, reply, take_it_back);
}

static void end(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    with_session(workshop, request, reply, end_it);
}

static void give_up(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    with_session(workshop, request, reply, give_it_up);
}

static enum status parse(const struct text *text, const char *what, json_t **ret_value, struct message *message)
{
    if (text->length > 0)
        return json_parse(what, 1, (struct span){text->s, text->length}, ret_value, message);
    status_fail(message, STATUS_USAGE, "this run has no %s", what);
    return status_remedy(message, "only an ended rehearsal of this bench has");
}

/* The truth of a rehearsal is told once its run has ended. */
static enum status beside_of(struct book *book, int64_t id, json_t **ret_value, struct message *message)
{
    struct text truth = TEXT_EMPTY, found = TEXT_EMPTY, method = TEXT_EMPTY;
    json_t *true_value = NULL, *found_value = NULL;
    struct book_run run = {0};
    enum status status = book_run_get(book, id, &run, message);
    if (status == STATUS_OK && run.open) {
        status_fail(message, STATUS_USAGE, "the truth is told when the rehearsal has ended");
        status = status_remedy(message, "end the recording first");
    }
    if (status == STATUS_OK)
        status = book_run_text_get(book, id, rehearsed_truth_topic, &truth, message);
    if (status == STATUS_OK)
        status = parse(&truth, "truth", &true_value, message);
    if (status == STATUS_OK)
        status = finding_latest(book, id, &method, &found, message);
    if (status == STATUS_OK)
        status = parse(&found, "finding", &found_value, message);
    if (status == STATUS_OK)
        status = beside_json("the truth", true_value, "the finding", found_value, ret_value, message);
    json_decref(true_value);
    json_decref(found_value);
    text_free(&truth);
    text_free(&found);
    text_free(&method);
    return status;
}

static void beside(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    json_t *value = NULL;
    int64_t run = 0;
    enum status status = http_id(request->parts[0], &run, &message);
    struct book *book = status == STATUS_OK ? workshop_take(workshop, BOOK_READ, &message) : NULL;
    if (book != NULL) {
        status = beside_of(book, run, &value, &message);
        workshop_put(workshop, book);
    }
    if (book != NULL && status == STATUS_OK)
        http_json(reply, value);
    else
        http_fail(reply, 0, &message);
}

const struct http_route bench_routes[] = {
    {"GET", "/api/bench", HTTP_READER, 0, HTTP_PLAIN, bench_overview},
    {"GET", "/api/bench/limits", HTTP_READER, 0, HTTP_PLAIN, bench_limits},
    {"POST", "/api/recordings", HTTP_OPERATOR, BEGIN_LIMIT, HTTP_PLAIN, bench_begin},
    {"GET", "/api/recordings/{}", HTTP_READER, 0, HTTP_PLAIN, show},
    {"GET", "/api/recordings/{}/curve", HTTP_READER, 0, HTTP_PLAIN, bench_curve},
    {"POST", "/api/recordings/{}/say", HTTP_OPERATOR, SAY_LIMIT, HTTP_PLAIN, say},
    {"POST", "/api/recordings/{}/take-back", HTTP_OPERATOR, SAY_LIMIT, HTTP_PLAIN, take_back},
    {"POST", "/api/recordings/{}/end", HTTP_OPERATOR, SAY_LIMIT, HTTP_PLAIN, end},
    {"POST", "/api/recordings/{}/give-up", HTTP_OPERATOR, SAY_LIMIT, HTTP_PLAIN, give_up},
    {"GET", "/api/runs/{}/beside", HTTP_READER, 0, HTTP_PLAIN, beside},
    {0},
};
