/* The opened sample: what was seen in it, item by item, and what each comes to. Its paper is the one that
 * `rundown opened BOOK --sample NAME` reads. */
#include "claims/rated_of.h"
#include "report/codes_taken.h"
#include "report/opened_json.h"
#include "web/areas.h"
#include "web/paper_put.h"
#include "web/visit.h"

enum { SECTION_LIMIT = 1 << 16 };

/* The newest version; its text is empty where there is none. */
static enum status paper_of(struct visit *visit, enum document_kind kind, struct document *ret_paper)
{
    int64_t id = 0;
    struct document none = {.kind = kind};
    enum status status = document_latest(visit->book, visit->sample.id, kind, NULL, &id, &visit->message);
    *ret_paper = none;
    return status == STATUS_OK && id != 0 ? document_get(visit->book, id, ret_paper, &visit->message) : status;
}

static struct span text_of(const struct document *paper)
{
    return (struct span){text_string(&paper->text), paper->text.length};
}

/* What the label says of currents, cells and the case; nothing where there is none that can be read. */
static enum status label_of(struct visit *visit, struct label *ret_label)
{
    struct document paper;
    struct notices notices = {0};
    struct message unread;
    enum status status = paper_of(visit, DOCUMENT_LABEL, &paper);
    *ret_label = label_empty();
    if (status == STATUS_OK && paper.id != 0)
        (void)label_read_text(paper.name, text_of(&paper), ret_label, &notices, &unread);
    notices_free(&notices);
    document_free(&paper);
    return status;
}

static json_t *cautions_json(void)
{
    json_t *all = json_array();
    for (size_t k = 0; opened_cautions[k] != NULL; k++)
        json_array_append_new(all, json_words(opened_cautions[k]));
    return all;
}

static enum status inspected_json(const struct document *paper, const struct label *label, json_t **ret_json,
                                  struct message *message)
{
    struct opened opened = {0};
    struct inspection inspection = {0};
    struct rated rated = rated_of(label);
    enum status status = paper->id != 0 ? opened_read_text(paper->name, text_of(paper), &opened, message) : STATUS_OK;
    if (status == STATUS_OK)
        status = inspect(&opened, &rated, &inspection, message);
    if (status == STATUS_OK)
        *ret_json = opened_json(&opened, &inspection);
    inspection_free(&inspection);
    opened_free(&opened);
    return status;
}

/* What is shown of the paper as it stands; one that cannot be read any more is handed over as text, with its fault. */
static enum status answer(struct visit *visit)
{
    struct document paper;
    struct label label;
    struct message fault;
    json_t *seen = NULL;
    enum status status = paper_of(visit, DOCUMENT_OPENED, &paper);
    if (status == STATUS_OK)
        status = label_of(visit, &label);
    if (status != STATUS_OK)
        return status;
    json_t *all = json_object();
    if (inspected_json(&paper, &label, &seen, &fault) == STATUS_OK) {
        json_put(all, "opened", seen);
    } else {
        json_put(all, "opened", json_null());
        json_put_words(all, "fault", fault.what);
        json_put(all, "line", json_integer(fault.line));
    }
    json_put(all, "begun", json_boolean(paper.id != 0));
    json_put_words(all, "sample", visit->sample.name);
    json_put(all, "cautions", cautions_json());
    json_put(all, "kinds", opened_keys_json());
    label_free(&label);
    document_free(&paper);
    http_json(visit->reply, all);
    return STATUS_OK;
}

static void on_opened(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    if (!visit_sample(&visit, context, request, reply, BOOK_READ))
        return;
    visit_end(&visit, answer(&visit));
}

static enum status keep(struct visit *visit, struct span text)
{
    struct notices notices = {0};
    int64_t id = 0;
    enum status status = paper_put(visit->book, visit->sample.id, DOCUMENT_OPENED, NULL, text,
                                   workshop_utc_ns(visit->workshop), &notices, &id, &visit->message);
    notices_free(&notices);
    if (status == STATUS_OK)
        workshop_tell(visit->workshop, "document", id, visit->sample.id);
    return status == STATUS_OK ? answer(visit) : status;
}

