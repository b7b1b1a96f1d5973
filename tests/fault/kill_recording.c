/* kill -9 at random instants of a recording: what was committed stands, nothing older than a commit is lost, the book
 * is whole, and the recording goes on after it.
 *
 * A child records from an instrument that counts: reading n says n. It tells through shared memory what it has
 * said, what the recorder called committed, and how long its turns took. After the kill the book is checked, the
 * count is held against what was told, and the next child goes on with the run. This tests the program, not the disk.
 * usage: kill_recording TIMES */
#include "archive/stored.h"
#include "base/memory.h"
#include "base/number.h"
#include "bench/recorder.h"
#include "book/stream.h"

#include <dirent.h>
#include <signal.h>
#include <stdatomic.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

enum { SEED = 20311, RUNS_OF = 10, PIECE = 1000000, BURST = 8, LONG_OF = 20 };

/* Most kills come soon, among many commits; one in LONG_OF comes late enough for the last second to have a second
 * before it, and comes to so few readings that no block fills up and is committed for that. */
static const double commit_s = 0.05, longest_s = 0.35, long_from_s = 1.3;
static const double fast_burst_s = 200e-6, slow_burst_s = 2e-3;

/* Of the child, in memory that outlives it. */
struct told {
    atomic_long said, committed, began;
    _Atomic double said_at_s[PIECE / 10]; /* of every tenth reading */
    _Atomic double longest_turn_s, turn_from_s;
};
static struct told *told;
static long base; /* what the child's first reading says */
static double burst_s;
static int faults;

#define HOLDS(condition_, ...)                                                              \
    do {                                                                                    \
        if (!(condition_)) {                                                                \
            faults++;                                                                       \
            printf("does not hold: %s; ", #condition_), printf(__VA_ARGS__), putchar('\n'); \
        }                                                                                   \
    } while (0)

static double machine_s(void)
{
    struct clock machine = clock_machine();
    return (double)machine.now_ns(NULL) * 1e-9;
}

static enum status count_prepare(const struct link *link, const struct clock *clock, void **ret_state,
                                 struct message *message)
{
    *ret_state = memory_get(1);
    return STATUS_OK;
}

static enum status count_connect(void *state, char *ret_identity, struct message *message)
{
    return STATUS_OK;
}

static enum heard count_hear(void *state, double timeout_s, struct arrival *ret_arrival,
                             struct message *message)
{
    struct clock machine = clock_machine();
    long n = told->said;
    if (n % BURST == 0) /* fast enough that blocks are sealed now and then */
        machine.wait_ns(NULL, machine.now_ns(NULL) + (int64_t)(burst_s * 1e9));
    if (n >= PIECE)
        return HEARD_END;
    ret_arrival->at_ns = machine.now_ns(NULL);
    ret_arrival->cells[0] = (struct decimal){base + n, 3, DECIMAL_NUMBER};
    ret_arrival->cells[1] = (struct decimal){2480 + n % 7, 2, DECIMAL_NUMBER};
    if (n % 10 == 0)
        told->said_at_s[n / 10] = (double)ret_arrival->at_ns * 1e-9;
    told->said = n + 1;
    return HEARD_READING;
}

static void count_disconnect(void *state)
{
}

static const struct driver counting = {"lines",    "for this test",  count_prepare, count_connect,
                                       count_hear, count_disconnect, free};
static const struct driver *const among[] = {&counting, NULL};

static _Noreturn void record(const struct recorder_request *request)
{
    struct recorder *recorder = NULL;
    struct message message = {0};
    if (recorder_open(request, NULL, &recorder, &message) != STATUS_OK ||
        recorder_start(recorder, &message) != STATUS_OK) {
        printf("the recorder does not start: %s\n", message.what);
        fflush(stdout);
        _exit(3);
    }
    for (bool over = false; !over;) {
        struct bench_view view;
        double from_s = machine_s();
        told->turn_from_s = from_s;
        recorder_turn(recorder, 0.01, NULL, NULL, &view, &over);
        double took_s = machine_s() - from_s;
        told->began = 1;
        if (view.committed && (long)view.readings > told->committed)
            told->committed = (long)view.readings;
        if (took_s > told->longest_turn_s)
            told->longest_turn_s = took_s;
    }
    _exit(4);
}

/* What the book holds of the run, piece by piece: each counts up from its base without a hole. */
struct held_in_book {
    long count, last;
    bool whole;
};

static bool count_on(void *context, const struct block_columns *block)
{
    struct held_in_book *in = context;
    for (size_t k = 0; k < block->count; k++) {
        long says = block->cells[1][k].mantissa, n = says % PIECE;
        in->whole &= says == in->last + 1 || (n == 0 && says > in->last);
        in->whole &= block->cells[1][k].decimals == 3 && block->cells[2][k].mantissa == 2480 + n % 7;
        in->last = says;
    }
    in->count += (long)block->count;
    return true;
}

static void fault_found(void *context, const char *fault)
{
    printf("the book: %s\n", fault);
}

static struct held_in_book look(const char *path, int64_t *ret_run, bool thorough)
{
    struct held_in_book in = {0, -1, true};
    struct book *book = NULL;
    struct book_options options = {.access = BOOK_READ};
    struct message message = {0};
    struct book_run_list runs = {0};
    struct book_stream_list streams = {0};
    long book_faults = 0;
    enum status status = book_open(path, &options, &book, &message);
    if (status == STATUS_OK && thorough)
        status = book_check(book, fault_found, NULL, NULL, &book_faults, &message);
    if (status == STATUS_OK)
        status = book_runs(book, 0, &runs, &message);
    if (status == STATUS_OK && runs.count > 0) {
        *ret_run = runs.items[runs.count - 1].id;
        status = book_streams(book, *ret_run, &streams, &message);
    }
    for (size_t k = 0; k < streams.count && status == STATUS_OK; k++)
        status = stream_walk(book, streams.items[k].id, -INFINITY, INFINITY, count_on, &in, &message);
    HOLDS(status == STATUS_OK, "%s", message.what);
    HOLDS(book_faults == 0, "%ld faults", book_faults);
    HOLDS(streams.count <= 1, "%zu streams", streams.count);
    book_stream_list_free(&streams);
    book_run_list_free(&runs);
    book_close(book);
    return in;
}

static double random_share(uint64_t *state) /* xorshift64*: Vigna, ACM TOMS 42 (2016) 30 */
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return (double)((*state * 2685821657736338717ULL) >> 11) * 0x1p-53;
}

