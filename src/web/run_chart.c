/* A run's chart as JSON: its traces, in groups that share their instants. Written straight as text: there are thousands
 * of numbers, and the page redraws while a hand moves. */
#include "web/run_parts.h"

#include "archive/stored.h"
#include "base/memory.h"
#include "numeric/stats.h"
#include "report/curve_data.h"

#define HOLE_PERIODS 10.0 /* as on the sheet */
enum { POINTS = 1200, MOST_POINTS = 4000, HOLES = 200 };

/* Where a group's instants stand, and whether something is missing after one. */
struct instants {
    size_t count;
    double *t_s;
    bool *hole_after;
};

static void instants_free(struct instants *instants)
{
    free(instants->t_s);
    free(instants->hole_after);
}

/* In the middle of each stretch. A hole is an interval of ten usual ones; where there are many there is none. */
static struct instants instants_of(const struct run_trace *trace)
{
    size_t n = trace->count, holes = 0;
    struct instants instants = {n, memory_get((n + 1) * sizeof(double)), memory_get(n + 1)};
    double *steps = memory_get(2 * (n + 1) * sizeof *steps);
    for (size_t k = 0; k < n; k++)
        instants.t_s[k] = 0.5 * (trace->at[k].from_s + trace->at[k].to_s);
    for (size_t k = 0; k + 1 < n; k++)
        steps[k] = trace->at[k + 1].from_s - trace->at[k].from_s;
    double usual = n > 2 ? stats_median(steps, n - 1, steps + n + 1) : INFINITY;
    for (size_t k = 0; k + 1 < n; k++) {
        instants.hole_after[k] = trace->at[k + 1].from_s - trace->at[k].to_s > HOLE_PERIODS * usual;
        holes += instants.hole_after[k];
    }
    for (size_t k = 0; k < n && holes > HOLES; k++)
        instants.hole_after[k] = false;
    free(steps);
    return instants;
}

static void put_number(struct text *text, double value, bool instant)
{
    if (isfinite(value))
        text_addf(text, instant ? "%.12g," : "%.7g,", value);
    else
        text_add(text, "null,");
}

static void end_list(struct text *text)
{
    if (text->s[text->length - 1] == ',')
        text->s[--text->length] = '\0';
    text_add(text, "]");
}

/* One number an instant, and at each hole another, of `hole[k]` or, where that is NULL, none. */
static void put_list(struct text *text, const char *key, const struct instants *instants, const double *values,
                     const double *hole)
{
    text_addf(text, "\"%s\":[", key);
    for (size_t k = 0; k < instants->count; k++) {
        put_number(text, values[k], hole != NULL);
        if (instants->hole_after[k])
            put_number(text, hole != NULL ? hole[k] : NAN, true);
    }
    end_list(text);
}

static void put_trace(struct text *text, const struct instants *instants, const struct run_trace *trace, bool readings)
{
    double *values = memory_get((trace->count + 1) * sizeof *values);
    text_addf(text, "\"%s\":{\"unit\":\"%s\",\"bounds\":%s,", channel_name(trace->channel), channel_symbol(trace->channel),
              trace->bounds ? "true" : "false");
    for (size_t k = 0; k < trace->count; k++)
        values[k] = trace->at[k].count > 0 ? trace->at[k].min : NAN;
    put_list(text, "min", instants, values, NULL);
    for (size_t k = 0; k < trace->count && (!readings || trace->bounds); k++)
        values[k] = trace->at[k].count > 0 ? trace->at[k].max : NAN;
    if (!readings || trace->bounds) {
        text_add(text, ",");
        put_list(text, "max", instants, values, NULL);
    }
    text_add(text, "},");
    free(values);
}

/* What x counts beside the time: Ah since the start of the test, which never falls. */
struct along {
    const struct ground *ground; /* NULL: time alone */
    double start_s;
};

