#include "asking.h"
#include "book/picture.h"

#include <gd.h>

/* A drawn picture as a phone leaves it: held on its side, with words of where it was in its head. */
static const char where[] = "47 deg north, up at the hut";

static struct text photo(int width, int height)
{
    char exif[] = "\xff\xe1\0\x22" "Exif\0\0" "II\x2a\0\x08\0\0\0" "\x01\0" "\x12\x01\x03\0\x01\0\0\0\x06\0\0\0" "\0\0\0";
    struct text all = TEXT_EMPTY;
    gdImagePtr gd = gdImageCreateTrueColor(width, height);
    gdImageFilledRectangle(gd, 0, 0, width / 2, height - 1, gdTrueColor(220, 20, 20));
    int n = 0;
    char *jpeg = gdImageJpegPtr(gd, &n, 90);
    text_add_bytes(&all, jpeg, 2);
    text_add_bytes(&all, exif, 36);
    text_add_bytes(&all, (char[]){(char)0xFF, (char)0xFE, 0, (char)(sizeof where + 2)}, 4); /* a comment */
    text_add_bytes(&all, where, sizeof where);
    text_add_bytes(&all, jpeg + 2, (size_t)n - 2);
    gdFree(jpeg);
    gdImageDestroy(gd);
    return all;
}

static int send_file(struct asking *a, const char *where_to, struct span bytes, const struct http_pair *query)
{
    char path[300];
    snprintf(path, sizeof path, "%s/upload", a->scratch.folder);
    FILE *file = fopen(path, "wb");
    CHECK(file != NULL && fwrite(bytes.p, 1, bytes.n, file) == bytes.n && fclose(file) == 0);
    return ask_file(a, picture_routes, "POST", where_to, query, NULL, path);
}

static int upload(struct asking *a, struct span bytes, const struct http_pair *query)
{
    return send_file(a, "/api/samples/1/pictures", bytes, query);
}

static bool holds(const struct text *body, const char *words)
{
    return memmem(text_string(body), body->length, words, strlen(words)) != NULL;
}

TEST(a_picture_is_kept_as_it_came_and_shown_upright_without_where_it_was_taken)
{
    static const struct http_pair said[] = {{"name", "..\\..\\IMG 7.HEIC"}, {"caption", "The main lead"},
                                            {"item", "conductor-main-lead"}, {"run", "1"}, {NULL, NULL}},
                                  small[] = {{"side", "64"}, {NULL, NULL}}, original[] = {{"original", ""}, {NULL, NULL}},
                                  none[] = {{"side", "5000"}, {NULL, NULL}};
    struct asking a;
    struct text bytes = photo(180, 120);
    asking_open(&a);
    CHECK(upload(&a, (struct span){bytes.s, bytes.length}, said) == 200);
    CHECK_TEXT(asking_words(a.json, "name"), "IMG 7.HEIC");
    CHECK_TEXT(asking_words(a.json, "kind"), "image/jpeg"); /* by its bytes */
    CHECK_TEXT(asking_words(a.json, "item"), "conductor-main-lead");
    CHECK(asking_number(a.json, "picture") == 1 && asking_number(a.json, "run") == a.run);
    CHECK(asking_number(a.json, "width") == 120 && asking_number(a.json, "height") == 180); /* on its side */
    CHECK(json_is_false(json_object_get(a.json, "shown")));
    CHECK(ask(&a, picture_routes, "GET", "/api/pictures/1", NULL) == 200);
    CHECK_TEXT(a.reply.type, "image/jpeg");
    CHECK(a.reply.tag[0] != '\0' && !holds(&a.reply.body, where) && !holds(&a.reply.body, "Exif"));
    gdImagePtr gd = gdImageCreateFromJpegPtr((int)a.reply.body.length, a.reply.body.s);
    CHECK(gd != NULL && gdImageSX(gd) == 120 && gdImageSY(gd) == 180);
    gdImageDestroy(gd);
    CHECK(ask_with(&a, picture_routes, "GET", "/api/pictures/1", small, NULL) == 200);
    gd = gdImageCreateFromJpegPtr((int)a.reply.body.length, a.reply.body.s);
    CHECK(gd != NULL && gdImageSX(gd) == 43 && gdImageSY(gd) == 64);
    gdImageDestroy(gd);
    CHECK(ask_with(&a, picture_routes, "GET", "/api/pictures/1", none, NULL) == 400);
    CHECK(ask(&a, picture_routes, "GET", "/api/pictures/2", NULL) == 404);
    CHECK(ask(&a, picture_routes, "GET", "/api/pictures/1/codes", NULL) == 200);
    CHECK(json_array_size(json_object_get(a.json, "codes")) == 0 && json_is_null(json_object_get(a.json, "batch")));
    CHECK(ask_with(&a, picture_routes, "GET", "/api/pictures/1", original, NULL) == 403); /* a reader */
    struct picture kept;
    CHECK(picture_get(a.scratch.book, 1, &kept, &made_message) == STATUS_OK);
    CHECK(kept.bytes.length == bytes.length && memcmp(kept.bytes.s, bytes.s, bytes.length) == 0);
    picture_free(&kept);
    text_free(&bytes);
    asking_close(&a);
}

