#include "made_book.h"

#include "base/memory.h"
#include "book/stream.h"
#include "report/json.h"
#include "web/areas.h"

struct shop {
    struct scratch scratch;
    struct events *events;
    struct workshop *workshop;
    int64_t sample, run;
};

static struct shop shop;

/* What every test of a run begins with: the demo's book, and, as run 2, its readings by eye. */
static void shop_open(void)
{
    struct message message = {0};
    struct stored_request typed = {.run = {.kind = TEST_DISCHARGE, .invented = true}};
    int64_t second = 0;
    made_book(&shop.scratch, &shop.sample, &shop.run);
    typed.run.sample = shop.sample;
    CHECK(stored_readings(shop.scratch.book, &typed, "demo/hut-pack.readings", &second, &message) == STATUS_OK);
    CHECK(shop.run == 1 && second == 2);
    shop.events = events_new(64, 1);
    struct workshop_setup setup = {.book = shop.scratch.path, .events = shop.events, .spool = shop.scratch.folder};
    CHECK(workshop_open(&setup, &shop.workshop, &message) == STATUS_OK);
}

static void shop_close(void)
{
    workshop_close(shop.workshop);
    events_free(shop.events);
    scratch_remove(&shop.scratch);
}

static struct http_reply reply_of(const char *method, const char *what, const char *part, const char *second,
                                  const struct http_pair *query, const char *body)
{
    char pattern[64];
    snprintf(pattern, sizeof pattern, "/api/runs/{}%s", what);
    struct http_request request = {.method = method, .path = pattern, .parts = {part, second}, .query = query,
                                   .body = span_of(body), .role = HTTP_OPERATOR};
    struct http_reply reply = {0};
    const struct http_route *route = run_routes;
    while (route->method != NULL && (strcmp(route->method, method) != 0 || strcmp(route->pattern, pattern) != 0))
        route++;
    CHECK(route->method != NULL);
    route->answer(shop.workshop, &request, &reply);
    return reply;
}

static json_t *json_of(struct http_reply *reply)
{
    json_t *value = NULL;
    CHECK(json_parse("answer", 1, (struct span){reply->body.s, reply->body.length}, &value, NULL) == STATUS_OK);
    text_free(&reply->body);
    return value;
}

static json_t *asked(const char *what, const char *run, const char *second, const struct http_pair *query)
{
    struct http_reply reply = reply_of("GET", what, run, second, query, "");
    if (reply.status >= 400)
        printf("%s: %s\n", what, reply.body.s);
    CHECK(reply.status == 0);
    return json_of(&reply);
}

static bool refused(const char *method, const char *what, const char *run, const char *second, const struct http_pair *query,
                    const char *body, const char *because)
{
    struct http_reply reply = reply_of(method, what, run, second, query, body);
    bool as_wanted = reply.status >= 400 && strstr(text_string(&reply.body), because) != NULL;
    if (!as_wanted)
        printf("%d %s\n", reply.status, text_string(&reply.body));
    text_free(&reply.body);
    return as_wanted;
}

static double number(const json_t *value, const char *key)
{
    return json_is_number(json_object_get(value, key)) ? json_number_value(json_object_get(value, key)) : NAN;
}

static const json_t *channel(const json_t *chart, const char *name, const json_t **ret_group)
{
    size_t k;
    const json_t *group;
    json_array_foreach(json_object_get(chart, "groups"), k, group) {
        const json_t *one = json_object_get(json_object_get(group, "channels"), name);
        if (one != NULL) {
            *ret_group = group;
            return one;
        }
    }
    return NULL;
}

static double at(const json_t *list, size_t k)
{
    const json_t *one = json_array_get(list, k);
    return json_is_number(one) ? json_number_value(one) : NAN;
}

TEST(the_facts_are_those_of_run_show)
{
    shop_open();
    json_t *facts = asked("", "1", NULL, NULL);
    CHECK_TEXT(json_string_value(json_object_get(facts, "sample_name")), "hut pack 14");
    const json_t *stream = json_array_get(json_object_get(facts, "streams"), 0);
    CHECK_NEAR(number(stream, "readings"), 7785, 0);
    CHECK(json_is_array(json_object_get(facts, "events")) && json_is_object(json_object_get(facts, "rig")));
    json_decref(facts);
    CHECK(refused("GET", "", "99", NULL, NULL, "", "99"));
    struct http_reply reply = reply_of("GET", "", "99", NULL, NULL, "");
    CHECK(reply.status == 404);
    text_free(&reply.body);
    CHECK(refused("GET", "", "0", NULL, NULL, "", "0"));
    shop_close();
}

