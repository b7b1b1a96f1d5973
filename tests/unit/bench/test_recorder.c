#include "bench/recorder.h"

#include "../book/scratch_book.h"
#include "archive/stored.h"
#include "base/memory.h"
#include "book/sample.h"
#include "book/stream.h"
#include "check.h"

#include <signal.h>
#include <sys/resource.h>

/* An instrument that does what its address says, a letter every 2 ms of the machine; the last goes on for ever: `r` a
 * reading, `g` garbage, `l` a loss, `S` nothing for 0.4 s, `b` a reading after it has begun its time and tallies again, `e` the
 * end, `x` an overload. */
struct scripted {
    const struct link *link;
    const struct clock *clock;
    const char *next;
    int said, since, letters;
};

static enum status scripted_prepare(const struct link *link, const struct clock *clock, void **ret_state,
                                    struct message *message)
{
    struct scripted *s = memory_get(sizeof *s);
    *s = (struct scripted){link, clock, link->address, 0, 0, 0};
    *ret_state = s;
    return STATUS_OK;
}

static enum status scripted_connect(void *state, char *ret_identity, struct message *message)
{
    snprintf(ret_identity, 128, "Invented,%s", ((struct scripted *)state)->link->name);
    return STATUS_OK;
}

/* Reading n: 13.0 V less 1 mV each, 24.8 A, a tally of 0.75 Ah each. Digits as printed. */
static void read_out(struct scripted *s, bool overload, struct arrival *ret_arrival)
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

static enum heard scripted_hear(void *state, double timeout_s, struct arrival *ret_arrival, struct message *message)
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

static void scripted_disconnect(void *state)
{
}

static const struct driver scripted = {"lines",       "for these tests",   scripted_prepare, scripted_connect,
                                       scripted_hear, scripted_disconnect, free};
static const struct driver *const among[] = {&scripted, NULL};

static struct scratch scratch;
static char rig_path[300], calls_heard[20000];
static struct recorder_request request;

static void set_up(const char *rig)
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

static void heed(void *context, const struct call *call)
{
    size_t n = strlen(calls_heard);
    snprintf(calls_heard + n, sizeof calls_heard - n, "%s: %s\n", call_kind_name(call->kind), call->text);
}

static struct recorder *start(const struct clock *clock)
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
static struct bench_view turn(struct recorder *recorder, double seconds)
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

static int64_t end(struct recorder *recorder)
{
    struct message message = {0};
    int64_t run = recorder_run(recorder);
    CHECK(recorder_end(recorder, "the test is over", &message) == STATUS_OK);
    recorder_close(recorder);
    return run;
}

static struct stored stored_of(int64_t run)
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

static const char *event_text(int64_t run, enum event_kind kind, const char *topic)
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

static bool fully(struct block_columns const *block)
{
    for (size_t k = 0; k < block->count; k++)
        if (block->cells[1][k].decimals != 3 || block->cells[2][k].mantissa != 2480 || block->cells[2][k].decimals != 2)
            return false;
    return true;
}

static int64_t next_mv;
static bool in_order(void *context, const struct block_columns *block)
{
    *(bool *)context &= fully(block);
    for (size_t k = 0; k < block->count; k++)
        *(bool *)context &= block->cells[1][k].mantissa == next_mv--;
    return true;
}

TEST(every_reading_is_in_the_book_digit_by_digit)
{
    set_up(METER "address = rrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrre\n");
    struct recorder *recorder = start(NULL);
    struct bench_view view = turn(recorder, 5);
    CHECK(view.readings == 40 && view.instruments == 1);
    int64_t run = end(recorder);
    struct stored stored = stored_of(run);
    CHECK(!stored.by_eye && stored.log.series.count == 40 && !stored.run.open && stored.run.origin == TEST_RECORDED);
    CHECK_NEAR(stored.log.series.column[CHANNEL_VOLTAGE][39], 12.961, 1e-12);
    CHECK_NEAR(stored.run.end_s, stored.log.series.t_s[39], 1e-9);
    struct book_stream_list streams = {0};
    struct message message;
    CHECK(book_streams(scratch.book, run, &streams, &message) == STATUS_OK && streams.count == 1);
    CHECK_TEXT(streams.items[0].identity, "Invented,meter");
    bool exact = true;
    next_mv = 13000;
    CHECK(stream_walk(scratch.book, streams.items[0].id, -INFINITY, INFINITY, in_order, &exact, &message) == STATUS_OK);
    CHECK(exact && next_mv == 12960);
    CHECK_TEXT(event_text(run, EVENT_NOTE, "end"), "0.0 the test is over");
    book_stream_list_free(&streams);
    stored_free(&stored);
    scratch_remove(&scratch);
}

