/* Rigs and loads of the workshop: what each can do, and whether its instruments answer. */
#include "archive/book_json.h"
#include "base/memory.h"
#include "intake/rig_file.h"
#include "intake/rig_links.h"
#include "report/instruments_text.h"
#include "report/rig_json.h"
#include "web/areas.h"
#include "web/masked.h"
#include "web/paper_put.h"
#include "web/tasks.h"
#include "web/visit.h"

enum { BODY_LIMIT = 4096, PAPER_LIMIT = 1 << 20 };
static const double probe_s = 10, probe_least_s = 0.1, probe_most_s = 600;

static struct span whole(const struct text *text)
{
    return (struct span){text_string(text), text->length};
}

/* A rehearsal's rig says so at its head, and so may any that somebody made up. */
static bool says_invented(const struct document *document)
{
    return span_has_word(whole(&document->text), "invented");
}

static json_t *notices_words(const struct notices *notices)
{
    json_t *list = json_array();
    for (size_t k = 0; k < notices->count; k++)
        json_array_append_new(list, json_words(notices->items[k].text));
    return list;
}

static enum status read_rig(const struct document *document, struct rig *ret_rig, struct links *ret_links,
                            struct notices *notices, struct message *message)
{
    enum status status = rig_read_text(document->name, whole(&document->text), ret_rig, notices, message);
    return status == STATUS_OK ? rig_links_read_text(document->name, whole(&document->text), ret_links, message) : status;
}

/* What was read of the paper is added to it, or what is wrong with it. */
static void add_rig(json_t *one, const struct document *document)
{
    struct rig rig = rig_default();
    struct links links = {0};
    struct notices notices = {0};
    struct message message;
    if (read_rig(document, &rig, &links, &notices, &message) == STATUS_OK)
        json_put(one, "rig", json_of_rig(&rig, &links));
    else
        json_put(one, "fault", json_message(&message));
    json_put(one, "notices", notices_words(&notices));
    links_free(&links);
    notices_free(&notices);
}

static void add_loads(json_t *one, const struct document *document)
{
    struct loads loads = {0};
    struct message message;
    if (loads_read_text(document->name, whole(&document->text), &loads, &message) == STATUS_OK)
        json_put(one, "loads", json_of_loads(&loads));
    else
        json_put(one, "fault", json_message(&message));
    loads_free(&loads);
}

/* The latest version of each rig and loads paper, of the workshop or (old books) of a sample. */
static enum status add_papers(struct visit *visit, int64_t sample, json_t *rigs, json_t *loads)
{
    int64_t *ids = NULL;
    size_t count = 0;
    enum status status = document_list(visit->book, sample, &ids, &count, &visit->message);
    for (size_t k = 0; k < count && status == STATUS_OK; k++) {
        struct document document;
        status = document_get(visit->book, ids[k], &document, &visit->message);
        if (status != STATUS_OK)
            break;
        if (document.kind == DOCUMENT_RIG || document.kind == DOCUMENT_LOADS) {
            json_t *one = document_json(&document);
            json_put(one, "invented", json_boolean(says_invented(&document)));
            (document.kind == DOCUMENT_RIG ? add_rig : add_loads)(one, &document);
            json_array_append_new(document.kind == DOCUMENT_RIG ? rigs : loads, one);
        }
        document_free(&document);
    }
    free(ids);
    return status;
}

/* Of the workshop; with ?sample= those that lie with that sample too. */
static void on_rigs(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    if (!visit_begin(&visit, context, request, reply, BOOK_READ))
        return;
    int64_t sample = 0;
    json_t *all = json_object(), *rigs = json_array(), *loads = json_array();
    const char *wanted = http_query(request, "sample");
    enum status status = wanted != NULL ? http_id(wanted, &sample, &visit.message) : STATUS_OK;
    if (status == STATUS_OK)
        status = add_papers(&visit, 0, rigs, loads);
    if (status == STATUS_OK && sample != 0)
        status = add_papers(&visit, sample, rigs, loads);
    json_put(all, "rigs", rigs);
    json_put(all, "loads", loads);
    masked_json(all, request->role);
    if (status == STATUS_OK)
        http_json(reply, json_incref(all));
    json_decref(all);
    visit_end(&visit, status);
}

static void on_put(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct document document;
    struct notices notices = {0};
    int64_t id = 0;
    bool rig = strcmp(request->parts[0], "rig") == 0;
    if (!rig && strcmp(request->parts[0], "loads") != 0) {
        http_refuse(reply, 404, "a paper of the workshop is a rig or loads, not a '%.40s'", request->parts[0]);
        return;
    }
    if (!visit_begin(&visit, context, request, reply, BOOK_WRITE))
        return;
    enum status status = paper_put(visit.book, 0, rig ? DOCUMENT_RIG : DOCUMENT_LOADS, http_query(request, "name"),
                                   request->body, workshop_utc_ns(visit.workshop), &notices, &id, &visit.message);
    if (status == STATUS_OK)
        status = document_get(visit.book, id, &document, &visit.message);
    if (status == STATUS_OK) {
        json_t *one = document_json(&document);
        json_put(one, "notices", notices_words(&notices));
        http_json(reply, one);
        document_free(&document);
        workshop_tell(visit.workshop, "document", id, 0);
    }
    notices_free(&notices);
    visit_end(&visit, status);
}

