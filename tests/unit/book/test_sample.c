#include "check.h"

#include "book/correction.h"
#include "book/sample.h"
#include "unit/book/scratch_book.h"

static const int64_t noon_ns = 1790000000123456789;

TEST(samples_are_found_by_alike_names)
{
    struct scratch scratch;
    struct book_sample sample;
    struct message message = {0};
    int64_t id = 0, other = 0;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "Hut pack 014", true, noon_ns, &id, NULL) == STATUS_OK);
    CHECK(book_sample_add(scratch.book, "hut_pack  014", false, noon_ns, &other, &message) == STATUS_USAGE);
    CHECK(strstr(message.what, "already") != NULL && other == 0);
    CHECK(book_sample_find(scratch.book, "HUT-PACK-014", &sample, NULL) == STATUS_OK);
    CHECK(sample.id == id && sample.invented && sample.added_utc_ns == noon_ns && sample.runs == 0);
    CHECK_TEXT(sample.name, "Hut pack 014");
    CHECK(book_sample_find(scratch.book, "Hut pack 015", &sample, &message) == STATUS_USAGE);
    CHECK_TEXT(message.remedy, "did you mean 'Hut pack 014'?");
    CHECK(book_sample_by_id(scratch.book, id + 1, &sample, &message) == STATUS_USAGE);
    scratch_remove(&scratch);
}

TEST(names_that_no_list_can_show_are_refused)
{
    static const char *const bad[] = {"", "  ", "two\nlines", " ahead", "not UTF-8 \xFF", "bell\a", NULL};
    struct scratch scratch;
    scratch_open(&scratch);
    int64_t id = 0;
    for (int k = 0; bad[k] != NULL; k++)
        CHECK(book_sample_add(scratch.book, bad[k], false, noon_ns, &id, NULL) == STATUS_USAGE);
    char longest[BOOK_NAME + 1];
    memset(longest, 'x', sizeof longest);
    longest[BOOK_NAME] = '\0';
    CHECK(book_sample_add(scratch.book, longest, false, noon_ns, &id, NULL) == STATUS_USAGE);
    longest[BOOK_NAME - 1] = '\0';
    CHECK(book_sample_add(scratch.book, longest, false, noon_ns, &id, NULL) == STATUS_OK);
    struct book_sample sample;
    CHECK(book_sample_find(scratch.book, longest, &sample, NULL) == STATUS_OK && sample.id == id);
    scratch_remove(&scratch);
}

TEST(a_new_name_keeps_the_old_one)
{
    struct scratch scratch;
    struct correction_list list = {0};
    struct book_sample sample;
    int64_t id = 0, other = 0;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "Hut pack 14", true, noon_ns, &id, NULL) == STATUS_OK);
    CHECK(book_sample_add(scratch.book, "Hut pack 15", true, noon_ns, &other, NULL) == STATUS_OK);
    CHECK(book_sample_rename(scratch.book, id, "hut pack 15", noon_ns + 1, NULL) == STATUS_USAGE);
    CHECK(book_sample_rename(scratch.book, id, "Hut Pack 14", noon_ns + 1, NULL) == STATUS_OK); /* case alone */
    CHECK(book_sample_rename(scratch.book, id, "Bivouac pack", noon_ns + 2, NULL) == STATUS_OK);
    CHECK(book_sample_rename(scratch.book, id, "Bivouac pack", noon_ns + 3, NULL) == STATUS_OK); /* nothing new */
    CHECK(book_corrections(scratch.book, id, 0, &list, NULL) == STATUS_OK && list.count == 2);
    if (list.count == 2) {
        CHECK_TEXT(list.items[0].before, "Hut pack 14");
        CHECK_TEXT(list.items[0].after, "Hut Pack 14");
        CHECK_TEXT(list.items[1].after, "Bivouac pack");
        CHECK_TEXT(list.items[1].field, "name");
        CHECK(list.items[1].utc_ns == noon_ns + 2);
    }
    correction_list_free(&list);
    CHECK(book_sample_find(scratch.book, "Hut pack 14", &sample, NULL) == STATUS_USAGE);
    scratch_remove(&scratch);
}

