/* Rigs and loads: shown as they were read, kept with their versions, tried. */
#include "asking.h"
#include "web/tasks.h"

static struct asking a;

static json_t *rig_of(size_t k)
{
    return json_array_get(json_object_get(a.json, "rigs"), k);
}

TEST(rigs_are_shown_as_they_were_read)
{
    asking_open(&a);
    made_paper(a.scratch.book, 0, DOCUMENT_LOADS, "demo/hut-pack.loads");
    int64_t spoilt = 0;
    CHECK(document_put(a.scratch.book, 0, DOCUMENT_RIG, "spoilt", span_of("[current]\ncolour = red\n"), 3, &spoilt, &made_message) == STATUS_OK);
    CHECK(ask(&a, rig_routes, "GET", "/api/rigs", NULL) == 200);
    CHECK(json_array_size(json_object_get(a.json, "rigs")) == 2);
    json_t *channels = json_object_get(json_object_get(rig_of(0), "rig"), "channels");
    CHECK(json_is_true(json_object_get(rig_of(0), "invented")));
    CHECK_TEXT(asking_words(json_array_get(channels, 1), "accuracy"), "0.4 % + 3 digits");
    CHECK_TEXT(asking_words(json_array_get(channels, 1), "means"), "± 0.080 A and 3 digits at 20 A");
    CHECK(json_is_true(json_object_get(json_array_get(channels, 1), "stated")));
    CHECK(json_is_false(json_object_get(json_array_get(channels, 2), "stated"))); /* watts: the wide default */
    CHECK(json_object_get(rig_of(1), "rig") == NULL);
    CHECK(asking_number(json_object_get(rig_of(1), "fault"), "line") == 2);
    json_t *paper = json_array_get(json_object_get(a.json, "loads"), 0), *loads = json_object_get(paper, "loads");
    CHECK(json_array_size(json_object_get(loads, "loads")) == 4);
    CHECK_NEAR(json_number_value(json_object_get(json_object_get(loads, "inverter"), "low_v")), 9.5, 1e-9);
    asking_close(&a);
}

TEST(papers_of_the_workshop_have_versions)
{
    static const char first[] = "[current]\naccuracy = 1 % + 2 digits\n", second[] = "[current]\naccuracy = 0.5 % + 2 digits\n";
    const struct http_pair name[] = {{"name", "field.rig"}, {NULL, NULL}};
    char path[80];
    asking_open(&a);
    CHECK(ask_with(&a, rig_routes, "PUT", "/api/workshop/papers/rig", name, first) == 200);
    int64_t id = asking_number(a.json, "document");
    CHECK(ask_with(&a, rig_routes, "PUT", "/api/workshop/papers/rig", name, second) == 200);
    CHECK(asking_number(a.json, "document") > id);
    CHECK(ask_with(&a, rig_routes, "PUT", "/api/workshop/papers/rig", name, "[current]\naccuracy = much\n") == 400);
    CHECK(json_integer_value(json_object_get(json_object_get(a.json, "fault"), "line")) == 2);
    CHECK(ask_with(&a, rig_routes, "PUT", "/api/workshop/papers/label", name, first) == 404);
    snprintf(path, sizeof path, "/api/papers/%lld/versions", (long long)id);
    CHECK(ask(&a, rig_routes, "GET", path, NULL) == 200);
    CHECK(json_array_size(a.json) == 2);
    CHECK_TEXT(asking_words(json_array_get(a.json, 0), "text"), second);
    CHECK_TEXT(asking_words(json_array_get(a.json, 1), "text"), first);
    asking_close(&a);
}

static void wait_for(int64_t task)
{
    char path[64];
    const struct timespec a_while = {0, 5000000};
    snprintf(path, sizeof path, "/api/tasks/%lld", (long long)task);
    for (int k = 0; k < 1000; k++) {
        CHECK(ask(&a, task_routes, "GET", path, NULL) == 200);
        if (strcmp(asking_words(a.json, "state"), "running") != 0)
            return;
        nanosleep(&a_while, NULL);
    }
    CHECK(false);
}

