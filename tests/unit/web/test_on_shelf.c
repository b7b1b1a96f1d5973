#include "asking.h"
#include "base/memory.h"
#include "book/book_run.h"
#include "report/compare.h"
#include "report/shelf.h"

/* The news until one says that a digest was made; at most some seconds. */
static bool digest_told(struct asking *a, struct events_place *place)
{
    struct text wire = TEXT_EMPTY;
    bool told = false;
    for (int k = 0; k < 200 && !told && events_next(a->events, place, 50, &wire); k++)
        told = strstr(text_string(&wire), "\"what\":\"digest\"") != NULL;
    text_free(&wire);
    return told;
}

static const json_t *row_of(const struct asking *a, int64_t sample)
{
    size_t k;
    json_t *row;
    json_array_foreach(json_object_get(a->json, "samples"), k, row)
        if (asking_number(row, "sample") == sample)
            return row;
    return NULL;
}

static bool fresh(struct asking *a)
{
    CHECK(ask(a, shelf_routes, "GET", "/api/samples", NULL) == 200);
    return json_is_true(json_object_get(row_of(a, a->sample), "fresh"));
}

TEST(who_looks_at_a_stale_shelf_sets_it_to_rights)
{
    struct asking a;
    struct events_place place;
    asking_open(&a);
    events_enter(a.events, "book", "", &place);
    CHECK(!fresh(&a));
    CHECK(json_is_null(json_object_get(row_of(&a, a.sample), "digest")));
    char before[sizeof a.reply.tag];
    memcpy(before, a.reply.tag, sizeof before);
    CHECK(digest_told(&a, &place));
    CHECK(fresh(&a));
    CHECK(strcmp(before, a.reply.tag) != 0 && a.reply.tag[0] != '\0');
    const json_t *digest = json_object_get(row_of(&a, a.sample), "digest");
    CHECK_TEXT(asking_words(json_object_get(json_object_get(digest, "found"), "charge_ah"), "words"), "103.44 ± 0.44 Ah");
    asking_close(&a);
}

/* By another handle, as another program would. */
TEST(what_another_program_changes_is_seen_at_the_next_look)
{
    struct asking a;
    struct events_place place;
    asking_open(&a);
    events_enter(a.events, "book", "", &place);
    CHECK(!fresh(&a) && digest_told(&a, &place) && fresh(&a));
    CHECK(fresh(&a)); /* from what was kept */
    made_paper(a.scratch.book, a.sample, DOCUMENT_LABEL, "demo/bivouac-pack.label");
    CHECK(!fresh(&a));
    CHECK(digest_told(&a, &place) && fresh(&a));
    const json_t *digest = json_object_get(row_of(&a, a.sample), "digest");
    CHECK(json_number_value(json_object_get(json_object_get(digest, "claimed"), "charge_ah")) == 50);
    asking_close(&a);
}

TEST(a_label_that_cannot_be_read_is_said_and_not_tried_again)
{
    struct asking a;
    struct events_place place;
    int64_t id = 0;
    asking_open(&a);
    events_enter(a.events, "book", "", &place);
    CHECK(document_put(a.scratch.book, a.sample, DOCUMENT_LABEL, "label", span_of("[claims]\ncapacity = lots\n"), 9, &id,
                       &made_message) == STATUS_OK);
    CHECK(!fresh(&a) && digest_told(&a, &place) && fresh(&a));
    CHECK(asking_words(json_object_get(row_of(&a, a.sample), "digest"), "fault")[0] != '\0');
    asking_close(&a);
}

TEST(new_samples_are_whole_or_not_at_all)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask(&a, shelf_routes, "POST", "/api/samples", "{\"name\":\"Hut pack 15\",\"label\":\"[claims]\\nmass = 5 kg\\n\"}") == 201);
    int64_t made = asking_number(a.json, "sample");
    CHECK(ask(&a, shelf_routes, "POST", "/api/samples", "{\"name\":\"hut_pack 15\"}") == 400);
    CHECK(strstr(asking_fault(&a, "what"), "already") != NULL);
    CHECK(ask(&a, shelf_routes, "POST", "/api/samples", "{\"name\":\"Hut pack 16\",\"label\":\"[claims]\\nmass = lots\\n\"}") == 400);
    CHECK(ask(&a, shelf_routes, "POST", "/api/samples", "{\"label\":\"\"}") == 400);
    CHECK(ask(&a, shelf_routes, "POST", "/api/samples", "[]") == 400);
    CHECK(ask(&a, shelf_routes, "GET", "/api/samples", NULL) == 200);
    CHECK(json_array_size(json_object_get(a.json, "samples")) == 2 && row_of(&a, made) != NULL);
    CHECK(json_is_false(json_object_get(row_of(&a, made), "invented")));
    asking_close(&a);
}

