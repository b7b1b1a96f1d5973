#include "asking.h"
#include "web/drop_choices.h"
#include "web/drops.h"

#include <unistd.h>

/* A file in the spool, as an upload leaves it. */
static int drop_text(struct asking *a, const char *name, struct span text)
{
    char path[300];
    snprintf(path, sizeof path, "%s/upload", a->scratch.folder);
    FILE *file = fopen(path, "wb");
    CHECK(file != NULL && fwrite(text.p, 1, text.n, file) == text.n && fclose(file) == 0);
    const struct http_pair query[] = {{"name", name}, {NULL, NULL}};
    return ask_file(a, add_routes, "POST", "/api/drops", query, NULL, path);
}

static const json_t *column(const json_t *preview, size_t number)
{
    return json_array_get(json_object_get(preview, "columns"), number - 1);
}

static int ask_drop(struct asking *a, const char *method, int64_t id, const char *rest, const char *body)
{
    char path[60];
    snprintf(path, sizeof path, "/api/drops/%lld%s", (long long)id, rest);
    return ask(a, add_routes, method, path, body);
}

/* Waits for a task, and leaves it as JSON. */
static void await_task(struct asking *a, int64_t task)
{
    char path[60];
    snprintf(path, sizeof path, "/api/tasks/%lld", (long long)task);
    for (int k = 0; k < 2000; k++) {
        CHECK(ask(a, task_routes, "GET", path, NULL) == 200);
        if (strcmp(asking_words(a->json, "state"), "running") != 0)
            return;
        usleep(2000);
    }
    CHECK(!"it ends");
}

static void add_rows(struct text *text, int count, double sign)
{
    for (int k = 0; k < count; k++)
        text_addf(text, "%d,%.3f,%.3f,%.3f\n", k, 13.1 - 0.004 * k, 13.0 - 0.004 * k, sign * (k < 5 ? 0 : 20.5 + 0.1 * (k % 3)));
}

TEST(a_question_is_answered_and_the_log_stored)
{
    struct asking a;
    struct text text = TEXT_EMPTY;
    asking_open(&a);
    text_add(&text, "time s,volts a,volts b,amps\n");
    add_rows(&text, 60, -1);
    text_add(&text, "60,oops,12.7,-20\n");
    CHECK(drop_text(&a, "../bench/one.csv", (struct span){text.s, text.length}) == 200);
    int64_t id = asking_number(a.json, "drop");
    CHECK_TEXT(asking_words(a.json, "name"), "one.csv");
    CHECK(strstr(asking_fault(&a, "what"), "several columns") != NULL);
    const json_t *choice = json_array_get(json_object_get(a.json, "choices"), 1);
    CHECK_TEXT(asking_words(choice, "words"), "column 3 is the voltage");
    CHECK(ask_drop(&a, "POST", id, "/confirm", "{\"sample\": 1}") == 400); /* not while it is asked */

    CHECK(ask_drop(&a, "PATCH", id, "", "{\"columns\": [\"voltage=2\"], \"period\": null, \"sign\": null}") == 200);
    CHECK(json_is_null(json_object_get(a.json, "fault")));
    CHECK_TEXT(asking_words(column(a.json, 2), "word"), "voltage");
    CHECK_TEXT(asking_words(column(a.json, 2), "why"), "asked for as voltage");
    CHECK(asking_number(a.json, "readings") == 60 && asking_number(a.json, "left_out") == 1);
    const json_t *bad = json_array_get(json_object_get(a.json, "bad"), 0);
    CHECK(asking_number(bad, "line") == 62 && asking_number(bad, "column") == 2);
    CHECK_TEXT(asking_words(bad, "text"), "oops");
    CHECK(json_is_true(json_object_get(json_object_get(a.json, "sign"), "known")));
    CHECK_TEXT(asking_words(json_object_get(a.json, "sign"), "words"), "charge is positive");

    CHECK(ask_drop(&a, "POST", id, "/confirm", "{\"sample\": \"Bivouac 2\", \"kind\": \"discharge\"}") == 200);
    await_task(&a, asking_number(a.json, "task"));
    CHECK_TEXT(asking_words(a.json, "state"), "done");
    int64_t run = asking_number(json_object_get(a.json, "result"), "run");
    struct book_run stored;
    CHECK(book_run_get(a.scratch.book, run, &stored, &made_message) == STATUS_OK);
    CHECK_TEXT(stored.name, "one.csv");
    CHECK(stored.kind == TEST_DISCHARGE && stored.sample == asking_number(json_object_get(a.json, "result"), "sample"));
    CHECK(ask_drop(&a, "GET", id, "", NULL) == 404); /* and then it is gone */
    text_free(&text);
    asking_close(&a);
}

