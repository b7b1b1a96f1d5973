#include "bench/recorder_parts.h"

#include "archive/stored.h"
#include "base/memory.h"
#include "bench/recording_lock.h"
#include "bench/replay.h"
#include "book/sample.h"

static const double second_ns = 1e9;

/* Another program that writes holds up a commit for so long, and what comes meanwhile in the queue. */
enum { DRIVERS_AT_MOST = 32, PATIENCE_MS = 300 };
enum { GATHER_NS = 5000000, GATHER_FROM = 2 };

/* The instruments' own drivers, and the replay out of a book, which the floor of instruments does not know. */
static const struct driver *const *all_drivers(void)
{
    static const struct driver *all[DRIVERS_AT_MOST];
    size_t n = 0;
    for (; drivers[n] != NULL && n + 2 < DRIVERS_AT_MOST; n++)
        all[n] = drivers[n];
    all[n] = &driver_replay;
    return all;
}

static void set_up_sources(struct recorder *recorder)
{
    recorder->sources = memory_get((recorder->links.count + 1) * sizeof *recorder->sources);
    for (size_t k = 0; k < recorder->links.count; k++) {
        struct recorder_source *source = &recorder->sources[k];
        source->link = &recorder->links.items[k];
        source->held = held_new(source->link->channel_count);
        source->last_s = source->kept_tie_s = NAN;
        for (int c = 0; c < LINK_CHANNELS; c++)
            source->tally[c] = NAN;
    }
    recorder->latest = latest_new(&recorder->links, 0.05 * (recorder->clock.rate - 1));
    recorder->news = memory_get(RECORDER_NEWS * sizeof *recorder->news);
}

static enum status find_sample(struct recorder *recorder, struct message *message)
{
    struct book_sample sample = {0};
    enum status status = book_sample_find(recorder->book, recorder->request.sample, &sample, message);
    if (status == STATUS_USAGE) { /* there is none: it is made at the start */
        span_copy(span_trim(span_of(recorder->request.sample)), recorder->sample_name,
                  sizeof recorder->sample_name);
        return STATUS_OK;
    }
    recorder->sample = sample.id;
    span_copy(span_of(sample.name), recorder->sample_name, sizeof recorder->sample_name);
    return status;
}

enum status recorder_open(const struct recorder_request *request, const struct clock *clock,
                          struct recorder **ret_recorder, struct message *message)
{
    struct recorder *recorder = memory_get(sizeof *recorder);
    *recorder =
        (struct recorder){.request = *request,
                          .lock = -1,
                          .label = label_empty(),
                          .waiting_since_s = NAN,
                          .typed_last_s = NAN,
                          .disk_told_bytes = request->disk_low_bytes > 0 ? request->disk_low_bytes : 200e6};
    struct book_options options = {.access = BOOK_WRITE, .vfs = request->vfs, .wait_ms = PATIENCE_MS};
    enum status status = book_open(request->book, &options, &recorder->book, message);
    if (status == STATUS_OK)
        status = find_sample(recorder, message);
    if (status == STATUS_OK)
        status = recorder_read(recorder, message);
    if (status == STATUS_OK) {
        double rate = recorder->links.clock_rate;
        recorder->clock = clock != NULL ? *clock
                          : rate > 1    ? clock_at_rate(&recorder->pace, rate)
                                        : clock_machine();
        set_up_sources(recorder);
        status = runner_prepare(&recorder->links, request->drivers != NULL ? request->drivers : all_drivers(),
                                &recorder->clock, RECORDER_QUEUE, &recorder->runner, message);
    }
    if (status != STATUS_OK) {
        recorder_close(recorder);
        return status;
    }
    *ret_recorder = recorder;
    return STATUS_OK;
}

static enum forecast_goal goal_of(enum test_kind kind)
{
    return kind == TEST_CHARGE ? GOAL_CHARGE : kind == TEST_REST ? GOAL_NONE : GOAL_DISCHARGE;
}

static void catch_up_typed(struct recorder *recorder)
{
    bool watched = recorder_instruments(recorder) == 0;
    struct sightings typed = {0};
    if (stored_typed(recorder->book, recorder->run, &typed, NULL) != STATUS_OK)
        return;
    for (size_t k = 0; k < typed.count; k++) {
        struct call calls[WATCH_CALLS];
        struct typed_line *line = recorder_typed(recorder, &typed.instants[k], typed.instants[k].t_s);
        if (line->reading && watched)
            (void)watch_reading(recorder->watch, &line->now, calls);
    }
    recorder->typed_before = recorder->typed_count;
    sightings_free(&typed);
}

