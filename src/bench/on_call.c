#include "bench/on_call.h"

#include "base/clock.h"
#include "base/memory.h"
#include "base/text.h"

#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <sys/wait.h>

extern char **environ;

/* The process's environment with the call's words in front, which count before older ones of the same name. */
struct surroundings {
    char *own[6], **all;
};

static char *variable(const char *name, const char *value)
{
    struct text text = TEXT_EMPTY;
    text_addf(&text, "%s=%s", name, value);
    return text.s;
}

static bool is_ours(const char *entry)
{
    return strncmp(entry, "RUNDOWN_", 8) == 0;
}

static struct surroundings surround(const struct on_call *on, const struct call *call)
{
    char at[32], run[32];
    snprintf(at, sizeof at, "%.1f", call->t_s);
    snprintf(run, sizeof run, "%lld", (long long)on->run);
    struct surroundings ret = {
        {variable("RUNDOWN_CALL", call->text), variable("RUNDOWN_CALL_KIND", call_kind_name(call->kind)),
         variable("RUNDOWN_CALL_URGENT", call->urgent ? "yes" : "no"), variable("RUNDOWN_CALL_AT", at),
         variable("RUNDOWN_SAMPLE", on->sample), variable("RUNDOWN_RUN", run)},
        NULL};
    size_t own = sizeof ret.own / sizeof *ret.own, count = own;
    for (char **e = environ; *e != NULL; e++)
        count++;
    ret.all = memory_get((count + 1) * sizeof *ret.all);
    memcpy(ret.all, ret.own, sizeof ret.own);
    size_t n = own;
    for (char **e = environ; *e != NULL; e++)
        if (!is_ours(*e))
            ret.all[n++] = *e;
    return ret;
}

static void surroundings_free(struct surroundings *surroundings)
{
    for (size_t k = 0; k < sizeof surroundings->own / sizeof *surroundings->own; k++)
        free(surroundings->own[k]);
    free(surroundings->all);
}

static pid_t start(const struct on_call *on, const struct call *call)
{
    char shell[] = "sh", take[] = "-c", name[] = "rundown", text[sizeof call->text];
    char *command = memory_copy_string(on->command);
    snprintf(text, sizeof text, "%s", call->text);
    char *const words[] = {shell, take, command, name, text, NULL};
    struct surroundings around = surround(on, call);
    posix_spawn_file_actions_t files;
    posix_spawnattr_t form;
    sigset_t none;
    sigemptyset(&none);
    posix_spawn_file_actions_init(&files);
    posix_spawn_file_actions_addopen(&files, 0, "/dev/null", O_RDONLY, 0);
    posix_spawn_file_actions_addopen(&files, 1, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&files, 2, "/dev/null", O_WRONLY, 0);
    posix_spawnattr_init(&form);
    posix_spawnattr_setsigmask(&form, &none);
    posix_spawnattr_setpgroup(&form, 0); /* Ctrl-C is for the recorder */
    posix_spawnattr_setflags(&form, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETPGROUP);
    pid_t pid = 0;
    if (posix_spawn(&pid, "/bin/sh", &files, &form, words, around.all) != 0)
        pid = 0;
    posix_spawnattr_destroy(&form);
    posix_spawn_file_actions_destroy(&files);
    surroundings_free(&around);
    free(command);
    return pid;
}

static void reap(struct on_call *on)
{
    for (int k = 0; k < ON_CALL_AT_ONCE; k++) {
        int how = 0;
        pid_t ended = on->running[k] != 0 ? waitpid(on->running[k], &how, WNOHANG) : 0;
        if (ended == 0)
            continue;
        on->failed += ended < 0 || !WIFEXITED(how) || WEXITSTATUS(how) != 0;
        on->running[k] = 0;
    }
}

static size_t running(const struct on_call *on)
{
    size_t count = 0;
    for (int k = 0; k < ON_CALL_AT_ONCE; k++)
        count += on->running[k] != 0;
    return count;
}

void on_call_tend(struct on_call *on)
{
    if (on->command == NULL)
        return;
    reap(on);
    for (int k = 0; k < ON_CALL_AT_ONCE && on->waiting_count > 0; k++) {
        if (on->running[k] != 0)
            continue;
        on->running[k] = start(on, &on->waiting[0]);
        on->failed += on->running[k] == 0;
        memmove(on->waiting, on->waiting + 1, --on->waiting_count * sizeof *on->waiting);
    }
}

void on_call(struct on_call *on, const struct call *call)
{
    if (on->command == NULL)
        return;
    if (on->waiting_count == ON_CALL_WAITING) {
        on->dropped++;
        return;
    }
    on->waiting[on->waiting_count++] = *call;
    on_call_tend(on);
}

void on_call_finish(struct on_call *on, double seconds)
{
    struct clock machine = clock_machine();
    int64_t until_ns = machine.now_ns(machine.context) + (int64_t)(seconds * 1e9);
    on_call_tend(on);
    while ((running(on) > 0 || on->waiting_count > 0) && machine.now_ns(machine.context) < until_ns) {
        machine.wait_ns(machine.context, machine.now_ns(machine.context) + 5000000);
        on_call_tend(on);
    }
}