TEST(the_assessment_is_what_the_command_prints)
{
    shop_open();
    char log[300];
    const char *logs[] = {log};
    snprintf(log, sizeof log, "%s:1", shop.scratch.path);
    struct assess_request request = {.logs = logs, .log_count = 1};
    struct assessment assessment;
    struct message message = {0};
    struct text text = TEXT_EMPTY;
    CHECK(assess(&request, &assessment, &message) == STATUS_OK);
    json_assessment(&assessment, &text);
    struct http_reply reply = reply_of("GET", "/assessment", "1", NULL, NULL, "");
    CHECK(reply.body.length == text.length && memcmp(reply.body.s, text.s, text.length) == 0);
    text_free(&reply.body);
    text_free(&text);
    assessment_free(&assessment);
    shop_close();
}

/* Least and most of a column, reading by reading. */
struct extremes {
    double from_s, to_s, min, max;
    int position;
    size_t count;
};

static bool see(void *context, const struct block_columns *block)
{
    struct extremes *e = context;
    for (size_t k = 0; k < block->count; k++) {
        double v = decimal_value(block->cells[e->position][k]);
        e->min = fmin(e->min, v);
        e->max = fmax(e->max, v);
        e->count += !isnan(v);
    }
    return true;
}

static struct extremes walked(int position, double from_s, double to_s)
{
    struct extremes e = {from_s, to_s, INFINITY, -INFINITY, position, 0};
    struct message message = {0};
    CHECK(stream_walk(shop.scratch.book, 1, from_s, to_s, see, &e, &message) == STATUS_OK);
    return e;
}

TEST(a_chart_from_far_loses_no_extreme)
{
    shop_open();
    const struct http_pair query[] = {{"points", "90"}, {"from", "100.5"}, {"to", "12000"}, {NULL, NULL}};
    json_t *chart = asked("/chart", "1", NULL, query);
    CHECK(json_is_false(json_object_get(chart, "readings")) && number(chart, "sign") == 1);
    static const char *const names[] = {"voltage", "current", "power", "temperature"};
    for (int c = 0; c < 4; c++) {
        const json_t *group = NULL, *one = channel(chart, names[c], &group);
        CHECK(one != NULL);
        double min = INFINITY, max = -INFINITY;
        size_t n = json_array_size(json_object_get(one, "min"));
        CHECK(n == json_array_size(json_object_get(group, "t")) && n <= 91);
        for (size_t k = 0; k < n; k++) {
            min = fmin(min, at(json_object_get(one, "min"), k));
            max = fmax(max, at(json_object_get(one, "max"), k));
        }
        struct extremes e = walked(c + 1, 100.5, 12000);
        CHECK_REL(min, e.min, 1e-6);
        CHECK_REL(max, e.max, 1e-6);
    }
    json_decref(chart);
    shop_close();
}

TEST(close_up_the_readings_themselves_are_shown)
{
    shop_open();
    const struct http_pair query[] = {{"points", "400"}, {"from", "7000"}, {"to", "7100"}, {"sign", "1"}, {NULL, NULL}};
    json_t *chart = asked("/chart", "1", NULL, query);
    const json_t *group = NULL, *one = channel(chart, "voltage", &group);
    struct extremes e = walked(1, 7000, 7100);
    CHECK(json_is_true(json_object_get(chart, "readings")) && one != NULL);
    CHECK(json_array_size(json_object_get(one, "min")) == e.count && json_object_get(one, "max") == NULL);
    json_decref(chart);
    shop_close();
}

