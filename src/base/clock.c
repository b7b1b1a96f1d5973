#include "base/clock.h"

#include <math.h>
#include <stddef.h>
#include <time.h>

#define NS_PER_S 1000000000LL

static int64_t read_ns(clockid_t id)
{
    struct timespec now;
    clock_gettime(id, &now);
    return now.tv_sec * NS_PER_S + now.tv_nsec;
}

static int64_t machine_now(void *context)
{
    return read_ns(CLOCK_MONOTONIC);
}

static int64_t machine_utc(void *context)
{
    return read_ns(CLOCK_REALTIME);
}

static void machine_wait(void *context, int64_t until_ns)
{
    struct timespec until = {until_ns / NS_PER_S, until_ns % NS_PER_S};
    clock_nanosleep(CLOCK_MONOTONIC, TIMER_ABSTIME, &until, NULL);
}

struct clock clock_machine(void)
{
    return (struct clock){machine_now, machine_utc, machine_wait, 1, NULL};
}

static int64_t paced_now(void *context)
{
    const struct clock_paced *paced = context;
    return paced->began_ns + llround((double)(read_ns(CLOCK_MONOTONIC) - paced->began_ns) * paced->rate);
}

/* UTC keeps step with the monotonic time: a rehearsal has no time server. */
static int64_t paced_utc(void *context)
{
    const struct clock_paced *paced = context;
    return paced->began_utc_ns + (paced_now(context) - paced->began_ns);
}

static void paced_wait(void *context, int64_t until_ns)
{
    const struct clock_paced *paced = context;
    machine_wait(NULL, paced->began_ns + llround((double)(until_ns - paced->began_ns) / paced->rate));
}

struct clock clock_at_rate(struct clock_paced *paced, double rate)
{
    *paced = (struct clock_paced){rate, read_ns(CLOCK_MONOTONIC), read_ns(CLOCK_REALTIME)};
    return (struct clock){paced_now, paced_utc, paced_wait, rate, paced};
}

static int64_t set_now(void *context)
{
    return ((struct clock_set *)context)->now_ns;
}

static int64_t set_utc(void *context)
{
    return ((struct clock_set *)context)->utc_ns;
}

static void set_wait(void *context, int64_t until_ns)
{
    struct clock_set *set = context;
    if (until_ns > set->now_ns) {
        set->utc_ns += until_ns - set->now_ns;
        set->now_ns = until_ns;
    }
}

struct clock clock_by_hand(struct clock_set *set)
{
    return (struct clock){set_now, set_utc, set_wait, 1, set};
}

int clock_timeout_ms(const struct clock *clock, double seconds)
{
    double ms = ceil(seconds * 1000 / clock->rate);
    return ms >= 1 ? (ms < 1e9 ? (int)ms : 1000000000) : 1;
}