static void put_instants(struct text *text, const struct instants *instants, const struct along *along)
{
    size_t n = instants->count;
    double *hole = memory_get((n + 1) * sizeof *hole), *ah = memory_get((n + 1) * sizeof *ah);
    double so_far = -INFINITY, sum = 0, from_s = along->start_s;
    for (size_t k = 0; k + 1 < n; k++)
        hole[k] = 0.5 * (instants->t_s[k] + instants->t_s[k + 1]);
    put_list(text, "t", instants, instants->t_s, hole);
    for (size_t k = 0; k < n && along->ground != NULL; k++) {
        sum += ground_charge_ah(along->ground, from_s, instants->t_s[k]);
        from_s = instants->t_s[k];
        ah[k] = so_far = fmax(so_far, sum);
    }
    for (size_t k = 0; k + 1 < n && along->ground != NULL; k++)
        hole[k] = 0.5 * (ah[k] + ah[k + 1]);
    if (along->ground != NULL) {
        text_add(text, ",");
        put_list(text, "ah", instants, ah, hole);
    }
    free(hole);
    free(ah);
}

static bool same_instants(const struct run_trace *a, const struct run_trace *b)
{
    bool same = a->count == b->count;
    for (size_t k = 0; same && k < a->count; k++)
        same = a->at[k].from_s == b->at[k].from_s && a->at[k].to_s == b->at[k].to_s;
    return same;
}

static void put_groups(struct text *text, const struct run_chart *chart, const struct along *along)
{
    bool written[RUN_TRACES] = {false};
    text_add(text, "\"groups\":[");
    for (size_t k = 0; k < chart->count; k++) {
        if (written[k] || chart->traces[k].count == 0)
            continue;
        struct instants instants = instants_of(&chart->traces[k]);
        text_add(text, "{");
        put_instants(text, &instants, along);
        text_add(text, ",\"channels\":{");
        for (size_t j = k; j < chart->count; j++) {
            if (written[j] || !same_instants(&chart->traces[k], &chart->traces[j]))
                continue;
            put_trace(text, &instants, &chart->traces[j], chart->readings);
            written[j] = true;
        }
        text->s[--text->length] = '\0'; /* the comma behind the last channel */
        text_add(text, "}},");
        instants_free(&instants);
    }
    end_list(text);
}

static void put_bound(struct text *text, const char *key, double value)
{
    text_addf(text, "\"%s\":", key);
    put_number(text, value, true);
}

/* From the first reading that is drawn to the last, along x. */
static void put_extent(struct text *text, const struct run_chart *chart, const struct along *along)
{
    double first = INFINITY, last = -INFINITY;
    for (size_t k = 0; k < chart->count; k++) {
        const struct run_trace *trace = &chart->traces[k];
        if (trace->count == 0)
            continue;
        first = fmin(first, trace->at[0].from_s);
        last = fmax(last, trace->at[trace->count - 1].to_s);
    }
    if (along->ground != NULL && first <= last) {
        first = ground_charge_ah(along->ground, along->start_s, first);
        last = ground_charge_ah(along->ground, along->start_s, last);
    }
    put_bound(text, "first", first);
    put_bound(text, "last", last);
}

static void write_chart(const struct run_chart *chart, const struct along *along, struct text *text)
{
    text_addf(text, "{\"by_eye\":false,\"along\":\"%s\",\"sign\":%d,\"readings\":%s,", along->ground != NULL ? "charge" : "time",
              chart->sign, chart->readings ? "true" : "false");
    put_extent(text, chart, along);
    put_groups(text, chart, along);
    text_add(text, "}");
}

/* What was asked. */
struct asked_chart {
    int64_t run;
    double from, to, points, sign; /* from and to in seconds, or in Ah */
    bool charge;
    bool by_eye;  /* no stream holds readings */
    bool by_mode; /* a column of the log says which way its amps count */
};

static enum status take_query(const struct http_request *request, struct asked_chart *asked, struct message *message)
{
    const char *x = http_query(request, "x");
    *asked = (struct asked_chart){.from = -INFINITY, .to = INFINITY, .charge = x != NULL && strcmp(x, "charge") == 0};
    const char *from = http_query(request, "from"), *to = http_query(request, "to");
    enum status status = http_id(request->parts[0], &asked->run, message);
    if (status == STATUS_OK && x != NULL && !asked->charge && strcmp(x, "time") != 0)
        status = status_fail(message, STATUS_USAGE, "x is `time` or `charge`, not '%.40s'", x);
    if (status == STATUS_OK && from != NULL)
        status = http_number("from", from, -1e12, 1e12, 0, &asked->from, message);
    if (status == STATUS_OK && to != NULL)
        status = http_number("to", to, -1e12, 1e12, 0, &asked->to, message);
    if (status == STATUS_OK)
        status = http_number("points", http_query(request, "points"), 2, MOST_POINTS, POINTS, &asked->points, message);
    if (status == STATUS_OK)
        status = http_number("sign", http_query(request, "sign"), -1, 1, 0, &asked->sign, message);
    if (status == STATUS_OK && asked->to < asked->from)
        status = status_fail(message, STATUS_USAGE, "the stretch ends before it begins");
    return status;
}