TEST(against_the_charge_a_chart_ends_at_what_was_delivered)
{
    shop_open();
    const struct http_pair query[] = {{"x", "charge"}, {"points", "700"}, {NULL, NULL}};
    json_t *chart = asked("/chart", "1", NULL, query), *assessment = asked("/assessment", "1", NULL, NULL);
    const json_t *ah = json_object_get(json_array_get(json_object_get(chart, "groups"), 0), "ah");
    const json_t *test = json_array_get(json_object_get(assessment, "tests"), 0);
    size_t n = json_array_size(ah);
    CHECK(n > 600);
    for (size_t k = 1; k < n; k++)
        CHECK(at(ah, k) >= at(ah, k - 1));
    CHECK_NEAR(at(ah, n - 1), number(json_object_get(test, "charge_ah"), "value"), 0.2);
    json_decref(chart);
    json_decref(assessment);
    const struct http_pair part[] = {{"x", "charge"}, {"from", "20"}, {"to", "30"}, {NULL, NULL}};
    chart = asked("/chart", "1", NULL, part);
    ah = json_object_get(json_array_get(json_object_get(chart, "groups"), 0), "ah");
    CHECK_NEAR(at(ah, 0), 20, 0.05);
    CHECK_NEAR(at(ah, json_array_size(ah) - 1), 30, 0.05);
    json_decref(chart);
    shop_close();
}

TEST(readings_by_eye_are_points_with_the_bounds_of_what_was_typed)
{
    shop_open();
    json_t *chart = asked("/chart", "2", NULL, NULL);
    const json_t *group = NULL, *volts = channel(chart, "voltage", &group);
    CHECK(json_is_true(json_object_get(chart, "by_eye")) && volts != NULL);
    size_t n = json_array_size(json_object_get(group, "t")), known = 0;
    CHECK(n == 13 && json_array_size(json_object_get(group, "line")) == n);
    for (size_t k = 0; k < n; k++) {
        double v = at(json_object_get(volts, "at"), k);
        known += !isnan(v);
        CHECK(isnan(v) || (at(json_object_get(volts, "min"), k) <= v && v <= at(json_object_get(volts, "max"), k)));
    }
    CHECK(known > 5);
    json_decref(chart);
    const struct http_pair query[] = {{"x", "charge"}, {NULL, NULL}};
    chart = asked("/chart", "2", NULL, query);
    CHECK_TEXT(json_string_value(json_object_get(chart, "along")), "charge");
    json_decref(chart);
    CHECK(refused("GET", "/stretch", "2", NULL, (const struct http_pair[]){{"from", "0"}, {"to", "9000"}, {NULL, NULL}}, "", "by eye"));
    shop_close();
}

TEST(the_stretch_of_a_run_is_the_runs_own_finding)
{
    shop_open();
    json_t *assessment = asked("/assessment", "1", NULL, NULL);
    const json_t *run = json_array_get(json_object_get(assessment, "runs"), 1);
    char from[32], to[32];
    snprintf(from, sizeof from, "%.17g", number(run, "start_s"));
    snprintf(to, sizeof to, "%.17g", number(run, "end_s"));
    json_t *stretch = asked("/stretch", "1", NULL, (const struct http_pair[]){{"from", from}, {"to", to}, {NULL, NULL}});
    static const char *const keys[] = {"charge_ah", "energy_wh", "mean_v"};
    for (int k = 0; k < 3; k++) {
        const json_t *a = json_object_get(stretch, keys[k]), *b = json_object_get(run, keys[k]);
        CHECK_TEXT(json_string_value(json_object_get(a, "words")), json_string_value(json_object_get(b, "words")));
        CHECK_REL(number(a, "value"), number(b, "value"), 1e-11); /* the document has 12 digits */
        CHECK_REL(number(a, "low"), number(b, "low"), 1e-11);
        CHECK(json_array_size(json_object_get(a, "budget")) > 3);
    }
    CHECK_TEXT(json_string_value(json_object_get(stretch, "direction")), "discharge");
    json_decref(stretch);
    json_decref(assessment);
    CHECK(refused("GET", "/stretch", "1", NULL, (const struct http_pair[]){{"from", "5"}, {"to", "5.5"}, {NULL, NULL}}, "", "fewer than two"));
    CHECK(refused("GET", "/stretch", "1", NULL, (const struct http_pair[]){{"from", "5"}, {NULL, NULL}}, "", "to"));
    shop_close();
}

