#include "check.h"

#include "report/ready_pictures.h"
#include "small_png.h"
#include "unit/book/scratch_book.h"

static int64_t add_picture(struct book *book, int64_t sample)
{
    struct picture picture = {.sample = sample, .utc_ns = 1790000000123456789};
    int64_t id = 0;
    snprintf(picture.kind, sizeof picture.kind, "image/png");
    snprintf(picture.name, sizeof picture.name, "board.png");
    text_add_bytes(&picture.bytes, (const char *)small_png, sizeof small_png);
    CHECK(picture_add(book, &picture, &id, NULL) == STATUS_OK);
    picture_free(&picture);
    return id;
}

static bool is_jpeg(const struct text *bytes)
{
    return bytes->length > 100 && memcmp(bytes->s, "\xff\xd8\xff", 3) == 0;
}

TEST(a_picture_is_made_ready_once)
{
    struct scratch scratch;
    struct message message = {0};
    struct text first = TEXT_EMPTY, again = TEXT_EMPTY, anew = TEXT_EMPTY;
    int64_t sample = 0;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "Hut pack 3", true, 1, &sample, &message) == STATUS_OK);
    struct picture listed = {.id = add_picture(scratch.book, sample)};
    struct ready_pictures *ready = ready_pictures_new();
    CHECK(ready_pictures_add(ready, scratch.book, &listed, &first, &message) == STATUS_OK && is_jpeg(&first));
    CHECK(ready_pictures_add(NULL, scratch.book, &listed, &anew, &message) == STATUS_OK);
    CHECK(anew.length == first.length && memcmp(anew.s, first.s, first.length) == 0);
    CHECK(picture_remove(scratch.book, listed.id, &message) == STATUS_OK);
    CHECK(ready_pictures_add(ready, scratch.book, &listed, &again, &message) == STATUS_OK); /* not read again */
    CHECK(again.length == first.length && memcmp(again.s, first.s, first.length) == 0);
    ready_pictures_free(ready);
    text_free(&first);
    text_free(&again);
    text_free(&anew);
    scratch_remove(&scratch);
}

TEST(one_that_cannot_be_made_is_a_fault_each_time)
{
    struct scratch scratch;
    struct text jpeg = TEXT_EMPTY;
    struct picture listed = {.id = 7};
    struct ready_pictures *ready = ready_pictures_new();
    scratch_open(&scratch);
    for (int k = 0; k < 2; k++) {
        struct message message = {0};
        CHECK(ready_pictures_add(ready, scratch.book, &listed, &jpeg, &message) != STATUS_OK);
        CHECK(message.what[0] != '\0' && jpeg.length == 0);
    }
    ready_pictures_free(ready);
    text_free(&jpeg);
    scratch_remove(&scratch);
}
