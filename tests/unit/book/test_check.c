#include "check.h"

#include "fault/invented_stream.h"
#include "unit/book/scratch_book.h"

#include <sqlite3.h>

enum { READINGS = 64 * 40 + 200 }; /* the blocks are cut small: 64 of them make a coarse summary */

static int64_t make_book(struct scratch *scratch)
{
    static struct invented_block block;
    int64_t stream = 0;
    scratch_open(scratch);
    CHECK(invented_begin(scratch->book, "Hut pack 014", &stream, NULL) == STATUS_OK);
    CHECK(book_begin(scratch->book, NULL) == STATUS_OK);
    for (int64_t k = 0; k < READINGS; k += 40) {
        invented_fill(&block, k, 40);
        CHECK((k < READINGS - 80 ? stream_fill : stream_append)(scratch->book, stream, &block.block, NULL) == STATUS_OK);
    }
    CHECK(book_commit(scratch->book, NULL) == STATUS_OK);
    return stream;
}

/* Somebody alters the file behind our back. */
static void alter(struct scratch *scratch, const char *statement)
{
    sqlite3 *handle = NULL;
    char *error = NULL;
    CHECK(sqlite3_open(scratch->path, &handle) == SQLITE_OK);
    CHECK(sqlite3_exec(handle, statement, NULL, NULL, &error) == SQLITE_OK);
    if (error != NULL)
        printf("    %s\n", error);
    CHECK(sqlite3_changes(handle) > 0);
    sqlite3_free(error);
    sqlite3_close(handle);
}

static char first_fault[512];

static void keep_first(void *context, const char *fault)
{
    if (first_fault[0] == '\0')
        snprintf(first_fault, sizeof first_fault, "%s", fault);
}

static void finds(const char *statement, const char *what)
{
    struct scratch scratch;
    long faults = -1;
    make_book(&scratch);
    CHECK(book_check(scratch.book, keep_first, NULL, NULL, &faults, NULL) == STATUS_OK && faults == 0);
    alter(&scratch, statement);
    first_fault[0] = '\0';
    CHECK(book_check(scratch.book, keep_first, NULL, NULL, &faults, NULL) == STATUS_OK && faults > 0);
    if (strstr(first_fault, what) == NULL) {
        printf("    after %s: \"%s\" does not tell of \"%s\"\n", statement, first_fault, what);
        CHECK(false);
    }
    scratch_remove(&scratch);
}

TEST(finds_what_was_altered)
{
    finds("UPDATE block SET bytes = CAST(substr(bytes, 1, 40) || 'x' || substr(bytes, 42) AS BLOB) WHERE seq = 17", "block 17: ");
    finds("UPDATE block SET bytes = (SELECT bytes FROM block WHERE seq = 4) WHERE seq = 3", "block 3: it does not begin");
    finds("UPDATE block SET readings = 39 WHERE seq = 3", "not as many");
    finds("DELETE FROM block WHERE seq = 9", "block 9 is missing");
    finds("UPDATE block SET to_s = to_s + 1 WHERE seq = 5", "block 5: it does not begin or end");
    finds("UPDATE journal SET bytes = zeroblob(60)", "journal row");
    finds("UPDATE journal SET bytes = (SELECT bytes FROM block WHERE seq = 2), from_s = 1.6, to_s = 2.38",
          "times step back");
    finds("UPDATE summary SET sum = sum * 1.0000001 WHERE position = 1 AND seq = 30", "column 1 over block 30 is not");
    finds("UPDATE summary SET integral = integral + 0.01 WHERE position = 1 AND level = 1", "column 1 over stretch 0");
    finds("UPDATE summary SET max = max + 0.001 WHERE position = 1 AND seq = 8", "column 1 over block 8 is not");
    finds("UPDATE summary SET cells = (SELECT cells FROM summary AS other WHERE other.seq = 3 AND other.position = 1) "
          "WHERE position = 1 AND seq = 2 AND level = 0", "block 2 has cells");
    finds("DELETE FROM summary WHERE position = 2 AND seq = 7", "column 2 over block 7 is missing");
    finds("INSERT INTO summary SELECT stream, position, level, 900, readings, numbers, first, last, first_s, last_s, "
          "min, max, sum, integral, cells FROM summary WHERE position = 1 AND seq = 1", "1 summaries too many");
    finds("PRAGMA foreign_keys = OFF; UPDATE run SET sample = 50", "refers to what is not in sample");
    finds("PRAGMA foreign_keys = OFF; DELETE FROM sample", "refers to what is not in sample");
}

static bool take(void *context, const struct block_columns *block)
{
    return true;
}