TEST(a_pulled_cable_leaves_a_gap_with_its_cause_and_the_other_goes_on)
{
    set_up("rehearsal rate = 20\n" METER "address = rrrrrrrrrrlrrrrrrrrrre\n"
           "[probe]\ndriver = lines\naddress = rxrrrrrrrrrrrrrrr\ntemperature from = 1\n");
    struct recorder *recorder = start(NULL);
    turn(recorder, 0.3); /* 6 s: the back-off is one */
    int64_t run = end(recorder);
    struct stored stored = stored_of(run);
    CHECK(strstr(calls_heard, "meter has said nothing for") != NULL && strstr(calls_heard, "the cable was pulled") != NULL);
    CHECK(strstr(calls_heard, "meter speaks again after") != NULL);
    double gap_s = strtod(event_text(run, EVENT_GAP, "lost"), NULL);
    CHECK(gap_s > 0.9 && gap_s < 3);
    CHECK(strstr(event_text(run, EVENT_GAP, "lost"), "the cable was pulled") != NULL);
    CHECK(event_text(run, EVENT_LINK, "connected again")[0] != '\0');
    CHECK(stored.run.origin == TEST_REHEARSED && stored.run.invented);
    CHECK(stored.log.series.count == 20);
    struct book_stream_list streams = {0};
    struct message message;
    CHECK(book_streams(scratch.book, run, &streams, &message) == STATUS_OK && streams.count == 2);
    struct series probe;
    CHECK(stream_series(scratch.book, &streams.items[1], &probe, &message) == STATUS_OK);
    CHECK(probe.count > 100 && isnan(probe.column[CHANNEL_TEMPERATURE][1]));
    series_free(&probe);
    book_stream_list_free(&streams);
    stored_free(&stored);
    scratch_remove(&scratch);
}

TEST(garbage_silence_and_a_meter_that_begins_again_are_told)
{
    set_up("rehearsal rate = 10\n" METER "address = rrrggggrrrSrrrbrre\n"
                 "charge tally from = 3\ntime from = 1 in ms\n");
    struct recorder *recorder = start(NULL);
    turn(recorder, 3);
    int64_t run = end(recorder);
    struct stored stored = stored_of(run);
    CHECK(stored.log.series.count == 12);
    CHECK(strstr(event_text(run, EVENT_LINK, "garbage"), "half a line") != NULL);
    CHECK(strtod(event_text(run, EVENT_GAP, "silent"), NULL) > 3);
    CHECK(strstr(calls_heard, "clock: meter began its time again") != NULL);
    CHECK(strstr(calls_heard, "charge tally of meter fell from 6 to 0 Ah") != NULL);
    for (size_t k = 1; k < stored.log.series.count; k++)
        CHECK(stored.log.series.t_s[k] >= stored.log.series.t_s[k - 1]);
    stored_free(&stored);
    scratch_remove(&scratch);
}

static int64_t set_ahead_ns;
static int64_t stepped_utc(void *context)
{
    struct clock machine = clock_machine();
    return machine.utc_ns(NULL) + set_ahead_ns;
}

TEST(a_step_of_the_wall_clock_changes_nothing_but_is_said)
{
    set_up(METER "address = r\n");
    struct clock clock = clock_machine();
    clock.utc_ns = stepped_utc;
    set_ahead_ns = 0;
    struct recorder *recorder = start(&clock);
    turn(recorder, 0.1);
    CHECK(strstr(calls_heard, "clock") == NULL);
    set_ahead_ns = -3600000000000;
    turn(recorder, 0.1);
    CHECK(strstr(calls_heard, "clock: The wall clock was set back by 1:00:00") != NULL);
    int64_t run = end(recorder);
    struct stored stored = stored_of(run);
    struct series *series = &stored.log.series;
    CHECK(series->count > 20 && series->t_s[series->count - 1] < 5);
    for (size_t k = 1; k < series->count; k++)
        CHECK(series->t_s[k] > series->t_s[k - 1]);
    stored_free(&stored);
    scratch_remove(&scratch);
}

