/* The plan's routes: the same plan as the command's, saved, followed, and what a better rig would bring. */
#include "asking.h"
#include "claims/planned.h"
#include "intake/rig_file.h"
#include "report/json.h"

static struct asking a;
static int64_t loads;

static void open_it(void)
{
    asking_open(&a);
    loads = made_paper(a.scratch.book, 0, DOCUMENT_LOADS, "demo/hut-pack.loads");
}

/* What `rundown plan --label … --rig … --loads … --start … --json` prints. */
static json_t *from_files(bool with_loads, double start_clock_s)
{
    struct planned planned = planned_empty();
    struct text text = TEXT_EMPTY;
    CHECK(label_read("demo/hut-pack.label", &planned.label, &planned.notices, &made_message) == STATUS_OK);
    CHECK(rig_read("demo/hut-pack.rig", &planned.rig, &planned.notices, &made_message) == STATUS_OK);
    planned.has_loads = with_loads && loads_read("demo/hut-pack.loads", &planned.loads, &made_message) == STATUS_OK;
    planned.start_clock_s = start_clock_s;
    CHECK(planned_make(&planned, &made_message) == STATUS_OK);
    json_plan(&planned.plan, &text);
    json_t *plan = json_loads(text_string(&text), 0, NULL);
    text_free(&text);
    planned_free(&planned);
    return plan;
}

/* To the digits that the command prints. */
static bool same_plan(json_t *wanted)
{
    const size_t form = JSON_REAL_PRECISION(12) | JSON_SORT_KEYS;
    char *one = json_dumps(json_object_get(a.json, "plan"), form), *other = json_dumps(wanted, form);
    bool same = one != NULL && other != NULL && strcmp(one, other) == 0;
    free(one);
    free(other);
    json_decref(wanted);
    return same;
}

TEST(the_page_and_the_command_say_the_same)
{
    open_it();
    CHECK(ask(&a, plan_routes, "GET", "/api/samples/1/plan", NULL) == 200);
    CHECK(same_plan(from_files(true, NAN)));
    CHECK(asking_number(a.json, "loads") == loads && asking_number(a.json, "rig") > 0);
    size_t claims = json_array_size(json_object_get(json_object_get(a.json, "plan"), "claims"));
    json_t *rungs = json_object_get(a.json, "rungs");
    CHECK(claims > 10 && json_array_size(rungs) == claims);
    CHECK(strncmp(json_string_value(json_array_get(rungs, 1)), "<svg", 4) == 0);
    CHECK(strstr(json_string_value(json_array_get(rungs, 1)), "± 0.43 Ah") != NULL);
    const struct http_pair bare[] = {{"loads", "none"}, {"start", "9:30"}, {"width", "360"}, {NULL, NULL}};
    CHECK(ask_with(&a, plan_routes, "GET", "/api/samples/1/plan", bare, NULL) == 200);
    CHECK(same_plan(from_files(false, 9.5 * 3600)));
    CHECK(json_is_null(json_object_get(a.json, "loads")));
    asking_close(&a);
}

TEST(what_cannot_be_asked_is_refused)
{
    static const struct http_pair odd[][2] = {{{"rig", "x"}, {NULL, NULL}},   {{"rig", "1"}, {NULL, NULL}},
                                              {{"loads", "-2"}, {NULL, NULL}}, {{"start", "25:00"}, {NULL, NULL}},
                                              {{"width", "9"}, {NULL, NULL}},  {{"rig", "99"}, {NULL, NULL}}};
    static const char *const bodies[] = {"", "[]", "{\"rig\": 0}", "{\"rig\": \"bench\"}", "{\"start\": 9}", "{\"loads\": -1}",
                                         "{\"start\": \"noon\"}"};
    open_it();
    for (size_t k = 0; k < sizeof odd / sizeof *odd; k++)
        CHECK(ask_with(&a, plan_routes, "GET", "/api/samples/1/plan", odd[k], NULL) == 400);
    for (size_t k = 0; k < sizeof bodies / sizeof *bodies; k++)
        CHECK(ask(&a, plan_routes, "POST", "/api/samples/1/plan", bodies[k]) == 400);
    CHECK(ask(&a, plan_routes, "GET", "/api/samples/7/plan", NULL) == 404);
    int64_t bare = made_sample(a.scratch.book, "bare");
    char path[64];
    snprintf(path, sizeof path, "/api/samples/%lld/plan", (long long)bare);
    CHECK(ask(&a, plan_routes, "GET", path, NULL) == 200); /* nothing to plan around yet: what to add */
    CHECK(json_is_null(json_object_get(a.json, "plan")));
    CHECK(strstr(asking_fault(&a, "what"), "no label") != NULL && asking_fault(&a, "remedy")[0] != '\0');
    CHECK(ask(&a, plan_routes, "POST", path, "{}") == 400);
    asking_close(&a);
}