static int64_t put(struct book *book, int64_t sample, enum document_kind kind, const char *name, const char *text)
{
    int64_t id = 0;
    CHECK(document_put(book, sample, kind, name, span_of(text), noon_ns, &id, NULL) == STATUS_OK);
    return id;
}

TEST(documents_keep_every_version)
{
    struct scratch scratch;
    int64_t sample = 0, latest = 0, *ids = NULL;
    size_t count = 0;
    struct document document;
    scratch_open(&scratch);
    CHECK(book_sample_add(scratch.book, "Hut pack 014", true, noon_ns, &sample, NULL) == STATUS_OK);
    int64_t first = put(scratch.book, sample, DOCUMENT_LABEL, "label", "[claims]\ncapacity = 100 Ah\n");
    CHECK(put(scratch.book, sample, DOCUMENT_LABEL, "label", "[claims]\ncapacity = 100 Ah\n") == first);
    int64_t second = put(scratch.book, sample, DOCUMENT_LABEL, "label", "[claims]\r\ncapacity = 105 Ah\n\0");
    int64_t back = put(scratch.book, sample, DOCUMENT_LABEL, "label", "[claims]\ncapacity = 100 Ah\n");
    CHECK(second != first && back != first); /* set back by hand is a version too */
    int64_t rig = put(scratch.book, 0, DOCUMENT_RIG, "bench.rig", "");
    put(scratch.book, sample, DOCUMENT_NOTE, "note", "arrived with a dent");
    CHECK(document_versions(scratch.book, second, &ids, &count, NULL) == STATUS_OK && count == 3);
    if (count == 3)
        CHECK(ids[0] == first && ids[1] == second && ids[2] == back);
    free(ids);
    CHECK(document_list(scratch.book, sample, &ids, &count, NULL) == STATUS_OK && count == 2);
    if (count == 2)
        CHECK(ids[0] == back);
    free(ids);
    CHECK(document_latest(scratch.book, sample, DOCUMENT_LABEL, NULL, &latest, NULL) == STATUS_OK && latest == back);
    CHECK(document_latest(scratch.book, 0, DOCUMENT_RIG, NULL, &latest, NULL) == STATUS_OK && latest == rig);
    CHECK(document_latest(scratch.book, sample, DOCUMENT_PLAN, NULL, &latest, NULL) == STATUS_OK && latest == 0);
    int64_t later = 0;
    CHECK(document_put(scratch.book, sample, DOCUMENT_LABEL, "box", span_of("x"), noon_ns + 7, &later, NULL) == STATUS_OK);
    CHECK(document_held(scratch.book, sample, DOCUMENT_LABEL, noon_ns + 6, &latest, NULL) == STATUS_OK && latest == back);
    CHECK(document_held(scratch.book, sample, DOCUMENT_LABEL, noon_ns + 7, &latest, NULL) == STATUS_OK && latest == later);
    CHECK(document_held(scratch.book, sample, DOCUMENT_LABEL, noon_ns - 1, &latest, NULL) == STATUS_OK && latest == 0);
    CHECK(document_held(scratch.book, 0, DOCUMENT_RIG, noon_ns, &latest, NULL) == STATUS_OK && latest == rig);
    CHECK(document_get(scratch.book, second, &document, NULL) == STATUS_OK);
    CHECK_TEXT(text_string(&document.text), "[claims]\r\ncapacity = 105 Ah\n");
    CHECK(document.replaces == first && document.kind == DOCUMENT_LABEL && document.sample == sample);
    document_free(&document);
    CHECK(document_get(scratch.book, 99, &document, NULL) == STATUS_USAGE);
    scratch_remove(&scratch);
}
