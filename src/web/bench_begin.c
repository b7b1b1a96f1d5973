#include "web/bench_parts.h"

#include "bench/limits.h"
#include "book/sample.h"

enum { LIMITS_AT_MOST = 24 };

/* What a page asks for, borrowed from its JSON. */
struct wish {
    const char *sample, *script;
    enum test_kind kind;
    int64_t rig, resume; /* a version of a paper; a run */
    bool by_eye, rehearse;
    double seed, speed;
    const char *limits[LIMITS_AT_MOST];
    size_t limit_count;
};

static enum status take_kind(const char *word, enum test_kind *ret_kind, struct message *message)
{
    for (int k = 0; k < TEST_WHOLE && word != NULL; k++) {
        if (strcmp(test_kind_words[k], word) == 0) {
            *ret_kind = (enum test_kind)k;
            return STATUS_OK;
        }
    }
    status_fail(message, STATUS_USAGE, "a test cannot be a '%s'", word != NULL ? word : "");
    return status_remedy(message, "use one of: discharge, charge, rest, protection");
}

static enum status take_limits(const json_t *list, struct wish *wish, struct message *message)
{
    size_t k;
    const json_t *one;
    if (list != NULL && !json_is_null(list) && !json_is_array(list))
        return status_fail(message, STATUS_USAGE, "\"limits\" is a list of lines of text");
    json_array_foreach(list, k, one)
    {
        if (!json_is_string(one) || wish->limit_count == LIMITS_AT_MOST)
            return status_fail(message, STATUS_USAGE, "limits are at most %d lines of text", LIMITS_AT_MOST);
        wish->limits[wish->limit_count++] = json_string_value(one);
    }
    return STATUS_OK;
}

static double number_of(const json_t *object, const char *key, double otherwise)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : otherwise;
}

static enum status take_rehearsal(const json_t *rehearsal, struct wish *wish, struct message *message)
{
    wish->rehearse = true;
    wish->script = json_string_value(json_object_get(rehearsal, "script"));
    wish->seed = number_of(rehearsal, "seed", NAN);
    wish->speed = number_of(rehearsal, "speed", 60);
    if (isnan(wish->seed) || (wish->seed >= 0 && wish->seed <= UINT32_MAX && wish->seed == floor(wish->seed)))
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "a seed cannot be %.6g", wish->seed);
    return status_remedy(message, "give a whole number from 0 to %u", UINT32_MAX);
}

/* A number of the book; 0 where none is given. Another type is refused: it would pass for none. */
static enum status whole_of(const json_t *body, const char *key, int64_t *ret_id, struct message *message)
{
    const json_t *value = json_object_get(body, key);
    if (value != NULL && !json_is_null(value) && !(json_is_integer(value) && json_integer_value(value) >= 0))
        return status_fail(message, STATUS_USAGE, "\"%s\" is a whole number, or null", key);
    *ret_id = json_integer_value(value);
    return STATUS_OK;
}

static enum status take_wish(const json_t *body, struct wish *wish, struct message *message)
{
    const json_t *rehearsal = json_object_get(body, "rehearsal");
    wish->sample = json_string_value(json_object_get(body, "sample"));
    wish->by_eye = json_is_true(json_object_get(body, "by_eye"));
    enum status status = whole_of(body, "rig", &wish->rig, message);
    if (status == STATUS_OK)
        status = whole_of(body, "resume", &wish->resume, message);
    if (status == STATUS_OK && wish->resume == 0)
        status = take_kind(json_string_value(json_object_get(body, "kind")), &wish->kind, message);
    if (status == STATUS_OK)
        status = take_limits(json_object_get(body, "limits"), wish, message);
    if (status == STATUS_OK && json_is_object(rehearsal))
        status = take_rehearsal(rehearsal, wish, message);
    if (status != STATUS_OK || wish->resume != 0 || wish->rehearse)
        return status;
    if (span_trim(span_of(wish->sample != NULL ? wish->sample : "")).n > 0)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "no sample is named");
    return status_remedy(message, "say which battery is tested");
}

/* What the wish names in the book: the rig's text, the name of the resumed run's sample. */
static enum status look_up(struct workshop *workshop, const struct wish *wish, struct document *rig,
                           struct book_sample *sample, struct message *message)
{
    struct book *book = workshop_take(workshop, BOOK_READ, message);
    if (book == NULL)
        return message->status;
    struct book_run run = {0};
    enum status status = STATUS_OK;
    if (wish->rig != 0)
        status = document_get(book, wish->rig, rig, message);
    if (status == STATUS_OK && wish->rig != 0 && rig->kind != DOCUMENT_RIG) {
        status_fail(message, STATUS_USAGE, "'%s' is no rig", rig->name);
        status = status_remedy(message, "choose a rig of the workshop");
    }
    if (status == STATUS_OK && wish->resume != 0)
        status = book_run_get(book, wish->resume, &run, message);
    if (status == STATUS_OK && wish->resume != 0)
        status = book_sample_by_id(book, run.sample, sample, message);
    workshop_put(workshop, book);
    return status;
}

