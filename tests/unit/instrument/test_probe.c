#include "instrument/probe.h"

#include "check.h"
#include "invented_link.h"

#include <stdatomic.h>

/* An instrument played by the test, on a clock of its own: each has its link's name. */
static _Thread_local int turn;

static enum status play_prepare(const struct link *link, const struct clock *clock, void **ret_state,
                                struct message *message)
{
    if (strcmp(link->address, "faulty rig") == 0)
        return link_fault(link, NULL, NULL, message, "a fault of the rig file");
    *ret_state = (void *)(uintptr_t)link;
    return STATUS_OK;
}

static enum status play_connect(void *state, char *ret_identity, struct message *message)
{
    const struct link *link = state;
    turn = 0;
    if (strcmp(link->address, "absent") == 0)
        return status_fail(message, STATUS_UNREADABLE, "nobody there");
    snprintf(ret_identity, 128, "Invented,%s,0007,1.0", link->address);
    return STATUS_OK;
}

/* Volts in tens of millivolts that fall by 10 mV a reading, one digit up and down around that. */
static enum heard play_hear(void *state, double timeout_s, struct arrival *ret_arrival,
                            struct message *message)
{
    const struct link *link = state;
    int k = turn++;
    struct timespec short_while = {0, 1000000};
    nanosleep(&short_while, NULL);
    if (strcmp(link->address, "mute") == 0)
        return HEARD_NOTHING;
    if (strcmp(link->address, "babbling") == 0 && k % 2 == 0)
        return status_fail(message, STATUS_MALFORMED, "babble"), HEARD_GARBAGE;
    if (strcmp(link->address, "dying") == 0 && k == 2)
        return status_fail(message, STATUS_UNREADABLE, "unplugged"), HEARD_LOST;
    if (k >= 40)
        return HEARD_END;
    *ret_arrival = (struct arrival){0};
    ret_arrival->cells[0] = (struct decimal){12900 - 10 * k + (k % 2 ? 1 : -1), 0, DECIMAL_NUMBER};
    ret_arrival->cells[1] = (struct decimal){-205, 1, k < 30 ? DECIMAL_OVERLOAD : DECIMAL_NUMBER};
    return HEARD_READING;
}

static void play_end(void *state)
{
}

static const struct driver played = {"played", "", play_prepare, play_connect, play_hear, play_end, play_end};
static const struct driver *const among[] = {&played, NULL};

enum { MOST = 6 };
static struct probe probes[MOST];
static const struct probe_watch *watch;

static enum status try_all(const char *const *addresses, struct message *message)
{
    static struct link items[MOST];
    struct links links = {.items = items, .clock_rate = 1};
    struct clock clock = clock_machine();
    for (; addresses[links.count] != NULL; links.count++) {
        struct link *link = &items[links.count];
        *link = invented_link(strcmp(addresses[links.count], "replayed") == 0 ? "replay" : "played",
                              addresses[links.count]);
        invented_channel(link, "voltage", "x");
        invented_channel(link, "current", "y");
        link->channels[0].unit = (struct unit){QUANTITY_VOLTAGE, 0.001, 0};
        link->channels[1].unit = (struct unit){QUANTITY_CURRENT, -1, 0};
    }
    return probe_all(&links, among, &clock, watch != NULL ? 60 : 0.2, watch, probes, message);
}

TEST(readings_are_summed_up_by_channel)
{
    struct message message;
    CHECK(try_all((const char *const[]){"well", NULL}, &message) == STATUS_OK);
    CHECK(probes[0].readings == 40 && probes[0].garbage == 0 && probes[0].fault.status == STATUS_OK);
    CHECK_TEXT(probes[0].identity, "Invented,well,0007,1.0");
    const struct probe_channel *volts = &probes[0].channels[0], *amps = &probes[0].channels[1];
    CHECK(volts->count == 40 && volts->overloads == 0);
    CHECK_NEAR(volts->value, 12.511, 1e-12);
    CHECK_NEAR(volts->digit, 0.001, 1e-15);
    /* Differences are -8 and -12 mV by turns, 20 and 19 of them: the fall of 390 mV is no noise. */
    CHECK_NEAR(volts->noise, 1e-3 * sqrt((20 * 64.0 + 19 * 144.0) / (2 * 39)), 1e-12);
    CHECK(amps->count == 10 && amps->overloads == 30);
    CHECK_NEAR(amps->value, 20.5, 1e-12);
    CHECK_NEAR(amps->noise, 0, 1e-12);
    CHECK(probes[0].channels[2].count == 0 && isnan(probes[0].channels[2].value));
}

TEST(each_fault_stands_beside_its_instrument)
{
    struct message message;
    const char *const addresses[] = {"absent", "mute", "babbling", "dying", "replayed", "well", NULL};
    CHECK(try_all(addresses, &message) == STATUS_OK);
    CHECK_TEXT(probes[0].fault.what, "nobody there");
    CHECK_TEXT(probes[1].fault.what, "[invented meter] was reached and said nothing in 0.2 s");
    CHECK(strstr(probes[1].fault.remedy, "--seconds") != NULL);
    CHECK_TEXT(probes[2].fault.what, "babble");
    CHECK(probes[2].garbage == 21 && probes[2].readings == 20);
    CHECK_TEXT(probes[3].fault.what, "unplugged");
    CHECK(probes[3].readings == 2 && isnan(probes[3].channels[0].noise));
    CHECK_TEXT(probes[4].fault.what,
               "[invented meter] is no instrument (driver replay): there is nothing to try");
    CHECK(probes[5].fault.status == STATUS_OK && probes[5].readings == 40);
}

TEST(a_fault_of_the_rig_file_comes_before_anything_is_opened)
{
    struct message message;
    CHECK(try_all((const char *const[]){"well", "faulty rig", NULL}, &message) == STATUS_MALFORMED);
    CHECK_TEXT(message.what, "a fault of the rig file");
    CHECK(probes[0].readings == 0 && probes[0].identity[0] == '\0');
}

static atomic_int told;

static void tell(void *context, double share)
{
    CHECK(share >= 0 && share <= 1);
    told++;
}

static bool enough(void *context)
{
    return told > 6;
}

/* A minute of listening, over at once when it is stopped. */
TEST(it_can_be_stopped)
{
    struct message message;
    const struct probe_watch stops = {.stopped = enough, .progress = tell};
    watch = &stops;
    CHECK(try_all((const char *const[]){"well", "mute", NULL}, &message) == STATUS_OK);
    watch = NULL;
    CHECK(probes[0].readings > 0 && probes[0].readings < 40 && told > 6);
}
