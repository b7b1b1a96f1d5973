/* A log assessed as a file and as a run of a book gives one JSON, but for the path. */
#include "../../reference/open_logs.h"
#include "../book/scratch_book.h"
#include "archive/stored.h"
#include "book/sample.h"
#include "claims/assessment.h"
#include "report/json.h"

static struct message message;

struct asked_log {
    const char *path;
    struct column_wish wishes[3];
    struct log_options options;
    int sign;
};

static void wish(struct asked_log *asked, const char *option)
{
    CHECK(column_wish_read(option, &asked->wishes[asked->options.wish_count++], &message) == STATUS_OK);
    asked->options.wishes = asked->wishes;
}

static void ask(const struct open_log *log, const char *path, struct asked_log *ret_asked)
{
    char option[40];
    *ret_asked = (struct asked_log){.path = path, .sign = log->sign};
    snprintf(option, sizeof option, "voltage=%d", log->voltage + 1);
    wish(ret_asked, option);
    snprintf(option, sizeof option, "current=%d", log->current + 1);
    wish(ret_asked, option);
    if (log->form == TIME_ROW) {
        ret_asked->options.period_s = 1;
        return;
    }
    snprintf(option, sizeof option, "time=%d", log->time + 1);
    wish(ret_asked, option);
}

static void add_json(const struct assess_request *request, struct text *text)
{
    struct assessment assessment;
    if (assess(request, &assessment, &message) != STATUS_OK) {
        text_addf(text, "refused: %s", message.what);
        return;
    }
    json_assessment(&assessment, text);
    assessment_free(&assessment);
}

/* The first place where they differ, outside lines of a path; NULL when there is none. */
static const char *difference(const char *a, const char *b)
{
    while (*a != '\0' && *b != '\0') {
        size_t m = strcspn(a, "\n"), n = strcspn(b, "\n");
        bool path = m > 0 && memmem(a, m, "\"path\": ", 8) != NULL && memmem(b, n, "\"path\": ", 8) != NULL;
        if (!path && (m != n || memcmp(a, b, m) != 0))
            return b;
        a += m + (a[m] != '\0');
        b += n + (b[n] != '\0');
    }
    return *a == *b ? NULL : b;
}

/* False when it cannot be read as a file either. */
static bool is_one(struct scratch *scratch, int64_t sample, struct asked_log *asked)
{
    struct log log;
    struct log_options options = asked->options;
    options.digits = true;
    if (log_read(asked->path, &options, &log, &message) != STATUS_OK) {
        printf("    %s: %s\n", asked->path, message.what);
        return false;
    }
    struct stored_request request = {.run = {.sample = sample, .kind = TEST_DISCHARGE}};
    int64_t run = 0;
    CHECK(stored_log(scratch->book, &request, &log, &run, &message) == STATUS_OK);
    log_free(&log);
    char name[300];
    snprintf(name, sizeof name, "%s:%lld", scratch->path, (long long)run);
    const char *files[] = {asked->path}, *runs[] = {name};
    struct text of_file = TEXT_EMPTY, of_run = TEXT_EMPTY;
    add_json(
        &(struct assess_request){
            .logs = files, .log_count = 1, .sign = asked->sign, .log_options = asked->options},
        &of_file);
    add_json(&(struct assess_request){.logs = runs, .log_count = 1, .sign = asked->sign}, &of_run);
    const char *at = difference(text_string(&of_file), text_string(&of_run));
    CHECK(at == NULL && of_file.length > 500);
    if (at != NULL)
        printf("    %s differs at %.200s\n", asked->path, at);
    text_free(&of_file);
    text_free(&of_run);
    return true;
}

TEST(files_and_runs_give_one_assessment)
{
    struct scratch scratch;
    int64_t sample = 0;
    size_t read = 0;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "a sample", true, 1, &sample, &message) == STATUS_OK);
    struct asked_log demo = {.path = "demo/hut-pack.log.csv"};
    CHECK(is_one(&scratch, sample, &demo));
    for (size_t k = 0; k < OPEN_LOGS; k++) {
        char path[200];
        struct asked_log asked;
        snprintf(path, sizeof path, "%s/%s", open_logs[k].folder, open_logs[k].name);
        const char *found = test_data(path);
        if (found == NULL)
            continue;
        snprintf(path, sizeof path, "%s", found);
        ask(&open_logs[k], path, &asked);
        read += is_one(&scratch, sample, &asked);
    }
    CHECK(read == 0 || read >= 18);
    scratch_remove(&scratch);
}

/* Typed readings: the same, with the label and the rig that the book keeps. */
TEST(papers_of_the_book)
{
    struct scratch scratch;
    struct text label = TEXT_EMPTY, rig = TEXT_EMPTY, of_file = TEXT_EMPTY, of_run = TEXT_EMPTY;
    int64_t run = 0, id = 0;
    char name[300];
    scratch_open(&scratch);
    struct stored_request request = {.run = {.kind = TEST_DISCHARGE}};
    CHECK(text_read_file("demo/hut-pack.label", 1 << 20, &label) == 0 &&
          text_read_file("demo/hut-pack.rig", 1 << 20, &rig) == 0);
    CHECK(book_sample_add(scratch.book, "a sample", true, 1, &request.run.sample, &message) == STATUS_OK);
    CHECK(document_put(scratch.book, request.run.sample, DOCUMENT_LABEL, "label",
                       (struct span){label.s, label.length}, 1, &id, &message) == STATUS_OK);
    CHECK(document_put(scratch.book, 0, DOCUMENT_RIG, "hut-pack.rig", (struct span){rig.s, rig.length}, 1,
                       &request.run.rig_document, &message) == STATUS_OK);
    CHECK(stored_readings(scratch.book, &request, "demo/hut-pack.readings", &run, &message) == STATUS_OK);
    snprintf(name, sizeof name, "%s:%lld", scratch.path, (long long)run);
    const char *files[] = {"demo/hut-pack.readings"}, *runs[] = {name};
    add_json(
        &(struct assess_request){
            .logs = files, .log_count = 1, .label = "demo/hut-pack.label", .rig = "demo/hut-pack.rig"},
        &of_file);
    add_json(&(struct assess_request){.logs = runs, .log_count = 1}, &of_run);
    const char *at = difference(text_string(&of_file), text_string(&of_run));
    CHECK(at == NULL && of_file.length > 500);
    if (at != NULL)
        printf("    differs at %.200s\n", at);
    text_free(&label);
    text_free(&rig);
    text_free(&of_file);
    text_free(&of_run);
    scratch_remove(&scratch);
}
