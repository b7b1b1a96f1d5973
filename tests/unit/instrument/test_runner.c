#include "check.h"

#include "base/memory.h"
#include "instrument/runner.h"

#include <pthread.h>
#include <stdatomic.h>

/* An instrument that does what its script says: `f` refuses to connect; `r` a reading, `n` nothing, `g` garbage,
 * `l` a loss, `e` the end, `w` waits a second of the clock; `t` a reading with a time of its own, `o` that reading again after a
 * second. The script's last letter goes on for ever. */
struct scripted {
    const char *next;
    const struct clock *clock;
    int said, timed;
    atomic_int connected, disconnected;
    int64_t tried_ns[16];
    int tries;
};

static struct scripted *latest;

static int64_t now(const struct clock *clock)
{
    return clock->now_ns(clock->context);
}

static enum status scripted_prepare(const struct link *link, const struct clock *clock, void **ret_state,
                                    struct message *message)
{
    if (link->address[0] == '\0')
        return link_fault(link, NULL, NULL, message, "no script");
    latest = memory_get(sizeof *latest);
    latest->next = link->address;
    latest->clock = clock;
    *ret_state = latest;
    return STATUS_OK;
}

static char letter(struct scripted *s)
{
    char now_due = s->next[0];
    if (s->next[1] != '\0')
        s->next++;
    return now_due;
}

static enum status scripted_connect(void *state, char *ret_identity, struct message *message)
{
    struct scripted *s = state;
    if (s->tries < 16)
        s->tried_ns[s->tries++] = now(s->clock);
    if (s->next[0] == 'f') {
        letter(s);
        return status_fail(message, STATUS_UNREADABLE, "refused");
    }
    snprintf(ret_identity, 128, "Invented,Script");
    s->connected++;
    return STATUS_OK;
}

static enum heard scripted_hear(void *state, double timeout_s, struct arrival *ret_arrival,
                                struct message *message)
{
    struct scripted *s = state;
    switch (letter(s)) {
    case 'r':
        ret_arrival->at_ns = now(s->clock);
        ret_arrival->cells[s->said % 2] = decimal_of(s->said, 0);
        s->said++;
        return HEARD_READING;
    case 'o': s->clock->wait_ns(s->clock->context, now(s->clock) + 1000000000); s->timed--; /* fall through */
    case 't':
        s->timed++;
        ret_arrival->at_ns = now(s->clock);
        ret_arrival->time = decimal_of(s->timed, 0);
        ret_arrival->cells[0] = decimal_of(7, 1);
        return HEARD_READING;
    case 'g': status_fail(message, STATUS_MALFORMED, "rubbish"); return HEARD_GARBAGE;
    case 'l': status_fail(message, STATUS_UNREADABLE, "unplugged"); return HEARD_LOST;
    case 'e': return HEARD_END;
    case 'w': s->clock->wait_ns(s->clock->context, now(s->clock) + 1000000000); return HEARD_NOTHING;
    default:
        s->clock->wait_ns(s->clock->context, now(s->clock) + (int64_t)(timeout_s * 1e9));
        return HEARD_NOTHING;
    }
}

static void scripted_disconnect(void *state)
{
    ((struct scripted *)state)->disconnected++;
}

static const struct driver scripted = {
    "scripted", "for these tests", scripted_prepare, scripted_connect, scripted_hear, scripted_disconnect,
    free};
static const struct driver *const among[] = {&scripted, NULL};

static struct clock_paced pace;
static struct clock clock_now;
static struct link the_link;
static struct links links;

static struct runner *start(const char *script, double rate, size_t room)
{
    struct message message;
    struct runner *runner = NULL;
    clock_now = clock_at_rate(&pace, rate);
    the_link = (struct link){.name = "m", .driver = "scripted", .timeout_s = 2, .period_s = 1, .channel_count = 2,
                             .own_time = script[0] == 't'};
    snprintf(the_link.address, sizeof the_link.address, "%s", script);
    links = (struct links){.items = &the_link, .count = 1};
    CHECK(runner_prepare(&links, among, &clock_now, room, &runner, &message) == STATUS_OK);
    CHECK(runner_start(runner, &message) == STATUS_OK);
    return runner;
}

/* What is heard, a letter each, until as much as `want` has come; a busy machine may take its time. */
static const char *heard(struct runner *runner, const char *want)
{
    static const char of_kind[] = {'r', 'C', 'L', 'g', 'S', 'E'};
    static char letters[64];
    size_t n = 0;
    struct news news;
    while (n < strlen(want) && runner_take(runner, &news, 1, 10 * clock_now.rate) == 1)
        letters[n++] = of_kind[news.kind];
    letters[n] = '\0';
    return letters;
}

