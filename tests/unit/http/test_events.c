#include "http/events.h"
#include "check.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What is due now, without waiting; a sign of life when there is nothing. */
static const char *due(struct events *events, struct events_place *place, struct text *wire)
{
    wire->length = 0;
    events_next(events, place, 0, wire);
    if (wire->length == 0)
        events_here(events, place, wire);
    return text_string(wire);
}

static struct events_place enter(struct events *events, const char *topics, const char *last)
{
    struct events_place place;
    events_enter(events, topics, last, &place);
    return place;
}

TEST(a_reader_hears_what_comes_after_it_came)
{
    struct events *events = events_new(8, 0xabc);
    struct text wire = TEXT_EMPTY;
    events_publish(events, "book", span_of("{\"id\":1}"));
    struct events_place place;
    events_enter(events, NULL, "", &place);
    CHECK_TEXT(due(events, &place, &wire), "event: here\nid: 0000000000000abc-1\ndata: {}\n\n"); /* where the stream stands */
    events_publish(events, "live", span_of("{\"id\":2}"));
    events_publish(events, "book", span_of("{\"id\":3}"));
    CHECK_TEXT(due(events, &place, &wire), "event: live\nid: 0000000000000abc-2\ndata: {\"id\":2}\n\n"
                                           "event: book\nid: 0000000000000abc-3\ndata: {\"id\":3}\n\n");
    CHECK_TEXT(due(events, &place, &wire), "event: here\nid: 0000000000000abc-3\ndata: {}\n\n");
    text_free(&wire);
    events_free(events);
}

TEST(a_reader_hears_the_topics_it_asked_for)
{
    struct events *events = events_new(8, 1);
    struct text wire = TEXT_EMPTY;
    struct events_place place = enter(events, "book,task", "");
    events_publish(events, "live", span_of("1"));
    events_publish(events, "task", span_of("2"));
    events_publish(events, "tas", span_of("3"));
    events_publish(events, "bookish", span_of("4"));
    CHECK_TEXT(due(events, &place, &wire), "event: task\nid: 0000000000000001-2\ndata: 2\n\n");
    CHECK_TEXT(due(events, &place, &wire), "event: here\nid: 0000000000000001-4\ndata: {}\n\n");
    text_free(&wire);
    events_free(events);
}

TEST(a_reader_that_was_away_misses_nothing)
{
    struct events *events = events_new(4, 1);
    struct text wire = TEXT_EMPTY;
    for (int k = 1; k <= 6; k++)
        events_publish(events, "live", span_of("x"));
    struct events_place place = enter(events, "", "0000000000000001-4");
    CHECK_TEXT(due(events, &place, &wire),
               "event: live\nid: 0000000000000001-5\ndata: x\n\nevent: live\nid: 0000000000000001-6\ndata: x\n\n");
    place = enter(events, "", "0000000000000001-2"); /* 3 is the oldest that is kept */
    CHECK(strstr(due(events, &place, &wire), "id: 0000000000000001-3\n") != NULL && strstr(wire.s, "reload") == NULL);
    place = enter(events, "", "0000000000000001-6"); /* is up to date */
    CHECK_TEXT(due(events, &place, &wire), "event: here\nid: 0000000000000001-6\ndata: {}\n\n");
    text_free(&wire);
    events_free(events);
}

TEST(a_reader_that_was_away_too_long_reads_everything_afresh)
{
    static const char *const lost[] = {
        "0000000000000001-1", /* no longer kept */
        "0000000000000002-5", /* of another start */
        "0000000000000001-7", /* not said yet */
        "0000000000000001-99999999999999999999", "0000000000000001-", "0000000000000001--1", "1-5", "5", "-", "x\n\n",
        "0000000000000001-5 ", "000000000000000G-5",
    };
    struct events *events = events_new(4, 1);
    struct text wire = TEXT_EMPTY;
    for (int k = 1; k <= 6; k++)
        events_publish(events, "live", span_of("x"));
    for (size_t k = 0; k < sizeof lost / sizeof *lost; k++) {
        struct events_place place = enter(events, "book", lost[k]);
        CHECK_TEXT(due(events, &place, &wire), "event: reload\nid: 0000000000000001-6\ndata: {}\n\n");
        CHECK_TEXT(due(events, &place, &wire), "event: here\nid: 0000000000000001-6\ndata: {}\n\n");
    }
    text_free(&wire);
    events_free(events);
}

