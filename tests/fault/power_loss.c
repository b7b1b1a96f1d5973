/* A recording is made on storage that remembers every write; then the power is cut at hundreds of moments of it,
 * and each time the book that is left must open, be sound, and hold every reading that was committed. */
#include "check.h"

#include "book/book_run.h"
#include "book/sample.h"
#include "fault/invented_stream.h"
#include "fault/storage.h"
#include "unit/book/scratch_book.h"

enum { COMMITS = 330, STREAMS = 2, MOMENTS = 300, MENDED = 25, AGAIN = 5 };

/* What stood after a commit, and how many operations of the storage had been done by then. */
struct promise {
    long operations;
    int64_t readings[STREAMS];
    int events;
};

static struct promise promises[COMMITS + 8];
static int promise_count;
static int64_t streams[STREAMS];

static void promise(const int64_t *readings, int events)
{
    struct promise *one = &promises[promise_count++];
    one->operations = storage_operations();
    memcpy(one->readings, readings, sizeof one->readings);
    one->events = events;
}

static void put_event(struct book *book, int number)
{
    char text[] = "load on";
    struct book_event event = {.kind = EVENT_MARK, .t_s = number, .until_s = NAN, .topic = "mark", .text = text};
    CHECK(book_event_add(book, 1, &event, NULL) == STATUS_OK);
}

/* A reader now and then keeps the log from starting anew, as a second screen would. */
static void look_in(const char *path, int turn, struct book **reader)
{
    struct book_options options = {.access = BOOK_READ, .vfs = storage_name};
    if (turn % 97 == 20) {
        CHECK(book_open(path, &options, reader, NULL) == STATUS_OK);
        CHECK(book_begin(*reader, NULL) == STATUS_OK);
        struct book_sample_list list;
        CHECK(book_samples(*reader, &list, NULL) == STATUS_OK);
        book_sample_list_free(&list);
    }
    if (turn % 97 == 60) {
        book_close(*reader);
        *reader = NULL;
    }
}

static void record_run(struct scratch *scratch)
{
    static struct invented_block block;
    struct book_options options = {.access = BOOK_WRITE, .vfs = storage_name};
    struct book *book = NULL, *reader = NULL;
    int64_t readings[STREAMS] = {0};
    int events = 0;
    storage_record(true);
    CHECK(book_create(scratch->path, &options, &book, NULL) == STATUS_OK);
    CHECK(invented_begin(book, "one", &streams[0], NULL) == STATUS_OK);
    CHECK(invented_begin(book, "two", &streams[1], NULL) == STATUS_OK);
    promise(readings, 0);
    for (int turn = 0; turn < COMMITS; turn++) {
        CHECK(book_begin(book, NULL) == STATUS_OK);
        for (int s = 0; s < STREAMS; s++) {
            size_t count = (size_t)(s == 0 ? 30 + turn * 37 % 60 : 1 + turn % 3);
            invented_fill(&block, readings[s], count);
            CHECK(stream_append(book, streams[s], &block.block, NULL) == STATUS_OK);
            readings[s] += (int64_t)count;
        }
        if (turn % 11 == 3)
            put_event(book, events++);
        CHECK(book_commit(book, NULL) == STATUS_OK);
        promise(readings, events);
        look_in(scratch->path, turn, &reader);
    }
    CHECK(stream_seal(book, streams[1], NULL) == STATUS_OK);
    promise(readings, events);
    book_close(reader);
    book_close(book);
    storage_record(false);
    text_free(&block.odd);
}

static void print_fault(void *context, const char *fault)
{
    printf("    %s\n", fault);
}

static void find_state(struct book *book, struct promise *ret_state)
{
    struct book_event_list events = {0};
    long faults = -1;
    CHECK(book_check(book, print_fault, NULL, NULL, &faults, NULL) == STATUS_OK && faults == 0);
    for (int s = 0; s < STREAMS; s++) {
        struct invented_seen seen = {0};
        CHECK(stream_walk(book, streams[s], -INFINITY, INFINITY, invented_compare, &seen, NULL) == STATUS_OK);
        CHECK(seen.wrong == 0);
        ret_state->readings[s] = seen.next;
    }
    CHECK(book_events(book, 1, &events, NULL) == STATUS_OK);
    ret_state->events = (int)events.count;
    book_event_list_free(&events);
}

