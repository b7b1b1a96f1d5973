#include "web/browser.h"

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <unistd.h>

static int spawn_quiet(char *const *words, const sigset_t *mask)
{
    posix_spawn_file_actions_t files;
    posix_spawnattr_t how;
    pid_t child = 0;
    posix_spawn_file_actions_init(&files);
    posix_spawnattr_init(&how);
    /* Its own group: a Ctrl-C for us does not end the browser. */
    posix_spawnattr_setflags(&how, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETPGROUP);
    posix_spawnattr_setsigmask(&how, mask);
    posix_spawnattr_setpgroup(&how, 0);
    for (int fd = STDIN_FILENO; fd <= STDERR_FILENO; fd++)
        posix_spawn_file_actions_addopen(&files, fd, "/dev/null", O_RDWR, 0);
    int failed = posix_spawnp(&child, words[0], &files, &how, words, environ);
    posix_spawnattr_destroy(&how);
    posix_spawn_file_actions_destroy(&files);
    return failed;
}

void browser_show(const char *address)
{
    char program[] = "xdg-open", word[128];
    char *words[] = {program, word, NULL};
    sigset_t none;
    if (getenv("DISPLAY") == NULL && getenv("WAYLAND_DISPLAY") == NULL)
        return;
    sigemptyset(&none);
    snprintf(word, sizeof word, "%s", address);
    if (spawn_quiet(words, &none) != 0)
        fputs("rundown: no browser could be opened; type the address into one\n", stderr);
}
