#include "../book/scratch_book.h"

#include "base/memory.h"
#include "bench/recorder.h"
#include "book/sample.h"
#include "check.h"
#include "web/areas.h"
#include "web/benches.h"

static struct scratch scratch;
static struct events *events;
static struct workshop *workshop;

static void shop_open(void)
{
    struct message message = {0};
    scratch_open(&scratch);
    events = events_new(256, 1);
    struct workshop_setup setup = {.book = scratch.path, .events = events, .spool = scratch.folder};
    CHECK(workshop_open(&setup, &workshop, &message) == STATUS_OK);
}

static void shop_close(void)
{
    workshop_close(workshop);
    events_free(events);
    scratch_remove(&scratch);
}

/* Asks the route of this pattern, with what its {} stands for; the answer is the caller's. */
static json_t *ask(const char *method, const char *pattern, const char *part, const char *body, int *ret_status)
{
    const struct http_pair query[] = {{"sample", "Hut pack 3"}, {"kind", "charge"}, {NULL, NULL}};
    struct http_request request = {
        .method = method, .path = pattern, .parts = {part}, .query = query, .body = span_of(body), .role = HTTP_OPERATOR};
    struct http_reply reply = {0};
    const struct http_route *route = bench_routes;
    while (route->method != NULL && (strcmp(route->method, method) != 0 || strcmp(route->pattern, pattern) != 0))
        route++;
    CHECK(route->method != NULL);
    route->answer(workshop, &request, &reply);
    json_t *value = NULL;
    CHECK(json_parse("answer", 1, (struct span){reply.body.s, reply.body.length}, &value, NULL) == STATUS_OK);
    *ret_status = reply.status != 0 ? reply.status : 200;
    text_free(&reply.body);
    return value;
}

static const char *words(const json_t *value, const char *key)
{
    const char *found = json_string_value(json_object_get(value, key));
    return found != NULL ? found : "";
}

static json_t *good(const char *method, const char *pattern, const char *part, const char *body)
{
    int status;
    json_t *value = ask(method, pattern, part, body, &status);
    if (status != 200)
        printf("%s %s: %s\n", pattern, body, words(json_object_get(value, "fault"), "what"));
    CHECK(status == 200);
    return value;
}

static bool refused(const char *method, const char *pattern, const char *part, const char *body, const char *because)
{
    int status;
    json_t *value = ask(method, pattern, part, body, &status);
    bool as_wanted = status >= 400 && strstr(words(json_object_get(value, "fault"), "what"), because) != NULL;
    if (!as_wanted)
        printf("%d %s\n", status, words(json_object_get(value, "fault"), "what"));
    json_decref(value);
    return as_wanted;
}

static void wait_ms(int ms)
{
    struct clock machine = clock_machine();
    machine.wait_ns(NULL, machine.now_ns(NULL) + ms * 1000000LL);
}

static void until_over(const char *run)
{
    for (int k = 0; k < 600; k++) {
        json_t *state = good("GET", "/api/recordings/{}", run, "");
        bool over = strcmp(words(state, "state"), "ended") == 0;
        json_decref(state);
        if (over)
            return;
        wait_ms(5);
    }
    CHECK(false);
}

TEST(a_test_by_eye_from_begin_to_finding)
{
    shop_open();
    json_decref(good("POST", "/api/recordings", NULL, "{\"sample\": \"Hut pack 3\", \"kind\": \"discharge\", \"by_eye\": true}"));
    static const char *const lines[] = {"13.31 V 0 A", "load on", "12.96 V 24.8 A", "129.4 V 24.9 A", "12.91 V 24.9 A"};
    for (size_t k = 0; k < 5; k++) {
        char body[120];
        wait_ms(30);
        snprintf(body, sizeof body, "{\"line\": \"%s\", \"ago_ms\": 20.5}", lines[k]);
        json_t *said = good("POST", "/api/recordings/{}/say", "1", body);
        CHECK_TEXT(words(said, "text"), lines[k]);
        CHECK_TEXT(words(said, "said"), k == 1 ? "mark" : "line");
        CHECK(json_integer_value(json_object_get(said, "number")) == (json_int_t)k + 1);
        json_decref(said);
    }
    json_decref(good("POST", "/api/recordings/{}/take-back", "1", "{\"number\": 4}"));
    CHECK(refused("POST", "/api/recordings/{}/take-back", "1", "{\"number\": 4}", "taken back already"));
    CHECK(refused("POST", "/api/recordings/{}/say", "1", "{\"line\": 7}", "a line has its text"));
    CHECK(refused("POST", "/api/recordings/{}/say", "1", "{\"line\": \"12.9 V\", \"ago_ms\": -4}", "a line has its text"));
    CHECK(refused("POST", "/api/recordings/{}/say", "8", "{\"line\": \"12.9 V\"}", "not being recorded"));
    json_t *state = good("GET", "/api/recordings/{}", "1", "");
    CHECK_NEAR(json_number_value(json_object_get(state, "voltage_v")), 12.91, 1e-9);
    CHECK(json_array_size(json_object_get(state, "said")) >= 5 && json_is_true(json_object_get(state, "by_eye")));
    json_decref(state);
    CHECK(refused("POST", "/api/recordings", NULL, "{\"sample\": \"hut-pack 3\", \"kind\": \"charge\"}", "recorded already"));
    json_decref(good("POST", "/api/recordings/{}/end", "1", "{}"));
    until_over("1");
    json_t *curve = good("GET", "/api/recordings/{}/curve", "1", "");
    CHECK(json_array_size(json_object_get(json_object_get(curve, "voltage_v"), "t_s")) == 3);
    json_decref(curve);
    struct text method = TEXT_EMPTY, json = TEXT_EMPTY;
    struct message message = {0};
    CHECK(finding_latest(scratch.book, 1, &method, &json, &message) == STATUS_OK && json.length > 0);
    text_free(&method);
    text_free(&json);
    shop_close();
}

