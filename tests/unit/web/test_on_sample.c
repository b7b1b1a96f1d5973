#include "asking.h"
#include "report/json.h"

static const char torn_label[] = "[sample]\nname = Sample 014\n[claims]\ncapacity = much\n";

TEST(what_the_book_holds_of_it)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, sample_routes, "GET", "/api/samples/1", NULL) == 200);
    CHECK_TEXT(asking_words(a.json, "name"), "hut pack 14");
    CHECK(json_array_size(json_object_get(a.json, "documents")) == 1);
    CHECK(json_array_size(json_object_get(a.json, "runs")) == 1);
    CHECK(asking_number(json_array_get(json_object_get(a.json, "runs"), 0), "run") == a.run);
    CHECK(json_array_size(json_object_get(a.json, "pictures")) == 0);
    CHECK(ask(&a, sample_routes, "GET", "/api/samples/77", NULL) == 404);
    CHECK(ask(&a, sample_routes, "GET", "/api/samples/0x1", NULL) == 404);
    CHECK(asking_fault(&a, "what")[0] != '\0');
    asking_close(&a);
}

/* To the byte what the command prints of the same runs. */
TEST(its_assessment_is_that_of_the_command)
{
    struct asking a;
    struct text name = TEXT_EMPTY, printed = TEXT_EMPTY;
    struct assessment own;
    asking_open(&a);
    text_addf(&name, "%s:%lld", a.scratch.path, (long long)a.run);
    const char *log = text_string(&name);
    struct assess_request request = {.logs = &log, .log_count = 1};
    CHECK(assess(&request, &own, &made_message) == STATUS_OK);
    json_assessment(&own, &printed);
    CHECK(ask(&a, sample_routes, "GET", "/api/samples/1/assessment", NULL) == 200);
    CHECK(printed.length > 10000 && a.reply.body.length == printed.length &&
          memcmp(a.reply.body.s, printed.s, printed.length) == 0);
    assessment_free(&own);
    text_free(&name);
    text_free(&printed);
    asking_close(&a);
}

TEST(the_ladder_follows_the_room_it_has)
{
    static const struct http_pair wide[] = {{"width", "960"}, {NULL, NULL}}, narrow[] = {{"width", "360"}, {NULL, NULL}},
                                  none[] = {{"width", "7"}, {NULL, NULL}};
    struct asking a;
    asking_open(&a);
    CHECK(ask_with(&a, sample_routes, "GET", "/api/samples/1/ladder.svg", wide, NULL) == 200);
    CHECK_TEXT(a.reply.type, "image/svg+xml");
    CHECK(strncmp(a.reply.body.s, "<svg ", 5) == 0 && strstr(a.reply.body.s, "viewBox=\"0 0 960 ") != NULL);
    size_t rungs = 0; /* one a claim, which the page opens */
    for (const char *p = a.reply.body.s; (p = strstr(p, "<g role=\"img\"")) != NULL; p++)
        rungs++;
    CHECK(rungs == 18);
    CHECK(ask_with(&a, sample_routes, "GET", "/api/samples/1/ladder.svg", narrow, NULL) == 200);
    CHECK(strstr(a.reply.body.s, "viewBox=\"0 0 360 ") != NULL);
    CHECK(ask_with(&a, sample_routes, "GET", "/api/samples/1/ladder.svg", none, NULL) == 400);
    asking_close(&a);
}

TEST(a_claim_opens_to_its_chain)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, sample_routes, "GET", "/api/samples/1/chains/capacity", NULL) == 200);
    CHECK_TEXT(asking_words(a.json, "finding"), "capacity");
    CHECK(json_array_size(json_object_get(a.json, "links")) > 4);
    CHECK(ask(&a, sample_routes, "GET", "/api/samples/1/chains/luck", NULL) == 404);
    asking_close(&a);
}

TEST(a_name_is_put_right)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, sample_routes, "PATCH", "/api/samples/1", "{\"name\": \"Bivouac pack\"}") == 200);
    CHECK_TEXT(asking_words(a.json, "name"), "Bivouac pack");
    made_sample(a.scratch.book, "Other");
    CHECK(ask(&a, sample_routes, "PATCH", "/api/samples/1", "{\"name\": \"OTHER\"}") == 400);
    CHECK(strstr(asking_fault(&a, "what"), "already") != NULL);
    CHECK(ask(&a, sample_routes, "PATCH", "/api/samples/1", "{\"name\": 7}") == 400);
    CHECK(ask(&a, sample_routes, "PATCH", "/api/samples/1", "[") == 400);
    CHECK(ask(&a, sample_routes, "GET", "/api/samples/1", NULL) == 200);
    CHECK(json_array_size(json_object_get(a.json, "corrections")) == 1);
    asking_close(&a);
}

