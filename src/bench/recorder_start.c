/* What a recording begins with: rig, label and plan, from files or out of the book; the run, new or left open. */
#include "bench/recorder_parts.h"

#include "base/json_value.h"
#include "base/memory.h"
#include "base/number.h"
#include "book/sample.h"
#include "instrument/devices.h"
#include "intake/rig_file.h"
#include "intake/rig_links.h"

static const double second_ns = 1e9;

enum { DOCUMENT_BYTES = 1 << 20 };

/* Text of a file, or of the document that the book holds for the sample, else for the workshop; empty when there is
 * none. `name` gets what messages and the book call it. */
static enum status find_text(struct recorder *recorder, const char *path, const struct recorder_paper *given,
                             enum document_kind kind, struct text *ret_text, char *name, size_t size,
                             struct message *message)
{
    if (given != NULL && given->name != NULL) {
        snprintf(name, size, "%s", given->name);
        text_add_bytes(ret_text, given->text.p, given->text.n);
        return STATUS_OK;
    }
    if (path != NULL) {
        const char *slash = strrchr(path, '/');
        snprintf(name, size, "%s", slash != NULL ? slash + 1 : path);
        int error = text_read_file(path, DOCUMENT_BYTES, ret_text);
        if (error == 0)
            return STATUS_OK;
        status_fail(message, STATUS_UNREADABLE, "cannot be read: %s", strerror(error));
        return status_at(message, path, 0, 0);
    }
    int64_t id = kind == DOCUMENT_RIG     ? recorder->left.rig_document
                 : kind == DOCUMENT_LABEL ? recorder->left.label_document
                                          : 0; /* a run that goes on keeps its own */
    enum status status = STATUS_OK;
    if (recorder->sample != 0 && id == 0)
        status = document_latest(recorder->book, recorder->sample, kind, NULL, &id, message);
    if (status == STATUS_OK && id == 0 && kind == DOCUMENT_RIG)
        status = document_latest(recorder->book, 0, kind, NULL, &id, message);
    if (status != STATUS_OK || id == 0)
        return status;
    struct document document = {0};
    status = document_get(recorder->book, id, &document, message);
    if (status != STATUS_OK)
        return status;
    *ret_text = document.text;
    document.text = TEXT_EMPTY;
    snprintf(name, size, "%s", document.name);
    document_free(&document);
    return STATUS_OK;
}

static struct span span_of_text(const struct text *text)
{
    return (struct span){text_string(text), text->length};
}

static enum status read_rig(struct recorder *recorder, struct message *message)
{
    const char *path = recorder->request.rig;
    enum status status = find_text(recorder, path, &recorder->request.rig_text, DOCUMENT_RIG, &recorder->rig_text, recorder->rig_name,
                                   sizeof recorder->rig_name, message);
    recorder->rig = rig_default();
    recorder->links.clock_rate = 1;
    if (status != STATUS_OK || recorder->rig_text.length == 0)
        return status;
    struct notices notices = {0};
    const char *shown = path != NULL ? path : recorder->rig_name;
    status = rig_read_text(shown, span_of_text(&recorder->rig_text), &recorder->rig, &notices, message);
    if (status == STATUS_OK)
        status = rig_links_read_text(shown, span_of_text(&recorder->rig_text), &recorder->links, message);
    if (status == STATUS_OK && recorder->request.devices_alone && !recorder->request.by_eye)
        status = devices_alone(&recorder->links, message);
    if (recorder->request.by_eye) {
        links_free(&recorder->links);
        recorder->links = (struct links){.clock_rate = 1};
    }
    notices_free(&notices);
    return status;
}

static enum status read_label(struct recorder *recorder, struct message *message)
{
    char name[128] = "";
    const char *path = recorder->request.label;
    enum status status =
        find_text(recorder, path, &recorder->request.label_text, DOCUMENT_LABEL, &recorder->label_text, name, sizeof name, message);
    if (status != STATUS_OK || recorder->label_text.length == 0)
        return status;
    struct notices notices = {0};
    status = label_read_text(path != NULL ? path : name, span_of_text(&recorder->label_text),
                             &recorder->label, &notices, message);
    recorder->has_label = status == STATUS_OK;
    notices_free(&notices);
    return status;
}