TEST(raw_readings_have_their_digits_and_their_numbers)
{
    shop_open();
    const struct http_pair query[] = {{"from", "7000"}, {"most", "3"}, {NULL, NULL}};
    json_t *readings = asked("/readings", "1", NULL, query);
    const json_t *stream = json_array_get(json_object_get(readings, "streams"), 0), *rows = json_object_get(stream, "rows");
    CHECK(json_array_size(rows) == 3 && json_is_true(json_object_get(stream, "more")));
    struct extremes before = walked(1, -INFINITY, nextafter(7000, 0));
    CHECK(number(stream, "first") == (double)before.count + 1);
    CHECK(strchr(json_string_value(json_array_get(json_array_get(rows, 0), 1)), '.') != NULL);
    json_decref(readings);
    readings = asked("/readings", "2", NULL, NULL);
    CHECK(json_array_size(json_object_get(readings, "lines")) > 13);
    json_decref(readings);
    shop_close();
}

TEST(figure_curve_and_chain_are_of_the_same_findings)
{
    shop_open();
    json_t *figure = asked("/figure", "1", NULL, NULL);
    const char *end = json_string_value(json_object_get(json_object_get(figure, "end"), "words"));
    struct http_reply curve = reply_of("GET", "/curve.svg", "1", NULL, (const struct http_pair[]){{"width", "700"}, {NULL, NULL}}, "");
    CHECK(curve.status == 0 && strcmp(curve.type, "image/svg+xml") == 0 && end != NULL && strstr(curve.body.s, "<svg") != NULL);
    text_free(&curve.body);
    json_decref(figure);
    json_t *chain = asked("/chain/{}", "1", "energy", NULL);
    CHECK_TEXT(json_string_value(json_object_get(chain, "finding")), "energy");
    json_decref(chain);
    CHECK(refused("GET", "/chain/{}", "1", "colour", NULL, "", "no finding"));
    CHECK(refused("GET", "/curve.svg", "1", NULL, (const struct http_pair[]){{"width", "7"}, {NULL, NULL}}, "", "width"));
    shop_close();
}

TEST(a_run_is_set_right_and_what_stood_before_is_kept)
{
    shop_open();
    struct http_reply reply = reply_of("PATCH", "", "1", NULL, NULL, "{\"name\": \"first night\", \"kind\": \"whole\"}");
    CHECK(reply.status == 0);
    text_free(&reply.body);
    json_t *facts = asked("", "1", NULL, NULL);
    CHECK_TEXT(json_string_value(json_object_get(facts, "name")), "first night");
    CHECK(json_array_size(json_object_get(facts, "corrections")) == 2);
    json_decref(facts);
    CHECK(refused("PATCH", "", "1", NULL, NULL, "{\"name\": \"third\", \"kind\": \"party\"}", "party"));
    facts = asked("", "1", NULL, NULL);
    CHECK_TEXT(json_string_value(json_object_get(facts, "name")), "first night"); /* all or nothing */
    json_decref(facts);
    CHECK(refused("PATCH", "", "1", NULL, NULL, "[]", ""));
    reply = reply_of("DELETE", "", "1", NULL, NULL, "{}");
    CHECK(reply.status == 0);
    text_free(&reply.body);
    CHECK(refused("GET", "", "1", NULL, NULL, "", "1"));
    shop_close();
}

TEST(nonsense_is_refused)
{
    shop_open();
    CHECK(refused("GET", "/chart", "1", NULL, (const struct http_pair[]){{"points", "1e9"}, {NULL, NULL}}, "", "points"));
    CHECK(refused("GET", "/chart", "1", NULL, (const struct http_pair[]){{"from", "7"}, {"to", "3"}, {NULL, NULL}}, "", "ends before"));
    CHECK(refused("GET", "/chart", "1", NULL, (const struct http_pair[]){{"x", "moons"}, {NULL, NULL}}, "", "moons"));
    CHECK(refused("GET", "/chart", "77", NULL, NULL, "", "77"));
    CHECK(refused("GET", "/readings", "77", NULL, NULL, "", "77"));
    CHECK(refused("GET", "/assessment", "77", NULL, NULL, "", "77"));
    shop_close();
}

