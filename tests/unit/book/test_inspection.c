/* Pictures of a sample and of what was seen in it once it was opened. */
#include "check.h"

#include "book/book_run.h"
#include "book/picture.h"
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

TEST(what_a_picture_shows_is_put_right)
{
    struct scratch scratch;
    int64_t sample = 0, id = 0;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "Hut pack 014", true, noon_ns, &sample, NULL) == STATUS_OK);
    struct picture picture = {.sample = sample, .kind = "image/jpeg", .name = "lead.jpg", .utc_ns = noon_ns,
                              .item = "conductor-main-lead", .bytes = words("\xFF\xD8\xFF")}, got;
    CHECK(picture_add(scratch.book, &picture, &id, NULL) == STATUS_OK);
    picture.id = id;
    picture.caption = words("nicked at the lug");
    picture.shown = true;
    snprintf(picture.item, sizeof picture.item, "%s", "wiring");
    CHECK(picture_change(scratch.book, &picture, NULL) == STATUS_OK);
    CHECK(picture_get(scratch.book, id, &got, NULL) == STATUS_OK);
    CHECK(got.shown && got.bytes.length == 3 && got.utc_ns == noon_ns);
    CHECK_TEXT(got.item, "wiring");
    CHECK_TEXT(text_string(&got.caption), "nicked at the lug");
    CHECK_TEXT(got.name, "lead.jpg");
    picture_free(&got);
    picture.id = id + 1;
    CHECK(picture_change(scratch.book, &picture, NULL) == STATUS_USAGE);
    CHECK(picture_remove(scratch.book, id, NULL) == STATUS_OK);
    int64_t later = 0; /* a number once given is not given again */
    CHECK(picture_add(scratch.book, &picture, &later, NULL) == STATUS_OK && later == id + 1);
    picture_free(&picture);
    scratch_remove(&scratch);
}