/* One child, killed `after_s` after its first turn. */
static void kill_one(const struct recorder_request *request, double after_s)
{
    memset(told, 0, sizeof *told);
    fflush(stdout);
    pid_t child = fork();
    if (child == 0)
        record(request);
    int how = 0;
    while (told->began == 0 && waitpid(child, &how, WNOHANG) == 0)
        usleep(500);
    struct clock machine = clock_machine();
    machine.wait_ns(NULL, machine.now_ns(NULL) + (int64_t)(after_s * 1e9));
    kill(child, SIGKILL);
    waitpid(child, &how, 0);
    HOLDS(WIFSIGNALED(how) && WTERMSIG(how) == SIGKILL, "the child ended by itself: %d", how);
}

/* Readings of this piece that were said more than a second ago, not counting a turn that a busy machine drew out. */
static long due_readings(double killed_s)
{
    long due = 0;
    double turn_s = fmax(told->longest_turn_s, killed_s - told->turn_from_s); /* the last one was not over */
    double late_s = 1 + 2 * turn_s;
    for (long n = 0; n < told->said; n += 10)
        if (told->said_at_s[n / 10] > 0 && told->said_at_s[n / 10] < killed_s - late_s)
            due = n + 1;
    return due;
}

static void remove_folder(const char *folder)
{
    DIR *entries = opendir(folder);
    for (struct dirent *entry; entries != NULL && (entry = readdir(entries)) != NULL;) {
        char path[600];
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        if (entry->d_type == DT_REG)
            unlink(path);
    }
    if (entries != NULL)
        closedir(entries);
    rmdir(folder);
}

static void write_rig(const char *path)
{
    FILE *file = fopen(path, "w");
    if (file == NULL ||
        fputs("name = Counting. Invented.\n[counter]\ndriver = lines\naddress = none\n"
              "voltage from = 1\ncurrent from = 2\n",
              file) == EOF ||
        fclose(file) != 0)
        abort();
}

int main(int argc, char **argv)
{
    double times = 20;
    if (argc > 1 && !number_is(span_of(argv[1]), '.', &times))
        return 2;
    char folder[] = "kill_recording_XXXXXX", path[64], rig[64];
    if (mkdtemp(folder) == NULL)
        return 2;
    snprintf(path, sizeof path, "%s/hut.book", folder);
    snprintf(rig, sizeof rig, "%s/hut.rig", folder);
    write_rig(rig);
    struct book *book = NULL;
    struct message message = {0};
    if (book_create(path, &(struct book_options){.access = BOOK_WRITE}, &book, &message) != STATUS_OK)
        return 2;
    book_close(book);
    told = mmap(NULL, sizeof *told, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    struct recorder_request request = {
        .book = path, .sample = "Hut pack 3", .rig = rig, .drivers = among, .commit_s = commit_s};
    uint64_t state = SEED;
    long lost = 0, kept = 0, held = 0, last = -1;
    for (int k = 0; k < (int)times; k++) {
        int64_t run = 0;
        request.resume = k % RUNS_OF != 0; /* each tenth begins a run and leaves the one before open */
        if (!request.resume)
            held = 0, last = -1;
        base = (long)(k % RUNS_OF) * PIECE;
        bool late = k % LONG_OF == LONG_OF / 2;
        burst_s = late ? slow_burst_s : fast_burst_s;
        kill_one(&request, (late ? long_from_s : 0) + longest_s * random_share(&state));
        double killed_s = machine_s();
        struct held_in_book in = look(path, &run, k % RUNS_OF == RUNS_OF - 1);
        HOLDS(in.whole, "after kill %d readings are missing in between", k);
        HOLDS(in.count >= told->committed, "kill %d: %ld readings, %ld were committed", k, in.count,
              (long)told->committed);
        HOLDS(in.count >= held + due_readings(killed_s), "kill %d: %ld readings, %ld were due", k, in.count,
              held + due_readings(killed_s));
        HOLDS(in.count == held || in.last > last, "kill %d", k);
        lost += held + told->said - in.count;
        kept += in.count - held;
        held = in.count;
        last = in.last;
    }
    printf("%d kills, %ld readings kept, %ld not yet committed\n", (int)times, kept, lost);
    printf("%d passed, %d failed, 0 skipped\n", faults == 0, faults != 0);
    remove_folder(folder);
    return faults != 0;
}