TEST(instruments_are_tried)
{
    static const char text[] = "[nobody]\ndriver = lines\naddress = tcp 127.0.0.1:1\nvoltage from = field 1\nvoltage = 1 %\n";
    char path[80];
    int64_t id = 0;
    asking_open(&a);
    CHECK(document_put(a.scratch.book, 0, DOCUMENT_RIG, "deaf", span_of(text), 3, &id, &made_message) == STATUS_OK);
    snprintf(path, sizeof path, "/api/rigs/%lld/probe", (long long)id);
    CHECK(ask(&a, rig_routes, "POST", path, "{\"seconds\": 0.2}") == 200);
    wait_for(asking_number(a.json, "task"));
    CHECK_TEXT(asking_words(a.json, "state"), "done");
    json_t *instrument = json_array_get(json_object_get(json_object_get(a.json, "result"), "instruments"), 0);
    CHECK_TEXT(asking_words(instrument, "name"), "nobody");
    CHECK(json_is_string(json_object_get(instrument, "fault")) && json_is_string(json_object_get(instrument, "remedy")));
    CHECK(ask(&a, rig_routes, "POST", path, "{\"seconds\": 1e9}") == 400);
    CHECK(ask(&a, rig_routes, "POST", "/api/rigs/99/probe", "{}") == 400);
    CHECK(ask(&a, rig_routes, "POST", "/api/rigs/1/probe", "{}") == 400); /* the label */
    CHECK(ask(&a, rig_routes, "POST", "/api/rigs/2/probe", "{}") == 400); /* a rig without instruments */
    CHECK(strstr(asking_fault(&a, "what"), "names no instrument") != NULL);
    CHECK(ask(&a, rig_routes, "GET", "/api/instruments", NULL) == 200);
    CHECK(json_array_size(json_object_get(a.json, "drivers")) >= 4);
    asking_close(&a);
}

/* The questions of this test come as a reader's where a reader may ask. */
TEST(a_reader_sees_no_password)
{
    static const char text[] = "[broker]\ndriver = mqtt\naddress = tcp 127.0.0.1:1\nuser = bench\n  PassWord=s3:cr=et ; hush\n"
                               "voltage from = topic v";
    static const char *const places[][2] = {
        {"/api/rigs", NULL}, {"/api/papers/", "/versions"}, {"/api/samples/1/papers", NULL}, {"/api/papers/", ""}};
    const struct http_route *const tables[] = {rig_routes, rig_routes, paper_routes, paper_routes};
    char number[32];
    int64_t id = 0;
    asking_open(&a);
    CHECK(document_put(a.scratch.book, 0, DOCUMENT_RIG, "broker", span_of(text), 3, &id, &made_message) == STATUS_OK);
    snprintf(number, sizeof number, "%lld", (long long)id);
    for (size_t k = 0; k < sizeof places / sizeof *places; k++) {
        char path[80];
        snprintf(path, sizeof path, "%s%s%s", places[k][0], places[k][1] != NULL ? number : "", places[k][1] != NULL ? places[k][1] : "");
        CHECK(ask(&a, tables[k], "GET", path, NULL) == 200);
        CHECK(strstr(a.reply.body.s, "cr=et") == NULL && strstr(a.reply.body.s, "voltage from = topic v") != NULL);
        CHECK(!a.reply.kept);
    }
    CHECK(book_run_correct(a.scratch.book, a.run, "rig", number, 4, &made_message) == STATUS_OK);
    CHECK(ask(&a, run_routes, "GET", "/api/runs/1", NULL) == 200);
    CHECK(strstr(a.reply.body.s, "cr=et") == NULL && strstr(a.reply.body.s, "voltage from = topic v") != NULL);
    asking_close(&a);
}