static bool same_state(const struct promise *a, const struct promise *b)
{
    return memcmp(a->readings, b->readings, sizeof a->readings) == 0 && a->events == b->events;
}

/* What is left must be what the last commit promised, or the next one, whole: never less and never half. */
static void look_after_loss(struct scratch *left, long operations)
{
    struct message message = {0};
    struct book_options options = {.access = BOOK_WRITE, .vfs = storage_name};
    struct promise state = {0};
    int last = -1;
    while (last + 1 < promise_count && promises[last + 1].operations <= operations)
        last++;
    if (last < 0) { /* still being made: it may be whole, or not be there, but never be taken for a whole one */
        if (book_open(left->path, &options, &left->book, &message) != STATUS_OK)
            CHECK(message.what[0] != '\0');
    } else if (book_open(left->path, &options, &left->book, &message) != STATUS_OK) {
        printf("    after %ld operations: %s\n", operations, message.what);
        CHECK(false);
    } else {
        find_state(left->book, &state);
        bool kept = same_state(&state, &promises[last]) ||
                    (last + 1 < promise_count && same_state(&state, &promises[last + 1]));
        if (!kept)
            printf("    after %ld operations: %lld and %lld readings, %lld and %lld were committed\n", operations,
                   (long long)state.readings[0], (long long)state.readings[1], (long long)promises[last].readings[0],
                   (long long)promises[last].readings[1]);
        CHECK(kept);
    }
    book_close(left->book);
    left->book = NULL;
}

static uint64_t next_random(uint64_t *state)
{
    return *state = *state * 6364136223846793005u + 1442695040888963407u; /* Knuth, MMIX */
}

static long moment(uint64_t *random)
{
    return (long)((next_random(random) >> 33) % (uint64_t)(storage_operations() + 1));
}

/* Opening mends the book from the log that is left, closing moves the log into it. The power goes in the midst of
 * that too. */
static void lose_while_mending(struct scratch *left, long operations, uint64_t *random)
{
    struct book_options options = {.access = BOOK_WRITE, .vfs = storage_name};
    storage_record(true);
    if (book_open(left->path, &options, &left->book, NULL) == STATUS_OK) {
        book_close(left->book);
        left->book = NULL;
    }
    storage_record(false);
    for (int k = 0; k < AGAIN; k++) {
        struct scratch again;
        scratch_make(&again);
        storage_power_loss(moment(random), next_random(random), k % 2 == 0 ? 512 : 4096, again.folder);
        if (access(again.path, F_OK) == 0)
            look_after_loss(&again, operations);
        scratch_remove(&again);
    }
}

TEST(no_committed_reading_is_lost_when_the_power_goes)
{
    struct scratch scratch, left[MENDED];
    const char *asked = getenv("RUNDOWN_MOMENTS");
    long moments = asked != NULL ? strtol(asked, NULL, 10) : MOMENTS, operations[MENDED], all;
    uint64_t random = 20261125;
    scratch_make(&scratch);
    storage_register();
    record_run(&scratch);
    all = storage_operations();
    for (long k = 0; k < moments; k++) {
        long at = moment(&random);
        scratch_make(&left[0]);
        storage_power_loss(at, next_random(&random), k % 2 == 0 ? 512 : 4096, left[0].folder);
        look_after_loss(&left[0], at);
        scratch_remove(&left[0]);
    }
    for (int k = 0; k < MENDED; k++) {
        operations[k] = moment(&random);
        scratch_make(&left[k]);
        storage_power_loss(operations[k], next_random(&random), k % 2 == 0 ? 512 : 4096, left[k].folder);
    }
    for (int k = 0; k < MENDED; k++) {
        lose_while_mending(&left[k], operations[k], &random);
        scratch_remove(&left[k]);
    }
    printf("    %ld moments of %ld operations, %d of them again %d times while mended\n", moments, all, MENDED, AGAIN);
    scratch_remove(&scratch);
}