/* Neither a walk nor a series goes past what cannot be trusted. */
static void hands_on_nothing(const char *statement)
{
    struct scratch scratch;
    struct message message = {0};
    struct book_stream_list list = {0};
    struct series series = {0};
    int64_t stream = make_book(&scratch);
    alter(&scratch, statement);
    CHECK(book_streams(scratch.book, 1, &list, NULL) == STATUS_OK && list.count == 1);
    CHECK(stream_walk(scratch.book, stream, -INFINITY, INFINITY, take, NULL, &message) == STATUS_UNREADABLE);
    CHECK(strstr(message.what, "readings in the book are damaged") != NULL && message.remedy[0] != '\0');
    message = (struct message){0};
    CHECK(stream_series(scratch.book, &list.items[0], &series, &message) == STATUS_UNREADABLE);
    CHECK(strstr(message.what, "readings in the book are damaged") != NULL && series.t_s == NULL);
    book_stream_list_free(&list);
    scratch_remove(&scratch);
}

TEST(damaged_readings_are_not_handed_on)
{
    hands_on_nothing("UPDATE block SET bytes = CAST(substr(bytes, 1, 40) || 'x' || substr(bytes, 42) AS BLOB) "
                     "WHERE seq = 17");
    hands_on_nothing("UPDATE block SET readings = 41 WHERE seq = 0");
    hands_on_nothing("UPDATE block SET bytes = x'' WHERE seq = 64");
    hands_on_nothing("UPDATE journal SET readings = 12");
    hands_on_nothing("DELETE FROM stream_column WHERE position = 3; INSERT INTO stream_column VALUES "
                     "(1, 3, 'x', 'power', 'power', 1, 0, 'W', 0), (1, 4, 'y', 'ambient', 'temperature', 1, 0, '', 0)");
}

static void flip(sqlite3 *handle, int at)
{
    unsigned char byte = 0;
    sqlite3_blob *blob = NULL;
    CHECK(sqlite3_blob_open(handle, "main", "block", "bytes", 11, 1, &blob) == SQLITE_OK);
    CHECK(sqlite3_blob_read(blob, &byte, 1, at) == SQLITE_OK);
    byte ^= (unsigned char)(1u << at % 8);
    CHECK(sqlite3_blob_write(blob, &byte, 1, at) == SQLITE_OK);
    sqlite3_blob_close(blob);
}

/* Every byte of a block is under its checksum. */
TEST(finds_any_byte_of_a_block)
{
    struct scratch scratch;
    struct book_options options = reading();
    sqlite3 *handle = NULL;
    make_book(&scratch);
    book_close(scratch.book);
    CHECK(book_open(scratch.path, &options, &scratch.book, NULL) == STATUS_OK);
    CHECK(sqlite3_open(scratch.path, &handle) == SQLITE_OK);
    CHECK(sqlite3_exec(handle, "PRAGMA synchronous = OFF", NULL, NULL, NULL) == SQLITE_OK);
    long missed = 0;
    for (int at = 0; at < 120; at += 1 + at / 30) {
        long faults = 0;
        flip(handle, at);
        CHECK(book_check(scratch.book, NULL, NULL, NULL, &faults, NULL) == STATUS_OK);
        missed += faults == 0;
        flip(handle, at);
    }
    CHECK(missed == 0);
    sqlite3_close(handle);
    scratch_remove(&scratch);
}

/* Pages of the file are overwritten with noise: it is told, whatever page it is, and nothing crashes. */
TEST(finds_pages_that_were_overwritten)
{
    struct scratch scratch;
    struct text whole = TEXT_EMPTY;
    uint64_t random = 20261125;
    make_book(&scratch);
    book_close(scratch.book);
    scratch.book = NULL;
    CHECK(text_read_file(scratch.path, 1 << 24, &whole) == 0);
    size_t pages = whole.length / 4096;
    long passed_over = 0;
    for (size_t page = 0; page < pages; page++) {
        FILE *file = fopen(scratch.path, "wb");
        CHECK(file != NULL && fwrite(whole.s, 1, whole.length, file) == whole.length);
        CHECK(fseek(file, (long)(page * 4096), SEEK_SET) == 0);
        for (int k = 0; k < 4096; k++) {
            random = random * 6364136223846793005u + 1442695040888963407u; /* Knuth, MMIX */
            fputc((int)(random >> 56), file);
        }
        CHECK(fclose(file) == 0);
        struct book_options options = reading();
        struct message message = {0};
        long faults = 0;
        if (book_open(scratch.path, &options, &scratch.book, &message) != STATUS_OK)
            CHECK(message.what[0] != '\0' && message.remedy[0] != '\0');
        else if (book_check(scratch.book, NULL, NULL, NULL, &faults, &message) == STATUS_OK && faults == 0)
            passed_over++;
        book_close(scratch.book);
        scratch.book = NULL;
    }
    CHECK(pages > 20 && passed_over == 0);
    text_free(&whole);
    scratch_remove(&scratch);
}
