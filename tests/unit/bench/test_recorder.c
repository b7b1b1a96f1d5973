#include "scripted_bench.h"

#include "book/stream.h"

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

/* The spacing of the instrument's own time goes through the crash, whatever the delay of its first line after it. */
TEST(an_instruments_own_time_stays_tied_through_a_crash)
{
    set_up(METER "address = r\ntime from = 1 in ms\n");
    struct recorder *recorder = start(NULL);
    turn(recorder, 0.2);
    int64_t run = recorder_run(recorder);
    recorder_close(recorder);
    struct message message = {0};
    struct book_options options = writing();
    struct text tie = TEXT_EMPTY, after = TEXT_EMPTY;
    CHECK(book_open(scratch.path, &options, &scratch.book, &message) == STATUS_OK);
    CHECK(book_run_text_get(scratch.book, run, "tie of meter", &tie, &message) == STATUS_OK && tie.length > 0);
    CHECK(book_run_text_put(scratch.book, run, "tie of meter", span_of("0.900000"), &message) == STATUS_OK);
    book_close(scratch.book);
    request.resume = true;
    recorder = start(NULL);
    turn(recorder, 0.1);
    CHECK(end(recorder) == run);
    struct stored stored = stored_of(run);
    struct series *series = &stored.log.series;
    size_t k = 1;
    while (k + 1 < series->count && series->t_s[k] - series->t_s[k - 1] < 0.1)
        k++;
    CHECK_NEAR(series->t_s[k], 0.902, 1e-6); /* it counts from 2 ms again, 0.9 s after the run's zero */
    CHECK(book_run_text_get(scratch.book, run, "tie of meter", &after, &message) == STATUS_OK);
    CHECK_TEXT(text_string(&after), "0.900000");
    text_free(&tie);
    text_free(&after);
    stored_free(&stored);
    scratch_remove(&scratch);
}

/* What the run says of its zero, as if the machine had been started anew since: its UTC `ago_s` before now. */
static void start_machine_anew(int64_t run, double ago_s)
{
    struct message message = {0};
    struct book_options options = writing();
    struct clock machine = clock_machine();
    char zero[160];
    snprintf(zero, sizeof zero, "{\"boot\":\"another\",\"monotonic_ns\":1,\"utc_ns\":%lld}",
             (long long)(machine.utc_ns(NULL) - llround(ago_s * 1e9)));
    CHECK(book_open(scratch.path, &options, &scratch.book, &message) == STATUS_OK);
    CHECK(book_run_text_put(scratch.book, run, "recorder", span_of(zero), &message) == STATUS_OK);
    book_close(scratch.book);
    scratch.book = NULL;
}

TEST(after_a_new_start_of_the_machine_utc_says_how_long_it_was_off)
{
    set_up(METER "address = r\n");
    struct recorder *recorder = start(NULL);
    turn(recorder, 0.2);
    int64_t run = recorder_run(recorder);
    recorder_close(recorder);
    start_machine_anew(run, 100);
    request.resume = true;
    recorder = start(NULL);
    struct bench_view view = turn(recorder, 0.1);
    CHECK(view.elapsed_s > 100 && view.elapsed_s < 103);
    CHECK(strstr(calls_heard, "clock: ") == NULL);
    recorder_close(recorder);
    start_machine_anew(run, -3600); /* and its clock was set back */
    recorder = start(NULL);
    view = turn(recorder, 0.1);
    CHECK(view.elapsed_s > 100 && view.elapsed_s < 106); /* never before the last reading */
    CHECK(strstr(calls_heard, "clock: The clock stands before the run's last reading") != NULL);
    CHECK(end(recorder) == run);
    struct stored stored = stored_of(run);
    for (size_t k = 1; k < stored.log.series.count; k++)
        CHECK(stored.log.series.t_s[k] >= stored.log.series.t_s[k - 1]);
    stored_free(&stored);
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
