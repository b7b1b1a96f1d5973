/* Runs a command; writes to REPORT its wall time (s), its peak resident memory (KiB) and the peak of
 * what is its own rather than the mapped file's (anonymous, KiB, looked at every few milliseconds).
 * usage: measure REPORT COMMAND ARGUMENT… */
#include <stdint.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static long anonymous_kib(pid_t child)
{
    char path[64], line[256];
    long kib = 0;
    snprintf(path, sizeof path, "/proc/%ld/status", (long)child);
    FILE *file = fopen(path, "r");
    if (file == NULL)
        return 0;
    while (fgets(line, sizeof line, file) != NULL)
        if (strncmp(line, "RssAnon:", 8) == 0)
            kib = strtol(line + 8, NULL, 10);
    fclose(file);
    return kib;
}

int main(int argc, char **argv)
{
    if (argc < 3) {
        fprintf(stderr, "usage: measure REPORT COMMAND ARGUMENT…\n");
        return 2;
    }
    double start_s = now_s();
    pid_t child = fork();
    if (child == 0) {
        execvp(argv[2], argv + 2);
        _exit(127);
    }
    long peak_kib = 0;
    int status = 0;
    struct rusage usage;
    while (child > 0 && wait4(child, &status, WNOHANG, &usage) == 0) {
        long kib = anonymous_kib(child);
        peak_kib = kib > peak_kib ? kib : peak_kib;
        nanosleep(&(struct timespec){.tv_nsec = 1000000}, NULL);
    }
    double wall_s = now_s() - start_s;
    FILE *report = fopen(argv[1], "w");
    if (child < 0 || report == NULL)
        return 1;
    fprintf(report, "%.4f %ld %ld\n", wall_s, usage.ru_maxrss, peak_kib);
    fclose(report);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 1;
}
