#include "web/areas.h"

#include "archive/book_json.h"
#include "archive/run_facts.h"
#include "battery/drawn.h"
#include "draw/svg.h"
#include "report/chain.h"
#include "report/curve_model.h"
#include "report/figures.h"
#include "report/json.h"
#include "report/json_parts.h"
#include "web/benches.h"
#include "web/masked.h"
#include "web/run_parts.h"

enum { CORRECTION_LIMIT = 4096, WIDTH = 980, HEIGHT = 420 };

/* A book for one request about a run that is there; puts the fault into the reply where there is none. */
static struct book *take(struct workshop *workshop, const struct http_request *request, enum book_access access,
                         struct book_run *ret_run, struct http_reply *reply)
{
    struct message message = {0};
    int64_t id = 0;
    enum status status = http_id(request->parts[0], &id, &message);
    struct book *book = status == STATUS_OK ? workshop_take(workshop, access, &message) : NULL;
    if (book != NULL) {
        status = book_run_get(book, id, ret_run, &message);
        if (status == STATUS_OK)
            return book;
        workshop_put(workshop, book);
        http_fail(reply, status == STATUS_USAGE ? 404 : 0, &message); /* there is no such run */
        return NULL;
    }
    http_fail(reply, status == STATUS_USAGE ? 404 : 0, &message); /* there is no such run */
    return NULL;
}

/* The assessment of the run that is asked for; puts the fault into the reply where there is none. */
static const struct assessment *assess_run(struct workshop *workshop, const struct http_request *request,
                                           struct http_reply *reply)
{
    struct message message = {0};
    int64_t id = 0;
    const struct assessment *assessment =
        http_id(request->parts[0], &id, &message) == STATUS_OK ? workshop_assessed(workshop, 0, id, &message) : NULL;
    if (assessment == NULL)
        http_fail(reply, message.status == STATUS_USAGE ? 404 : 0, &message);
    return assessment;
}

static void answer_facts(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct workshop *workshop = context;
    struct message message = {0};
    struct book_run run;
    json_t *facts = NULL;
    struct book *book = take(workshop, request, BOOK_READ, &run, reply);
    if (book == NULL)
        return;
    enum status status = run_facts(book, &run, &facts, &message);
    workshop_put(workshop, book);
    masked_json(facts, request->role);
    if (status == STATUS_OK)
        http_json(reply, facts);
    else
        http_fail(reply, 0, &message);
}

static void answer_assessment(void *context, const struct http_request *request, struct http_reply *reply)
{
    const struct assessment *assessment = assess_run(context, request, reply);
    if (assessment == NULL)
        return;
    json_assessment(assessment, &reply->body);
    workshop_give_back(context, assessment);
}

static void answer_figure(void *context, const struct http_request *request, struct http_reply *reply)
{
    const struct assessment *assessment = assess_run(context, request, reply);
    struct curve_model model;
    if (assessment == NULL)
        return;
    if (assessment->record_count > 0 && curve_model_make(&assessment->records[0], &model)) {
        http_json(reply, json_curve_model(&model));
        curve_model_free(&model);
    } else {
        http_refuse(reply, 404, "this run holds no discharge to draw a curve of");
    }
    workshop_give_back(context, assessment);
}

static void answer_curve(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    double width = WIDTH, height = HEIGHT;
    struct figure figure = {0};
    if (http_number("width", http_query(request, "width"), 240, 4000, WIDTH, &width, &message) != STATUS_OK ||
        http_number("height", http_query(request, "height"), 200, 3000, HEIGHT, &height, &message) != STATUS_OK) {
        http_fail(reply, 0, &message);
        return;
    }
    const struct assessment *assessment = assess_run(context, request, reply);
    if (assessment == NULL)
        return;
    if (assessment->record_count > 0 && curve_figure(assessment, 0, width, height, &figure)) {
        svg_add_document(&figure, &reply->body);
        reply->type = "image/svg+xml";
        figure_free(&figure);
    } else {
        http_refuse(reply, 404, "this run holds no discharge to draw a curve of");
    }
    workshop_give_back(context, assessment);
}

static void answer_chain(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    struct finding_chain chain;
    const struct assessment *assessment = assess_run(context, request, reply);
    if (assessment == NULL)
        return;
    if (chain_make(assessment, request->parts[1], &chain, &message) == STATUS_OK) {
        http_json(reply, json_chain(&chain));
        chain_free(&chain);
    } else {
        http_fail(reply, 404, &message);
    }
    workshop_give_back(context, assessment);
}