static void on_versions(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    int64_t id = 0, *ids = NULL;
    size_t count = 0;
    if (!visit_begin(&visit, context, request, reply, BOOK_READ))
        return;
    json_t *list = json_array();
    enum status status = http_id(request->parts[0], &id, &visit.message);
    if (status == STATUS_OK)
        status = document_versions(visit.book, id, &ids, &count, &visit.message);
    for (size_t k = count; k-- > 0 && status == STATUS_OK;) { /* the newest first */
        struct document document;
        status = document_get(visit.book, ids[k], &document, &visit.message);
        if (status == STATUS_OK) {
            json_array_append_new(list, document_json(&document));
            document_free(&document);
        }
    }
    free(ids);
    masked_json(list, request->role);
    if (status == STATUS_OK)
        http_json(reply, json_incref(list));
    json_decref(list);
    visit_end(&visit, status);
}

static void on_instruments(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct devices devices;
    devices_find("", &devices);
    http_json(reply, json_of_devices(&devices, drivers));
    devices_free(&devices);
}

/* A probe under way: the rig as it was when it was asked for. */
struct probing {
    struct rig rig;
    struct links links;
    double seconds;
};

static void probing_free(void *context)
{
    struct probing *probing = context;
    links_free(&probing->links);
    free(probing);
}

static enum status probe(void *context, struct task *task, json_t **ret_result, struct message *message)
{
    struct probing *probing = context;
    struct clock_paced paced;
    struct clock clock = probing->links.clock_rate != 1 ? clock_at_rate(&paced, probing->links.clock_rate) : clock_machine();
    const struct probe_watch watch = {.stopped = task_stopped, .progress = task_progress, .context = task};
    struct probe *probes = memory_get(probing->links.count * sizeof *probes);
    enum status status = probe_all(&probing->links, drivers, &clock, probing->seconds * clock.rate, &watch, probes, message);
    if (status == STATUS_OK)
        *ret_result = json_of_probes(&probing->rig, probes, probing->links.count);
    free(probes);
    return status;
}

static enum status take_probing(struct visit *visit, const json_t *body, struct probing *probing)
{
    struct document document;
    struct notices notices = {0};
    const json_t *seconds = json_object_get(body, "seconds");
    int64_t id = 0;
    probing->seconds = json_is_number(seconds) ? json_number_value(seconds) : probe_s;
    if (!(probing->seconds >= probe_least_s && probing->seconds <= probe_most_s)) {
        status_fail(&visit->message, STATUS_USAGE, "an instrument is listened to for %g s to %g s", probe_least_s, probe_most_s);
        return visit->message.status;
    }
    enum status status = http_id(visit->request->parts[0], &id, &visit->message);
    if (status == STATUS_OK)
        status = document_get(visit->book, id, &document, &visit->message);
    if (status != STATUS_OK)
        return status;
    if (document.kind != DOCUMENT_RIG)
        status = status_fail(&visit->message, STATUS_USAGE, "paper %lld is no rig", (long long)id);
    else
        status = read_rig(&document, &probing->rig, &probing->links, &notices, &visit->message);
    if (status == STATUS_OK && probing->links.count == 0) {
        status_fail(&visit->message, STATUS_MALFORMED, "this rig names no instrument that could be asked");
        status = status_remedy(&visit->message, "add a section with `driver`, `address` and lines such as `voltage from = …` "
                                                "(docs/instruments.md)");
    }
    if (status == STATUS_OK)
        status = devices_alone(&probing->links, &visit->message);
    document_free(&document);
    notices_free(&notices);
    return status;
}

static void on_probe(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    json_t *body = NULL;
    if (!visit_begin(&visit, context, request, reply, BOOK_READ))
        return;
    struct probing *probing = memory_get(sizeof *probing);
    probing->rig = rig_default();
    enum status status = http_body_json(request, &body, &visit.message);
    if (status == STATUS_OK)
        status = take_probing(&visit, body, probing);
    if (status == STATUS_OK) {
        struct task_work work = {.title = "Instruments are tried", .work = probe, .done_with = probing_free, .context = probing};
        json_t *answer = json_object();
        json_put(answer, "task", json_integer(task_start(workshop_tasks(visit.workshop), &work)));
        http_json(reply, answer);
    } else {
        probing_free(probing);
    }
    json_decref(body);
    visit_end(&visit, status);
}

const struct http_route rig_routes[] = {
    {.method = "GET", .pattern = "/api/rigs", .role = HTTP_READER, .answer = on_rigs},
    {.method = "PUT", .pattern = "/api/workshop/papers/{}", .role = HTTP_OPERATOR, .body_limit = PAPER_LIMIT, .answer = on_put},
    {.method = "GET", .pattern = "/api/papers/{}/versions", .role = HTTP_READER, .answer = on_versions},
    {.method = "POST", .pattern = "/api/rigs/{}/probe", .role = HTTP_OPERATOR, .body_limit = BODY_LIMIT, .answer = on_probe},
    {.method = "GET", .pattern = "/api/instruments", .role = HTTP_OPERATOR, .answer = on_instruments},
    {0},
};
