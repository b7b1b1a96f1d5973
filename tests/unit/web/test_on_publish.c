#include "asking.h"
#include "book/picture.h"
#include "small_png.h"
#include "report/page.h"
#include "report/sheet.h"

static const struct http_pair comma[] = {{"decimal", "comma"}, {"paper", "letter"}, {"without", "cautions,budgets"}, {NULL, NULL}};

TEST(the_sheet_is_that_of_the_command)
{
    struct asking a;
    struct text pdf = TEXT_EMPTY;
    asking_open(&a);
    const struct assessment *own = workshop_assessed(a.workshop, a.sample, 0, &made_message);
    CHECK(sheet_render(own, &(struct publishing){0}, &pdf, &made_message) == STATUS_OK);
    CHECK(ask(&a, publish_routes, "GET", "/api/samples/1/sheet.pdf", NULL) == 200);
    CHECK_TEXT(a.reply.type, "application/pdf");
    CHECK_TEXT(a.reply.file_name, "");
    CHECK(a.reply.body.length == pdf.length && memcmp(a.reply.body.s, pdf.s, pdf.length) == 0);
    text_free(&pdf);
    CHECK(ask_with(&a, publish_routes, "GET", "/api/samples/1/sheet.pdf", comma, NULL) == 200);
    struct publishing chosen = {.paper = PAPER_LETTER, .comma = true, .without = {[PUBLISH_CAUTIONS] = true, [PUBLISH_BUDGETS] = true}};
    CHECK(sheet_render(own, &chosen, &pdf, &made_message) == STATUS_OK);
    CHECK(a.reply.body.length == pdf.length && memcmp(a.reply.body.s, pdf.s, pdf.length) == 0);
    text_free(&pdf);
    workshop_give_back(a.workshop, own);
    asking_close(&a);
}

TEST(a_file_to_save_has_a_name)
{
    static const struct http_pair save[] = {{"save", "yes"}, {NULL, NULL}};
    struct asking a;
    asking_open(&a);
    CHECK(ask_with(&a, publish_routes, "GET", "/api/samples/1/page.html", save, NULL) == 200);
    CHECK_TEXT(a.reply.file_name, "Sample 014 page.html");
    CHECK(ask(&a, publish_routes, "GET", "/api/samples/1/figures/curve.png", NULL) == 200);
    CHECK_TEXT(a.reply.file_name, "Sample 014 curve.png");
    CHECK(memcmp(a.reply.body.s, "\x89PNG", 4) == 0);
    CHECK(ask(&a, publish_routes, "GET", "/api/samples/1/figures/ladder.svg", NULL) == 200);
    CHECK(strstr(a.reply.body.s, "<svg") != NULL && a.reply.apart);
    CHECK(ask(&a, publish_routes, "GET", "/api/samples/1/figures/luck.svg", NULL) == 404);
    asking_close(&a);
}

TEST(the_page_stands_apart_with_the_samples_pictures)
{
    struct asking a;
    struct picture picture = {.kind = "image/png", .name = "front.png", .shown = true};
    int64_t id = 0;
    asking_open(&a);
    picture.sample = a.sample;
    text_add(&picture.caption, "From the front");
    text_add_bytes(&picture.bytes, (const char *)small_png, sizeof small_png);
    CHECK(picture_add(a.scratch.book, &picture, &id, &made_message) == STATUS_OK);
    picture.caption.length = 0;
    text_add(&picture.caption, "From behind");
    picture.shown = false; /* kept, and not chosen */
    CHECK(picture_add(a.scratch.book, &picture, &id, &made_message) == STATUS_OK);
    text_free(&picture.caption);
    text_free(&picture.bytes);
    CHECK(ask(&a, publish_routes, "GET", "/api/samples/1/page.html", NULL) == 200);
    CHECK(a.reply.apart);
    CHECK_TEXT(a.reply.type, "text/html; charset=utf-8");
    CHECK(strstr(a.reply.body.s, "data:image/jpeg;base64,") != NULL && strstr(a.reply.body.s, "From the front") != NULL);
    CHECK(strstr(a.reply.body.s, "From behind") == NULL);
    CHECK(ask(&a, publish_routes, "GET", "/api/samples/1/publishing", NULL) == 200);
    CHECK(asking_number(a.json, "pictures") == 1);
    CHECK(asking_number(a.json, "sheet_pages") >= 3);
    CHECK(json_is_null(json_object_get(a.json, "opinion")) && json_is_string(json_object_get(a.json, "summary")));
    CHECK(asking_number(json_array_get(json_object_get(a.json, "runs"), 0), "run") == a.run);
    static const struct http_pair without[] = {{"without", "pictures"}, {NULL, NULL}};
    CHECK(ask_with(&a, publish_routes, "GET", "/api/samples/1/page.html", without, NULL) == 200);
    CHECK(strstr(a.reply.body.s, "data:image") == NULL);
    asking_close(&a);
}

