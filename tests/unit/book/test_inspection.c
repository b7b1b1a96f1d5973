/* Pictures and what was seen in an opened sample. */
#include "check.h"

#include "book/book_run.h"
#include "book/picture.h"
#include "book/teardown.h"
#include "unit/book/scratch_book.h"

static const int64_t noon_ns = 1790000000123456789;

static struct text words(const char *s)
{
    struct text text = TEXT_EMPTY;
    text_add(&text, s);
    return text;
}

TEST(pictures_keep_every_byte)
{
    struct scratch scratch;
    struct picture_list list = {0};
    int64_t sample = 0, id = 0;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "Hut pack 014", true, noon_ns, &sample, NULL) == STATUS_OK);
    struct picture picture = {.sample = sample, .kind = "image/png", .name = "bus bar.png", .utc_ns = noon_ns,
                              .caption = words("the bus bar, \xC3\xBC" "ber Kopf"), .bytes = words("")}, got;
    for (int k = 0; k < 70000; k++)
        text_add_bytes(&picture.bytes, (char[]){(char)(k * 7 % 256)}, 1);
    CHECK(picture_add(scratch.book, &picture, &id, NULL) == STATUS_OK);
    CHECK(book_pictures(scratch.book, sample, &list, NULL) == STATUS_OK && list.count == 1);
    if (list.count == 1) {
        CHECK(list.items[0].id == id && list.items[0].size == 70000 && list.items[0].bytes.length == 0);
        CHECK_TEXT(text_string(&list.items[0].caption), text_string(&picture.caption));
    }
    picture_list_free(&list);
    CHECK(picture_get(scratch.book, id, &got, NULL) == STATUS_OK);
    CHECK(got.bytes.length == 70000 && memcmp(got.bytes.s, picture.bytes.s, 70000) == 0);
    CHECK_TEXT(got.kind, "image/png");
    CHECK_TEXT(got.name, "bus bar.png");
    picture_free(&got);
    CHECK(picture_remove(scratch.book, id, NULL) == STATUS_OK);
    CHECK(picture_remove(scratch.book, id, NULL) == STATUS_USAGE);
    CHECK(picture_get(scratch.book, id, &got, NULL) == STATUS_USAGE);
    picture.run = 4711; /* no such run */
    CHECK(picture_add(scratch.book, &picture, &id, NULL) == STATUS_MALFORMED);
    picture_free(&picture);
    scratch_remove(&scratch);
}

TEST(what_was_seen_stands_apart_from_the_opinion)
{
    struct scratch scratch;
    struct teardown_list list = {0};
    int64_t sample = 0, id = 0;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "Hut pack 014", true, noon_ns, &sample, NULL) == STATUS_OK);
    struct teardown_item bar = {.sample = sample, .topic = words("bus bar"), .value = words("copper, 20 mm \xC3\x97 2 mm"),
                                .opinion = words("ample for 100 A"), .utc_ns = noon_ns};
    struct teardown_item code = {.sample = sample, .topic = words("cell code"), .value = words("none"), .utc_ns = noon_ns};
    CHECK(teardown_add(scratch.book, &bar, &id, NULL) == STATUS_OK);
    CHECK(teardown_add(scratch.book, &code, &id, NULL) == STATUS_OK);
    CHECK(book_teardown(scratch.book, sample, &list, NULL) == STATUS_OK && list.count == 2);
    if (list.count == 2) {
        CHECK_TEXT(text_string(&list.items[0].value), text_string(&bar.value));
        CHECK_TEXT(text_string(&list.items[0].opinion), "ample for 100 A");
        CHECK_TEXT(text_string(&list.items[1].topic), "cell code");
        CHECK_TEXT(text_string(&list.items[1].opinion), "");
    }
    teardown_list_free(&list);
    CHECK(teardown_remove(scratch.book, id, NULL) == STATUS_OK);
    CHECK(teardown_remove(scratch.book, id, NULL) == STATUS_USAGE);
    text_free(&bar.topic), text_free(&bar.value), text_free(&bar.opinion);
    text_free(&code.topic), text_free(&code.value);
    scratch_remove(&scratch);
}