/* Ah of the test become instants of it. */
static void to_seconds(struct asked_chart *asked, const struct findings *f, const struct ground *ground)
{
    double from = isfinite(asked->from) ? ground_when(ground, f->test_start_s, asked->from) : f->test_start_s;
    double to = isfinite(asked->to) ? ground_when(ground, f->test_start_s, asked->to) : f->test_end_s;
    asked->from = fmax(f->test_start_s, from);
    asked->to = fmin(f->test_end_s, to);
}

static enum status answer_log(struct workshop *workshop, struct asked_chart *asked, const struct assessment *assessment,
                              struct text *text, struct message *message)
{
    struct along along = {0};
    struct run_chart chart = {0};
    if (asked->charge && assessment != NULL) {
        const struct findings *f = &assessment->records[0].findings;
        if (!f->has_test)
            return status_fail(message, STATUS_USAGE, "there is no discharge to count Ah over");
        along = (struct along){workshop_ground(workshop, assessment, message), f->test_start_s};
        if (along.ground == NULL)
            return message->status;
        to_seconds(asked, f, along.ground);
    }
    enum status status = STATUS_OK;
    if (asked->by_mode && assessment != NULL) {
        run_chart_of_series(&assessment->records[0].log.series, asked->from, asked->to, (size_t)asked->points, &chart);
    } else {
        struct book *book = workshop_take(workshop, BOOK_READ, message);
        if (book == NULL)
            return message->status;
        status = run_chart_make(book, asked->run, asked->from, asked->to, (size_t)asked->points, (int)asked->sign, &chart,
                                message);
        workshop_put(workshop, book);
    }
    if (status == STATUS_OK)
        write_chart(&chart, &along, text);
    run_chart_free(&chart);
    return status;
}

static const struct sighted *seen(const struct instant *instant, enum channel channel)
{
    for (size_t k = 0; k < instant->count; k++)
        if (instant->values[k].channel == channel)
            return &instant->values[k];
    return NULL;
}

static void put_sighted(struct text *text, const struct sightings *s, enum channel channel)
{
    static const char *const keys[] = {"at", "min", "max"};
    size_t found = 0;
    for (size_t k = 0; k < s->count; k++)
        found += seen(&s->instants[k], channel) != NULL;
    if (found == 0)
        return;
    text_addf(text, "\"%s\":{\"unit\":\"%s\",\"bounds\":false,", channel_name(channel), channel_symbol(channel));
    for (int key = 0; key < 3; key++) {
        text_addf(text, "\"%s\":[", keys[key]);
        for (size_t k = 0; k < s->count; k++) {
            const struct sighted *one = seen(&s->instants[k], channel);
            put_number(text, one == NULL ? NAN : key == 0 ? one->value : key == 1 ? one->lo : one->hi, false);
        }
        end_list(text);
        text_add(text, ",");
    }
    text->s[text->length - 1] = '}';
    text_add(text, ",");
}

/* Every sighting with the bounds of what was typed, against the time, the Ah of the sheet's curve (`record` not NULL),
 * or their order. */
