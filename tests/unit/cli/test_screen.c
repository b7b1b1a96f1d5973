#include "cli/screen.h"
#include "check.h"

#include <fcntl.h>
#include <poll.h>
#include <sys/ioctl.h>
#include <sys/wait.h>
#include <termios.h>
#include <unistd.h>

/* On a terminal of its own: shows a view until a line is typed that says `over`. */
static _Noreturn void child(const char *name, bool json)
{
    setsid();
    int fd = open(name, O_RDWR);
    if (fd < 0 || dup2(fd, 0) < 0 || dup2(fd, 1) < 0 || dup2(fd, 2) < 0)
        _exit(9);
    struct clock clock = clock_machine();
    struct screen_form form = {.title = {"Hut pack 3", TEST_DISCHARGE}, .json = json, .clock = &clock};
    struct screen *screen = screen_open(&form);
    struct bench_view view = {.elapsed_s = 65,
                              .v = 12.84,
                              .a = 24.8,
                              .w = 318,
                              .degc = NAN,
                              .ah = NAN,
                              .wh = NAN,
                              .committed = true,
                              .readings = 3,
                              .run = 12};
    char line[256] = "";
    while (strcmp(line, "over") != 0) {
        int64_t at_ns;
        screen_show(screen, &view);
        while (strcmp(line, "over") != 0 && screen_typed(screen, line, sizeof line, &at_ns)) {
            if (strcmp(line, "bad") == 0)
                screen_give_back(screen, line, at_ns);
            screen_say(screen, strcmp(line, "bad") == 0 ? "cannot be read" : line);
            screen_call(screen, &(struct call){CALL_STEP, 61, true, "The load is on."});
        }
        usleep(2000);
    }
    screen_close(screen);
    _exit(0);
}

struct terminal {
    int fd;
    pid_t child;
    char seen[60000];
    size_t count;
    struct termios before;
};

static void open_terminal(struct terminal *t, bool json)
{
    *t = (struct terminal){.fd = posix_openpt(O_RDWR | O_NOCTTY)};
    CHECK(t->fd >= 0 && grantpt(t->fd) == 0 && unlockpt(t->fd) == 0);
    CHECK(tcgetattr(t->fd, &t->before) == 0);
    char name[64];
    snprintf(name, sizeof name, "%s", ptsname(t->fd));
    t->child = fork();
    if (t->child == 0)
        child(name, json);
}

/* Reads until the words have been seen since `from`, for at most three seconds. */
static bool sees(struct terminal *t, size_t from, const char *words)
{
    for (int k = 0; k < 300 && strstr(t->seen + from, words) == NULL; k++) {
        struct pollfd out = {.fd = t->fd, .events = POLLIN};
        if (poll(&out, 1, 10) > 0 && t->count + 1 < sizeof t->seen) {
            ssize_t got = read(t->fd, t->seen + t->count, sizeof t->seen - 1 - t->count);
            t->count += got > 0 ? (size_t)got : 0;
        }
    }
    return strstr(t->seen + from, words) != NULL;
}

static void type(const struct terminal *t, const char *keys)
{
    CHECK(write(t->fd, keys, strlen(keys)) == (ssize_t)strlen(keys));
}

static void close_terminal(struct terminal *t)
{
    int how = 0;
    struct termios after;
    type(t, "over\r");
    while (waitpid(t->child, &how, WNOHANG) == 0)
        sees(t, 0, "never seen");
    CHECK(WIFEXITED(how) && WEXITSTATUS(how) == 0);
    CHECK(tcgetattr(t->fd, &after) == 0 && after.c_lflag == t->before.c_lflag);
    close(t->fd);
}

TEST(the_terminal_shows_the_test_takes_lines_and_is_given_back)
{
    struct terminal t;
    open_terminal(&t, false);
    CHECK(sees(&t, 0, "12.840 V") && sees(&t, 0, "Hut pack 3, discharge, run 12") && sees(&t, 0, "> "));
    size_t from = t.count;
    type(&t, "12.9 V");
    CHECK(sees(&t, from, "> 12.9 V"));
    from = t.count;
    type(&t, "\r");
    CHECK(sees(&t, from, "\033[J12.9 V") || sees(&t, from, "12.9 V\r\n"));
    CHECK(sees(&t, from, "The load is on.") && sees(&t, from, "\a"));
    from = t.count;
    type(&t, "bad\r");
    CHECK(sees(&t, from, "cannot be read") && sees(&t, from, "> bad")); /* stands there again */
    type(&t, "\x15");
    close_terminal(&t);
}

TEST(a_narrow_terminal_cuts_and_does_not_wrap)
{
    struct terminal t;
    t = (struct terminal){0};
    open_terminal(&t, false);
    struct winsize size = {.ws_row = 20, .ws_col = 30};
    CHECK(ioctl(t.fd, TIOCSWINSZ, &size) == 0);
    size_t from = t.count;
    CHECK(sees(&t, from, "> "));
    from = t.count;
    CHECK(sees(&t, from, "> "));
    const char *last = strrchr(t.seen, 'J');
    int at = 0, longest = 0;
    for (const char *p = last != NULL ? last + 1 : t.seen; *p != '\0'; p++) {
        at = *p == '\n' ? 0 : at + (*p != '\r' && ((unsigned char)*p & 0xC0) != 0x80);
        longest = at > longest ? at : longest;
    }
    CHECK(longest > 20 && longest <= 30);
    close_terminal(&t);
}

TEST(for_machines_there_are_lines_and_no_drawing)
{
    struct terminal t;
    open_terminal(&t, true);
    CHECK(sees(&t, 0, "\"voltage_v\":12.8"));
    type(&t, "12.9 V\r");
    CHECK(sees(&t, 0, "\"call\":\"step\""));
    CHECK(strchr(t.seen, '\033') == NULL);
    close_terminal(&t);
}