static int compare(struct asking *a, const char *path, const char *samples, const char *figure, const char *form)
{
    const struct http_pair query[] = {{"samples", samples}, {"figure", figure}, {"form", form}, {NULL, NULL}};
    return ask_with(a, compare_routes, "GET", path, query, NULL);
}

TEST(samples_compared_are_those_of_the_command)
{
    struct asking a;
    asking_open(&a);
    int64_t other = made_sample(a.scratch.book, "bivouac pack");
    made_paper(a.scratch.book, other, DOCUMENT_LABEL, "demo/bivouac-pack.label");
    CHECK(other == 2 && compare(&a, "/api/compare", "1,2", "curves", "svg") == 200);
    struct text own = TEXT_EMPTY;
    struct message message;
    struct compare compared = {.count = 0};
    const struct assessment *one = workshop_assessed(a.workshop, 1, 0, &message), *two = workshop_assessed(a.workshop, 2, 0, &message);
    compare_add(&compared, 1, "hut pack 14", one);
    compare_add(&compared, 2, "bivouac pack", two);
    compare_json(&compared, &own);
    CHECK(own.length == a.reply.body.length && memcmp(own.s, a.reply.body.s, own.length) == 0);
    compare_free(&compared);
    workshop_give_back(a.workshop, one);
    workshop_give_back(a.workshop, two);
    text_free(&own);
    for (int k = 0; k < COMPARE_FIGURES; k++) {
        CHECK(compare(&a, "/api/compare/figure", "1,2", compare_words[k], "part") == 200);
        CHECK(strncmp(a.reply.body.s, "<svg ", 5) == 0 && strstr(a.reply.body.s, "bivouac pack") != NULL);
    }
    CHECK(compare(&a, "/api/compare/figure", "1,2", "mass", "png") == 200);
    CHECK_TEXT(a.reply.file_name, "compared-mass.png");
    asking_close(&a);
}

TEST(what_cannot_be_compared_is_refused)
{
    struct asking a;
    asking_open(&a);
    CHECK(compare(&a, "/api/compare", "1", "curves", "svg") == 400);
    CHECK(compare(&a, "/api/compare", "1,1", "curves", "svg") == 400);
    CHECK(compare(&a, "/api/compare", "1,", "curves", "svg") == 400);
    CHECK(compare(&a, "/api/compare", "1,x", "curves", "svg") >= 400);
    CHECK(compare(&a, "/api/compare", "1,9", "curves", "svg") >= 400);
    CHECK(compare(&a, "/api/compare", "1,2,3,4,5,6,7,8,9,10,11,12,13", "curves", "svg") == 400);
    CHECK(compare(&a, "/api/compare", "1,1000000000000000000000000000000000000", "curves", "svg") >= 400);
    made_sample(a.scratch.book, "another");
    CHECK(compare(&a, "/api/compare/figure", "1,2", "pie", "svg") == 400);
    CHECK(compare(&a, "/api/compare/figure", "1,2", "mass", "gif") == 400);
    CHECK(compare(&a, "/api/compare", "1,2", "mass", "svg") == 200); /* one of them without anything */
    int64_t id = 0;
    CHECK(document_put(a.scratch.book, 2, DOCUMENT_LABEL, "label", span_of("[claims]\ncapacity = lots\n"), 9, &id,
                       &made_message) == STATUS_OK);
    CHECK(compare(&a, "/api/compare", "1,2", "mass", "svg") == 400);
    CHECK_TEXT(asking_fault(&a, "file"), "another, label");
    asking_close(&a);
}