static json_t *saved(void)
{
    return json_object_get(a.json, "saved");
}

TEST(a_plan_is_saved_and_its_steps_ticked)
{
    open_it();
    CHECK(ask(&a, plan_routes, "POST", "/api/samples/1/plan", "{\"loads\": null, \"start\": \"9:30\"}") == 200);
    CHECK(same_plan(from_files(false, 9.5 * 3600)));
    int64_t plan = asking_number(saved(), "document");
    CHECK(plan > 0 && json_is_true(json_object_get(saved(), "as_shown")));
    char body[80];
    snprintf(body, sizeof body, "{\"plan\": %lld, \"done\": true}", (long long)plan);
    CHECK(ask(&a, plan_routes, "PUT", "/api/samples/1/plan/steps/2", body) == 200);
    CHECK(ask(&a, plan_routes, "PUT", "/api/samples/1/plan/steps/17", body) == 400);
    CHECK(ask(&a, plan_routes, "PUT", "/api/samples/1/plan/steps/0", body) == 400);
    CHECK(ask(&a, plan_routes, "PUT", "/api/samples/1/plan/steps/1", "{\"plan\": 1, \"done\": true}") == 400);
    CHECK(ask(&a, plan_routes, "GET", "/api/samples/1/plan", NULL) == 200); /* as it was saved */
    CHECK(same_plan(from_files(false, 9.5 * 3600)));
    json_t *done = json_object_get(saved(), "done");
    CHECK(json_is_null(json_array_get(done, 0)) && json_is_string(json_array_get(done, 1)));
    CHECK(json_array_size(done) == json_array_size(json_object_get(json_object_get(a.json, "plan"), "protocol")));
    const struct http_pair other[] = {{"start", "none"}, {NULL, NULL}};
    CHECK(ask_with(&a, plan_routes, "GET", "/api/samples/1/plan", other, NULL) == 200);
    CHECK(json_is_false(json_object_get(saved(), "as_shown")));
    CHECK(ask(&a, plan_routes, "POST", "/api/samples/1/plan", "{\"start\": null}") == 200);
    CHECK(asking_number(saved(), "document") > plan && json_is_null(json_array_get(json_object_get(saved(), "done"), 1)));
    CHECK(ask(&a, plan_routes, "PUT", "/api/samples/1/plan/steps/2", body) == 400); /* no longer the plan */
    asking_close(&a);
}

TEST(improvements_are_ranked)
{
    open_it();
    CHECK(ask(&a, plan_routes, "GET", "/api/samples/1/improve", NULL) == 200);
    json_t *list = json_object_get(a.json, "improvements"), *item;
    size_t k;
    double before = INFINITY;
    CHECK(json_array_size(list) >= 3);
    json_array_foreach(list, k, item) {
        json_t *halved = json_object_get(item, "halved_brings");
        double brings = json_number_value(json_is_null(halved) ? json_object_get(item, "ideal_brings") : halved);
        CHECK(brings > 0 && brings <= before && json_array_size(json_object_get(item, "claims")) > 0);
        before = brings;
    }
    asking_close(&a);
}
