/* Plans: can this be decided, and how is the test to be run; and how far it has come. */
#include "archive/book_json.h"
#include "claims/plan_ticks.h"
#include "claims/planned.h"
#include "draw/svg.h"
#include "report/json_parts.h"
#include "report/plan_figure.h"
#include "report/rig_json.h"
#include "web/areas.h"
#include "web/visit.h"

enum { BODY_LIMIT = 4096 };
static const double narrowest = 240, widest = 1200, usual = 420; /* of a rung */

static enum status bad_start(const char *words, struct message *message)
{
    status_fail(message, STATUS_USAGE, "'%.40s' is no time of day", words);
    return status_remedy(message, "give it as 9:30, or none");
}

static enum status take_start(const char *words, struct plan_wish *wish, struct message *message)
{
    if (words == NULL)
        return STATUS_OK;
    wish->start_chosen = true;
    wish->start_clock_s = NAN;
    bool none = words[0] == '\0' || strcmp(words, "none") == 0;
    return none || plan_clock_read(span_of(words), &wish->start_clock_s) ? STATUS_OK : bad_start(words, message);
}

/* `?rig=3&loads=none&start=9:30`: what is absent stays as it was saved. */
static enum status wish_of_query(const struct http_request *request, struct plan_wish *ret_wish, struct message *message)
{
    struct plan_wish wish = {.rig = PLANNED_AS_BEFORE, .loads = PLANNED_AS_BEFORE};
    const char *rig = http_query(request, "rig"), *loads = http_query(request, "loads");
    enum status status = STATUS_OK;
    if (rig != NULL && strcmp(rig, "none") == 0)
        wish.rig = PLANNED_NONE;
    else if (rig != NULL)
        status = http_id(rig, &wish.rig, message);
    if (status == STATUS_OK && loads != NULL && strcmp(loads, "none") == 0)
        wish.loads = PLANNED_NONE;
    else if (status == STATUS_OK && loads != NULL)
        status = http_id(loads, &wish.loads, message);
    if (status == STATUS_OK)
        status = take_start(http_query(request, "start"), &wish, message);
    if (status == STATUS_OK)
        *ret_wish = wish;
    return status;
}

static enum status paper_of_body(const json_t *body, const char *key, int64_t *paper, struct message *message)
{
    const json_t *value = json_object_get(body, key);
    if (value == NULL)
        return STATUS_OK;
    *paper = json_is_null(value) ? PLANNED_NONE : json_integer_value(value);
    if (json_is_null(value) || *paper > 0)
        return STATUS_OK;
    status_fail(message, STATUS_MALFORMED, "\"%s\" is the number of a paper, or null for none", key);
    return message->status;
}

static enum status wish_of_body(const json_t *body, struct plan_wish *ret_wish, struct message *message)
{
    struct plan_wish wish = {.rig = PLANNED_AS_BEFORE, .loads = PLANNED_AS_BEFORE};
    const json_t *start = json_object_get(body, "start");
    enum status status = paper_of_body(body, "rig", &wish.rig, message);
    if (status == STATUS_OK)
        status = paper_of_body(body, "loads", &wish.loads, message);
    if (status == STATUS_OK && start != NULL)
        status = take_start(json_is_null(start) ? "" : json_is_string(start) ? json_string_value(start) : "?", &wish, message);
    if (status == STATUS_OK)
        *ret_wish = wish;
    return status;
}

static json_t *figure_json(struct figure *figure, const char *prefix)
{
    struct text svg = TEXT_EMPTY;
    svg_add(figure, prefix, &svg);
    json_t *words = json_words(text_string(&svg));
    text_free(&svg);
    figure_free(figure);
    return words;
}

static void put_figures(json_t *all, const struct plan *plan, double width)
{
    struct figure figure;
    json_t *rungs = json_array();
    plan_scale_figure(plan, width, &figure);
    json_put(all, "scale", figure_json(&figure, "scale"));
    for (size_t k = 0; k < plan->count; k++) {
        char prefix[32];
        snprintf(prefix, sizeof prefix, "rung%zu", k);
        plan_rung_figure(plan, k, width, &figure);
        json_array_append_new(rungs, figure_json(&figure, prefix));
    }
    json_put(all, "rungs", rungs);
}

