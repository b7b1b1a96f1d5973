#include "check.h"

#include "claims/recompute.h"

TEST(the_command_names_what_bears_on_the_result_and_no_folder)
{
    const char *logs[] = {"a/b/first log.csv", "-"};
    struct column_wish wishes[] = {{.role = COLUMN_TIME, .name = "2", .detail = "min"},
                                   {.role = COLUMN_CHANNEL, .channel = CHANNEL_CURRENT, .name = "it's I [A]"}};
    struct assess_request request = {
        .logs = logs,
        .log_count = 2,
        .label = "/somewhere/s14.label",
        .rig = "bench.rig",
        .plan = "plans/week 7.plan",
        .cut_offs = {10.8, 11.25},
        .cut_off_count = 2,
        .decide = 0.95,
        .sign = -1,
        .law = LOAD_POWER,
        .log_options = {.wishes = wishes, .wish_count = 2, .period_s = 0.25},
    };
    struct text command = TEXT_EMPTY;
    recompute_command(&request, &command);
    CHECK_TEXT(command.s, "rundown assess 'first log.csv' - --label s14.label --rig bench.rig --plan 'week 7.plan' --column time=2:min"
                          " --column 'current=it'\\''s I [A]' --period 0.25s --current charge-positive"
                          " --load constant-power --cut-off 10.8 --cut-off 11.25 --decide 0.95");
    text_free(&command);
}