static void write_sightings(const struct sightings *s, const struct record *record, struct text *text)
{
    static const enum channel shown[] = {CHANNEL_VOLTAGE, CHANNEL_CURRENT, CHANNEL_POWER, CHANNEL_TEMPERATURE, CHANNEL_AMBIENT};
    struct curve_data data = {0};
    bool timed = s->tied || s->clips <= 1;
    for (size_t k = 0; k < s->count; k++)
        timed = timed && isfinite(s->instants[k].t_s);
    bool placed = record != NULL && curve_data_make(record, &data) && data.count == s->count && data.along == CURVE_CHARGE;
    text_addf(text, "{\"by_eye\":true,\"along\":\"%s\",\"sign\":1,\"readings\":true,\"groups\":[{\"t\":[",
              placed ? "charge" : timed ? "time" : "order");
    for (size_t k = 0; k < s->count; k++)
        put_number(text, timed ? s->instants[k].t_s : (double)k + 1, true);
    end_list(text);
    if (placed) {
        text_add(text, ",\"ah\":[");
        for (size_t k = 0; k < s->count; k++)
            put_number(text, data.x[k], true);
        end_list(text);
    }
    text_add(text, ",\"line\":[");
    for (size_t k = 0; k < s->count; k++)
        text_addf(text, "%ld,", s->instants[k].line);
    end_list(text);
    text_add(text, ",\"channels\":{");
    for (size_t k = 0; k < sizeof shown / sizeof *shown; k++)
        put_sighted(text, s, shown[k]);
    if (text->s[text->length - 1] == ',')
        text->s[--text->length] = '\0';
    text_add(text, "}}]}");
    curve_data_free(&data);
}

static enum status look_at(struct book *book, struct asked_chart *asked, struct message *message)
{
    struct book_stream_list streams = {0};
    struct book_run run;
    enum sign_stated sign = SIGN_NOT_STATED;
    enum status status = book_run_get(book, asked->run, &run, message);
    if (status == STATUS_OK)
        status = stored_sign(book, &run, &sign, message);
    if (status == STATUS_OK)
        status = book_streams(book, asked->run, &streams, message);
    bool any = false;
    for (size_t k = 0; k < streams.count && status == STATUS_OK && !any; k++) {
        struct summary totals[BLOCK_COLUMNS];
        status = stream_totals(book, streams.items[k].id, totals, message);
        any = status == STATUS_OK && totals[0].count > 0;
    }
    book_stream_list_free(&streams);
    asked->by_eye = !any;
    asked->by_mode = any && sign == SIGN_BY_MODE;
    return status;
}

/* What sort of run it is. */
static enum status find_sort(struct workshop *workshop, struct asked_chart *asked, struct message *message)
{
    struct book *book = workshop_take(workshop, BOOK_READ, message);
    if (book == NULL)
        return message->status;
    enum status status = look_at(book, asked, message);
    workshop_put(workshop, book);
    return status;
}

static enum status answer_typed(struct workshop *workshop, int64_t run, struct text *text, struct message *message)
{
    struct stored stored;
    struct book *book = workshop_take(workshop, BOOK_READ, message);
    if (book == NULL)
        return message->status;
    enum status status = stored_read(book, run, &stored, message);
    workshop_put(workshop, book);
    if (status != STATUS_OK)
        return status;
    if (stored.by_eye)
        write_sightings(&stored.sightings, NULL, text);
    else
        status = status_fail(message, STATUS_UNREADABLE, "this run holds no readings");
    stored_free(&stored);
    return status;
}

void run_chart_answer(void *context, const struct http_request *request, struct http_reply *reply)
{
    struct workshop *workshop = context;
    struct message message = {0};
    struct asked_chart asked;
    const struct assessment *assessment = NULL;
    int nothing = 0; /* the status of a run that is not there */
    enum status status = take_query(request, &asked, &message);
    if (status == STATUS_OK)
        status = find_sort(workshop, &asked, &message), nothing = status == STATUS_USAGE ? 404 : 0;
    if (status == STATUS_OK && (asked.charge || asked.by_mode)) {
        assessment = workshop_assessed(workshop, 0, asked.run, &message);
        status = assessment != NULL ? STATUS_OK : message.status;
    }
    if (status == STATUS_OK && asked.by_eye && asked.charge && assessment != NULL && assessment->records[0].by_eye)
        write_sightings(&assessment->records[0].sightings, &assessment->records[0], &reply->body);
    else if (status == STATUS_OK && asked.by_eye)
        status = answer_typed(workshop, asked.run, &reply->body, &message);
    else if (status == STATUS_OK)
        status = answer_log(workshop, &asked, assessment, &reply->body, &message);
    workshop_give_back(workshop, assessment);
    if (status != STATUS_OK)
        http_fail(reply, nothing, &message);
}
