/* A day of recording at a thousand times life: a socket that is cut in the middle of a line, falls silent and sends
 * garbage, marks and calls all along. Nothing that was sent whole is lost, memory does not grow, the book is whole.
 * usage: soak_recording HOURS RATE */
#include "base/number.h"
#include "bench/recorder.h"
#include "book/stream.h"

#include <arpa/inet.h>
#include <dirent.h>
#include <signal.h>
#include <stdatomic.h>
#include <sys/mman.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

/* What the storage's cache and the heap may take after the first tenth. The sanitizer keeps what was freed, up to
 * 256 MB of it. */
#ifndef __has_feature /* clang's word for what gcc defines a name for */
#define __has_feature(name) 0
#endif
#if defined(__SANITIZE_ADDRESS__) || __has_feature(address_sanitizer)
enum { GROWTH_MB = 256 };
#else
enum { GROWTH_MB = 4 };
#endif

enum { CUT_EVERY = 5003, GARBAGE_EVERY = 701, SILENT_EVERY = 9001, TYPED_EVERY = 997 };

static int faults;

#define HOLDS(condition_, ...)                                                              \
    do {                                                                                    \
        if (!(condition_)) {                                                                \
            faults++;                                                                       \
            printf("does not hold: %s; ", #condition_), printf(__VA_ARGS__), putchar('\n'); \
        }                                                                                   \
    } while (0)

/* Of the instrument, in memory that both see. */
struct told {
    atomic_long sent, cuts; /* whole lines; connections dropped within one */
};
static struct told *told;

static int listen_on_loopback(int *ret_port)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_addr = {htonl(INADDR_LOOPBACK)}};
    socklen_t size = sizeof at;
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (fd < 0 || bind(fd, (struct sockaddr *)&at, sizeof at) != 0 || listen(fd, 1) != 0 ||
        getsockname(fd, (struct sockaddr *)&at, &size) != 0)
        abort();
    *ret_port = ntohs(at.sin_port);
    return fd;
}

static bool put(int fd, const char *text, size_t length)
{
    return send(fd, text, length, MSG_NOSIGNAL) == (ssize_t)length;
}

/* Line n carries n, so that a hole would show. False when the connection is over. */
static bool say(int fd, long n)
{
    char line[64];
    int length = snprintf(line, sizeof line, "%.3f,24.8%ld,%ld\n", 13.1 - 0.4 * (double)(n % 50000) / 50000,
                          n % 10, n);
    if (n % GARBAGE_EVERY == 17 && !put(fd, "\xff\x01 half,,,\n", 11))
        return false;
    if (n % CUT_EVERY == 2001) {
        put(fd, line, (size_t)length / 2);
        told->cuts++;
        return false;
    }
    return put(fd, line, (size_t)length);
}

static _Noreturn void instrument(int listening, double period_s)
{
    struct clock machine = clock_machine();
    int64_t due = machine.now_ns(NULL);
    for (long n = 0;;) {
        int fd = accept(listening, NULL, NULL);
        for (bool on = fd >= 0; on; n++) {
            due += (int64_t)(period_s * 1e9) * (n % SILENT_EVERY == 4500 ? 60 : 1);
            machine.wait_ns(NULL, due);
            on = say(fd, n);
            told->sent += on;
        }
        close(fd);
    }
}

static double resident_mb(void)
{
    long pages = 0;
    FILE *file = fopen("/proc/self/statm", "r");
    if (file == NULL || fscanf(file, "%*s %ld", &pages) != 1)
        pages = 0;
    if (file != NULL)
        fclose(file);
    return (double)pages * (double)sysconf(_SC_PAGESIZE) / 1e6;
}

struct seen {
    long count, holes, last;
};

static bool count_on(void *context, const struct block_columns *block)
{
    struct seen *seen = context;
    for (size_t k = 0; k < block->count; k++) {
        long says = block->cells[3][k].mantissa;
        seen->holes += says != seen->last + 1;
        seen->last = says;
    }
    seen->count += (long)block->count;
    return true;
}

static void fault_found(void *context, const char *fault)
{
    printf("the book: %s\n", fault);
}

static struct seen look(const char *path, int64_t run, size_t *ret_gaps)
{
    struct seen seen = {0, 0, -1};
    struct book *book = NULL;
    struct message message = {0};
    struct book_stream_list streams = {0};
    struct book_event_list events = {0};
    long book_faults = 0;
    enum status status = book_open(path, &(struct book_options){.access = BOOK_READ}, &book, &message);
    if (status == STATUS_OK)
        status = book_check(book, fault_found, NULL, NULL, &book_faults, &message);
    if (status == STATUS_OK)
        status = book_streams(book, run, &streams, &message);
    if (status == STATUS_OK && streams.count == 1)
        status = stream_walk(book, streams.items[0].id, -INFINITY, INFINITY, count_on, &seen, &message);
    if (status == STATUS_OK)
        status = book_events(book, run, &events, &message);
    for (size_t k = 0; k < events.count; k++)
        *ret_gaps += events.items[k].kind == EVENT_GAP;
    HOLDS(status == STATUS_OK && book_faults == 0, "%s", message.what);
    book_event_list_free(&events);
    book_stream_list_free(&streams);
    book_close(book);
    return seen;
}