static enum status read_plan(struct recorder *recorder, struct message *message)
{
    char name[128] = "";
    const char *path = recorder->request.plan;
    if (recorder->request.kind != TEST_DISCHARGE && path == NULL)
        return STATUS_OK; /* plans are of discharges */
    enum status status =
        find_text(recorder, path, NULL, DOCUMENT_PLAN, &recorder->plan_text, name, sizeof name, message);
    if (status != STATUS_OK || recorder->plan_text.length == 0)
        return status;
    status = plan_read_text(path != NULL ? path : name, span_of_text(&recorder->plan_text), &recorder->plan,
                            message);
    recorder->has_plan = status == STATUS_OK;
    return status;
}

/* The latest open run of the sample. */
static enum status find_left_open(struct recorder *recorder, struct message *message)
{
    struct book_run_list list = {0};
    if (recorder->sample == 0 && !recorder->request.resume)
        return STATUS_OK;
    enum status status =
        recorder->sample != 0 ? book_runs(recorder->book, recorder->sample, &list, message) : STATUS_OK;
    for (size_t k = 0; k < list.count && status == STATUS_OK; k++)
        if (list.items[k].open && (recorder->request.resume_run == 0 || recorder->request.resume_run == list.items[k].id))
            recorder->left = list.items[k];
    book_run_list_free(&list);
    if (status != STATUS_OK || recorder->left.id != 0 || !recorder->request.resume)
        return status;
    status_fail(message, STATUS_USAGE, "%s has no run that was left open", recorder->sample_name);
    status_at(message, recorder->request.book, 0, 0);
    return status_remedy(message, "leave --resume away to begin a run");
}

enum status recorder_read(struct recorder *recorder, struct message *message)
{
    enum status status = find_left_open(recorder, message);
    if (!recorder->request.resume) {
        recorder->left_open = recorder->left.id;
        recorder->left = (struct book_run){0};
    } else {
        struct recorder_request *request = &recorder->request;
        request->kind = recorder->left.kind;
        request->by_eye |= recorder->left.origin == TEST_TYPED && request->rig == NULL && request->rig_text.name == NULL;
    }
    if (status == STATUS_OK)
        status = read_rig(recorder, message);
    if (status == STATUS_OK)
        status = read_label(recorder, message);
    if (status == STATUS_OK)
        status = read_plan(recorder, message);
    const struct recorder_request *request = &recorder->request;
    recorder->limits =
        limits_usual(recorder->has_label ? &recorder->label : NULL, request->kind == TEST_CHARGE);
    for (size_t k = 0; k < request->limit_count && status == STATUS_OK; k++)
        status = limits_set(span_of(request->limits[k]), "--limit", &recorder->limits, message);
    return status;
}

/* By which a resumed run finds its zero again: the monotonic clock counts from the machine's start. */
static void boot_id(char *ret_id, size_t size)
{
    struct text text = TEXT_EMPTY;
    if (text_read_file("/proc/sys/kernel/random/boot_id", 4096, &text) != 0)
        text_free(&text);
    span_copy(span_trim(span_of(text_string(&text))), ret_id, size);
    text_free(&text);
}

/* The clock that goes on while no recorder runs: a bench's that is faster than life is the machine's, at its rate. */
static struct clock lasting(const struct recorder *recorder)
{
    return recorder->clock.rate > 1 ? clock_machine() : recorder->clock;
}

static enum status keep_zero(struct recorder *recorder, struct message *message)
{
    char boot[64];
    boot_id(boot, sizeof boot);
    struct clock clock = lasting(recorder);
    struct text text = TEXT_EMPTY;
    json_t *zero = json_object();
    json_put_words(zero, "boot", boot);
    json_put(zero, "monotonic_ns", json_integer(clock.now_ns(clock.context)));
    json_put(zero, "utc_ns", json_integer(clock.utc_ns(clock.context)));
    json_add_text(zero, true, &text);
    json_decref(zero);
    enum status status =
        book_run_text_put(recorder->book, recorder->run, "recorder", span_of_text(&text), message);
    text_free(&text);
    return status;
}