/* The day on which it is begun stands at its head, and that the data are invented where those of the sample are. */
static void begin_paper(const struct visit *visit, const struct document *paper, struct text *text)
{
    char day[16];
    time_t now = (time_t)(workshop_utc_ns(visit->workshop) / 1000000000);
    struct tm utc;
    if (paper->id != 0) {
        text_add_bytes(text, text_string(&paper->text), paper->text.length);
        return;
    }
    gmtime_r(&now, &utc);
    strftime(day, sizeof day, "%Y-%m-%d", &utc);
    text_addf(text, "[opened]\ndate = %s\n%s", day, visit->sample.invented ? "invented = yes\n" : "");
}

/* One item in place of another, or of none. A fault within the item is told with its own lines. */
static void put_item(void *context, const struct http_request *request, struct http_reply *reply, const char *slug,
                     struct span section)
{
    struct visit visit;
    struct document paper;
    struct text before = TEXT_EMPTY, after = TEXT_EMPTY;
    if (!visit_sample(&visit, context, request, reply, BOOK_WRITE))
        return;
    enum status status = section.n > 0 ? inspect_judge("item", section, &visit.message) : STATUS_OK;
    if (status == STATUS_OK)
        status = paper_of(&visit, DOCUMENT_OPENED, &paper);
    if (status != STATUS_OK) {
        visit_end(&visit, status);
        return;
    }
    begin_paper(&visit, &paper, &before);
    status = opened_put((struct span){text_string(&before), before.length}, slug, section, &after, &visit.message);
    if (status == STATUS_OK)
        status = keep(&visit, (struct span){text_string(&after), after.length});
    text_free(&before);
    text_free(&after);
    document_free(&paper);
    visit_end(&visit, status);
}

static void on_add_item(void *context, const struct http_request *request, struct http_reply *reply)
{
    if (request->body.n == 0)
        http_refuse(reply, 400, "an item begins with a line such as `[conductor main lead]`");
    else
        put_item(context, request, reply, NULL, request->body);
}

static void on_change_item(void *context, const struct http_request *request, struct http_reply *reply)
{
    if (request->body.n == 0)
        http_refuse(reply, 400, "an item begins with a line such as `[conductor main lead]`");
    else
        put_item(context, request, reply, request->parts[1], request->body);
}

static void on_remove_item(void *context, const struct http_request *request, struct http_reply *reply)
{
    put_item(context, request, reply, request->parts[1], (struct span){"", 0});
}

static void on_take_codes(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct codes_taken taken;
    if (!visit_sample(&visit, context, request, reply, BOOK_WRITE))
        return;
    enum status status = codes_take(visit.book, &visit.sample, workshop_utc_ns(context), &taken, &visit.message);
    if (status == STATUS_OK) {
        json_t *o = json_object();
        json_put(o, "pictures", json_integer((json_int_t)taken.pictures));
        json_put(o, "read", json_integer((json_int_t)taken.read));
        json_put(o, "added", json_integer((json_int_t)taken.added));
        if (taken.added > 0)
            workshop_tell(context, "document", 0, visit.sample.id);
        http_json(reply, o);
    }
    visit_end(&visit, status);
}

const struct http_route opened_routes[] = {
    {.method = "GET", .pattern = "/api/samples/{}/opened", .role = HTTP_READER, .answer = on_opened},
    {.method = "POST", .pattern = "/api/samples/{}/opened", .role = HTTP_OPERATOR, .body_limit = SECTION_LIMIT,
     .answer = on_add_item},
    {.method = "PUT", .pattern = "/api/samples/{}/opened/{}", .role = HTTP_OPERATOR, .body_limit = SECTION_LIMIT,
     .answer = on_change_item},
    {.method = "DELETE", .pattern = "/api/samples/{}/opened/{}", .role = HTTP_OPERATOR, .body_limit = SECTION_LIMIT,
     .answer = on_remove_item},
    {.method = "POST", .pattern = "/api/samples/{}/codes", .role = HTTP_OPERATOR, .body_limit = SECTION_LIMIT,
     .answer = on_take_codes},
    {0},
};
