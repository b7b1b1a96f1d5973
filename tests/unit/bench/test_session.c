#include "scripted_bench.h"

#include "bench/session.h"
#include "book/sample.h"

#include <stdatomic.h>

static atomic_int seen, over;
static atomic_int said_calls;

static void count_seen(void *context, struct session *session)
{
    atomic_fetch_add(&seen, 1);
}

static void count_said(void *context, struct session *session, const struct session_said *said)
{
    if (said->kind == SAID_CALL)
        atomic_fetch_add(&said_calls, 1);
}

static void note_over(void *context, struct session *session)
{
    struct session_now now;
    session_now(session, &now); /* a listener may ask */
    atomic_store(&over, (int)now.state + 1);
}

static const struct session_heed heed_all = {count_seen, count_said, note_over, NULL};

static struct session *begin(const char *sample, const struct rehearsed_request *rehearsal)
{
    struct session *session = NULL;
    struct message message = {0};
    struct session_request wanted = {.recorder = request, .rehearsal = rehearsal, .heed = heed_all};
    wanted.recorder.sample = sample;
    if (session_start(&wanted, &session, &message) != STATUS_OK) {
        printf("%s\n", message.what);
        abort();
    }
    return session;
}

static void wait_ms(int ms)
{
    struct clock machine = clock_machine();
    machine.wait_ns(NULL, machine.now_ns(NULL) + ms * 1000000LL);
}

static struct session_now until(struct session *session, enum session_state state, int most_ms)
{
    struct session_now now;
    for (session_now(session, &now); now.state != state && most_ms > 0; most_ms -= 5) {
        wait_ms(5);
        session_now(session, &now);
    }
    CHECK(now.state == state);
    return now;
}

TEST(a_session_shows_what_is_recorded_and_ends_with_the_instruments)
{
    set_up(METER "address = rrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrrre\n");
    struct session *session = begin("Hut pack 3", NULL);
    struct session_now now;
    session_now(session, &now);
    CHECK(isnan(now.view.v) || now.view.readings > 0); /* nothing is shown that was not heard */
    now = until(session, SESSION_OVER, 3000);
    CHECK_TEXT(now.cause, "every instrument came to its end");
    CHECK(now.view.readings == 40 && now.view.committed && atomic_load(&over) == SESSION_JUDGED + 1);
    CHECK(now.view.forecast != NULL && atomic_load(&seen) >= 3 && !session_by_eye(session));
    struct message message = {0};
    struct session_said said;
    CHECK(session_say(session, "too late", 0, &said, &message) == STATUS_USAGE);
    CHECK_TEXT(message.what, "the recording has ended");
    struct stored stored = stored_of(session_run(session));
    CHECK(stored.log.series.count == 40 && !stored.run.open);
    stored_free(&stored);
    session_free(session);
    scratch_remove(&scratch);
}

/* What is typed has the instant of its first key, and what is taken back stays in the book beside the note. */
TEST(lines_have_the_instant_of_their_first_key_and_can_be_taken_back)
{
    set_up(METER "address = r\n");
    request.by_eye = true; /* the rig is there, its instruments are left alone */
    struct session *session = begin("Hut pack 3", NULL);
    struct message message = {0};
    struct session_said said;
    wait_ms(400);
    CHECK(session_say(session, "13.02 V 24.8 A", 0.3, &said, &message) == STATUS_OK);
    CHECK(said.kind == SAID_LINE && said.call.t_s > 0.08 && said.call.t_s < 0.3);
    CHECK(session_say(session, "129 V 24.8 A", 0, &said, &message) == STATUS_OK);
    size_t wrong = said.number;
    CHECK(session_say(session, "burst on", 0, &said, &message) == STATUS_OK && said.kind == SAID_MARK);
    CHECK(session_say(session, "1:02:03 12.97 V", 0, &said, &message) == STATUS_MALFORMED);
    struct session_now now;
    session_now(session, &now);
    CHECK_NEAR(now.view.v, 129, 1e-9);
    CHECK(session_take_back(session, wrong, &message) == STATUS_OK);
    CHECK(session_take_back(session, wrong, &message) == STATUS_USAGE);
    CHECK(session_take_back(session, 77, &message) == STATUS_USAGE);
    wait_ms(80);
    session_now(session, &now);
    CHECK_NEAR(now.view.v, 13.02, 1e-9);
    CHECK(now.view.readings == 1 && session_by_eye(session));
    struct session_said all[SESSION_SAID];
    size_t count = session_said(session, all);
    CHECK(count >= 3 && all[count - 2].taken_back && !all[count - 1].taken_back);
    CHECK(session_say(session, "12.98 V 24.9 A", 0, &said, &message) == STATUS_OK);
    session_end(session, "ended on the page");
    until(session, SESSION_OVER, 3000);
    struct stored stored = stored_of(session_run(session));
    CHECK(stored.by_eye && stored.run.origin == TEST_TYPED && stored.sightings.count == 3);
    CHECK_NEAR(stored.sightings.instants[0].values[0].value, 13.02, 1e-12);
    CHECK_TEXT(stored.sightings.instants[1].words, "burst on");
    CHECK_TEXT(event_text(session_run(session), EVENT_NOTE, "taken back"), "0.0 129 V 24.8 A");
    CHECK_TEXT(event_text(session_run(session), EVENT_NOTE, "end"), "0.0 ended on the page");
    stored_free(&stored);
    session_free(session);
    scratch_remove(&scratch);
}