static enum status put_documents(struct recorder *recorder, int64_t utc_ns, struct message *message)
{
    enum status status = STATUS_OK;
    if (recorder->rig_text.length > 0)
        status = document_put(recorder->book, recorder->request.rehearsed ? recorder->sample : 0, DOCUMENT_RIG,
                              recorder->rig_name,
                              span_of_text(&recorder->rig_text), utc_ns, &recorder->rig_document, message);
    if (status == STATUS_OK && recorder->has_label)
        status =
            document_put(recorder->book, recorder->sample, DOCUMENT_LABEL, "label",
                         span_of_text(&recorder->label_text), utc_ns, &recorder->label_document, message);
    int64_t plan = 0;
    if (status == STATUS_OK && recorder->has_plan)
        status = document_put(recorder->book, recorder->sample, DOCUMENT_PLAN, "plan",
                              span_of_text(&recorder->plan_text), utc_ns, &plan, message);
    return status;
}

static enum status begin_run(struct recorder *recorder, struct message *message)
{
    const struct clock *clock = &recorder->clock;
    int64_t utc_ns = clock->utc_ns(clock->context);
    bool rehearsed = recorder->request.rehearsed || clock->rate > 1;
    struct book_run run = {.sample = recorder->sample,
                           .kind = recorder->request.kind,
                           .origin = rehearsed                             ? TEST_REHEARSED
                                     : recorder_instruments(recorder) == 0 ? TEST_TYPED
                                                                           : TEST_RECORDED,
                           .start_utc_s = (double)utc_ns / second_ns,
                           .zone_known = true,
                           .open = true,
                           .end_s = NAN,
                           .invented = rehearsed || recorder->label.invented,
                           .added_utc_ns = utc_ns};
    recorder->origin_ns = clock->now_ns(clock->context);
    snprintf(run.name, sizeof run.name, "%s", recorder->sample_name);
    enum status status = put_documents(recorder, utc_ns, message);
    run.rig_document = recorder->rig_document;
    run.label_document = recorder->label_document;
    if (status == STATUS_OK)
        status = book_run_add(recorder->book, &run, &recorder->run, message);
    if (status == STATUS_OK)
        status = keep_zero(recorder, message);
    return status;
}

/* Where the run's clock stands by now: by the monotonic clock while the machine has not been started anew, else by
 * UTC. NaN when the run does not say. */
static double elapsed_of(const struct recorder *recorder, int64_t run)
{
    char boot[64];
    boot_id(boot, sizeof boot);
    struct clock clock = lasting(recorder);
    struct text text = TEXT_EMPTY;
    json_t *zero = NULL;
    if (book_run_text_get(recorder->book, run, "recorder", &text, NULL) == STATUS_OK && text.length > 0)
        (void)json_parse(recorder->request.book, 1, span_of_text(&text), &zero, NULL);
    text_free(&text);
    if (zero == NULL)
        return NAN;
    const char *then = json_string_value(json_object_get(zero, "boot"));
    bool same = then != NULL && boot[0] != '\0' && strcmp(then, boot) == 0;
    int64_t began = json_integer_value(json_object_get(zero, same ? "monotonic_ns" : "utc_ns"));
    int64_t now = same ? clock.now_ns(clock.context) : clock.utc_ns(clock.context);
    json_decref(zero);
    return (double)(now - began) / second_ns * recorder->clock.rate;
}

double recorder_gone_by_s(const struct recorder *recorder)
{
    return recorder->left.id != 0 ? elapsed_of(recorder, recorder->left.id) : NAN;
}

static bool same_columns(const struct book_stream *stream, const struct link *link)
{
    bool same = stream->columns == link->channel_count && strcmp(stream->name, link->name) == 0;
    for (int c = 0; same && c < link->channel_count; c++) {
        const struct book_column *column = &stream->column[c];
        const struct link_channel *channel = &link->channels[c];
        same = strcmp(column->name, channel->name) == 0 && column->channel == channel->channel &&
               column->unit.quantity == channel->unit.quantity &&
               column->unit.factor == channel->unit.factor && column->unit.shift == channel->unit.shift;
    }
    return same;
}

static bool note_last(void *context, const struct block_columns *block)
{
    *(double *)context = decimal_value(block->cells[0][block->count - 1]);
    return true;
}

