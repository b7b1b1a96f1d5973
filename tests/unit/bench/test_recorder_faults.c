#include "scripted_bench.h"

#include "book/stream.h"

#include <signal.h>
#include <sys/resource.h>

TEST(a_pulled_cable_leaves_a_gap_with_its_cause_and_the_other_goes_on)
{
    set_up("rehearsal rate = 20\n" METER "address = rrrrrrrrrrlrrrrrrrrrre\n"
           "[probe]\ndriver = lines\naddress = rxrrrrrrrrrrrrrrr\ntemperature from = 1\n");
    struct recorder *recorder = start(NULL);
    turn(recorder, 0.3); /* 6 s: the back-off is one */
    int64_t run = end(recorder);
    struct stored stored = stored_of(run);
    CHECK(strstr(calls_heard, "the cable was pulled: the recording goes on without it.") != NULL);
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

TEST(a_loose_plug_is_called_three_times_and_marked_each_time)
{
    set_up("rehearsal rate = 100\n" METER "address = rlrlrlrlrlrlrlrrrrrrrrrrre\n");
    struct recorder *recorder = start(NULL);
    turn(recorder, 5);
    int64_t run = end(recorder);
    struct book_event_list events = {0};
    struct message message = {0};
    struct stored stored = stored_of(run);
    CHECK(book_events(scratch.book, run, &events, &message) == STATUS_OK);
    int gaps = 0, silent = 0, heard = 0;
    for (size_t k = 0; k < events.count; k++) {
        gaps += events.items[k].kind == EVENT_GAP;
        silent += strcmp(events.items[k].topic, call_kind_name(CALL_SILENT)) == 0 && events.items[k].kind == EVENT_CALL;
        heard += strcmp(events.items[k].topic, call_kind_name(CALL_HEARD)) == 0;
    }
    CHECK(gaps == 7 && silent == 3 && heard == 3);
    book_event_list_free(&events);
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
    for (int more = 0; more < 50 && view.lost <= 20; more++) /* on a busy machine readings come late */
        view = turn(recorder, 0.2);
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
