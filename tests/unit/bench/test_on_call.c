#include "bench/on_call.h"
#include "base/clock.h"
#include "base/text.h"
#include "check.h"

#include <unistd.h>

static const char *scratch(void)
{
    static char path[] = "on_call_test_XXXXXX";
    static bool made;
    if (!made) {
        int fd = mkstemp(path);
        CHECK(fd >= 0);
        close(fd);
        made = true;
    }
    return path;
}

static void read_back(struct text *text)
{
    CHECK(text_read_file(scratch(), 100000, text) == 0);
    unlink(scratch());
}

TEST(the_command_hears_the_call_by_argument_and_environment)
{
    char command[300];
    snprintf(command, sizeof command,
             "printf '%%s|%%s|%%s|%%s|%%s|%%s|%%s' \"$1\" \"$RUNDOWN_CALL\" \"$RUNDOWN_CALL_KIND\" "
             "\"$RUNDOWN_CALL_URGENT\" \"$RUNDOWN_CALL_AT\" \"$RUNDOWN_SAMPLE\" \"$RUNDOWN_RUN\" >%s",
             scratch());
    struct on_call on = {.command = command, .sample = "Hut pack; $(exit 3)", .run = 12};
    struct call call = {CALL_LIMIT, 61.25, true, "the pack is at 9.87 V, `below` its \"limit\" of 10 V"};
    on_call(&on, &call);
    on_call_finish(&on, 10);
    struct text said = TEXT_EMPTY;
    read_back(&said);
    CHECK_TEXT(text_string(&said), "the pack is at 9.87 V, `below` its \"limit\" of 10 V|the pack is at 9.87 V, `below` "
                                   "its \"limit\" of 10 V|limit|yes|61.2|Hut pack; $(exit 3)|12");
    CHECK(on.failed == 0 && on.dropped == 0);
    text_free(&said);
}

TEST(calls_never_wait_and_only_a_few_commands_run_at_once)
{
    struct on_call on = {.command = "sleep 0.15; exit 3", .sample = "S", .run = 1};
    struct clock machine = clock_machine();
    int64_t from = machine.now_ns(NULL);
    for (int k = 0; k < ON_CALL_AT_ONCE + ON_CALL_WAITING + 5; k++) {
        on_call(&on, &(struct call){.kind = CALL_STEP, .t_s = k, .text = "step"});
    }
    CHECK(machine.now_ns(NULL) - from < 140000000);
    CHECK(on.dropped == 5 && on.waiting_count == ON_CALL_WAITING);
    on.waiting_count = 2; /* the rest would take its time */
    on_call_finish(&on, 10);
    CHECK(on.failed == ON_CALL_AT_ONCE + 2 && on.waiting_count == 0);
}

TEST(without_a_command_nothing_runs)
{
    struct on_call on = {.sample = "S"};
    on_call(&on, &(struct call){.kind = CALL_STEP, .text = "step"});
    CHECK(on.waiting_count == 0);
    on_call_finish(&on, 1);
}
