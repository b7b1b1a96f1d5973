/* A write, a sync or an allocation fails, each one in turn, while a book is used: every failure is told with its
 * remedy, nothing that was committed is lost or doubled, and the same handle goes on once the cause is gone. */
#include "check.h"

#include "fault/allocation.h"
#include "fault/invented_stream.h"
#include "fault/storage.h"
#include "unit/book/scratch_book.h"

enum { BEFORE = 500, TURNS = 4, A_TURN = 60 };

static struct invented_block block;
static struct text closed_book; /* the file with BEFORE readings, to begin every trial with */
static int64_t stream;

/* One transaction; every other one seals a block. */
static enum status append(struct book *book, int64_t from, size_t count, struct message *message)
{
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    invented_fill(&block, from, count);
    status = stream_append(book, stream, &block.block, message);
    if (status == STATUS_OK && (from / A_TURN) % 2 == 1)
        status = stream_seal(book, stream, message);
    if (status == STATUS_OK)
        return book_commit(book, message);
    book_rollback(book);
    return status;
}

static void make_closed_book(void)
{
    struct scratch scratch;
    if (closed_book.length > 0)
        return;
    storage_register();
    scratch_open(&scratch);
    CHECK(invented_begin(scratch.book, "one", &stream, NULL) == STATUS_OK);
    CHECK(append(scratch.book, 0, BEFORE, NULL) == STATUS_OK);
    book_close(scratch.book);
    scratch.book = NULL;
    CHECK(text_read_file(scratch.path, 1 << 24, &closed_book) == 0);
    scratch_remove(&scratch);
}

static void put_closed_book(struct scratch *scratch)
{
    make_closed_book();
    scratch_make(scratch);
    FILE *file = fopen(scratch->path, "wb");
    CHECK(file != NULL && fwrite(closed_book.s, 1, closed_book.length, file) == closed_book.length &&
          fclose(file) == 0);
}

static struct book_options on(enum book_access access)
{
    return (struct book_options){.access = access, .vfs = storage_name, .wait_ms = 30};
}

static void look_over(struct scratch *scratch, int64_t least, int64_t most)
{
    struct book_options options = on(BOOK_READ);
    struct invented_seen seen = {0};
    struct message message = {0};
    long faults = -1;
    CHECK(book_open(scratch->path, &options, &scratch->book, &message) == STATUS_OK);
    if (scratch->book == NULL) {
        printf("    %s\n", message.what);
        return;
    }
    CHECK(book_check(scratch->book, NULL, NULL, NULL, &faults, NULL) == STATUS_OK && faults == 0);
    CHECK(stream_walk(scratch->book, stream, -INFINITY, INFINITY, invented_compare, &seen, NULL) == STATUS_OK);
    CHECK(seen.wrong == 0 && seen.next >= least && seen.next <= most);
    book_close(scratch->book);
    scratch->book = NULL;
}

static void judge_message(enum status status, const struct message *message)
{
    CHECK(status == STATUS_OK || (message->what[0] != '\0' && message->remedy[0] != '\0' && message->status == status));
}

/* Opens, and appends turn by turn; what failed is tried again. Returns how many readings were promised. */
static int64_t record_through(struct scratch *scratch)
{
    struct book_options options = on(BOOK_WRITE);
    int64_t promised = BEFORE;
    int left = 40; /* attempts */
    for (int turn = 0; turn < TURNS && left > 0;) {
        struct message message = {0};
        enum status status = STATUS_OK;
        left--;
        if (scratch->book == NULL)
            status = book_open(scratch->path, &options, &scratch->book, &message);
        if (status == STATUS_OK)
            status = append(scratch->book, promised, A_TURN, &message);
        judge_message(status, &message);
        if (status != STATUS_OK)
            continue;
        promised += A_TURN;
        turn++;
    }
    book_close(scratch->book);
    scratch->book = NULL;
    return promised;
}

/* Every operation in turn fails so many times, until one trial goes through without. */
static void fail_each_operation(enum storage_fault fault, long times)
{
    long trials = 0;
    for (long at = 1, failed = 1; failed > 0; at++, trials++) {
        struct scratch scratch;
        put_closed_book(&scratch);
        storage_fail(fault, at, times);
        int64_t promised = record_through(&scratch);
        failed = storage_failed();
        storage_fail(STORAGE_SOUND, 0, 0);
        /* What could not be told apart from a failure may have reached the disk all the same. */
        look_over(&scratch, promised, promised + (failed > 0 ? A_TURN : 0));
        CHECK(times > 20 || promised == BEFORE + TURNS * A_TURN);
        scratch_remove(&scratch);
    }
    CHECK(trials > TURNS);
}

TEST(a_disk_that_is_full_for_a_while)
{
    fail_each_operation(STORAGE_FULL, 1);
    fail_each_operation(STORAGE_FULL, 5);
}

TEST(a_disk_that_stays_full)
{
    fail_each_operation(STORAGE_FULL, 1000000);
}