TEST(a_page_of_the_sheet_is_a_picture)
{
    static const struct http_pair wide[] = {{"width", "300"}, {NULL, NULL}}, huge[] = {{"width", "99999"}, {NULL, NULL}};
    struct asking a;
    asking_open(&a);
    CHECK(ask_with(&a, publish_routes, "GET", "/api/samples/1/sheet/2", wide, NULL) == 200);
    CHECK_TEXT(a.reply.type, "image/png");
    const unsigned char *png = (const unsigned char *)a.reply.body.s;
    CHECK(memcmp(png, "\x89PNG", 4) == 0 && (png[18] << 8 | png[19]) == 300); /* IHDR: the width */
    CHECK((png[22] << 8 | png[23]) == 425); /* 300 · 297 / 210, rounded up */
    CHECK(ask(&a, publish_routes, "GET", "/api/samples/1/sheet/4", NULL) == 400);
    CHECK(ask(&a, publish_routes, "GET", "/api/samples/1/sheet/0", NULL) == 400);
    CHECK(ask_with(&a, publish_routes, "GET", "/api/samples/1/sheet/1", huge, NULL) == 400);
    asking_close(&a);
}

TEST(replies_and_what_is_missing)
{
    struct asking a;
    asking_open(&a);
    CHECK(ask_with(&a, publish_routes, "GET", "/api/samples/1/replies", comma, NULL) == 200);
    json_t *replies = json_object_get(a.json, "replies"), *second = json_array_get(replies, 1);
    CHECK(json_array_size(replies) == 18);
    CHECK_TEXT(asking_words(second, "claim"), "capacity");
    CHECK_TEXT(asking_words(second, "stated"), "100 Ah at 0,2 It, 25 °C, to 10 V");
    CHECK_TEXT(asking_words(second, "verdict"), "met");
    CHECK(strstr(asking_words(second, "result"), "103,44 ± 0,44 Ah") != NULL);
    CHECK(asking_words(second, "evidence")[0] != '\0' && asking_words(second, "doubt")[0] != '\0');
    CHECK(strstr(asking_words(second, "overturn"), "times its standard uncertainty") != NULL);
    CHECK(strstr(asking_words(second, "text"), "INVENTED DATA\nSample 014\nCapacity: ") == asking_words(second, "text"));
    CHECK(ask(&a, publish_routes, "GET", "/api/samples/1/missing", NULL) == 200);
    json_t *missing = json_object_get(a.json, "missing"), *first = json_array_get(missing, 0);
    CHECK(json_array_size(missing) > 8);
    CHECK_TEXT(asking_words(first, "weight"), "nothing can be published without it");
    CHECK(asking_words(first, "next")[0] != '\0' && json_is_null(json_object_get(first, "claim")));
    asking_close(&a);
}

TEST(a_run_can_be_told_by_its_name)
{
    static const struct http_pair hide[] = {{"hide", "1"}, {NULL, NULL}}, other[] = {{"hide", "77"}, {NULL, NULL}},
                                  torn[] = {{"hide", "1,x"}, {NULL, NULL}};
    struct asking a;
    asking_open(&a);
    CHECK(ask_with(&a, publish_routes, "GET", "/api/samples/1/page.html", hide, NULL) == 200);
    CHECK(strstr(a.reply.body.s, "Left out by whoever published this: ") != NULL);
    CHECK(ask_with(&a, publish_routes, "GET", "/api/samples/1/page.html", other, NULL) == 400);
    CHECK(strstr(asking_fault(&a, "what"), "77") != NULL);
    CHECK(ask_with(&a, publish_routes, "GET", "/api/samples/1/page.html", torn, NULL) == 400);
    asking_close(&a);
}

TEST(what_cannot_be_chosen_is_refused)
{
    static const struct http_pair paper[] = {{"paper", "a5"}, {NULL, NULL}}, part[] = {{"without", "verdicts"}, {NULL, NULL}};
    struct asking a;
    asking_open(&a);
    CHECK(ask_with(&a, publish_routes, "GET", "/api/samples/1/sheet.pdf", paper, NULL) == 400);
    CHECK_TEXT(asking_fault(&a, "remedy"), "ask for a4 or letter");
    CHECK(ask_with(&a, publish_routes, "GET", "/api/samples/1/page.html", part, NULL) == 400);
    CHECK(ask(&a, publish_routes, "GET", "/api/samples/9/sheet.pdf", NULL) == 404);
    CHECK(ask(&a, publish_routes, "GET", "/api/samples/9/missing", NULL) == 404);
    asking_close(&a);
}