TEST(what_is_no_picture_is_not_taken)
{
    static const struct http_pair named[] = {{"name", "photo.jpg"}, {NULL, NULL}},
                                  stranger[] = {{"name", "a.jpg"}, {"run", "77"}, {NULL, NULL}},
                                  torn[] = {{"name", "a.jpg"}, {"item", "a\tb"}, {NULL, NULL}};
    struct asking a;
    struct text bytes = photo(180, 120);
    asking_open(&a);
    CHECK(upload(&a, span_of("GIF89a and so on, for as long as it takes to be a head"), named) == 415);
    CHECK(strstr(asking_fault(&a, "remedy"), "JPEG, PNG, WebP or HEIC") != NULL);
    CHECK(upload(&a, span_of("<svg xmlns=\"http://www.w3.org/2000/svg\"><script/></svg>"), named) == 415);
    CHECK(upload(&a, (struct span){bytes.s, 60}, named) == 415); /* the head alone */
    CHECK(upload(&a, (struct span){bytes.s, bytes.length}, stranger) >= 400);
    CHECK(upload(&a, (struct span){bytes.s, bytes.length}, torn) == 400);
    char huge[] = "\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\1\0\0\0\1\0\0\x08\x02\0\0\0"; /* 65536 squared, which is not unpacked */
    CHECK(upload(&a, (struct span){huge, sizeof huge}, named) == 413);
    CHECK(ask(&a, picture_routes, "POST", "/api/samples/1/pictures", NULL) == 400);
    struct picture_list list = {0};
    CHECK(book_pictures(a.scratch.book, a.sample, &list, &made_message) == STATUS_OK && list.count == 0);
    picture_list_free(&list);
    text_free(&bytes);
    asking_close(&a);
}

TEST(what_is_said_of_a_picture_is_put_right)
{
    struct asking a;
    struct text bytes = photo(30, 20);
    asking_open(&a);
    CHECK(upload(&a, (struct span){bytes.s, bytes.length}, NULL) == 200);
    CHECK_TEXT(asking_words(a.json, "name"), "picture");
    CHECK(ask(&a, picture_routes, "PATCH", "/api/pictures/1", "{\"caption\": \"Nicked\", \"shown\": true}") == 200);
    CHECK(ask(&a, picture_routes, "PATCH", "/api/pictures/1", "{\"item\": \"wiring\"}") == 200);
    CHECK_TEXT(asking_words(a.json, "caption"), "Nicked");
    CHECK_TEXT(asking_words(a.json, "item"), "wiring");
    CHECK(json_is_true(json_object_get(a.json, "shown")));
    CHECK(ask(&a, picture_routes, "PATCH", "/api/pictures/1", "{\"caption\": \"x\", \"shown\": 1}") == 400);
    CHECK(ask(&a, picture_routes, "PATCH", "/api/pictures/1", "{\"caption\": 7}") == 400);
    CHECK(ask(&a, picture_routes, "PATCH", "/api/pictures/2", "{}") == 404);
    CHECK(ask(&a, sample_routes, "GET", "/api/samples/1", NULL) == 200);
    json_t *one = json_array_get(json_object_get(a.json, "pictures"), 0);
    CHECK_TEXT(asking_words(one, "caption"), "Nicked");
    CHECK(asking_number(one, "bytes") == (int64_t)bytes.length);
    CHECK(ask(&a, picture_routes, "DELETE", "/api/pictures/1", NULL) == 200);
    CHECK(ask(&a, picture_routes, "DELETE", "/api/pictures/1", NULL) == 404);
    CHECK(ask(&a, picture_routes, "GET", "/api/pictures/1/codes", NULL) == 404);
    text_free(&bytes);
    asking_close(&a);
}
TEST(codes_are_read_off_a_picture_that_is_not_kept)
{
    struct asking a;
    struct text bytes = TEXT_EMPTY;
    struct picture_list list = {0};
    asking_open(&a);
    CHECK(text_read_file("demo/hut-pack.cells.png", 1 << 24, &bytes) == 0);
    CHECK(send_file(&a, "/api/codes", (struct span){bytes.s, bytes.length}, NULL) == 200);
    const json_t *codes = json_object_get(a.json, "codes");
    CHECK(json_array_size(codes) == 3); /* the fourth lies under the foam */
    CHECK_TEXT(asking_words(json_object_get(json_array_get(codes, 0), "cell"), "chemistry"), "lithium iron phosphate");
    CHECK(send_file(&a, "/api/codes", span_of("no picture at all"), NULL) == 415);
    CHECK(ask(&a, picture_routes, "POST", "/api/codes", NULL) == 400);
    CHECK(book_pictures(a.scratch.book, a.sample, &list, &made_message) == STATUS_OK && list.count == 0);
    picture_list_free(&list);
    text_free(&bytes);
    asking_close(&a);
}

