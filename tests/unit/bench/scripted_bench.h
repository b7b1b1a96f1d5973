/* A bench of instruments that do what a script says, and a recorder at work on it. */
#ifndef RUNDOWN_TESTS_SCRIPTED_BENCH_H
#define RUNDOWN_TESTS_SCRIPTED_BENCH_H

#include "../book/scratch_book.h"
#include "archive/stored.h"
#include "base/memory.h"
#include "bench/recorder.h"
#include "check.h"

/* An instrument that does what its address says, a letter every 2 ms of the machine; the last goes on for ever: `r` a
 * reading, `g` garbage, `l` a loss, `S` nothing for 0.4 s, `b` a reading after it has begun its time and tallies again, `e` the
 * end, `x` an overload. */
struct scripted {
    const struct link *link;
    const struct clock *clock;
    const char *next;
    int said, since, letters;
};

static inline enum status scripted_prepare(const struct link *link, const struct clock *clock, void **ret_state,
                                    struct message *message)
{
    struct scripted *s = memory_get(sizeof *s);
    *s = (struct scripted){link, clock, link->address, 0, 0, 0};
    *ret_state = s;
    return STATUS_OK;
}

static inline enum status scripted_connect(void *state, char *ret_identity, struct message *message)
{
    snprintf(ret_identity, 128, "Invented,%s", ((struct scripted *)state)->link->name);
    return STATUS_OK;
}

/* Reading n: 13.0 V less 1 mV each, 24.8 A, a tally of 0.75 Ah each. Digits as printed. */
static inline void read_out(struct scripted *s, bool overload, struct arrival *ret_arrival)
{
    ret_arrival->at_ns = s->clock->now_ns(s->clock->context);
    ret_arrival->time = (struct decimal){llround(s->letters * 2 * s->clock->rate), 0, DECIMAL_NUMBER};
    const struct decimal cells[] = {{13000 - s->said, 3, DECIMAL_NUMBER}, {2480, 2, DECIMAL_NUMBER},
                                    {s->since * 75, 2, DECIMAL_NUMBER}};
    for (int c = 0; c < s->link->channel_count; c++)
        ret_arrival->cells[c] = cells[s->link->channels[c].source[0] - '1'];
    if (overload)
        ret_arrival->cells[0] = (struct decimal){.kind = DECIMAL_OVERLOAD};
    s->said++;
    s->since++;
}

static inline enum heard scripted_hear(void *state, double timeout_s, struct arrival *ret_arrival, struct message *message)
{
    struct scripted *s = state;
    char letter = s->next[0];
    s->clock->wait_ns(s->clock->context, s->clock->now_ns(s->clock->context) + (int64_t)((letter == 'S' ? 4e8 : 2e6) * s->clock->rate));
    s->letters += letter == 'S' ? 200 : 1;
    if (s->next[1] != '\0')
        s->next++;
    switch (letter) {
    case 'b': s->since = s->letters = 0; read_out(s, false, ret_arrival); return HEARD_READING;
    case 'x':
    case 'r': read_out(s, letter == 'x', ret_arrival); return HEARD_READING;
    case 'g': status_fail(message, STATUS_MALFORMED, "half a line"); return HEARD_GARBAGE;
    case 'l': status_fail(message, STATUS_UNREADABLE, "the cable was pulled"); return HEARD_LOST;
    case 'e': return HEARD_END;
    default: return HEARD_NOTHING;
    }
}

static inline void scripted_disconnect(void *state)
{
}

static const struct driver scripted = {"lines",       "for these tests",   scripted_prepare, scripted_connect,
                                       scripted_hear, scripted_disconnect, free};
static const struct driver *const among[] = {&scripted, NULL};

static struct scratch scratch;
static char rig_path[300], calls_heard[20000];
static struct recorder_request request;

static inline void set_up(const char *rig)
{
    struct message message = {0};
    struct book_options options = writing();
    snprintf(scratch.folder, sizeof scratch.folder, "%s/rundown-recorder-XXXXXX", P_tmpdir);
    CHECK(mkdtemp(scratch.folder) != NULL);
    snprintf(scratch.path, sizeof scratch.path, "%s/hut.book", scratch.folder);
    CHECK(book_create(scratch.path, &options, &scratch.book, &message) == STATUS_OK);
    book_close(scratch.book);
    scratch.book = NULL;
    snprintf(rig_path, sizeof rig_path, "%s/bench.rig", scratch.folder);
    FILE *file = fopen(rig_path, "w");
    fputs(rig, file);
    fclose(file);
    request = (struct recorder_request){.book = scratch.path, .sample = "Hut pack 3", .rig = rig_path, .drivers = among,
                                        .commit_s = 0.05};
    calls_heard[0] = '\0';
}

#define METER "[meter]\ndriver = lines\ntimeout = 0.6 s\nvoltage from = 1\ncurrent from = 2\n"

static inline void heed(void *context, const struct call *call)
{
    size_t n = strlen(calls_heard);
    snprintf(calls_heard + n, sizeof calls_heard - n, "%s: %s\n", call_kind_name(call->kind), call->text);
}

static inline struct recorder *start(const struct clock *clock)
{
    struct recorder *recorder = NULL;
    struct message message = {0};
    enum status status = recorder_open(&request, clock, &recorder, &message);
    if (status == STATUS_OK)
        status = recorder_start(recorder, &message);
    if (status != STATUS_OK) {
        char text[1200];
        status_print(&message, text, sizeof text);
        printf("%s\n", text);
        abort();
    }
    return recorder;
}

/* Turns until the instruments end or the seconds of the machine are over. */
static inline struct bench_view turn(struct recorder *recorder, double seconds)
{
    struct clock machine = clock_machine();
    int64_t until = machine.now_ns(NULL) + (int64_t)(seconds * 1e9);
    struct bench_view view;
    bool over = false;
    do
        recorder_turn(recorder, 0.01, heed, NULL, &view, &over);
    while (!over && machine.now_ns(NULL) < until);
    return view;
}

static inline int64_t end(struct recorder *recorder)
{
    struct message message = {0};
    int64_t run = recorder_run(recorder);
    CHECK(recorder_end(recorder, "the test is over", &message) == STATUS_OK);
    recorder_close(recorder);
    return run;
}

static inline struct stored stored_of(int64_t run)
{
    struct message message = {0};
    struct stored stored = {0};
    struct book_options options = reading();
    if (book_open(scratch.path, &options, &scratch.book, &message) != STATUS_OK ||
        stored_read(scratch.book, run, &stored, &message) != STATUS_OK) {
        printf("%s\n", message.what);
        abort();
    }
    return stored;
}

static inline const char *event_text(int64_t run, enum event_kind kind, const char *topic)
{
    static char text[300];
    struct book_event_list events = {0};
    struct message message = {0};
    CHECK(book_events(scratch.book, run, &events, &message) == STATUS_OK);
    text[0] = '\0';
    for (size_t k = 0; k < events.count; k++)
        if (events.items[k].kind == kind && strcmp(events.items[k].topic, topic) == 0)
            snprintf(text, sizeof text, "%.1f %s", isfinite(events.items[k].until_s) ? events.items[k].until_s -
                     events.items[k].t_s : 0, events.items[k].text);
    book_event_list_free(&events);
    return text;
}

#endif
