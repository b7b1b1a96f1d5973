/* The whole recorder at speed: channels at 1 kHz over real sockets, committed each 100 ms.
 *
 * Another process plays the instruments: each sends a line a millisecond, its number among the fields. Here they are
 * recorded into a book; the process's own time, its peak of memory and what is missing in the book are printed.
 * usage: record_rate SECONDS INSTRUMENTS CHANNELS FOLDER */
#include "base/number.h"
#include "bench/recorder.h"
#include "book/stream.h"

#include <arpa/inet.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

enum { MOST = 16, PER_SECOND = 1000 };

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

/* A line a millisecond on every connection: line n, volts and amps that wander, and further channels. */
static void play(const int *listening, int instruments, int channels, double seconds)
{
    int fds[MOST];
    struct clock machine = clock_machine();
    for (int k = 0; k < instruments; k++)
        fds[k] = accept(listening[k], NULL, NULL);
    int64_t began = machine.now_ns(NULL);
    for (long n = 0; n < (long)(seconds * PER_SECOND); n++) {
        machine.wait_ns(NULL, began + n * (1000000000 / PER_SECOND));
        char line[512];
        int length = snprintf(line, sizeof line, "%ld", n);
        for (int c = 1; c < channels; c++)
            length += snprintf(line + length, sizeof line - (size_t)length, ",%.3f",
                               12.9 / c - 1e-6 * (double)n + 0.001 * (double)((n * 7919 + c * 31) % 13));
        length += snprintf(line + length, sizeof line - (size_t)length, "\n");
        for (int k = 0; k < instruments; k++)
            if (send(fds[k], line, (size_t)length, MSG_NOSIGNAL) != length)
                return;
    }
    usleep(300000); /* what was sent is read before the connection ends */
}

static void write_rig(const char *path, const int *ports, int instruments, int channels)
{
    static const char *const names[] = {"voltage",        "current",        "temperature",   "cell 1 voltage",
                                        "cell 2 voltage", "cell 3 voltage", "cell 4 voltage"};
    FILE *file = fopen(path, "w");
    if (file == NULL)
        abort();
    fprintf(file, "name = Fast bench. Invented.\n");
    for (int k = 0; k < instruments; k++) {
        fprintf(file, "[meter %d]\ndriver = lines\naddress = tcp 127.0.0.1:%d\nseparator = comma\n", k + 1,
                ports[k]);
        fprintf(file, "cell %d voltage from = field 1\n", k + 11); /* the line's number */
        for (int c = 1; c < channels && k == 0; c++)
            fprintf(file, "%s from = field %d\n", names[c - 1], c + 1);
    }
    fclose(file);
}

struct seen {
    long count, last, holes;
};

static bool count_on(void *context, const struct block_columns *block)
{
    struct seen *seen = context;
    for (size_t k = 0; k < block->count; k++) {
        long says = block->cells[1][k].mantissa;
        seen->holes += says != seen->last + 1;
        seen->last = says;
    }
    seen->count += (long)block->count;
    return true;
}

static double used_s(void)
{
    struct rusage usage;
    getrusage(RUSAGE_SELF, &usage);
    return (double)usage.ru_utime.tv_sec + (double)usage.ru_stime.tv_sec +
           1e-6 * (double)(usage.ru_utime.tv_usec + usage.ru_stime.tv_usec);
}

static int64_t record(const char *book, const char *rig, double seconds)
{
    struct recorder_request request = {.book = book, .sample = "Hut pack 3", .rig = rig, .commit_s = 0.1};
    struct recorder *recorder = NULL;
    struct message message = {0};
    if (recorder_open(&request, NULL, &recorder, &message) != STATUS_OK ||
        recorder_start(recorder, &message) != STATUS_OK) {
        printf("%s\n", message.what);
        exit(2);
    }
    double before_s = used_s(), behind_s = 0;
    struct bench_view view = {0};
    while (view.elapsed_s < seconds + 0.2) {
        bool over;
        recorder_turn(recorder, 0.05, NULL, NULL, &view, &over);
        behind_s = fmax(behind_s, view.behind_s);
    }
    struct rusage usage;
    getrusage(RUSAGE_SELF, &usage);
    int64_t run = recorder_run(recorder);
    printf("  %.1f %% of one core, %.1f MB at most, longest wait for a commit %.0f ms\n",
           100 * (used_s() - before_s) / view.elapsed_s, (double)usage.ru_maxrss / 1024, 1000 * behind_s);
    if (recorder_end(recorder, "the time was over", &message) != STATUS_OK)
        printf("  %s\n", message.what);
    recorder_close(recorder);
    return run;
}

static int look(const char *path, int64_t run, long wanted)
{
    struct book *book = NULL;
    struct message message = {0};
    struct book_stream_list streams = {0};
    int lacking = 0;
    if (book_open(path, &(struct book_options){.access = BOOK_READ}, &book, &message) != STATUS_OK ||
        book_streams(book, run, &streams, &message) != STATUS_OK)
        return 1;
    for (size_t k = 0; k < streams.count; k++) {
        struct seen seen = {0, 0, 0}; /* the first line of a socket is passed over */
        lacking |= stream_walk(book, streams.items[k].id, -INFINITY, INFINITY, count_on, &seen, &message) !=
                   STATUS_OK;
        lacking |= seen.holes > 0 || seen.count < wanted - 1;
        if (k == 0 || seen.holes > 0)
            printf("  %s: %ld readings of %ld sent, %ld holes\n", streams.items[k].name, seen.count, wanted,
                   seen.holes);
    }
    book_stream_list_free(&streams);
    book_close(book);
    return lacking;
}

int main(int argc, char **argv)
{
    double seconds, instruments, channels;
    if (argc != 5 || !number_is(span_of(argv[1]), '.', &seconds) ||
        !number_is(span_of(argv[2]), '.', &instruments) || !number_is(span_of(argv[3]), '.', &channels) ||
        instruments < 1 || instruments > MOST || channels < 1 || channels > 8)
        return 2;
    int listening[MOST], ports[MOST];
    char path[512], rig[512];
    snprintf(path, sizeof path, "%s/record_rate.book", argv[4]);
    snprintf(rig, sizeof rig, "%s/record_rate.rig", argv[4]);
    unlink(path);
    for (int k = 0; k < (int)instruments; k++)
        listening[k] = listen_on_loopback(&ports[k]);
    write_rig(rig, ports, (int)instruments, (int)channels);
    struct book *book = NULL;
    struct message message = {0};
    if (book_create(path, &(struct book_options){.access = BOOK_WRITE}, &book, &message) != STATUS_OK)
        return 2;
    book_close(book);
    pid_t child = fork();
    if (child == 0) {
        play(listening, (int)instruments, (int)channels, seconds);
        _exit(0);
    }
    printf("%g instruments, %g channels each, %d readings a second, committed each 100 ms, %g s:\n",
           instruments, channels, PER_SECOND, seconds);
    int64_t run = record(path, rig, seconds);
    kill(child, SIGKILL);
    waitpid(child, NULL, 0);
    return look(path, run, (long)(seconds * PER_SECOND));
}