/* What the run holds already, without what it gives rise to: that was said at the time. */
static void catch_up(struct recorder *recorder)
{
    struct stored stored;
    if (recorder->request.resume)
        catch_up_typed(recorder);
    if (!recorder->request.resume || stored_read(recorder->book, recorder->run, &stored, NULL) != STATUS_OK)
        return; /* nothing was read before it stopped */
    struct series *series = &stored.log.series;
    for (size_t k = 0; k < series->count && !stored.by_eye; k++) {
        struct reading_now now = reading_none(series->t_s[k]);
        struct call calls[WATCH_CALLS];
        double *const into[CHANNELS] = {[CHANNEL_VOLTAGE] = &now.v,
                                        [CHANNEL_CURRENT] = &now.a,
                                        [CHANNEL_TEMPERATURE] = &now.degc,
                                        [CHANNEL_AMBIENT] = &now.ambient_degc};
        for (int c = 0; c < CHANNELS; c++)
            if (into[c] != NULL && series->column[c] != NULL)
                *into[c] = series->column[c][k];
        (void)watch_reading(recorder->watch, &now, calls);
    }
    recorder->readings += stored.by_eye ? 0 : series->count;
    stored_free(&stored);
}

static struct watch_setup watch_setup_of(const struct recorder *recorder)
{
    return (struct watch_setup){.label = recorder->has_label ? &recorder->label : NULL,
                                .rig = &recorder->rig,
                                .plan = recorder->has_plan ? &recorder->plan : NULL,
                                .limits = recorder->limits,
                                .goal = goal_of(recorder->request.kind)};
}

struct watch *recorder_new_watch(const struct recorder *recorder)
{
    struct watch_setup setup = watch_setup_of(recorder);
    return watch_new(&setup);
}

static void set_up_watch(struct recorder *recorder)
{
    struct watch_setup setup = watch_setup_of(recorder);
    recorder->watch = watch_new(&setup);
    catch_up(recorder);
    struct call calls[WATCH_CALLS];
    size_t count = recorder->request.resume ? 0 : watch_before(&setup, calls); /* it was said at the start */
    for (size_t k = 0; k < count; k++)
        recorder_call(recorder, &calls[k]);
}

/* A sample that is new has its number from here on; nothing else is written before the lock is held. */
static enum status take_sample(struct recorder *recorder, struct message *message)
{
    enum status status = STATUS_OK;
    if (recorder->sample == 0) {
        bool invented = recorder->label.invented || recorder->request.rehearsed || recorder->clock.rate > 1;
        status = book_sample_add(recorder->book, recorder->sample_name, invented,
                                 recorder->clock.utc_ns(recorder->clock.context), &recorder->sample, message);
    }
    if (status == STATUS_OK)
        status = recording_lock(recorder->request.book, recorder->sample, recorder->sample_name,
                                &recorder->lock, message);
    return status;
}

enum status recorder_start(struct recorder *recorder, struct message *message)
{
    enum status status = take_sample(recorder, message);
    if (status == STATUS_OK)
        status = recorder_enter(recorder, message);
    if (status != STATUS_OK)
        return status;
    const struct clock *clock = &recorder->clock;
    int64_t now = clock->now_ns(clock->context);
    recorder->utc_ahead_ns = clock->utc_ns(clock->context) - now;
    recorder->commit_due_ns = now;
    recorder->on_call = (struct on_call){
        .command = recorder->request.on_call, .sample = recorder->sample_name, .run = recorder->run};
    set_up_watch(recorder);
    status = runner_start(recorder->runner, message);
    return status;
}

/* Waits for the first; a fast bench's are then let come for some milliseconds, to be taken in one go. */
static size_t take_news(struct recorder *recorder, double timeout_s)
{
    struct clock machine = clock_machine();
    if (recorder->busy && timeout_s > 0)
        machine.wait_ns(machine.context, machine.now_ns(machine.context) + GATHER_NS);
    size_t count = runner_take(recorder->runner, recorder->news, RECORDER_NEWS, timeout_s);
    recorder->busy = count >= GATHER_FROM;
    for (size_t k = 0; k < count; k++)
        recorder_hear(recorder, &recorder->news[k]);
    return count;
}

static void idle(struct recorder *recorder)
{
    struct call calls[WATCH_CALLS];
    size_t count = watch_idle(recorder->watch, recorder_now_s(recorder), calls);
    for (size_t k = 0; k < count; k++)
        recorder_call(recorder, &calls[k]);
}

static struct bench_view view_of(const struct recorder *recorder)
{
    struct bench_view view = {
        .elapsed_s = recorder_now_s(recorder), .run = recorder->run, .ah = NAN, .wh = NAN};
    struct reading_now now = latest_now(recorder->latest, view.elapsed_s, &view.w);
    view.v = now.v;
    view.a = now.a;
    view.degc = now.degc;
    view.committed = isnan(recorder->waiting_since_s);
    view.behind_s =
        view.committed ? 0 : fmax(view.elapsed_s - recorder->waiting_since_s, 0) / recorder->clock.rate;
    view.unwritable = recorder->refused > 0;
    view.readings = recorder->readings;
    view.forecast = recorder->readings > 0 ? watch_forecast(recorder->watch) : NULL;
    if (view.forecast != NULL) {
        view.ah = view.forecast->ah;
        view.wh = view.forecast->wh;
    }
    for (size_t k = 0; k < recorder->links.count; k++) {
        const struct recorder_source *source = &recorder->sources[k];
        view.lost += source->lost;
        view.instruments += source->link->channel_count > 0;
        view.lost_instruments += source->link->channel_count > 0 && (source->away || !source->connected);
    }
    return view;
}

