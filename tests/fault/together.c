/* Two programs write into one book while a third reads: each write waits for its turn, and what is read is always
 * a whole state, never half of a commit. */
#include "check.h"

#include "fault/invented_stream.h"
#include "unit/book/scratch_book.h"

#include <sys/wait.h>

enum { WRITERS = 2, COMMITS = 60, READINGS = 300 }; /* 18,000 readings each: both seal a block on the way */

static int64_t streams[WRITERS];

/* Each commit holds two appends. */
static int write_all(const char *path, int writer)
{
    static struct invented_block block;
    struct book_options options = {.access = BOOK_WRITE, .wait_ms = 20000};
    struct book *book = NULL;
    struct message message = {0};
    enum status status = book_open(path, &options, &book, &message);
    for (int turn = 0; turn < COMMITS && status == STATUS_OK; turn++) {
        status = book_begin(book, &message);
        for (int half = 0; half < 2 && status == STATUS_OK; half++) {
            invented_fill(&block, (int64_t)turn * READINGS + half * READINGS / 2, READINGS / 2);
            status = stream_append(book, streams[writer], &block.block, &message);
        }
        if (status == STATUS_OK)
            status = book_commit(book, &message);
    }
    if (status != STATUS_OK)
        printf("    writer %d: %s\n", writer, message.what);
    book_close(book);
    return status == STATUS_OK ? 0 : 1;
}

/* Returns how many readings both streams hold together; checks that each holds whole commits. */
static int64_t read_once(struct book *book)
{
    int64_t sum = 0;
    CHECK(book_begin(book, NULL) == STATUS_OK);
    for (int s = 0; s < WRITERS; s++) {
        struct invented_seen seen = {0};
        CHECK(stream_walk(book, streams[s], -INFINITY, INFINITY, invented_compare, &seen, NULL) == STATUS_OK);
        CHECK(seen.wrong == 0 && seen.next % READINGS == 0);
        sum += seen.next;
    }
    CHECK(book_commit(book, NULL) == STATUS_OK);
    return sum;
}

TEST(two_writers_and_a_reader)
{
    struct scratch scratch;
    struct book_options options = reading();
    struct book *book = NULL;
    pid_t writers[WRITERS];
    scratch_open(&scratch);
    CHECK(invented_begin(scratch.book, "one", &streams[0], NULL) == STATUS_OK);
    CHECK(invented_begin(scratch.book, "two", &streams[1], NULL) == STATUS_OK);
    book_close(scratch.book);
    scratch.book = NULL;
    fflush(stdout);
    for (int k = 0; k < WRITERS; k++) {
        writers[k] = fork();
        if (writers[k] == 0)
            _exit(write_all(scratch.path, k));
    }
    CHECK(book_open(scratch.path, &options, &book, NULL) == STATUS_OK);
    int64_t before = 0, states = 0, last_version = -1;
    for (int running = WRITERS; running > 0;) {
        int64_t now = read_once(book), version = 0;
        CHECK(book_version(book, &version, NULL) == STATUS_OK);
        CHECK(now >= before && version >= last_version);
        states += now != before;
        before = now;
        last_version = version;
        for (int k = 0; k < WRITERS; k++) {
            int how = 0;
            if (writers[k] != 0 && waitpid(writers[k], &how, WNOHANG) == writers[k]) {
                CHECK(WIFEXITED(how) && WEXITSTATUS(how) == 0);
                writers[k] = 0;
                running--;
            }
        }
    }
    CHECK(read_once(book) == (int64_t)WRITERS * COMMITS * READINGS);
    long faults = -1;
    CHECK(book_check(book, NULL, NULL, NULL, &faults, NULL) == STATUS_OK && faults == 0);
    CHECK(states > 1); /* it did read in between */
    book_close(book);
    scratch_remove(&scratch);
}