/* Volts that stand still while current flows tell nothing of its sign. */
TEST(an_open_sign_is_settled_by_choice)
{
    struct asking a;
    struct text text = TEXT_EMPTY;
    asking_open(&a);
    text_add(&text, "time s,V,A\n");
    for (int k = 0; k < 40; k++)
        text_addf(&text, "%d,13.2,5.0\n", k);
    CHECK(drop_text(&a, "still.csv", (struct span){text.s, text.length}) == 200);
    int64_t id = asking_number(a.json, "drop");
    CHECK(json_is_false(json_object_get(json_object_get(a.json, "sign"), "known")));
    CHECK(ask_drop(&a, "POST", id, "/confirm", "{\"sample\": 1}") == 409);
    CHECK(ask_drop(&a, "PATCH", id, "", "{\"sign\": \"upwards\"}") == 400);
    CHECK(ask_drop(&a, "PATCH", id, "", "{\"sign\": \"discharge-positive\"}") == 200);
    CHECK_TEXT(asking_words(json_object_get(a.json, "sign"), "why"), "as you say");
    CHECK(ask_drop(&a, "POST", id, "/confirm", "{\"sample\": 1, \"kind\": \"discharge\"}") == 200);
    await_task(&a, asking_number(a.json, "task"));
    CHECK_TEXT(asking_words(a.json, "state"), "done");
    struct stored stored;
    CHECK(stored_read(a.scratch.book, asking_number(json_object_get(a.json, "result"), "run"), &stored, &made_message) == STATUS_OK);
    CHECK(stored.log.sign == SIGN_DISCHARGE_POSITIVE);
    stored_free(&stored);
    text_free(&text);
    asking_close(&a);
}

TEST(typed_readings_dropped)
{
    struct asking a;
    asking_open(&a);
    CHECK(drop_text(&a, "film.readings", span_of("0:00 13.31 V 0 A\n0:10:00 12.9 V 22\n")) == 200);
    int64_t torn = asking_number(a.json, "drop");
    CHECK_TEXT(asking_words(a.json, "form"), "readings");
    CHECK(asking_number(json_object_get(a.json, "fault"), "line") == 2);
    CHECK(ask_drop(&a, "POST", torn, "/confirm", "{\"sample\": 1}") == 400);
    CHECK(ask_drop(&a, "DELETE", torn, "", NULL) == 200);
    CHECK(ask_drop(&a, "DELETE", torn, "", NULL) == 404);
    CHECK(drop_text(&a, "film.readings", span_of("0:00 13.31 V 0 A\n0:10:00 12.9 V 22 A\n")) == 200);
    CHECK(json_is_true(json_object_get(a.json, "whole")));
    CHECK(ask_drop(&a, "POST", asking_number(a.json, "drop"), "/confirm", "{\"sample\": 1, \"rig\": 2}") == 200);
    await_task(&a, asking_number(a.json, "task"));
    CHECK_TEXT(asking_words(a.json, "state"), "done");
    asking_close(&a);
}

TEST(what_cannot_be_is_refused)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, add_routes, "POST", "/api/drops", NULL) == 400); /* nothing in it */
    CHECK(drop_text(&a, "noise.bin", (struct span){"\0\1\2\3\0\0\7", 7}) == 200);
    int64_t id = asking_number(a.json, "drop");
    CHECK(asking_fault(&a, "what")[0] != '\0');
    CHECK(json_object_get(a.json, "columns") == NULL);
    CHECK(ask_drop(&a, "PATCH", id, "", "{\"columns\": [\"weather=2\"]}") == 400);
    CHECK(ask_drop(&a, "PATCH", id, "", "{\"columns\": 7, \"period\": {}}") == 400);
    CHECK(ask_drop(&a, "PATCH", id, "", "{\"period\": \"-1s\"}") == 400);
    CHECK(ask_drop(&a, "PATCH", id, "", "[]") == 400);
    CHECK(ask_drop(&a, "PATCH", 4711, "", "{}") == 404 || ask_drop(&a, "PATCH", 4711, "", "{}") == 400);
    CHECK(drop_text(&a, "good.csv", span_of("time s,V,A\n0,13.1,0\n1,13.0,5\n2,12.9,5\n3,12.9,5\n")) == 200);
    id = asking_number(a.json, "drop");
    CHECK(ask_drop(&a, "POST", id, "/confirm", "{\"sample\": 99}") >= 400);
    CHECK(ask_drop(&a, "POST", id, "/confirm", "{}") == 400);
    CHECK(ask_drop(&a, "POST", id, "/confirm", "{\"sample\": 1, \"kind\": \"lunch\"}") == 400);
    CHECK(ask_drop(&a, "POST", id, "/confirm", "{\"sample\": 1, \"rig\": 1}") == 400); /* a label is no rig */
    CHECK(ask_drop(&a, "POST", id, "/confirm", "{\"sample\": 1, \"rig\": 77}") >= 400);
    asking_close(&a);
}