/* Streams go on where instrument and columns are the same; anything else becomes a stream of its own. */
static enum status take_up_streams(struct recorder *recorder, struct message *message)
{
    struct book_stream_list list = {0};
    enum status status = book_streams(recorder->book, recorder->run, &list, message);
    for (size_t s = 0; s < list.count && status == STATUS_OK; s++) {
        double last_s = NAN;
        status =
            stream_walk(recorder->book, list.items[s].id, -INFINITY, INFINITY, note_last, &last_s, message);
        for (size_t k = 0; k < recorder->links.count && status == STATUS_OK; k++) {
            struct recorder_source *source = &recorder->sources[k];
            if (source->stream != 0 || !same_columns(&list.items[s], source->link))
                continue;
            source->stream = list.items[s].id;
            source->last_s = last_s;
            source->away = source->away_said = true;
            source->away_from_s = isfinite(last_s) ? last_s : 0;
            snprintf(source->away_topic, sizeof source->away_topic, "%s", recorder_stopped);
            snprintf(source->away_cause, sizeof source->away_cause,
                     "the recorder stopped without ending the run");
        }
    }
    book_stream_list_free(&list);
    return status;
}

static enum status resume(struct recorder *recorder, struct message *message)
{
    struct book_run now = {0}, *run = &now;
    enum status status = book_run_get(recorder->book, recorder->left.id, &now, message);
    if (status == STATUS_OK && !now.open) { /* another recorder has gone on with it, and ended it */
        status_fail(message, STATUS_USAGE, "run %lld has been ended meanwhile", (long long)now.id);
        return status_at(message, recorder->request.book, 0, 0);
    }
    recorder->run = recorder->left.id;
    const struct clock *clock = &recorder->clock;
    double elapsed_s = elapsed_of(recorder, run->id), last_s = isfinite(run->end_s) ? run->end_s : 0;
    double at_s = fmax(elapsed_s, last_s + 0.001);
    recorder->from_s = last_s;
    recorder->origin_ns = clock->now_ns(clock->context) - (int64_t)(at_s * second_ns);
    if (status == STATUS_OK)
        status = put_documents(recorder, clock->utc_ns(clock->context), message);
    if (status == STATUS_OK)
        status = take_up_streams(recorder, message);
    if (status != STATUS_OK)
        return status;
    recorder_event(recorder, EVENT_NOTE, NULL, at_s, NAN, "resumed",
                   "the recording goes on after it stopped at %.1f s", last_s);
    if (!(elapsed_s >= last_s)) { /* the machine was started anew and its clock set back */
        struct call call = call_make(CALL_CLOCK, at_s, true,
                                     "The clock stands before the run's last reading: how long the "
                                     "recording stood still is not known.");
        recorder_call(recorder, &call);
    }
    return STATUS_OK;
}

static enum status take_up_tie(struct recorder *recorder, struct recorder_source *source,
                               struct message *message)
{
    char topic[96];
    double tie_s;
    struct text text = TEXT_EMPTY;
    recorder_tie_topic(source, topic, sizeof topic);
    enum status status = book_run_text_get(recorder->book, recorder->run, topic, &text, message);
    if (status == STATUS_OK && number_is(span_of_text(&text), '.', &tie_s)) {
        timeline_resume(&source->timeline, tie_s);
        source->kept_tie_s = tie_s;
    }
    text_free(&text);
    return status;
}

enum status recorder_enter(struct recorder *recorder, struct message *message)
{
    enum status status = book_begin(recorder->book, message);
    if (status != STATUS_OK)
        return status;
    status = recorder->request.resume ? resume(recorder, message) : begin_run(recorder, message);
    if (status != STATUS_OK) {
        book_rollback(recorder->book);
        return status;
    }
    status = book_commit(recorder->book, message);
    for (size_t k = 0; k < recorder->links.count && status == STATUS_OK; k++) {
        struct recorder_source *source = &recorder->sources[k];
        source->arrived_s = recorder->from_s;
        source->timeline =
            timeline_begin(source->link, &recorder->clock, recorder->origin_ns,
                           fmax(recorder->from_s, isfinite(source->last_s) ? source->last_s : 0));
        if (recorder->request.resume && source->link->own_time)
            status = take_up_tie(recorder, source, message);
    }
    return status;
}
