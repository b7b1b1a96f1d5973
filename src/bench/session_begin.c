/* How a session begins: its request copied, the rehearsal opened, the run begun or taken up again. */
#include "bench/session_parts.h"

#include "archive/stored.h"
#include "base/memory.h"
#include "book/sample.h"

static const char *copy(struct session *session, const char *text, size_t length)
{
    if (text == NULL || session->text_count == SESSION_TEXTS)
        return NULL;
    char *own = session->texts[session->text_count++] = memory_get(length + 1);
    memcpy(own, text, length);
    return own;
}

static const char *copy_string(struct session *session, const char *text)
{
    return text != NULL ? copy(session, text, strlen(text)) : NULL;
}

static struct recorder_paper copy_paper(struct session *session, struct recorder_paper paper)
{
    return (struct recorder_paper){copy_string(session, paper.name),
                                   {copy(session, paper.text.p, paper.text.n), paper.text.n}};
}

static struct recorder_request copy_request(struct session *session, const struct recorder_request *from)
{
    struct recorder_request own = *from;
    own.book = copy_string(session, from->book);
    own.vfs = copy_string(session, from->vfs);
    own.sample = copy_string(session, from->sample);
    own.rig = copy_string(session, from->rig);
    own.label = copy_string(session, from->label);
    own.plan = copy_string(session, from->plan);
    own.on_call = copy_string(session, from->on_call);
    own.rig_text = copy_paper(session, from->rig_text);
    own.label_text = copy_paper(session, from->label_text);
    own.limit_count = 0;
    while (own.limit_count < from->limit_count && own.limit_count < SESSION_TEXTS / 2) {
        session->limits[own.limit_count] = copy_string(session, from->limits[own.limit_count]);
        own.limit_count++;
    }
    own.limits = session->limits;
    return own;
}

/* What was said before the recording stopped. */
static void take_up_said(struct session *session, const struct book_event_list *events)
{
    for (size_t k = 0; k < events->count; k++) {
        const struct book_event *event = &events->items[k];
        if (event->kind != EVENT_CALL && event->kind != EVENT_LINE && event->kind != EVENT_MARK)
            continue;
        struct session_said said = {.kind = event->kind == EVENT_CALL   ? SAID_CALL
                                            : event->kind == EVENT_LINE ? SAID_LINE
                                                                        : SAID_MARK,
                                    .taken_back = stored_is_taken_back(events, k)};
        said.call = call_make(call_kind_of(event->topic), event->t_s, false, "%s", event->text);
        session_remember(session, &said);
    }
}

static enum status sample_of(struct session *session, const struct recorder_request *request, struct book *book,
                             struct message *message)
{
    struct book_sample sample = {0};
    enum status status = book_sample_find(book, request->sample, &sample, message);
    session->sample = sample.id;
    session->invented = sample.invented;
    return status;
}

/* A pack that exists is no place for invented readings, nor its label for an invented one. */
static enum status check_invented(struct session *session, const struct recorder_request *request, struct book *book,
                                  struct message *message)
{
    if (sample_of(session, request, book, NULL) != STATUS_OK || session->invented)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "%s is a sample that exists, and a rehearsal is invented", request->sample);
    return status_remedy(message, "give the rehearsal a name of its own");
}

/* What the run that is to be resumed was a rehearsal of; *ret_value NULL: of none that this program can go on with. */
static enum status find_rehearsal(struct session *session, const struct recorder_request *request, struct book *book,
                                  json_t **ret_value, struct rehearsed_request *ret_rehearsal, struct message *message)
{
    struct book_run_list runs = {0};
    struct text text = TEXT_EMPTY;
    enum status status = sample_of(session, request, book, message);
    if (status == STATUS_OK)
        status = book_runs(book, session->sample, &runs, message);
    for (size_t k = runs.count; k-- > 0 && status == STATUS_OK;) {
        if (!runs.items[k].open || (request->resume_run != 0 && request->resume_run != runs.items[k].id))
            continue;
        status = book_run_text_get(book, runs.items[k].id, rehearsed_topic, &text, message);
        break;
    }
    if (status == STATUS_OK && text.length > 0)
        status = json_parse(request->book, 1, (struct span){text_string(&text), text.length}, ret_value, message);
    if (status == STATUS_OK && *ret_value != NULL)
        status = rehearsed_of_json(*ret_value, ret_rehearsal, message);
    text_free(&text);
    book_run_list_free(&runs);
    return status;
}