TEST(backs_off_until_it_is_let_in)
{
    struct runner *runner = start("fffrn", 100, 16);
    CHECK_TEXT(heard(runner, "LCr"), "LCr"); /* the same cause is told once */
    runner_stop(runner);
    CHECK(latest->tries == 4);
    static const double waits_s[] = {1, 2, 4};
    for (int k = 0; k < 3 && latest->tries == 4; k++) {
        double waited_s = (double)(latest->tried_ns[k + 1] - latest->tried_ns[k]) * 1e-9;
        CHECK(waited_s >= waits_s[k] * 0.999 && waited_s < 60);
    }
    runner_free(runner);
}

TEST(a_loss_is_told_between_its_readings)
{
    struct runner *runner = start("rrlrre", 200, 16);
    CHECK_TEXT(heard(runner, "CrrLCrrE"), "CrrLCrrE");
    runner_stop(runner);
    CHECK(latest->connected == 2 && latest->disconnected == 2);
    runner_free(runner);
}

TEST(silence_is_told_once_until_it_speaks_again)
{
    struct runner *runner = start("rwwwwwrwwwwwre", 20, 32);
    CHECK_TEXT(heard(runner, "CrSrSrE"), "CrSrSrE");
    runner_free(runner);
}

TEST(garbage_is_told_once_a_second_and_counted)
{
    struct news news[8];
    struct runner *runner = start("ggggggwwgn", 5, 16);
    size_t n = 0;
    for (int k = 0; k < 8 && n < 3; k++)
        n += runner_take(runner, news + n, 8 - n, 5);
    CHECK(n == 3 && news[1].kind == NEWS_GARBAGE && news[2].kind == NEWS_GARBAGE);
    CHECK_TEXT(news[1].text, "rubbish");
    CHECK_TEXT(news[2].text, "(5 more since the last) rubbish");
    runner_free(runner);
}

TEST(a_full_queue_holds_the_instrument_up_and_loses_nothing)
{
    struct runner *runner = start("r", 1, 4);
    int next = 0, most = 0;
    for (int k = 0; k < 200; k++) {
        struct news news[3];
        size_t n = runner_take(runner, news, 3, 1);
        for (size_t i = 0; i < n; i++) {
            if (news[i].kind != NEWS_READING)
                continue;
            /* one cell is new and the other is missing, never the the_link before */
            const struct decimal *cells = news[i].arrival.cells;
            CHECK(cells[next % 2].kind == DECIMAL_NUMBER && cells[next % 2].mantissa == next);
            CHECK(cells[1 - next % 2].kind == DECIMAL_MISSING);
            next++;
        }
        most = n > (size_t)most ? (int)n : most;
    }
    CHECK(next > 100 && most == 3);
    runner_stop(runner); /* while its thread waits for room */
    struct news rest[8];
    size_t left = runner_take(runner, rest, 8, 0);
    CHECK(left <= 5); /* the queue, and the one in the thread's hand */
    for (size_t k = 0; k < left; k++, next++)
        CHECK(rest[k].arrival.cells[next % 2].mantissa == next);
    CHECK(runner_take(runner, rest, 8, 0) == 0);
    runner_free(runner);
}

static void *wake_soon(void *runner)
{
    struct timespec soon = {0, 20000000};
    nanosleep(&soon, NULL);
    runner_wake(runner);
    return NULL;
}

TEST(a_waiting_take_can_be_woken)
{
    struct news news;
    struct runner *runner = start("n", 1, 4);
    CHECK(runner_take(runner, &news, 1, 1) == 1 && news.kind == NEWS_CONNECTED);
    pthread_t waker;
    int64_t began = now(&clock_now);
    CHECK(pthread_create(&waker, NULL, wake_soon, runner) == 0);
    CHECK(runner_take(runner, &news, 1, 60) == 0);
    CHECK(now(&clock_now) - began < 5000000000);
    pthread_join(waker, NULL);
    runner_free(runner);
}

TEST(a_link_that_cannot_work_is_refused_before_anything_starts)
{
    struct message message = {0};
    struct runner *runner = NULL;
    struct clock machine = clock_machine();
    the_link = (struct link){.name = "m", .driver = "scripted", .file = "hut.rig", .line = 7};
    links = (struct links){.items = &the_link, .count = 1};
    CHECK(runner_prepare(&links, among, &machine, 4, &runner, &message) == STATUS_MALFORMED);
    CHECK(runner == NULL && message.line == 7);
    snprintf(the_link.driver, sizeof the_link.driver, "other");
    CHECK(runner_prepare(&links, among, &machine, 4, &runner, &message) == STATUS_MALFORMED);
    CHECK(strstr(message.remedy, "scripted") != NULL);
}

TEST(what_an_instrument_said_before_is_no_reading)
{
    struct runner *runner = start("ttootoe", 200, 64);
    CHECK_TEXT(heard(runner, "CrrrE"), "CrrrE");
    runner_stop(runner);
    runner_free(runner);
    runner = start("to", 200, 64); /* stuck: silent */
    CHECK_TEXT(heard(runner, "CrS"), "CrS");
    runner_stop(runner);
    runner_free(runner);
}