static bool all_ended(const struct recorder *recorder)
{
    size_t speaking = 0, ended = 0;
    for (size_t k = 0; k < recorder->links.count; k++) {
        speaking += recorder->links.items[k].channel_count > 0;
        ended += recorder->sources[k].ended;
    }
    return speaking > 0 && ended == speaking;
}

void recorder_turn(struct recorder *recorder, double timeout_s,
                   void (*heed)(void *context, const struct call *call), void *context,
                   struct bench_view *ret_view, bool *ret_over)
{
    const struct clock *clock = &recorder->clock;
    double due_s = (double)(recorder->commit_due_ns - clock->now_ns(clock->context)) / second_ns;
    (void)take_news(recorder, fmax(fmin(timeout_s * clock->rate, due_s), 0));
    idle(recorder);
    recorder_look_around(recorder);
    recorder_commit_due(recorder);
    on_call_tend(&recorder->on_call);
    for (size_t k = 0; k < recorder->told_count && heed != NULL; k++)
        heed(context, &recorder->told[k]);
    recorder->told_count = 0;
    *ret_view = view_of(recorder);
    *ret_over = all_ended(recorder);
}

static enum status seal(struct recorder *recorder, double end_s, struct message *message)
{
    enum status status = book_begin(recorder->book, message);
    if (status != STATUS_OK)
        return status;
    for (size_t k = 0; k < recorder->links.count && status == STATUS_OK; k++)
        if (recorder->sources[k].stream != 0)
            status = stream_seal(recorder->book, recorder->sources[k].stream, message);
    if (status == STATUS_OK)
        status = book_run_close(recorder->book, recorder->run, end_s, message);
    if (status == STATUS_OK)
        return book_commit(recorder->book, message);
    book_rollback(recorder->book);
    return status;
}

static double last_reading_s(const struct recorder *recorder)
{
    double last_s = recorder->from_s > 0 ? recorder->from_s : NAN;
    for (size_t k = 0; k < recorder->links.count; k++)
        last_s = fmax(last_s, recorder->sources[k].last_s);
    return fmax(last_s, recorder->typed_last_s);
}

enum status recorder_end(struct recorder *recorder, const char *cause, struct message *message)
{
    double at_s = recorder_now_s(recorder);
    if (!recorder->ended) {
        runner_stop(recorder->runner);
        while (take_news(recorder, 0) > 0)
            ;
        recorder_take_leave(recorder, at_s);
        recorder_event(recorder, EVENT_NOTE, NULL, at_s, NAN, "end", "%s", cause);
        on_call_finish(&recorder->on_call, 2);
        recorder->ended = true;
    }
    recorder_note_losses(recorder);
    enum status status = recorder_commit(recorder, message);
    if (status == STATUS_OK)
        status = seal(recorder, last_reading_s(recorder), message);
    return status;
}

void recorder_close(struct recorder *recorder)
{
    if (recorder == NULL)
        return;
    runner_free(recorder->runner);
    book_close(recorder->book);
    recording_unlock(recorder->request.book, recorder->lock);
    for (size_t k = 0; k < recorder->links.count && recorder->sources != NULL; k++)
        held_free(&recorder->sources[k].held);
    for (size_t k = 0; k < recorder->event_count; k++)
        free(recorder->events[k].event.text);
    for (size_t k = 0; k < recorder->typed_count; k++)
        free(recorder->typed[k].text);
    free(recorder->typed);
    free(recorder->events);
    free(recorder->sources);
    free(recorder->news);
    latest_free(recorder->latest);
    watch_free(recorder->watch);
    links_free(&recorder->links);
    label_free(&recorder->label);
    if (recorder->has_plan)
        plan_free(&recorder->plan);
    text_free(&recorder->rig_text);
    text_free(&recorder->label_text);
    text_free(&recorder->plan_text);
    text_free(&recorder->odd);
    free(recorder);
}

const struct clock *recorder_clock(const struct recorder *recorder)
{
    return &recorder->clock;
}

double recorder_at_s(const struct recorder *recorder, int64_t at_ns)
{
    return (double)(at_ns - recorder->origin_ns) / second_ns;
}

size_t recorder_held(const struct recorder *recorder)
{
    size_t held = 0;
    for (size_t k = 0; k < recorder->links.count; k++)
        held += recorder->sources[k].held.count;
    return held;
}

int64_t recorder_run(const struct recorder *recorder)
{
    return recorder->run;
}

const char *recorder_sample(const struct recorder *recorder)
{
    return recorder->sample_name;
}

enum test_kind recorder_kind(const struct recorder *recorder)
{
    return recorder->request.kind;
}

int64_t recorder_left_open(const struct recorder *recorder)
{
    return recorder->left_open;
}

bool recorder_takes_input(const struct recorder *recorder)
{
    for (size_t k = 0; k < recorder->links.count; k++)
        if (strcmp(recorder->links.items[k].address, "stdin") == 0)
            return true;
    return false;
}

size_t recorder_instruments(const struct recorder *recorder)
{
    size_t speaking = 0;
    for (size_t k = 0; k < recorder->links.count; k++)
        speaking += recorder->links.items[k].channel_count > 0;
    return speaking;
}