TEST(a_slow_reader_is_told_that_it_missed_some)
{
    struct events *events = events_new(4, 1);
    struct text wire = TEXT_EMPTY;
    struct events_place place = enter(events, "", "");
    for (int k = 1; k <= 5; k++)
        events_publish(events, "live", span_of("x"));
    CHECK_TEXT(due(events, &place, &wire), "event: reload\nid: 0000000000000001-5\ndata: {}\n\n");
    events_publish(events, "live", span_of("y"));
    CHECK_TEXT(due(events, &place, &wire), "event: live\nid: 0000000000000001-6\ndata: y\n\n");
    text_free(&wire);
    events_free(events);
}

TEST(data_cannot_end_its_line)
{
    struct events *events = events_new(4, 1);
    struct text wire = TEXT_EMPTY;
    struct events_place place = enter(events, "", "");
    static const char data[] = "a\n\nevent: book\r\ndata: b\0c";
    events_publish(events, "live", (struct span){data, sizeof data - 1});
    CHECK_TEXT(due(events, &place, &wire),
               "event: live\nid: 0000000000000001-1\ndata: a  event: book  data: b c\n\n");
    text_free(&wire);
    events_free(events);
}

TEST(much_at_once_comes_in_batches)
{
    enum { MANY = 300 };
    static char large[2001];
    struct events *events = events_new(MANY, 1);
    struct text wire = TEXT_EMPTY, all = TEXT_EMPTY;
    struct events_place place = enter(events, "", "");
    memset(large, 'x', sizeof large - 1);
    for (int k = 0; k < MANY; k++)
        events_publish(events, "live", span_of(large));
    int batches = 0;
    while (strstr(due(events, &place, &wire), "event: here") == NULL) {
        CHECK(wire.length < 70000);
        text_add(&all, wire.s);
        batches++;
    }
    CHECK(batches > 5 && all.length > (size_t)MANY * 2000);
    CHECK(strstr(all.s, "id: 0000000000000001-300\n") != NULL && strstr(all.s, "reload") == NULL);
    text_free(&wire);
    text_free(&all);
    events_free(events);
}

/* Readers on threads of their own: each hears every number once, in order, however they are scheduled. */
enum { READERS = 8, NUMBERS = 3000 };
struct reading {
    pthread_t thread;
    struct events *events;
    struct events_place place;
    long heard, wrong;
    bool all;
};

static atomic_int finished;

static void *read_all(void *context)
{
    struct reading *reading = context;
    struct text wire = TEXT_EMPTY;
    while (events_next(reading->events, &reading->place, 2000, &wire)) {
        for (const char *p = wire.s; (p = strstr(p, "data: ")) != NULL; p += 6)
            reading->wrong += p[6] != '{' && strtol(p + 6, NULL, 10) != ++reading->heard;
        wire.length = 0;
        if (reading->heard == NUMBERS && !reading->all)
            atomic_fetch_add(&finished, 1);
        reading->all = reading->heard == NUMBERS;
    }
    text_free(&wire);
    return NULL;
}

TEST(many_readers_hear_all_in_order_and_none_waits_at_the_end)
{
    struct events *events = events_new(2 * NUMBERS, 7);
    struct reading readings[READERS] = {0};
    for (int k = 0; k < READERS; k++) {
        readings[k].events = events;
        events_enter(events, "live", "", &readings[k].place);
        CHECK(pthread_create(&readings[k].thread, NULL, read_all, &readings[k]) == 0);
    }
    for (int n = 1; n <= NUMBERS; n++) {
        char data[16];
        snprintf(data, sizeof data, "%d", n);
        events_publish(events, "live", span_of(data));
        if (n % 3 == 0)
            events_publish(events, "book", span_of("0"));
    }
    struct timespec moment = {.tv_nsec = 1000000};
    for (int waited = 0; waited < 5000 && atomic_load(&finished) < READERS; waited++)
        nanosleep(&moment, NULL);
    events_close(events);
    for (int k = 0; k < READERS; k++) {
        pthread_join(readings[k].thread, NULL);
        CHECK(readings[k].heard == NUMBERS && readings[k].wrong == 0);
    }
    events_free(events);
}