TEST(it_goes_only_by_its_name)
{
    struct asking a;
    struct book_sample sample;
    asking_open(&a);
    CHECK(ask(&a, sample_routes, "DELETE", "/api/samples/1", "{}") == 400);
    CHECK(ask(&a, sample_routes, "DELETE", "/api/samples/1", "{\"name\": \"Hut pack 14\"}") == 400);
    CHECK(strstr(asking_fault(&a, "what"), "hut pack 14") != NULL);
    CHECK(book_sample_by_id(a.scratch.book, a.sample, &sample, &made_message) == STATUS_OK);
    CHECK(ask(&a, sample_routes, "DELETE", "/api/samples/1", "{\"name\": \"hut pack 14\"}") == 200);
    CHECK(book_sample_by_id(a.scratch.book, a.sample, &sample, &made_message) != STATUS_OK);
    asking_close(&a);
}

TEST(a_label_gets_a_new_version_and_the_old_one_stays)
{
    struct asking a;
    struct text label = TEXT_EMPTY;
    asking_open(&a);
    CHECK(text_read_file("demo/hut-pack.label", 1 << 20, &label) == 0);
    const char *was = text_string(&label);
    text_add(&label, "mass = 11.25 kg | second scale\n");
    CHECK(ask(&a, paper_routes, "PUT", "/api/samples/1/papers/label", "[sample]\nname = B\n[claims]\ncapacity = 100 Ah | case\nenergy = 2560 Wh | case\nnominal voltage = 12.8 V | case\n") == 200);
    int64_t second = asking_number(a.json, "document");
    bool against = false; /* 100 Ah at 12.8 V are not 2560 Wh */
    size_t k;
    json_t *notice;
    json_array_foreach(json_object_get(a.json, "notices"), k, notice)
        against |= strcmp(asking_words(notice, "topic"), "label") == 0;
    CHECK(against);
    CHECK(ask(&a, paper_routes, "GET", "/api/samples/1/papers", NULL) == 200);
    json_t *papers = json_object_get(a.json, "papers"), *paper = json_array_get(papers, 0);
    CHECK(json_array_size(papers) == 1 && json_array_size(json_object_get(paper, "versions")) == 2);
    CHECK(asking_number(paper, "document") == second && strncmp(asking_words(paper, "text"), "[sample]", 8) == 0);
    json_t *rig = json_array_get(json_object_get(a.json, "workshop"), 0);
    CHECK_TEXT(asking_words(rig, "kind"), "rig");
    char first[64];
    snprintf(first, sizeof first, "/api/papers/%lld",
             (long long)asking_number(json_array_get(json_object_get(paper, "versions"), 0), "document"));
    CHECK(ask(&a, paper_routes, "GET", first, NULL) == 200);
    CHECK_TEXT(a.reply.type, "text/plain; charset=utf-8");
    CHECK(a.reply.body.length + strlen("mass = 11.25 kg | second scale\n") == label.length &&
          memcmp(a.reply.body.s, was, a.reply.body.length) == 0);
    CHECK(ask(&a, paper_routes, "GET", "/api/papers/4711", NULL) == 404);
    text_free(&label);
    asking_close(&a);
}

TEST(what_cannot_be_read_is_refused_with_its_place)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, paper_routes, "PUT", "/api/samples/1/papers/label", torn_label) == 400);
    json_t *fault = json_object_get(a.json, "fault");
    CHECK(asking_number(fault, "line") == 4 && asking_number(fault, "column") > 0 && asking_words(fault, "remedy")[0] != '\0');
    CHECK(ask(&a, paper_routes, "PUT", "/api/samples/1/papers/note", "caf\xE9") == 400);
    CHECK(ask(&a, paper_routes, "PUT", "/api/samples/1/papers/poem", "roses") == 404);
    CHECK(ask(&a, paper_routes, "PUT", "/api/samples/9/papers/note", "x") == 404);
    CHECK(ask(&a, paper_routes, "PUT", "/api/samples/1/papers/note", "lent by a member") == 200);
    CHECK(ask(&a, paper_routes, "GET", "/api/samples/1/papers", NULL) == 200);
    CHECK(json_array_size(json_object_get(a.json, "papers")) == 2);
    asking_close(&a);
}
