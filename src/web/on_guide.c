/* Sheets for tests by hand, filled in from the papers of a sample, or general ones without. */
#include "claims/planned.h"
#include "report/guide_sheet.h"
#include "report/guide_words.h"
#include "web/areas.h"
#include "web/visit.h"

/* `?sample=3`: its label, and the rig and loads of its plan or last put in; absent: none. */
static enum status take_papers(struct visit *visit, struct planned *planned)
{
    const char *sample = http_query(visit->request, "sample");
    const struct plan_wish wish = {.rig = PLANNED_AS_BEFORE, .loads = PLANNED_AS_BEFORE, .unlabelled = true};
    int64_t id = 0;
    if (sample == NULL)
        return STATUS_OK;
    enum status status = http_id(sample, &id, &visit->message);
    if (status == STATUS_OK && book_sample_by_id(visit->book, id, &visit->sample, &visit->message) != STATUS_OK)
        return status_fail(&visit->message, STATUS_USAGE, "there is no sample %.20s in this book", sample);
    return status == STATUS_OK ? planned_take(visit->book, id, &wish, planned, &visit->message) : status;
}

static void on_list(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    if (!visit_begin(&visit, context, request, reply, BOOK_READ))
        return;
    struct planned planned = planned_empty();
    enum status status = take_papers(&visit, &planned);
    if (status == STATUS_OK)
        http_json(reply, guides_json(&planned.label));
    planned_free(&planned);
    visit_end(&visit, status);
}

static bool test_named(const struct http_request *request, struct http_reply *reply, enum guide_test *ret_test)
{
    *ret_test = guide_named(request->parts[0]);
    if (*ret_test == GUIDE_TESTS)
        http_refuse(reply, 404, "no test is called '%.40s'", request->parts[0]);
    return *ret_test != GUIDE_TESTS;
}

static enum status make(struct visit *visit, enum guide_test test, struct guide *ret_guide)
{
    struct planned planned = planned_empty();
    enum status status = take_papers(visit, &planned);
    if (status == STATUS_OK)
        status = guide_make(test, &planned.label, &planned.rig, planned.has_loads ? &planned.loads : NULL, ret_guide, &visit->message);
    planned_free(&planned);
    return status;
}

static void on_guide(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct guide guide;
    enum guide_test test;
    if (!test_named(request, reply, &test) || !visit_begin(&visit, context, request, reply, BOOK_READ))
        return;
    enum status status = make(&visit, test, &guide);
    if (status == STATUS_OK)
        http_json(reply, guide_json(&guide));
    visit_end(&visit, status);
}

static enum status take_paper(const struct http_request *request, enum paper_size *ret_size, struct message *message)
{
    const char *paper = http_query(request, "paper");
    bool letter = paper != NULL && strcmp(paper, "letter") == 0;
    if (paper != NULL && !letter && strcmp(paper, "a4") != 0) {
        status_fail(message, STATUS_USAGE, "paper cannot be '%.40s'", paper);
        return status_remedy(message, "use a4 or letter");
    }
    *ret_size = letter ? PAPER_LETTER : PAPER_A4;
    return STATUS_OK;
}

static void on_sheet(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct guide guide;
    enum guide_test test;
    enum paper_size size = PAPER_A4;
    if (!test_named(request, reply, &test) || !visit_begin(&visit, context, request, reply, BOOK_READ))
        return;
    enum status status = take_paper(request, &size, &visit.message);
    if (status == STATUS_OK)
        status = make(&visit, test, &guide);
    if (status == STATUS_OK)
        status = guide_sheet_render(&guide, size, &reply->body, &visit.message);
    if (status == STATUS_OK) {
        reply->type = "application/pdf";
        snprintf(reply->file_name, sizeof reply->file_name, "%s.pdf", guide_name(test));
    }
    visit_end(&visit, status);
}

const struct http_route guide_routes[] = {
    {.method = "GET", .pattern = "/api/guides", .role = HTTP_READER, .answer = on_list},
    {.method = "GET", .pattern = "/api/guides/{}", .role = HTTP_READER, .answer = on_guide},
    {.method = "GET", .pattern = "/api/guides/{}/sheet.pdf", .role = HTTP_READER, .answer = on_sheet},
    {0},
};