/* What somebody typed of the sample holds; only one without a label takes the script's claims. */
static enum status take_label(struct session *session, struct recorder_request *request, struct book *book,
                              struct message *message)
{
    int64_t label = 0;
    enum status status = STATUS_OK;
    if (sample_of(session, request, book, NULL) == STATUS_OK)
        status = document_latest(book, session->sample, DOCUMENT_LABEL, NULL, &label, message);
    if (status == STATUS_OK && label == 0)
        request->label_text = (struct recorder_paper){"label", rehearsed_label(session->rehearsed)};
    return status;
}

static enum status open_rehearsal(struct session *session, const struct session_request *from,
                                  struct recorder_request *request, struct book *book, struct message *message)
{
    struct rehearsed_request found, *rehearsal = NULL;
    json_t *value = NULL;
    enum status status = STATUS_OK;
    if (request->resume)
        status = find_rehearsal(session, request, book, &value, &found, message);
    else if (from->rehearsal != NULL)
        found = *from->rehearsal;
    if (value != NULL || (!request->resume && from->rehearsal != NULL))
        rehearsal = &found;
    if (status == STATUS_OK && rehearsal != NULL)
        status = rehearsed_open(rehearsal, &session->rehearsed, message);
    json_decref(value);
    if (session->rehearsed == NULL || status != STATUS_OK)
        return status;
    if (request->sample == NULL || request->sample[0] == '\0')
        request->sample = rehearsed_name(session->rehearsed);
    request->rehearsed = true;
    request->rig_text = (struct recorder_paper){rehearsed_rig_name(session->rehearsed), rehearsed_rig(session->rehearsed)};
    if (request->resume)
        return STATUS_OK;
    status = check_invented(session, request, book, message);
    return status == STATUS_OK ? take_label(session, request, book, message) : status;
}

/* What the rehearsal was of, and the truth, beside its run. */
static enum status keep_rehearsal(struct session *session, struct book *book, struct message *message)
{
    struct text text = TEXT_EMPTY, truth = TEXT_EMPTY;
    json_t *value = rehearsed_json(session->rehearsed);
    json_add_text(value, true, &text);
    json_decref(value);
    rehearsed_truth(session->rehearsed, &truth);
    int64_t run = recorder_run(session->recorder);
    enum status status = book_begin(book, message);
    if (status == STATUS_OK)
        status = book_run_text_put(book, run, rehearsed_topic, (struct span){text.s, text.length}, message);
    if (status == STATUS_OK)
        status = book_run_text_put(book, run, rehearsed_truth_topic, (struct span){truth.s, truth.length}, message);
    if (status == STATUS_OK)
        status = book_commit(book, message);
    text_free(&text);
    text_free(&truth);
    return status;
}

static enum status begin(struct session *session, const struct recorder_request *request, struct book *book,
                         struct message *message)
{
    enum status status = recorder_open(request, NULL, &session->recorder, message);
    if (status != STATUS_OK)
        return status;
    if (recorder_takes_input(session->recorder)) {
        status_fail(message, STATUS_USAGE, "an instrument of this rig is standard input, which is not here");
        return status_remedy(message, "record it with `rundown record`, or reach the instrument by its address");
    }
    double gone_by_s = recorder_gone_by_s(session->recorder);
    if (session->rehearsed != NULL && isfinite(gone_by_s))
        rehearsed_go_on(session->rehearsed, gone_by_s);
    status = recorder_start(session->recorder, message);
    if (status == STATUS_OK && session->rehearsed != NULL && !request->resume)
        status = keep_rehearsal(session, book, message);
    struct book_run run = {0};
    struct book_event_list events = {0};
    if (status == STATUS_OK)
        status = book_run_get(book, recorder_run(session->recorder), &run, message);
    if (status == STATUS_OK && request->resume)
        status = book_events(book, run.id, &events, message);
    if (status == STATUS_OK && request->resume)
        take_up_said(session, &events);
    book_event_list_free(&events);
    session->run = run.id;
    session->sample = run.sample;
    snprintf(session->sample_name, sizeof session->sample_name, "%s", recorder_sample(session->recorder));
    session->rate = recorder_clock(session->recorder)->rate;
    session->is_rehearsed = run.origin == TEST_REHEARSED;
    session->invented = run.invented;
    session->kind = recorder_kind(session->recorder);
    session->by_eye = recorder_instruments(session->recorder) == 0;
    session->left_open = recorder_left_open(session->recorder);
    return status;
}

enum status session_begin(struct session *session, const struct session_request *from, struct message *message)
{
    struct recorder_request request = copy_request(session, &from->recorder);
    struct book_options options = {.access = BOOK_WRITE, .vfs = request.vfs};
    struct book *book = NULL;
    enum status status = book_open(request.book, &options, &book, message);
    if (status == STATUS_OK)
        status = open_rehearsal(session, from, &request, book, message);
    if (status == STATUS_OK)
        status = begin(session, &request, book, message);
    book_close(book);
    return status;
}