/* Records for so long; the memory after a tenth and at the end. */
static int64_t record(const char *book, const char *rig, double for_s, double *ret_mb_early,
                      double *ret_mb_late)
{
    struct recorder_request request = {.book = book, .sample = "Hut pack 3", .rig = rig};
    struct recorder *recorder = NULL;
    struct message message = {0};
    if (recorder_open(&request, NULL, &recorder, &message) != STATUS_OK ||
        recorder_start(recorder, &message) != STATUS_OK) {
        printf("the recorder does not start: %s\n", message.what);
        exit(2);
    }
    struct bench_view view = {0};
    for (long turns = 1; view.elapsed_s < for_s; turns++) {
        bool over;
        recorder_turn(recorder, 0.01, NULL, NULL, &view, &over);
        if (turns % TYPED_EVERY == 0)
            HOLDS(recorder_say(recorder, "looked at the pack",
                               recorder_clock(recorder)->now_ns(recorder_clock(recorder)->context),
                               &message) == STATUS_OK,
                  "%s", message.what);
        if (view.elapsed_s < for_s / 10)
            *ret_mb_early = resident_mb();
    }
    HOLDS(view.lost == 0, "%zu", view.lost);
    *ret_mb_late = resident_mb();
    int64_t run = recorder_run(recorder);
    HOLDS(recorder_end(recorder, "the day is over", &message) == STATUS_OK, "%s", message.what);
    recorder_close(recorder);
    return run;
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

int main(int argc, char **argv)
{
    double hours = 24, rate = 1000, early_mb = 0, late_mb = 0;
    if (argc != 3 || !number_is(span_of(argv[1]), '.', &hours) || !number_is(span_of(argv[2]), '.', &rate))
        return 2;
    char folder[] = "soak_recording_XXXXXX", path[64], rig[64];
    int port = 0, listening = listen_on_loopback(&port);
    if (mkdtemp(folder) == NULL)
        return 2;
    snprintf(path, sizeof path, "%s/hut.book", folder);
    snprintf(rig, sizeof rig, "%s/hut.rig", folder);
    FILE *file = fopen(rig, "w");
    if (file == NULL ||
        fprintf(file,
                "name = Soak. Invented.\nrehearsal rate = %g\n[meter]\ndriver = lines\n"
                "address = tcp 127.0.0.1:%d\nseparator = comma\ntimeout = 20 s\nvoltage from = field 1\n"
                "current from = field 2\ncell 1 voltage from = field 3\n",
                rate, port) < 0 ||
        fclose(file) != 0)
        return 2;
    struct book *book = NULL;
    struct message message = {0};
    if (book_create(path, &(struct book_options){.access = BOOK_WRITE}, &book, &message) != STATUS_OK)
        return 2;
    book_close(book);
    told = mmap(NULL, sizeof *told, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    pid_t child = fork();
    if (child == 0)
        instrument(listening, 1 / rate);
    int64_t run = record(path, rig, hours * 3600, &early_mb, &late_mb);
    kill(child, SIGKILL);
    waitpid(child, NULL, 0);
    size_t gaps = 0;
    struct seen seen = look(path, run, &gaps);
    long in_flight = told->sent - seen.count;
    printf(
        "%ld readings of %ld sent, %ld holes at %ld cuts, %zu gaps, %.1f MB after a tenth, %.1f MB at the end\n",
        seen.count, (long)told->sent, seen.holes, (long)told->cuts, gaps, early_mb, late_mb);
    HOLDS(seen.count > (long)(hours * 3600 * 0.8), "%ld", seen.count);
    /* a socket's first line may have begun before: it is passed over, at the start and after each cut */
    HOLDS(seen.holes <= told->cuts + 1, "%ld", seen.holes);
    HOLDS(in_flight >= 0 && in_flight < 100 + 2 * told->cuts, "%ld", in_flight);
    HOLDS((long)gaps >= told->cuts, "%zu", gaps);
    HOLDS(late_mb < early_mb + GROWTH_MB, "%.1f MB more", late_mb - early_mb);
    printf("%d passed, %d failed, 0 skipped\n", faults == 0, faults != 0);
    remove_folder(folder);
    return faults != 0;
}