TEST(a_run_left_open_goes_on_with_a_gap_and_its_memory)
{
    set_up("rehearsal rate = 20\n" METER "address = r\n");
    struct recorder *recorder = start(NULL);
    struct bench_view view = turn(recorder, 0.2);
    int64_t run = recorder_run(recorder);
    size_t before = view.readings;
    double ah = view.ah;
    recorder_close(recorder); /* as a crash: not ended */
    request.resume = true;
    request.rig = NULL; /* the run's own */
    struct clock machine = clock_machine();
    machine.wait_ns(NULL, machine.now_ns(NULL) + 300000000);
    recorder = start(NULL);
    CHECK(recorder_run(recorder) == run);
    view = turn(recorder, 0.1);
    CHECK(view.elapsed_s > 11 && view.ah > ah);
    CHECK(view.readings > before - 30); /* but for those that were not committed */
    CHECK(end(recorder) == run);
    struct stored stored = stored_of(run);
    double gap_s = strtod(event_text(run, EVENT_GAP, "stopped"), NULL);
    CHECK(gap_s > 5 && gap_s < 20);
    CHECK(!stored.run.open && stored.log.series.count > before);
    struct book_stream_list streams = {0};
    struct message message = {0};
    CHECK(book_streams(scratch.book, run, &streams, &message) == STATUS_OK && streams.count == 1);
    book_stream_list_free(&streams);
    stored_free(&stored);
    book_close(scratch.book);
    struct recorder *none = NULL;
    CHECK(recorder_open(&request, NULL, &none, &message) == STATUS_USAGE);
    CHECK(strstr(message.what, "no run that was left open") != NULL);
    scratch.book = NULL;
    scratch_remove(&scratch);
}

TEST(two_recorders_of_one_sample_are_refused_of_two_are_not)
{
    set_up(METER "address = r\n");
    struct recorder *first = start(NULL), *second = NULL, *other;
    struct message message = {0};
    request.sample = " hut  PACK 3";
    CHECK(recorder_open(&request, NULL, &second, &message) == STATUS_OK);
    CHECK(recorder_start(second, &message) == STATUS_AMBIGUOUS);
    CHECK(strstr(message.what, "is being recorded already") != NULL);
    recorder_close(second);
    request.resume = true; /* nor taken over */
    CHECK(recorder_open(&request, NULL, &second, &message) == STATUS_OK);
    CHECK(recorder_start(second, &message) == STATUS_AMBIGUOUS);
    recorder_close(second);
    request.resume = false;
    request.sample = "Hut pack 4";
    other = start(NULL);
    for (int k = 0; k < 20; k++) {
        turn(first, 0.01);
        turn(other, 0.01);
    }
    int64_t run = end(first), other_run = end(other);
    struct stored stored = stored_of(run), stored_other;
    CHECK(stored_read(scratch.book, other_run, &stored_other, &message) == STATUS_OK);
    CHECK(run != other_run && stored.log.series.count > 50 && stored_other.log.series.count > 50);
    stored_free(&stored);
    stored_free(&stored_other);
    scratch_remove(&scratch);
}

TEST(a_reader_meanwhile_sees_what_was_committed)
{
    set_up(METER "address = r\n");
    struct recorder *recorder = start(NULL);
    turn(recorder, 0.15);
    struct stored stored = stored_of(recorder_run(recorder));
    size_t seen = stored.log.series.count;
    CHECK(stored.run.open && seen > 10);
    stored_free(&stored);
    turn(recorder, 0.15);
    struct message message;
    CHECK(stored_read(scratch.book, recorder_run(recorder), &stored, &message) == STATUS_OK);
    CHECK(stored.log.series.count > seen);
    stored_free(&stored);
    end(recorder);
    scratch_remove(&scratch);
}

TEST(a_book_that_cannot_be_written_loses_nothing_and_is_said_loudly)
{
    set_up(METER "address = r\n");
    struct recorder *recorder = start(NULL);
    turn(recorder, 0.1);
    struct message message = {0};
    struct book_options options = writing();
    CHECK(book_open(scratch.path, &options, &scratch.book, &message) == STATUS_OK);
    CHECK(book_begin(scratch.book, &message) == STATUS_OK); /* somebody else writes, for long */
    struct bench_view view = turn(recorder, 1);
    CHECK(view.unwritable && !view.committed && view.behind_s > 0.3);
    CHECK(strstr(calls_heard, "disk: The book cannot be written") != NULL);
    book_rollback(scratch.book);
    book_close(scratch.book);
    view = turn(recorder, 0.2);
    CHECK(!view.unwritable && view.lost == 0);
    CHECK(strstr(calls_heard, "can be written again") != NULL);
    size_t taken = view.readings;
    int64_t run = end(recorder);
    struct stored stored = stored_of(run);
    CHECK(stored.log.series.count >= taken);
    stored_free(&stored);
    scratch_remove(&scratch);
}