/* Several at once into one book, one a sample; and typed lines are remembered through a crash. */
TEST(several_samples_at_once_and_a_typed_run_goes_on)
{
    set_up(METER "address = r\n");
    struct session *first = begin("Hut pack 3", NULL), *other = NULL;
    request.by_eye = true;
    struct recorder *crashed = NULL;
    struct message message = {0};
    request.sample = "Hut pack 4";
    CHECK(recorder_open(&request, NULL, &crashed, &message) == STATUS_OK);
    CHECK(recorder_start(crashed, &message) == STATUS_OK);
    const struct clock *clock = recorder_clock(crashed);
    CHECK(recorder_say(crashed, "13.1 V 20.5 A", clock->now_ns(clock->context), &message) == STATUS_OK);
    struct bench_view view;
    bool is_over;
    wait_ms(60);
    recorder_turn(crashed, 0, NULL, NULL, &view, &is_over); /* commits */
    int64_t run = recorder_run(crashed);
    recorder_close(crashed);
    request.by_eye = false;
    request.rig = NULL;
    request.resume = true;
    other = begin("Hut pack 4", NULL);
    CHECK(session_run(other) == run && session_by_eye(other));
    wait_ms(80);
    struct session_now now;
    session_now(other, &now);
    CHECK(now.view.readings == 1);
    CHECK_NEAR(now.view.v, 13.1, 1e-9);
    struct session_said all[SESSION_SAID];
    CHECK(session_said(other, all) == 1 && all[0].kind == SAID_LINE && !all[0].ours);
    CHECK_TEXT(all[0].call.text, "13.1 V 20.5 A");
    CHECK(session_take_back(other, all[0].number, &message) == STATUS_USAGE);
    struct session *twice = NULL;
    struct session_request again = {.recorder = request};
    again.recorder.sample = "Hut pack 3";
    again.recorder.resume = false;
    CHECK(session_start(&again, &twice, &message) == STATUS_AMBIGUOUS);
    struct session_said said;
    CHECK(session_say(other, "13.0 V 20.4 A", 0, &said, &message) == STATUS_OK && said.number == 2);
    session_free(other); /* ends it */
    session_free(first);
    struct stored stored = stored_of(run);
    CHECK(stored.by_eye && stored.sightings.count == 2 && !stored.run.open);
    stored_free(&stored);
    scratch_remove(&scratch);
}

static const char short_script[] = "name = Invented pack\nseed = 5\n[pack]\ncapacity = 3 Ah\ncharged = 60 %\n"
                                   "[program]\nrest = 1 min\ndischarge = 60 W, for 9 min\nrest = 1 min\n";

TEST(a_rehearsal_is_served_beside_its_recording_and_ends_with_it)
{
    set_up("");
    request.rig = NULL;
    request.drivers = NULL;
    struct rehearsed_request rehearsal = {"a script", span_of(short_script), NAN, 900};
    struct session *session = begin(NULL, &rehearsal);
    CHECK_TEXT(session_sample_name(session), "Invented pack");
    CHECK(session_rehearsed(session) && session_invented(session));
    CHECK_NEAR(session_rate(session), 900, 1e-9);
    struct session_now now = until(session, SESSION_OVER, 5000);
    CHECK_TEXT(now.cause, "the rehearsal is over");
    CHECK(now.view.readings > 100 && now.view.lost == 0);
    struct stored stored = stored_of(session_run(session));
    struct text truth = TEXT_EMPTY;
    struct message message = {0};
    CHECK(stored.run.invented && stored.run.origin == TEST_REHEARSED && !stored.run.open);
    CHECK(book_run_text_get(scratch.book, stored.run.id, rehearsed_truth_topic, &truth, &message) == STATUS_OK);
    CHECK(strstr(text_string(&truth), "\"charge_ah\"") != NULL);
    int64_t rig = 1;
    CHECK(document_latest(scratch.book, 0, DOCUMENT_RIG, NULL, &rig, &message) == STATUS_OK && rig == 0);
    int64_t real = 0;
    struct book_options options = writing();
    book_close(scratch.book);
    CHECK(book_open(scratch.path, &options, &scratch.book, &message) == STATUS_OK);
    CHECK(book_sample_add(scratch.book, "Hut pack 3", false, 0, &real, &message) == STATUS_OK);
    struct session_request wanted = {.recorder = request, .rehearsal = &rehearsal};
    struct session *none = NULL;
    wanted.recorder.sample = "Hut pack 3";
    CHECK(session_start(&wanted, &none, &message) == STATUS_USAGE && strstr(message.what, "invented") != NULL);
    text_free(&truth);
    stored_free(&stored);
    session_free(session);
    scratch_remove(&scratch);
}

TEST(a_rehearsal_leaves_a_typed_label_as_it_is)
{
    static const char typed[] = "[sample]\nname = Hut pack 7\ninvented = yes\n[claims]\ncapacity = 3 Ah | case\n";
    set_up("");
    request.rig = NULL;
    request.drivers = NULL;
    struct rehearsed_request rehearsal = {"a script", span_of(short_script), NAN, 900};
    struct message message = {0};
    struct book_options options = writing();
    int64_t sample = 0, label = 0, latest = 0;
    book_close(scratch.book);
    CHECK(book_open(scratch.path, &options, &scratch.book, &message) == STATUS_OK);
    CHECK(book_sample_add(scratch.book, "Hut pack 7", true, 0, &sample, &message) == STATUS_OK);
    CHECK(document_put(scratch.book, sample, DOCUMENT_LABEL, "label", span_of(typed), 1, &label, &message) == STATUS_OK);
    struct session *session = begin("Hut pack 7", &rehearsal);
    until(session, SESSION_OVER, 5000);
    CHECK(document_latest(scratch.book, sample, DOCUMENT_LABEL, NULL, &latest, &message) == STATUS_OK && latest == label);
    book_close(scratch.book);
    struct stored stored = stored_of(session_run(session));
    CHECK(stored.run.label_document == label);
    stored_free(&stored);
    session_free(session);
    scratch_remove(&scratch);
}