static json_t *number_or_null(int64_t id)
{
    return id != 0 ? json_integer(id) : json_null();
}

static json_t *made_json(const struct planned *planned)
{
    json_t *all = json_object(), *notices = json_array();
    for (size_t k = 0; k < planned->notices.count; k++)
        json_array_append_new(notices, json_words(planned->notices.items[k].text));
    json_put(all, "plan", json_of_plan(&planned->plan));
    json_put(all, "label", number_or_null(planned->label_id));
    json_put(all, "rig", number_or_null(planned->rig_id));
    json_put(all, "loads", number_or_null(planned->loads_id));
    json_put(all, "invented", json_boolean(planned->label.invented));
    json_put(all, "notices", notices);
    return all;
}

static enum status put_saved(struct visit *visit, const struct planned *planned, json_t *all)
{
    struct plan_ticks ticks;
    json_t *done = json_array(), *saved = json_object();
    enum status status = plan_ticks_read(visit->book, visit->sample.id, planned->saved_id, &ticks, &visit->message);
    for (int k = 0; k < planned->plan.step_count && status == STATUS_OK; k++)
        json_array_append_new(done, isnan(ticks.done_utc_s[k]) ? json_null()
                                                               : utc_json((int64_t)(ticks.done_utc_s[k] * 1e9)));
    json_put(saved, "document", number_or_null(planned->saved_id));
    json_put(saved, "put", planned->saved_id != 0 ? utc_json(planned->saved_utc_ns) : json_null());
    json_put(saved, "as_shown", json_boolean(planned_is_saved(planned)));
    json_put(saved, "done", done);
    json_put(all, "saved", saved);
    return status;
}

/* The plan with all that the page shows of it; the caller has taken the papers. */
static enum status answer(struct visit *visit, const struct planned *planned)
{
    double width = NAN;
    enum status status = http_number("width", http_query(visit->request, "width"), narrowest, widest, usual, &width,
                                     &visit->message);
    if (status != STATUS_OK)
        return status;
    json_t *all = made_json(planned);
    json_put(all, "sample", sample_json(&visit->sample));
    put_figures(all, &planned->plan, width);
    status = put_saved(visit, planned, all);
    if (status == STATUS_OK)
        http_json(visit->reply, json_incref(all));
    json_decref(all);
    return status;
}

static enum status make(struct visit *visit, const struct plan_wish *wish, struct planned *planned)
{
    enum status status = planned_take(visit->book, visit->sample.id, wish, planned, &visit->message);
    return status == STATUS_OK ? planned_make(planned, &visit->message) : status;
}

/* A label that no test can be planned around yet is no fault of who asks: what to add is told, and no plan. */
static bool cannot_yet(const struct visit *visit, const struct planned *planned)
{
    bool of_papers = visit->message.status == STATUS_USAGE || visit->message.status == STATUS_MALFORMED;
    return of_papers && !(planned->label.rated_ah > 0);
}

static enum status say_what_to_add(struct visit *visit)
{
    json_t *all = json_object();
    json_put(all, "sample", sample_json(&visit->sample));
    json_put(all, "plan", json_null());
    json_put(all, "fault", json_message(&visit->message));
    http_json(visit->reply, all);
    return STATUS_OK;
}

static void on_get(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct plan_wish wish;
    if (!visit_sample(&visit, context, request, reply, BOOK_READ))
        return;
    if (wish_of_query(request, &wish, &visit.message) != STATUS_OK) {
        visit_end(&visit, visit.message.status);
        return;
    }
    struct planned planned = planned_empty();
    enum status status = make(&visit, &wish, &planned);
    if (status == STATUS_OK)
        status = answer(&visit, &planned);
    else if (cannot_yet(&visit, &planned))
        status = say_what_to_add(&visit);
    planned_free(&planned);
    visit_end(&visit, status);
}

