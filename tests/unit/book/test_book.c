#include "check.h"

#include "book/book.h"
#include "book/schema.h"
#include "book/sample.h"
#include "unit/book/scratch_book.h"

#include <fcntl.h>

static bool says(const struct message *message, const char *what)
{
    bool found = strstr(message->what, what) != NULL && strstr(message->file, "hut") != NULL && message->remedy[0] != '\0';
    if (!found)
        printf("    what: %s; file: %s; remedy: %s\n", message->what, message->file, message->remedy);
    return found;
}

static enum status open_it(struct scratch *scratch, struct book_options options, struct message *message)
{
    return book_open(scratch->path, &options, &scratch->book, message);
}

static int64_t add_sample(struct book *book, const char *name)
{
    int64_t id = 0;
    CHECK(book_sample_add(book, name, true, 1790000000123456789, &id, NULL) == STATUS_OK);
    return id;
}

static int count_samples(struct book *book)
{
    struct book_sample_list list = {0};
    CHECK(book_samples(book, &list, NULL) == STATUS_OK);
    int count = (int)list.count;
    book_sample_list_free(&list);
    return count;
}

TEST(is_made_closed_and_opened_again)
{
    struct scratch scratch;
    scratch_open(&scratch);
    add_sample(scratch.book, "Hut pack 014");
    CHECK(book_look_like(scratch.path));
    book_close(scratch.book);
    scratch.book = NULL;
    struct message message = {0};
    CHECK(open_it(&scratch, reading(), &message) == STATUS_OK);
    CHECK(count_samples(scratch.book) == 1);
    int64_t id;
    CHECK(book_sample_add(scratch.book, "another", false, 1, &id, &message) == STATUS_UNREADABLE);
    CHECK(says(&message, "cannot be written"));
    scratch_remove(&scratch);
}

TEST(never_replaces_a_file)
{
    struct scratch scratch;
    struct message message = {0};
    struct book_options options = writing();
    scratch_open(&scratch);
    struct book *other = NULL;
    CHECK(book_create(scratch.path, &options, &other, &message) == STATUS_UNREADABLE);
    CHECK(says(&message, "already") && other == NULL);
    CHECK(book_backup(scratch.book, scratch.path, NULL, NULL, &message) == STATUS_UNREADABLE);
    CHECK(says(&message, "already"));
    scratch_remove(&scratch);
}

TEST(only_the_outermost_commit_counts)
{
    struct scratch scratch;
    scratch_open(&scratch);
    CHECK(book_begin(scratch.book, NULL) == STATUS_OK);
    add_sample(scratch.book, "one");
    CHECK(book_begin(scratch.book, NULL) == STATUS_OK);
    add_sample(scratch.book, "two");
    book_rollback(scratch.book); /* the inner part alone */
    CHECK(count_samples(scratch.book) == 1);
    CHECK(book_begin(scratch.book, NULL) == STATUS_OK);
    add_sample(scratch.book, "three");
    CHECK(book_commit(scratch.book, NULL) == STATUS_OK);
    book_rollback(scratch.book);
    CHECK(count_samples(scratch.book) == 0);
    CHECK(book_begin(scratch.book, NULL) == STATUS_OK);
    add_sample(scratch.book, "four");
    book_close(scratch.book); /* not committed: rolled back */
    scratch.book = NULL;
    CHECK(open_it(&scratch, writing(), NULL) == STATUS_OK);
    CHECK(count_samples(scratch.book) == 0);
    scratch_remove(&scratch);
}

TEST(a_locked_book_is_named_and_left_alone)
{
    struct scratch scratch;
    struct message message = {0};
    struct book_options options = writing();
    struct book *other = NULL;
    scratch_open(&scratch);
    CHECK(book_begin(scratch.book, NULL) == STATUS_OK);
    add_sample(scratch.book, "first come");
    CHECK(book_open(scratch.path, &options, &other, &message) == STATUS_UNREADABLE);
    CHECK(says(&message, "written by another program"));
    options = reading();
    CHECK(book_open(scratch.path, &options, &other, NULL) == STATUS_OK); /* a reader is not held up */
    CHECK(count_samples(other) == 0);
    int64_t before = 0, after = 0;
    CHECK(book_version(other, &before, NULL) == STATUS_OK);
    CHECK(book_commit(scratch.book, NULL) == STATUS_OK);
    CHECK(book_version(other, &after, NULL) == STATUS_OK && after > before);
    CHECK(count_samples(other) == 1);
    book_close(other);
    scratch_remove(&scratch);
}

static void write_file(const char *path, const char *bytes, size_t count)
{
    FILE *file = fopen(path, "wb");
    CHECK(file != NULL && fwrite(bytes, 1, count, file) == count && fclose(file) == 0);
}

/* A file that is no book is refused both ways, and not a byte of it changes. */
static void refuses_foreign(const char *bytes, size_t count, const char *what)
{
    struct scratch scratch;
    scratch_make(&scratch);
    write_file(scratch.path, bytes, count);
    for (int access = BOOK_READ; access <= BOOK_WRITE; access++) {
        struct message message = {0};
        CHECK(open_it(&scratch, access == BOOK_READ ? reading() : writing(), &message) == STATUS_UNREADABLE);
        CHECK(says(&message, what));
    }
    struct text now = TEXT_EMPTY;
    CHECK(text_read_file(scratch.path, 1 << 20, &now) == 0);
    CHECK(now.length == count && (count == 0 || memcmp(now.s, bytes, count) == 0));
    CHECK(!book_look_like(scratch.path));
    text_free(&now);
    scratch_remove(&scratch);
}