static enum status begin(struct workshop *workshop, const struct wish *wish, int64_t *ret_run,
                         struct message *message)
{
    struct document rig = {0};
    struct book_sample sample = {0};
    struct rehearsed_request rehearsal = {.name = "the script",
                                          .script = {wish->script, wish->script != NULL ? strlen(wish->script) : 0},
                                          .seed = wish->seed,
                                          .speed = wish->speed};
    enum status status = look_up(workshop, wish, &rig, &sample, message);
    if (status == STATUS_OK) {
        struct session_request request = {.recorder = {.book = workshop_path(workshop),
                                                       .sample = wish->resume != 0 ? sample.name : wish->sample,
                                                       .kind = wish->kind,
                                                       .by_eye = wish->by_eye,
                                                       .devices_alone = !wish->rehearse,
                                                       .resume = wish->resume != 0,
                                                       .resume_run = wish->resume,
                                                       .limits = wish->limits,
                                                       .limit_count = wish->limit_count},
                                          .rehearsal = wish->rehearse ? &rehearsal : NULL};
        if (wish->rig != 0)
            request.recorder.rig_text =
                (struct recorder_paper){rig.name, {text_string(&rig.text), rig.text.length}};
        status = benches_start(workshop_benches(workshop), &request, ret_run, message);
    }
    document_free(&rig);
    return status;
}

void bench_begin(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    json_t *body = NULL;
    struct wish wish = {.seed = NAN};
    struct message message = {0};
    int64_t run = 0;
    enum status status = http_body_json(request, &body, &message);
    if (status == STATUS_OK)
        status = take_wish(body, &wish, &message);
    if (status == STATUS_OK)
        status = begin(workshop, &wish, &run, &message);
    json_decref(body);
    struct session *session = status == STATUS_OK ? benches_take(workshop_benches(workshop), run) : NULL;
    if (session == NULL) {
        http_fail(reply, 0, &message);
        return;
    }
    http_json(reply, benches_json(session, true));
    benches_put(workshop_benches(workshop), session);
}

static enum status find_label(struct book *book, const char *name, struct label *label, bool *ret_has,
                              struct message *message)
{
    struct book_sample sample = {0};
    struct document document = {0};
    struct notices notices = {0};
    int64_t id = 0;
    if (book_sample_find(book, name, &sample, NULL) != STATUS_OK)
        return STATUS_OK; /* a new one */
    enum status status = document_latest(book, sample.id, DOCUMENT_LABEL, NULL, &id, message);
    if (status != STATUS_OK || id == 0)
        return status;
    status = document_get(book, id, &document, message);
    if (status == STATUS_OK)
        status = label_read_text(document.name, (struct span){text_string(&document.text), document.text.length}, label,
                                 &notices, message);
    *ret_has = status == STATUS_OK;
    notices_free(&notices);
    document_free(&document);
    return status;
}

void bench_limits(void *workshop, const struct http_request *request, struct http_reply *reply)
{
    const char *name = http_query(request, "sample"), *word = http_query(request, "kind");
    enum test_kind kind = TEST_DISCHARGE;
    struct message message = {0};
    struct label label = label_empty();
    bool has = false;
    enum status status = take_kind(word != NULL ? word : "discharge", &kind, &message);
    struct book *book = status == STATUS_OK ? workshop_take(workshop, BOOK_READ, &message) : NULL;
    if (book != NULL) {
        status = find_label(book, name != NULL ? name : "", &label, &has, &message);
        workshop_put(workshop, book);
    }
    if (book == NULL || status != STATUS_OK) {
        http_fail(reply, 0, &message);
        label_free(&label);
        return;
    }
    struct limits limits = limits_usual(has ? &label : NULL, kind == TEST_CHARGE);
    struct text text = TEXT_EMPTY;
    limits_print(&limits, &text);
    json_t *all = json_object(), *lines = json_array();
    for (char *rest = NULL, *line = text.s != NULL ? strtok_r(text.s, "\n", &rest) : NULL; line != NULL;
         line = strtok_r(NULL, "\n", &rest))
        json_array_append_new(lines, json_words(line));
    json_put(all, "has_label", json_boolean(has));
    json_put(all, "limits", lines);
    http_json(reply, all);
    text_free(&text);
    label_free(&label);
}