static json_t *stretch_json(const struct stretch_found *s)
{
    json_t *o = json_object();
    json_put(o, "from_s", json_number(s->from_s));
    json_put(o, "to_s", json_number(s->to_s));
    json_put(o, "readings", json_integer((json_int_t)s->readings));
    json_put(o, "first", json_integer((json_int_t)s->first + 1));
    json_put(o, "last", json_integer((json_int_t)s->last + 1));
    json_put_words(o, "direction", s->direction > 0 ? "discharge" : "charge");
    json_put(o, "charge_ah", json_measure_with_budget(&s->charge_ah, QUANTITY_CHARGE));
    json_put(o, "energy_wh", json_measure_with_budget(&s->energy_wh, QUANTITY_ENERGY));
    json_put(o, "mean_v", json_measure_with_budget(&s->mean_v, QUANTITY_VOLTAGE));
    json_put(o, "mean_a", json_measure_with_budget(&s->mean_a, QUANTITY_CURRENT));
    json_put(o, "mean_w", json_measure_with_budget(&s->mean_w, QUANTITY_POWER));
    json_put(o, "duration_s", json_measure_with_budget(&s->duration_s, QUANTITY_TIME));
    return o;
}

static void answer_stretch(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct message message = {0};
    double from_s = NAN, to_s = NAN;
    struct stretch_found stretch;
    enum status status = http_number("from", http_query(request, "from"), -1e12, 1e12, NAN, &from_s, &message);
    if (status == STATUS_OK)
        status = http_number("to", http_query(request, "to"), -1e12, 1e12, NAN, &to_s, &message);
    if (status != STATUS_OK) {
        http_fail(reply, 0, &message);
        return;
    }
    const struct assessment *assessment = assess_run(context, request, reply);
    if (assessment == NULL)
        return;
    const struct ground *ground = workshop_ground(context, assessment, &message);
    if (ground != NULL && stretch_measure(ground, from_s, to_s, &stretch, &message) == STATUS_OK)
        http_json(reply, stretch_json(&stretch));
    else
        http_fail(reply, 0, &message);
    workshop_give_back(context, assessment);
}

static json_t *numbers_json(const double *values, int count)
{
    json_t *all = json_array();
    for (int k = 0; k < count; k++)
        json_array_append_new(all, json_number(values[k]));
    return all;
}

static json_t *line_json(const double *t_s, const double *v, int count)
{
    json_t *o = json_object();
    json_put(o, "t_s", numbers_json(t_s, count));
    json_put(o, "v", numbers_json(v, count));
    return o;
}

static json_t *step_json(const struct step_drawn *drawn)
{
    json_t *o = json_object(), *values = json_array();
    const double before_s[] = {drawn->before.from_s, drawn->step->at_s}, before_v[] = {drawn->before.from_v, drawn->before.at_v};
    for (int k = 0; k < drawn->count; k++) {
        json_t *value = json_object();
        json_put(value, "delay_s", json_number(drawn->values[k].resistance->delay_s));
        json_put(value, "t_s", json_number(drawn->values[k].t_s));
        json_put(value, "before_v", json_number(drawn->values[k].before_v));
        json_put(value, "after_v", json_number(drawn->values[k].after_v));
        json_put(value, "ohm", json_measure_with_budget(&drawn->values[k].resistance->ohm, QUANTITY_RESISTANCE));
        json_array_append_new(values, value);
    }
    json_put(o, "at_s", json_number(drawn->step->at_s));
    json_put(o, "at_halfwidth_s", json_number(drawn->step->at_halfwidth_s));
    json_put(o, "from_a", json_number(drawn->step->from_a));
    json_put(o, "to_a", json_number(drawn->step->to_a));
    json_put(o, "from_s", json_number(drawn->before.from_s));
    json_put(o, "to_s", json_number(drawn->to_s));
    json_put(o, "before", line_json(before_s, before_v, 2));
    json_put(o, "carried", line_json(drawn->carried_s, drawn->carried_v, drawn->carried));
    json_put(o, "values", values);
    return o;
}

static json_t *burst_json(const struct burst_drawn *drawn)
{
    json_t *o = json_object();
    json_put(o, "start_s", json_number(drawn->burst->start_s));
    json_put(o, "end_s", json_number(drawn->burst->end_s));
    json_put(o, "from_s", json_number(drawn->from_s));
    json_put(o, "to_s", json_number(drawn->to_s));
    json_put(o, "t_s", numbers_json(drawn->t_s, drawn->count));
    json_put(o, "base_v", numbers_json(drawn->base_v, drawn->count));
    json_put(o, "read_v", numbers_json(drawn->read_v, drawn->count));
    json_put(o, "cost_wh", json_measure_with_budget(&drawn->burst->cost_wh, QUANTITY_ENERGY));
    return o;
}

/* A step or a burst by its number, drawn over the readings it rests on. */
static void answer_drawn(void *context, const struct http_request *request, struct http_reply *reply, bool burst)
{
    struct message message = {0};
    int64_t number = 0;
    if (http_id(request->parts[1], &number, &message) != STATUS_OK) {
        http_fail(reply, 0, &message);
        return;
    }
    const struct assessment *assessment = assess_run(context, request, reply);
    if (assessment == NULL)
        return;
    const struct ground *ground = workshop_ground(context, assessment, &message);
    struct step_drawn step;
    struct burst_drawn across;
    if (ground != NULL && !burst && step_draw(ground, (size_t)number - 1, &step, &message) == STATUS_OK)
        http_json(reply, step_json(&step));
    else if (ground != NULL && burst && burst_draw(ground, (size_t)number - 1, &across, &message) == STATUS_OK)
        http_json(reply, burst_json(&across));
    else
        http_fail(reply, 404, &message);
    workshop_give_back(context, assessment);
}