/* A log whose amps have no sign of their own: a column says whether it charged. */
TEST(amps_that_a_column_gives_their_sign_are_drawn_with_it)
{
    shop_open();
    char path[300];
    struct log_options options = {.digits = true, .threads = 1};
    struct stored_request request = {.run = {.sample = shop.sample, .kind = TEST_WHOLE}};
    struct message message = {0};
    struct log log;
    int64_t run = 0;
    snprintf(path, sizeof path, "%s/modes.csv", shop.scratch.folder);
    FILE *file = fopen(path, "w");
    CHECK(file != NULL);
    fprintf(file, "Time(s),Voltage(V),Current(A),Mode\n");
    for (int k = 0; k < 900; k++) {
        bool charging = k >= 500;
        fprintf(file, "%d,%.3f,%.2f,%s\n", k, charging ? 13.4 + 1e-4 * k : 12.9 - 2e-4 * k, k < 400 ? 20.5 : charging ? 10.25 : 0.0,
                k < 400 ? "discharge" : charging ? "charge" : "rest");
    }
    fclose(file);
    CHECK(log_read(path, &options, &log, &message) == STATUS_OK);
    CHECK(log.sign == SIGN_BY_MODE);
    CHECK(stored_log(shop.scratch.book, &request, &log, &run, &message) == STATUS_OK && run == 3);
    log_free(&log);
    json_t *chart = asked("/chart", "3", NULL, (const struct http_pair[]){{"points", "60"}, {NULL, NULL}});
    const json_t *group = NULL, *amps = channel(chart, "current", &group), *watts = channel(chart, "power", &group);
    size_t n = json_array_size(json_object_get(amps, "min"));
    CHECK(n > 50 && at(json_object_get(amps, "max"), 5) == 20.5 && at(json_object_get(amps, "min"), n - 3) == -10.25);
    CHECK(watts != NULL && json_is_true(json_object_get(watts, "bounds")) && at(json_object_get(watts, "max"), n - 3) < -137);
    json_decref(chart);
    shop_close();
}

TEST(a_step_and_the_burst_are_drawn_by_what_their_findings_rest_on)
{
    shop_open();
    json_t *assessment = asked("/assessment", "1", NULL, NULL), *step = asked("/steps/{}", "1", "2", NULL);
    const json_t *found = json_object_get(json_array_get(json_object_get(assessment, "steps"), 1), "resistance_ohm");
    size_t index;
    json_t *value;
    CHECK(json_array_size(json_object_get(step, "values")) >= 3);
    json_array_foreach(json_object_get(step, "values"), index, value) {
        double delay = number(value, "delay_s"), drop = number(value, "before_v") - number(value, "after_v");
        double ohm = drop / (number(step, "to_a") - number(step, "from_a"));
        size_t k;
        json_t *one;
        json_array_foreach(found, k, one)
            if (fabs(number(one, "delay_s") - delay) < 1e-9)
                CHECK_REL(ohm, number(one, "value"), 0.02); /* the amps go on to change a little */
        CHECK(number(json_object_get(value, "ohm"), "value") > 0);
    }
    json_decref(step);
    json_t *burst = asked("/bursts/{}", "1", "1", NULL);
    const json_t *t = json_object_get(burst, "t_s"), *base = json_object_get(burst, "base_v"), *read = json_object_get(burst, "read_v");
    size_t n = json_array_size(t);
    double lost_vs = 0;
    CHECK(n > 100 && json_array_size(base) == n && json_array_size(read) == n);
    for (size_t k = 1; k < n && at(t, k) <= number(burst, "end_s"); k++)
        lost_vs += (at(base, k) - at(read, k)) * (at(t, k) - at(t, k - 1));
    const json_t *first = json_array_get(json_object_get(assessment, "bursts"), 0);
    double in_burst_wh = lost_vs * number(first, "current_a") / 3600, cost = number(json_object_get(first, "cost_wh"), "value");
    CHECK(in_burst_wh > 0.85 * cost && in_burst_wh < 1.01 * cost); /* the rest is lost in the recovery */
    json_decref(burst);
    json_decref(assessment);
    CHECK(refused("GET", "/steps/{}", "1", "99", NULL, "", "99"));
    CHECK(refused("GET", "/bursts/{}", "1", "2", NULL, "", "2"));
    CHECK(refused("GET", "/steps/{}", "2", "1", NULL, "", "by eye"));
    shop_close();
}
