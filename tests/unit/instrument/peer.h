/* Peers: real programs that the tests of the instruments speak to, each started by its test and ended with it. */
#ifndef RUNDOWN_TESTS_PEER_H
#define RUNDOWN_TESTS_PEER_H

#include <arpa/inet.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdbool.h>
#include <stdint.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

struct peer {
    pid_t pid;
    int out; /* its standard output */
};

/* Where a program of that name is; NULL when this machine has none. Static buffer. */
static inline const char *peer_tool(const char *name)
{
    static char path[256];
    static const char *const folders[] = {"/usr/bin", "/usr/sbin", "/usr/local/bin", "/usr/local/sbin"};
    for (size_t k = 0; k < sizeof folders / sizeof *folders; k++) {
        snprintf(path, sizeof path, "%s/%s", folders[k], name);
        if (access(path, X_OK) == 0)
            return path;
    }
    return NULL;
}

/* Starts argv[0] of peer_tool; what it says on standard error is dropped. It dies with the test. */
static inline struct peer peer_start(const char *const *argv)
{
    int ends[2];
    char path[256] = "";
    const char *tool = peer_tool(argv[0]);
    snprintf(path, sizeof path, "%s", tool != NULL ? tool : "");
    if (pipe(ends) != 0)
        return (struct peer){-1, -1};
    pid_t pid = fork();
    if (pid == 0) {
        prctl(PR_SET_PDEATHSIG, SIGKILL);
        dup2(ends[1], STDOUT_FILENO);
        close(ends[0]), close(ends[1]);
        int null = open("/dev/null", O_WRONLY);
        dup2(null, STDERR_FILENO);
        execv(path, (char *const *)(uintptr_t)argv);
        _exit(127);
    }
    close(ends[1]);
    return (struct peer){pid, ends[0]};
}

/* What it prints up to the end of a line, without it; false when none came in time. */
static inline bool peer_line(const struct peer *peer, char *buffer, size_t size, int most_ms)
{
    size_t n = 0;
    struct pollfd wait = {.fd = peer->out, .events = POLLIN};
    while (n + 1 < size && poll(&wait, 1, most_ms) == 1 && read(peer->out, buffer + n, 1) == 1) {
        if (buffer[n] == '\n') {
            buffer[n] = '\0';
            return true;
        }
        n++;
    }
    return false;
}

/* Waits for its end, and its exit status. */
static inline int peer_end(struct peer *peer)
{
    int status = -1;
    if (peer->pid > 0)
        waitpid(peer->pid, &status, 0);
    if (peer->out >= 0)
        close(peer->out);
    *peer = (struct peer){-1, -1};
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static inline void peer_stop(struct peer *peer)
{
    if (peer->pid > 0)
        kill(peer->pid, SIGKILL);
    peer_end(peer);
}

static inline bool peer_succeeds(const char *const *argv)
{
    struct peer peer = peer_start(argv);
    return peer_end(&peer) == 0;
}

/* An empty folder of the test's own, to be swept. */
static inline void peer_folder(char *ret_folder, size_t size)
{
    snprintf(ret_folder, size, "%s/rundown-XXXXXX", P_tmpdir);
    if (mkdtemp(ret_folder) == NULL)
        abort();
}

/* Takes such a folder away with all that is in it. */
static inline void peer_sweep(const char *folder)
{
    peer_succeeds((const char *const[]){"rm", "-r", folder, NULL});
}

/* A socket that listens on loopback, at a port that the kernel chose. */
static inline int peer_listen(int *ret_port)
{
    struct sockaddr_in at = {.sin_family = AF_INET, .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    socklen_t size = sizeof at;
    int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (bind(fd, (struct sockaddr *)&at, size) != 0 || listen(fd, 4) != 0 ||
        getsockname(fd, (struct sockaddr *)&at, &size) != 0)
        abort();
    *ret_port = ntohs(at.sin_port);
    return fd;
}

/* A port that is free now, for a program that cannot say which one it took. */
static inline int peer_free_port(void)
{
    int port;
    close(peer_listen(&port));
    return port;
}

/* Whether something accepts at that port, within a while. */
static inline bool peer_accepts(int port, int most_ms)
{
    struct sockaddr_in at = {
        .sin_family = AF_INET, .sin_port = htons((uint16_t)port), .sin_addr.s_addr = htonl(INADDR_LOOPBACK)};
    for (int waited_ms = 0; waited_ms < most_ms; waited_ms += 10) {
        int fd = socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
        bool taken = connect(fd, (struct sockaddr *)&at, sizeof at) == 0;
        close(fd);
        if (taken)
            return true;
        usleep(10000);
    }
    return false;
}

#endif