TEST(a_foreign_file_is_refused_and_left_as_it_is)
{
    static const char log[] = "time,voltage,current\n0,13.31,0.02\n";
    static const char image[200] = "\x89PNG\r\n\x1a\n";
    static char other[100] = "SQLite format 3";
    other[68] = 0x12;
    refuses_foreign(log, sizeof log - 1, "no book");
    refuses_foreign(image, sizeof image, "no book");
    refuses_foreign(other, sizeof other, "another program");
    refuses_foreign(other, 40, "cut short");
    refuses_foreign("", 0, "empty");
}

TEST(a_missing_file_or_folder_is_named)
{
    struct scratch scratch;
    struct message message = {0};
    struct book_options options = writing();
    scratch_make(&scratch);
    CHECK(open_it(&scratch, reading(), &message) == STATUS_UNREADABLE && says(&message, "no such file"));
    char path[300];
    snprintf(path, sizeof path, "%s/hut/no.book", scratch.folder);
    CHECK(book_create(path, &options, &scratch.book, &message) == STATUS_UNREADABLE);
    CHECK(says(&message, "cannot be made: No such file"));
    scratch_remove(&scratch);
}

/* Sets the 4-byte number at `offset` of the head (SQLite, Database File Format, 1.3: 60 is the user version). */
static void set_head(const char *path, long offset, unsigned char value)
{
    int file = open(path, O_RDWR);
    unsigned char bytes[4] = {0, 0, 0, value};
    CHECK(file >= 0 && pwrite(file, bytes, 4, offset) == 4);
    close(file);
}

TEST(a_newer_book_is_refused)
{
    struct scratch scratch;
    struct message message = {0};
    scratch_open(&scratch);
    book_close(scratch.book);
    scratch.book = NULL;
    set_head(scratch.path, 60, 77);
    CHECK(open_it(&scratch, writing(), &message) == STATUS_UNREADABLE && says(&message, "form 77, newer"));
    CHECK(open_it(&scratch, reading(), &message) == STATUS_UNREADABLE && says(&message, "form 77, newer"));
    set_head(scratch.path, 60, BOOK_FORM);
    CHECK(open_it(&scratch, writing(), &message) == STATUS_OK);
    scratch_remove(&scratch);
}

TEST(a_book_cut_short_is_told_so)
{
    struct scratch scratch;
    struct message message = {0};
    scratch_open(&scratch);
    add_sample(scratch.book, "one");
    book_close(scratch.book);
    scratch.book = NULL;
    struct stat about;
    CHECK(stat(scratch.path, &about) == 0 && truncate(scratch.path, about.st_size / 2) == 0);
    CHECK(open_it(&scratch, writing(), &message) == STATUS_UNREADABLE && says(&message, "cut short"));
    CHECK(open_it(&scratch, reading(), &message) == STATUS_UNREADABLE && says(&message, "cut short"));
    CHECK(truncate(scratch.path, 60) == 0);
    CHECK(open_it(&scratch, reading(), &message) == STATUS_UNREADABLE && says(&message, "cut short"));
    scratch_remove(&scratch);
}

TEST(a_read_only_folder_can_be_read_and_not_written)
{
    uid_t user = geteuid();
    if (user == 0 && seteuid(65534) != 0) /* root may write anywhere */
        SKIP("root that cannot be anybody else");
    struct scratch scratch;
    struct message message = {0};
    scratch_open(&scratch);
    add_sample(scratch.book, "one");
    book_close(scratch.book);
    scratch.book = NULL;
    CHECK(chmod(scratch.path, 0444) == 0 && chmod(scratch.folder, 0555) == 0);
    CHECK(open_it(&scratch, writing(), &message) == STATUS_UNREADABLE && says(&message, "cannot be written here"));
    CHECK(open_it(&scratch, reading(), &message) == STATUS_OK);
    CHECK(count_samples(scratch.book) == 1);
    scratch_remove(&scratch);
    CHECK(seteuid(user) == 0);
}

TEST(a_backup_is_whole_while_others_write)
{
    struct scratch scratch;
    scratch_open(&scratch);
    add_sample(scratch.book, "before");
    char path[300];
    snprintf(path, sizeof path, "%s/hut-copy.book", scratch.folder);
    CHECK(book_begin(scratch.book, NULL) == STATUS_OK);
    add_sample(scratch.book, "not committed");
    struct book *reader = NULL, *copy = NULL;
    struct book_options options = reading();
    CHECK(book_open(scratch.path, &options, &reader, NULL) == STATUS_OK);
    CHECK(book_backup(reader, path, NULL, NULL, NULL) == STATUS_OK);
    book_rollback(scratch.book);
    CHECK(book_open(path, &options, &copy, NULL) == STATUS_OK);
    CHECK(count_samples(copy) == 1);
    book_close(copy);
    book_close(reader);
    scratch_remove(&scratch);
}