static void answer_step(void *context, const struct http_request *request, struct http_reply *reply)
{
    answer_drawn(context, request, reply, false);
}

static void answer_burst(void *context, const struct http_request *request, struct http_reply *reply)
{
    answer_drawn(context, request, reply, true);
}

/* One field of a correction; a number as its digits. */
static enum status correct_field(struct book *book, int64_t run, const char *field, const json_t *value, int64_t utc_ns,
                                 struct message *message)
{
    char digits[32];
    if (json_is_string(value))
        return book_run_correct(book, run, field, json_string_value(value), utc_ns, message);
    if (!json_is_integer(value)) {
        status_fail(message, STATUS_USAGE, "%.40s is neither words nor a number", field);
        return STATUS_USAGE;
    }
    snprintf(digits, sizeof digits, "%lld", (long long)json_integer_value(value));
    return book_run_correct(book, run, field, digits, utc_ns, message);
}

static enum status correct(struct book *book, int64_t run, json_t *fields, int64_t utc_ns, struct message *message)
{
    const char *field;
    json_t *value;
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    json_object_foreach(fields, field, value)
        if (status == STATUS_OK)
            status = correct_field(book, run, field, value, utc_ns, message);
    if (status == STATUS_OK)
        return book_commit(book, message);
    book_rollback(book);
    return status;
}

static void answer_correct(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct workshop *workshop = context;
    struct message message = {0};
    struct book_run run, now;
    json_t *fields = NULL;
    enum status status = http_body_json(request, &fields, &message);
    if (status != STATUS_OK) {
        http_fail(reply, 0, &message);
        return;
    }
    struct book *book = take(workshop, request, BOOK_WRITE, &run, reply);
    if (book != NULL) {
        status = correct(book, run.id, fields, workshop_utc_ns(workshop), &message);
        if (status == STATUS_OK)
            status = book_run_get(book, run.id, &now, &message);
        workshop_put(workshop, book);
        if (status == STATUS_OK) {
            workshop_tell(workshop, "run", run.id, now.sample);
            if (now.sample != run.sample)
                workshop_tell(workshop, "run", run.id, run.sample);
            http_json(reply, run_facts_json(&now, NULL));
        } else {
            http_fail(reply, 0, &message);
        }
    }
    json_decref(fields);
}

/* A run that is being recorded is not taken away from under it. */
static bool is_recorded(struct workshop *workshop, const struct book_run *run, struct http_reply *reply)
{
    if (!run->open || !benches_record(workshop_benches(workshop), run->id))
        return false;
    http_refuse(reply, 409, "run %lld is being recorded: end the recording first", (long long)run->id);
    return true;
}

static void answer_remove(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct workshop *workshop = context;
    struct message message = {0};
    struct book_run run;
    struct book *book = take(workshop, request, BOOK_WRITE, &run, reply);
    if (book == NULL)
        return;
    if (is_recorded(workshop, &run, reply)) {
        workshop_put(workshop, book);
        return;
    }
    enum status status = book_run_remove(book, run.id, &message);
    workshop_put(workshop, book);
    if (status != STATUS_OK) {
        http_fail(reply, 0, &message);
        return;
    }
    workshop_tell(workshop, "run", run.id, run.sample);
    json_t *gone = json_object();
    json_put(gone, "removed", json_integer(run.id));
    http_json(reply, gone);
}

const struct http_route run_routes[] = {
    {"GET", "/api/runs/{}", HTTP_READER, 0, HTTP_PLAIN, answer_facts},
    {"PATCH", "/api/runs/{}", HTTP_OPERATOR, CORRECTION_LIMIT, HTTP_PLAIN, answer_correct},
    {"DELETE", "/api/runs/{}", HTTP_OPERATOR, CORRECTION_LIMIT, HTTP_PLAIN, answer_remove},
    {"GET", "/api/runs/{}/assessment", HTTP_READER, 0, HTTP_PLAIN, answer_assessment},
    {"GET", "/api/runs/{}/chart", HTTP_READER, 0, HTTP_PLAIN, run_chart_answer},
    {"GET", "/api/runs/{}/stretch", HTTP_READER, 0, HTTP_PLAIN, answer_stretch},
    {"GET", "/api/runs/{}/readings", HTTP_READER, 0, HTTP_PLAIN, run_readings_answer},
    {"GET", "/api/runs/{}/figure", HTTP_READER, 0, HTTP_PLAIN, answer_figure},
    {"GET", "/api/runs/{}/curve.svg", HTTP_READER, 0, HTTP_PLAIN, answer_curve},
    {"GET", "/api/runs/{}/steps/{}", HTTP_READER, 0, HTTP_PLAIN, answer_step},
    {"GET", "/api/runs/{}/bursts/{}", HTTP_READER, 0, HTTP_PLAIN, answer_burst},
    {"GET", "/api/runs/{}/chain/{}", HTTP_READER, 0, HTTP_PLAIN, answer_chain},
    {0},
};