TEST(a_run_that_a_crash_left_open_goes_on_from_a_page)
{
    shop_open();
    struct recorder_request request = {.book = scratch.path, .sample = "Hut pack 3", .commit_s = 0.01};
    struct recorder *recorder = NULL;
    struct message message = {0};
    struct bench_view view;
    bool over;
    CHECK(recorder_open(&request, NULL, &recorder, &message) == STATUS_OK);
    CHECK(recorder_start(recorder, &message) == STATUS_OK);
    const struct clock *clock = recorder_clock(recorder);
    CHECK(recorder_say(recorder, "13.1 V 20.5 A", clock->now_ns(clock->context), &message) == STATUS_OK);
    wait_ms(20);
    recorder_turn(recorder, 0, NULL, NULL, &view, &over);
    recorder_close(recorder);
    json_t *bench = good("GET", "/api/bench", NULL, "");
    const json_t *left = json_array_get(json_object_get(bench, "left_open"), 0);
    CHECK_TEXT(words(left, "sample_name"), "Hut pack 3");
    CHECK(json_array_size(json_object_get(bench, "samples")) == 1 && strstr(words(bench, "script"), "INVENTED") != NULL);
    json_decref(bench);
    json_t *state = good("POST", "/api/recordings", NULL, "{\"resume\": 1}");
    CHECK(json_integer_value(json_object_get(state, "recording")) == 1);
    CHECK_TEXT(words(json_array_get(json_object_get(state, "said"), 0), "text"), "13.1 V 20.5 A");
    json_decref(state);
    bench = good("GET", "/api/bench", NULL, "");
    CHECK(json_array_size(json_object_get(bench, "left_open")) == 0);
    CHECK(json_array_size(json_object_get(bench, "recordings")) == 1);
    json_decref(bench);
    shop_close(); /* ends what runs */
}

TEST(a_rehearsal_tells_its_truth_after_the_end)
{
    shop_open();
    json_t *state = good("POST", "/api/recordings", NULL,
                         "{\"kind\": \"discharge\", \"rehearsal\": {\"speed\": 4000, \"seed\": 9, \"script\": \"name = Invented pack\\n[pack]\\n"
                         "capacity = 20 Ah\\n[program]\\nrest = 1 min\\ndischarge = 240 W, until cut-off\\nrest = 1 min\\n\"}}");
    CHECK(json_is_true(json_object_get(state, "invented")) && json_is_true(json_object_get(state, "rehearsed")));
    json_decref(state);
    CHECK(refused("GET", "/api/runs/{}/beside", "1", "", "when the rehearsal has ended"));
    until_over("1");
    json_t *beside = good("GET", "/api/runs/{}/beside", "1", "");
    CHECK(json_array_size(json_object_get(beside, "rows")) >= 3);
    CHECK_TEXT(words(json_array_get(json_object_get(beside, "rows"), 0), "what"), "Ah delivered");
    json_decref(beside);
    shop_close();
}

TEST(what_cannot_be_begun_is_refused_with_the_reason)
{
    shop_open();
    static const char *const wrong[][2] = {
        {"{\"sample\": \"x\", \"kind\": \"explode\"}", "cannot be a 'explode'"},
        {"{\"sample\": \"  \", \"kind\": \"rest\"}", "no sample is named"},
        {"{\"sample\": \"x\", \"kind\": \"rest\", \"rig\": 99}", "99"},
        {"{\"sample\": \"x\", \"kind\": \"rest\", \"limits\": [\"slightly warm\"]}", "limit"},
        {"{\"kind\": \"rest\", \"rehearsal\": {\"speed\": 0.5}}", "times faster"},
        {"{\"kind\": \"rest\", \"rehearsal\": {\"seed\": 1.5}}", "seed"},
        {"{\"kind\": \"rest\", \"rehearsal\": {\"script\": \"[program]\\nfly = 3\"}}", "fly"},
        {"{\"resume\": 5}", "5"},
        {"[]", ""},
    };
    for (size_t k = 0; k < sizeof wrong / sizeof *wrong; k++)
        CHECK(refused("POST", "/api/recordings", NULL, wrong[k][0], wrong[k][1]));
    json_t *limits = good("GET", "/api/bench/limits", NULL, "");
    CHECK(json_is_false(json_object_get(limits, "has_label")) && json_array_size(json_object_get(limits, "limits")) == 0);
    json_decref(limits);
    CHECK(refused("GET", "/api/recordings/{}/curve", "77", "", "77"));
    shop_close();
}
