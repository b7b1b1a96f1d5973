#include "base/clock.h"
#include "check.h"

TEST(a_paced_clock_runs_at_its_rate_beside_the_machine)
{
    struct clock machine = clock_machine();
    struct clock_paced pace;
    struct clock paced = clock_at_rate(&pace, 500);
    int64_t from = paced.now_ns(paced.context), machine_from = machine.now_ns(machine.context);
    int64_t utc = paced.utc_ns(paced.context);
    paced.wait_ns(paced.context, from + 10000000000LL); /* 10 s of its own: 20 ms */
    int64_t took = machine.now_ns(machine.context) - machine_from;
    CHECK(took >= 19000000 && took < 2000000000);
    CHECK(paced.now_ns(paced.context) - from >= 10000000000LL);
    CHECK(paced.utc_ns(paced.context) - utc >= 9000000000LL);
}

TEST(a_clock_set_by_hand_goes_on_only_when_waited_for)
{
    struct clock_set set = {5, 7000};
    struct clock clock = clock_by_hand(&set);
    CHECK(clock.now_ns(clock.context) == 5);
    clock.wait_ns(clock.context, 65);
    CHECK(clock.now_ns(clock.context) == 65 && clock.utc_ns(clock.context) == 7060);
    clock.wait_ns(clock.context, 10);
    CHECK(clock.now_ns(clock.context) == 65);
}

TEST(timeouts_are_the_machines)
{
    struct clock_paced pace;
    struct clock paced = clock_at_rate(&pace, 1000);
    CHECK(clock_timeout_ms(&paced, 60) == 60);
    CHECK(clock_timeout_ms(&paced, 0.001) == 1);
}