/* Longer than what is read at once: its first stretch is shown, the rest when a task has read it, or it is stopped. */
TEST(a_long_log_shows_its_beginning_at_once)
{
    struct asking a;
    struct text text = TEXT_EMPTY;
    char path[60];
    asking_open(&a);
    text_add(&text, "time s,V,A\n");
    for (int k = 0; text.length <= DROPS_AT_ONCE; k++)
        text_addf(&text, "%d.000000000000,13.%03d000000000000000,20.50000000000000\n", k, 999 - k / 1000 % 1000);
    CHECK(drop_text(&a, "long.csv", (struct span){text.s, text.length}) == 200);
    int64_t id = asking_number(a.json, "drop"), task = asking_number(a.json, "task");
    CHECK(json_array_size(json_object_get(a.json, "columns")) == 3 && json_array_size(json_object_get(a.json, "first")) > 0);
    if (task != 0) /* else it was read faster than it was asked for */
        await_task(&a, task);
    CHECK(ask_drop(&a, "GET", id, "", NULL) == 200);
    CHECK(json_is_true(json_object_get(a.json, "whole")) && asking_number(a.json, "readings") > 100000);
    CHECK(ask_drop(&a, "PATCH", id, "", "{\"columns\": [\"time=1:min\"]}") == 200);
    task = asking_number(a.json, "task");
    if (task != 0) {
        snprintf(path, sizeof path, "/api/tasks/%lld", (long long)task);
        CHECK(ask(&a, task_routes, "DELETE", path, NULL) == 200);
        await_task(&a, task);
        bool stopped = strcmp(asking_words(a.json, "state"), "stopped") == 0;
        CHECK(ask_drop(&a, "GET", id, "", NULL) == 200);
        CHECK(json_is_true(json_object_get(a.json, "whole")) == !stopped);
    }
    text_free(&text);
    asking_close(&a);
}

TEST(only_so_many_drops_are_kept)
{
    struct asking a;
    asking_open(&a);
    int64_t first = 0;
    for (int k = 0; k < DROPS_KEPT + 1; k++) {
        CHECK(drop_text(&a, "x.readings", span_of("13.1 V\n")) == 200);
        first = first == 0 ? asking_number(a.json, "drop") : first;
    }
    CHECK(ask_drop(&a, "GET", first, "", NULL) == 404);
    CHECK(ask_drop(&a, "GET", first + 1, "", NULL) == 200);
    asking_close(&a);
}

static size_t choices(const char *remedy, const char *words)
{
    json_t *list = drop_choices(remedy);
    size_t count = json_array_size(list);
    CHECK_TEXT(asking_words(json_array_get(list, 0), "words"), words);
    json_decref(list);
    return count;
}

TEST(remedies_become_choices)
{
    CHECK(choices("say which is the sample's: --column voltage=2 or --column voltage=3", "column 2 is the voltage") == 2);
    CHECK(choices("say which: --column date=1:dmy or --column date=1:mdy", "column 1 is the date, day before month") == 2);
    CHECK(choices("say which: --column time=1:hh:mm or --column time=1:mm:ss", "column 1 is the time, in hh:mm") == 2);
    CHECK(choices("name the time with --column time=N, or give --period 1s when rows are evenly spaced", "one row every 1s") == 1);
    CHECK(choices("say which they are: --column time=1 --column voltage=N --column current=N, counting from 1", "") == 0);
    CHECK(choices("say which they are; column 4 is the product of 3 and 2, so perhaps: --period 1s (or what it is) "
                  "--column voltage=3 --column current=2",
                  "one row every 1s, column 3 is the voltage, column 2 is the current") == 1);
    CHECK(choices("write the unit as in --column current=2:mA", "") == 0);
    CHECK(choices("--column takes others, or leaves one out with --column unused=N", "") == 0);
    CHECK(choices("", "") == 0);
}

/* Logs of the open measurements: each is previewed without a fault, or asks what the command asks. */
TEST(open_logs)
{
    static const char *const logs[] = {"lfp-26650-2.6ah/discharge_1C_20degC.txt", "lead-acid-12v-17ah/discharge_2.0A.csv",
                                       "lithium-18650-3ah/S001_1C.csv", "lmo-pouch-33ah/discharge_1C.csv"};
    if (test_data(logs[0]) == NULL)
        SKIP("the open data are not here");
    struct asking a;
    asking_open(&a);
    for (size_t k = 0; k < sizeof logs / sizeof *logs; k++) {
        struct text text = TEXT_EMPTY;
        struct log log;
        struct log_options options = {0};
        char path[400];
        snprintf(path, sizeof path, "%s", test_data(logs[k]));
        CHECK(text_read_file(path, 64 << 20, &text) == 0);
        CHECK(drop_text(&a, "open.csv", (struct span){text.s, text.length}) == 200);
        int64_t task = asking_number(a.json, "task"), id = asking_number(a.json, "drop");
        if (task != 0)
            await_task(&a, task);
        CHECK(ask_drop(&a, "GET", id, "", NULL) == 200);
        if (log_read(path, &options, &log, &made_message) == STATUS_OK) {
            CHECK(json_is_null(json_object_get(a.json, "fault")));
            CHECK(asking_number(a.json, "readings") == (int64_t)log.series.count);
            CHECK(asking_number(a.json, "left_out") == (int64_t)log.bad_count);
            log_free(&log);
        } else {
            CHECK_TEXT(asking_fault(&a, "what"), made_message.what);
        }
        text_free(&text);
    }
    asking_close(&a);
}