static void on_save(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct plan_wish wish;
    json_t *body = NULL;
    if (!visit_sample(&visit, context, request, reply, BOOK_WRITE))
        return;
    struct planned planned = planned_empty();
    enum status status = http_body_json(request, &body, &visit.message);
    if (status == STATUS_OK)
        status = wish_of_body(body, &wish, &visit.message);
    if (status == STATUS_OK)
        status = make(&visit, &wish, &planned);
    if (status == STATUS_OK)
        status = planned_save(visit.book, visit.sample.id, &planned, workshop_utc_ns(visit.workshop), &visit.message);
    if (status == STATUS_OK) {
        workshop_tell(visit.workshop, "document", planned.saved_id, visit.sample.id);
        status = answer(&visit, &planned);
    }
    planned_free(&planned);
    json_decref(body);
    visit_end(&visit, status);
}

/* A step ticked, or its tick taken back, by whoever stands at the bench. The plan is named, since another device may
 * just have saved another. */
static enum status tick(struct visit *visit, const json_t *body)
{
    int64_t step = 0, utc_ns = workshop_utc_ns(visit->workshop), latest = 0;
    json_int_t plan = json_integer_value(json_object_get(body, "plan"));
    bool done = json_is_true(json_object_get(body, "done"));
    enum status status = http_id(visit->request->parts[1], &step, &visit->message);
    if (status == STATUS_OK)
        status = document_latest(visit->book, visit->sample.id, DOCUMENT_PLAN, NULL, &latest, &visit->message);
    if (status == STATUS_OK && (latest == 0 || latest != plan)) {
        status_fail(&visit->message, STATUS_USAGE, "this is no longer the sample's plan");
        return status_remedy(&visit->message, "read the plan again; steps are ticked on the one that is saved");
    }
    if (status == STATUS_OK && (step < 1 || step > PLAN_STEPS))
        status = status_fail(&visit->message, STATUS_USAGE, "a plan has no step %lld", (long long)step);
    if (status == STATUS_OK)
        status = plan_ticks_set(visit->book, visit->sample.id, plan, (int)step - 1, done ? (double)utc_ns / 1e9 : NAN,
                                utc_ns, &visit->message);
    return status;
}

static void on_tick(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    json_t *body = NULL;
    if (!visit_sample(&visit, context, request, reply, BOOK_WRITE))
        return;
    enum status status = http_body_json(request, &body, &visit.message);
    if (status == STATUS_OK)
        status = tick(&visit, body);
    if (status == STATUS_OK) {
        workshop_tell(visit.workshop, "document", json_integer_value(json_object_get(body, "plan")), visit.sample.id);
        http_json(reply, json_object());
    }
    json_decref(body);
    visit_end(&visit, status);
}

static void on_improve(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct visit visit;
    struct plan_wish wish;
    if (!visit_sample(&visit, context, request, reply, BOOK_READ))
        return;
    if (wish_of_query(request, &wish, &visit.message) != STATUS_OK) {
        visit_end(&visit, visit.message.status);
        return;
    }
    struct planned planned = planned_empty();
    enum status status = make(&visit, &wish, &planned);
    if (status == STATUS_OK) {
        struct improvements improvements;
        improve(&planned.label, &planned.rig, planned.has_loads ? &planned.loads : NULL, &planned.plan, &improvements);
        json_t *all = made_json(&planned);
        json_put(all, "sample", sample_json(&visit.sample));
        json_put(all, "improvements", json_of_improvements(&planned.plan, &improvements));
        improvements_free(&improvements);
        http_json(reply, all);
    } else if (cannot_yet(&visit, &planned)) {
        status = say_what_to_add(&visit);
    }
    planned_free(&planned);
    visit_end(&visit, status);
}

const struct http_route plan_routes[] = {
    {.method = "GET", .pattern = "/api/samples/{}/plan", .role = HTTP_READER, .answer = on_get},
    {.method = "POST", .pattern = "/api/samples/{}/plan", .role = HTTP_OPERATOR, .body_limit = BODY_LIMIT, .answer = on_save},
    {.method = "PUT", .pattern = "/api/samples/{}/plan/steps/{}", .role = HTTP_OPERATOR, .body_limit = BODY_LIMIT, .answer = on_tick},
    {.method = "GET", .pattern = "/api/samples/{}/improve", .role = HTTP_READER, .answer = on_improve},
    {0},
};