TEST(a_full_disk_can_be_read_and_says_why_it_cannot_be_written)
{
    struct scratch scratch;
    struct book_options options = on(BOOK_WRITE);
    struct message message = {0};
    put_closed_book(&scratch);
    storage_fail(STORAGE_FULL, 1, 1000000);
    CHECK(book_open(scratch.path, &options, &scratch.book, &message) == STATUS_UNREADABLE);
    CHECK(strstr(message.what, "the disk is full") != NULL && strstr(message.remedy, "make room") != NULL);
    look_over(&scratch, BEFORE, BEFORE);
    CHECK(storage_failed() > 1);
    storage_fail(STORAGE_SOUND, 0, 0);
    scratch_remove(&scratch);
}

TEST(a_write_that_fails)
{
    fail_each_operation(STORAGE_BAD_WRITE, 1);
    fail_each_operation(STORAGE_BAD_WRITE, 1000000);
}

TEST(a_sync_that_fails)
{
    fail_each_operation(STORAGE_BAD_SYNC, 1);
    fail_each_operation(STORAGE_BAD_SYNC, 1000000);
}

static bool there(const char *path, const char *end)
{
    char name[300];
    snprintf(name, sizeof name, "%s%s", path, end);
    return access(name, F_OK) == 0;
}

/* Half a book is none, and half a copy is none. */
TEST(what_cannot_be_made_whole_is_not_left_behind)
{
    long failed = 1;
    for (long at = 1; failed > 0; at++) {
        struct scratch scratch;
        struct book_options options = on(BOOK_WRITE);
        struct message message = {0};
        scratch_make(&scratch);
        storage_fail(STORAGE_FULL, at, 1000000);
        enum status status = book_create(scratch.path, &options, &scratch.book, &message);
        failed = storage_failed();
        storage_fail(STORAGE_SOUND, 0, 0);
        judge_message(status, &message);
        CHECK((status == STATUS_OK) == (failed == 0) && there(scratch.path, "") == (failed == 0));
        CHECK(!there(scratch.path, "-journal"));
        scratch_remove(&scratch);
    }
    failed = 1;
    for (long at = 1; failed > 0; at++) {
        struct scratch scratch;
        struct book_options options = on(BOOK_READ);
        struct message message = {0};
        char copy[300];
        put_closed_book(&scratch);
        snprintf(copy, sizeof copy, "%s-copy", scratch.path);
        CHECK(book_open(scratch.path, &options, &scratch.book, NULL) == STATUS_OK);
        storage_fail(STORAGE_FULL, at, 1000000);
        enum status status = book_backup(scratch.book, copy, NULL, NULL, &message);
        failed = storage_failed();
        storage_fail(STORAGE_SOUND, 0, 0);
        judge_message(status, &message);
        CHECK((status == STATUS_OK) == (failed == 0) && there(copy, "") == (failed == 0));
        scratch_remove(&scratch);
    }
}

/* Whatever a program does with a book; each part may fail for lack of memory, and says so. */
static int64_t use_through(struct scratch *scratch)
{
    struct book_options options = on(BOOK_WRITE);
    struct message message = {0};
    struct book *book = NULL;
    int64_t promised = BEFORE, id = 0;
    enum status status = book_open(scratch->path, &options, &book, &message);
    judge_message(status, &message);
    if (status != STATUS_OK)
        return promised;
    for (int turn = 0; turn < TURNS; turn++) {
        status = append(book, promised, A_TURN, &message);
        judge_message(status, &message);
        promised += status == STATUS_OK ? A_TURN : 0;
    }
    judge_message(book_sample_rename(book, 1, "another", 5, &message), &message);
    judge_message(document_put(book, 1, DOCUMENT_NOTE, "note", span_of("dent"), 6, &id, &message), &message);
    judge_message(book_run_correct(book, 1, "kind", "charge", 7, &message), &message);
    struct book_run_list runs = {0};
    judge_message(book_runs(book, 0, &runs, &message), &message);
    book_run_list_free(&runs);
    struct book_stream_list streams = {0};
    judge_message(book_streams(book, 1, &streams, &message), &message);
    struct series series = {0};
    if (streams.count == 1)
        judge_message(stream_series(book, &streams.items[0], &series, &message), &message);
    series_free(&series);
    book_stream_list_free(&streams);
    char copy[300];
    snprintf(copy, sizeof copy, "%s-copy", scratch->path);
    judge_message(book_backup(book, copy, NULL, NULL, &message), &message);
    long faults = 0;
    judge_message(book_check(book, NULL, NULL, NULL, &faults, &message), &message);
    CHECK(faults == 0); /* a lack of memory is no fault of the book */
    book_close(book);
    return promised;
}

static void fail_each_allocation(bool for_good)
{
    long failed = 1;
    for (long at = 1; failed > 0; at += 1 + at / 50) {
        struct scratch scratch;
        put_closed_book(&scratch);
        allocation_fail(at, for_good);
        int64_t promised = use_through(&scratch);
        failed = allocation_failed();
        allocation_fail(0, false);
        CHECK(failed > 0 || promised == BEFORE + TURNS * A_TURN);
        look_over(&scratch, promised, promised);
        scratch_remove(&scratch);
    }
}

TEST(memory_that_runs_out_once)
{
    fail_each_allocation(false);
}

TEST(memory_that_runs_out_for_good)
{
    fail_each_allocation(true);
}

__attribute__((constructor)) static void install(void)
{
    allocation_install();
}
