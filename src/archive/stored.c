#include "archive/stored.h"

#include "archive/log_words.h"
#include "archive/stored_parts.h"
#include "base/memory.h"
#include "book/sample.h"
#include "intake/readings.h"

const char stored_log_stream[] = "log", stored_mode_column[] = "mode", stored_printed_column[] = "time as printed";
const char stored_log_topic[] = "log", stored_readings_topic[] = "readings";

enum { READINGS_BYTES = 1 << 20 };

void stored_take_name(const char *path, struct book_run *run)
{
    const char *slash = strrchr(path, '/');
    if (run->name[0] == '\0')
        span_copy(span_of(slash != NULL ? slash + 1 : path), run->name, sizeof run->name);
}

static enum status put_typed(struct book *book, const struct book_run *run, const struct text *typed,
                             int64_t *ret_run, struct message *message)
{
    int64_t id = 0;
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = book_run_add(book, run, &id, message);
    if (status == STATUS_OK)
        status = book_run_text_put(book, id, stored_readings_topic, (struct span){typed->s, typed->length}, message);
    if (status != STATUS_OK) {
        book_rollback(book);
        return status;
    }
    status = book_commit(book, message);
    if (status == STATUS_OK)
        *ret_run = id;
    return status;
}

enum status stored_readings(struct book *book, const struct stored_request *request, const char *path,
                            int64_t *ret_run, struct message *message)
{
    struct text typed = TEXT_EMPTY;
    int fault = text_read_file(path, READINGS_BYTES, &typed);
    if (fault != 0) {
        status_fail(message, STATUS_UNREADABLE, "cannot be read: %s", strerror(fault));
        return status_at(message, path, 0, 0);
    }
    struct sightings sightings;
    struct notices notices = {0};
    enum status status =
        readings_read_text(path, (struct span){text_string(&typed), typed.length}, &sightings, &notices, message);
    if (status == STATUS_OK) {
        struct book_run run = request->run;
        run.origin = TEST_TYPED;
        run.start_utc_s = sightings.start_utc_s;
        run.zone_known = sightings.zone_known;
        run.open = false;
        run.end_s = sightings.tied && sightings.count > 0 ? sightings.instants[sightings.count - 1].t_s : NAN;
        run.invented |= sightings.invented;
        stored_take_name(path, &run);
        sightings_free(&sightings);
        status = put_typed(book, &run, &typed, ret_run, message);
    }
    notices_free(&notices);
    text_free(&typed);
    return status;
}

enum status stored_sign(struct book *book, const struct book_run *run, enum sign_stated *ret_sign,
                        struct message *message)
{
    struct text words = TEXT_EMPTY;
    enum status status = book_run_text_get(book, run->id, stored_log_topic, &words, message);
    if (status == STATUS_OK)
        *ret_sign = words.length > 0 ? log_words_sign((struct span){words.s, words.length}) : SIGN_DISCHARGE_POSITIVE;
    text_free(&words);
    return status;
}

static enum status take_document(struct book *book, int64_t id, struct text *ret_text, char *name, size_t size,
                                 struct message *message)
{
    struct document document;
    if (id == 0)
        return STATUS_OK;
    enum status status = document_get(book, id, &document, message);
    if (status == STATUS_OK) {
        snprintf(name, size, "%s", document.name);
        *ret_text = document.text;
        document.text = TEXT_EMPTY;
        document_free(&document);
    }
    return status;
}

enum status stored_papers_read(struct book *book, int64_t run, struct stored_papers *ret_papers,
                               struct message *message)
{
    struct stored_papers papers = {.label = TEXT_EMPTY, .rig = TEXT_EMPTY};
    int64_t label = 0;
    enum status status = book_run_get(book, run, &papers.run, message);
    if (status == STATUS_OK) /* a slip of typing set right since holds for the runs before it too */
        status = document_latest(book, papers.run.sample, DOCUMENT_LABEL, NULL, &label, message);
    if (status == STATUS_OK)
        status = take_document(book, label != 0 ? label : papers.run.label_document, &papers.label, papers.label_name,
                               sizeof papers.label_name, message);
    if (status == STATUS_OK)
        status = take_document(book, papers.run.rig_document, &papers.rig, papers.rig_name, sizeof papers.rig_name,
                               message);
    if (status == STATUS_OK)
        *ret_papers = papers;
    else
        stored_papers_free(&papers);
    return status;
}

enum status stored_plan_read(struct book *book, int64_t run, struct text *ret_text, char ret_name[static 128],
                             struct message *message)
{
    struct book_run of;
    int64_t plan = 0;
    enum status status = book_run_get(book, run, &of, message);
    if (status == STATUS_OK)
        status = document_held(book, of.sample, DOCUMENT_PLAN, of.added_utc_ns, &plan, message);
    if (status == STATUS_OK)
        status = take_document(book, plan, ret_text, ret_name, 128, message);
    return status;
}

void stored_papers_free(struct stored_papers *papers)
{
    text_free(&papers->label);
    text_free(&papers->rig);
}

static enum status take_readings(struct book *book, struct stored *stored, struct message *message)
{
    struct text words = TEXT_EMPTY;
    const struct book_run *run = &stored->run;
    enum status status = book_run_text_get(book, run->id, stored_readings_topic, &words, message);
    stored->by_eye = status == STATUS_OK && words.length > 0;
    if (stored->by_eye) {
        status = readings_read_text(stored->log.path, (struct span){words.s, words.length}, &stored->sightings,
                                    &stored->notices, message);
        stored->by_eye = status == STATUS_OK; /* else there is nothing to free */
    } else if (status == STATUS_OK) {
        status = book_run_text_get(book, run->id, stored_log_topic, &words, message);
        if (status == STATUS_OK && words.length > 0)
            status = stored_read_log(book, run, (struct span){words.s, words.length}, &stored->log, message);
        else if (status == STATUS_OK)
            status = stored_read_recorded(book, run, stored, message);
    }
    text_free(&words);
    return status;
}

enum status stored_read(struct book *book, int64_t run, struct stored *ret_stored, struct message *message)
{
    enum status status = book_begin(book, message); /* one state of a run that may still be recorded */
    if (status != STATUS_OK)
        return status;
    struct stored *stored = memory_get(sizeof *stored);
    status = book_run_get(book, run, &stored->run, message);
    snprintf(stored->log.path, sizeof stored->log.path, "%s:%lld", book_path(book), (long long)run);
    if (status == STATUS_OK)
        status = take_readings(book, stored, message);
    book_rollback(book);
    if (status == STATUS_OK)
        *ret_stored = *stored;
    else
        stored_free(stored);
    free(stored);
    return status;
}

void stored_free(struct stored *stored)
{
    if (stored->by_eye)
        sightings_free(&stored->sightings);
    else
        log_free(&stored->log);
    notices_free(&stored->notices);
}

bool stored_name(const char *path, char *ret_book, size_t size, int64_t *ret_run)
{
    const char *colon = strrchr(path, ':');
    if (colon == NULL || colon == path || (size_t)(colon - path) >= size || colon[1] < '0' || colon[1] > '9')
        return false;
    char *end;
    long long run = strtoll(colon + 1, &end, 10);
    char *book = memory_get((size_t)(colon - path) + 1);
    memcpy(book, path, (size_t)(colon - path));
    bool is_book = *end == '\0' && run > 0 && book_look_like(book);
    if (is_book) {
        snprintf(ret_book, size, "%s", book);
        *ret_run = run;
    }
    free(book);
    return is_book;
}