/* The storage itself refuses: files may not grow beyond a size, as on a full disk. */
TEST(a_full_disk_loses_nothing_that_memory_holds)
{
    set_up(METER "address = r\n");
    struct recorder *recorder = start(NULL);
    turn(recorder, 0.1);
    struct rlimit before, tight;
    CHECK(getrlimit(RLIMIT_FSIZE, &before) == 0);
    signal(SIGXFSZ, SIG_IGN);
    tight = (struct rlimit){.rlim_cur = 4096, .rlim_max = before.rlim_max};
    CHECK(setrlimit(RLIMIT_FSIZE, &tight) == 0);
    struct bench_view view = turn(recorder, 0.4);
    CHECK(setrlimit(RLIMIT_FSIZE, &before) == 0);
    CHECK(view.unwritable && view.lost == 0 && view.behind_s > 0.2);
    CHECK(strstr(calls_heard, "disk: The book cannot be written") != NULL);
    view = turn(recorder, 0.2);
    CHECK(!view.unwritable && strstr(calls_heard, "can be written again") != NULL);
    size_t taken = view.readings;
    int64_t run = end(recorder);
    struct stored stored = stored_of(run);
    long faults = -1;
    struct message message = {0};
    CHECK(stored.log.series.count >= taken);
    CHECK(book_check(scratch.book, NULL, NULL, NULL, &faults, &message) == STATUS_OK && faults == 0);
    stored_free(&stored);
    scratch_remove(&scratch);
}

TEST(what_memory_does_not_hold_is_counted_and_becomes_a_gap)
{
    set_up(METER "address = r\n");
    request.held_cells = 150; /* 50 readings */
    struct recorder *recorder = start(NULL);
    turn(recorder, 0.1);
    struct message message = {0};
    struct book_options options = writing();
    CHECK(book_open(scratch.path, &options, &scratch.book, &message) == STATUS_OK);
    CHECK(book_begin(scratch.book, &message) == STATUS_OK);
    struct bench_view view = turn(recorder, 0.4);
    CHECK(view.lost > 20);
    CHECK(recorder_end(recorder, "too early", &message) != STATUS_OK); /* held, and tried again below */
    CHECK(recorder_held(recorder) == 50);
    book_rollback(scratch.book);
    book_close(scratch.book);
    int64_t run = end(recorder);
    struct stored stored = stored_of(run);
    CHECK(!stored.run.open && stored.log.series.count >= 50);
    const char *gap = event_text(run, EVENT_GAP, "not held");
    CHECK(strstr(gap, "readings came while the book could not be written") != NULL && strtod(gap, NULL) > 0.1);
    stored_free(&stored);
    scratch_remove(&scratch);
}

TEST(a_disk_that_runs_low_is_told_once)
{
    set_up(METER "address = r\n");
    request.disk_low_bytes = 1e18;
    struct recorder *recorder = start(NULL);
    turn(recorder, 0.1);
    CHECK(strstr(calls_heard, "disk: The disk has") != NULL);
    CHECK(strstr(strstr(calls_heard, "disk: ") + 1, "disk: ") == NULL);
    end(recorder);
    scratch_remove(&scratch);
}

TEST(lines_typed_are_readings_of_their_instant_and_words_are_marks)
{
    set_up("name = By eye. Invented.\n[voltage]\naccuracy = 0.5 % + 2 digits\n");
    struct recorder *recorder = start(NULL);
    const struct clock *clock = recorder_clock(recorder);
    struct message message = {0};
    int64_t zero = clock->now_ns(clock->context);
    CHECK(recorder_instruments(recorder) == 0);
    CHECK(recorder_say(recorder, "13.31 V  0 A", zero + 2000000000, &message) == STATUS_OK);
    CHECK(recorder_say(recorder, "12.91 V  24.8 A  inverter on", zero + 62000000000, &message) == STATUS_OK);
    CHECK(recorder_say(recorder, "", zero + 65000000000, &message) == STATUS_OK);
    CHECK(recorder_say(recorder, "12.9 xyz 3", zero + 70000000000, &message) == STATUS_MALFORMED);
    CHECK(recorder_say(recorder, "0:12:30 12.9 V", zero + 70000000000, &message) == STATUS_MALFORMED);
    CHECK(recorder_say(recorder, "12.80 V  25.1 A", zero + 3662000000000, &message) == STATUS_OK);
    struct bench_view view = turn(recorder, 0.1);
    CHECK(view.readings == 3);
    int64_t run = end(recorder);
    struct stored stored = stored_of(run);
    CHECK(stored.by_eye && stored.run.origin == TEST_TYPED && stored.sightings.count == 4);
    CHECK_NEAR(stored.sightings.instants[3].t_s - stored.sightings.instants[0].t_s, 3660, 1.01);
    CHECK_NEAR(stored.sightings.instants[1].values[1].value, 24.8, 1e-9);
    CHECK_TEXT(stored.sightings.instants[2].words, "mark");
    stored_free(&stored);
    scratch_remove(&scratch);
}
