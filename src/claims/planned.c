#include "claims/planned.h"

#include "intake/rig_file.h"

static struct span whole(const struct text *text)
{
    return (struct span){text_string(text), text->length};
}

struct planned planned_empty(void)
{
    struct planned planned = {.label = label_empty(), .rig = rig_default(), .start_clock_s = NAN};
    planned.label.sample[0] = '\0';
    return planned;
}

/* The paper that was wished, or what stands for it; an empty document when there is none. */
static enum status find_paper(struct book *book, int64_t sample, enum document_kind kind, int64_t wish, const char *before,
                              struct document *ret_document, struct message *message)
{
    int64_t id = wish == PLANNED_AS_BEFORE ? 0 : wish;
    enum status status = STATUS_OK;
    *ret_document = (struct document){.text = TEXT_EMPTY};
    if (wish == PLANNED_AS_BEFORE) {
        status = document_latest(book, sample, kind, before, &id, message);
        if (status == STATUS_OK && id == 0)
            status = document_latest(book, 0, kind, before, &id, message);
    }
    if (status != STATUS_OK || id == 0)
        return status;
    status = document_get(book, id, ret_document, message);
    if (status != STATUS_OK || (ret_document->kind == kind && (ret_document->sample == 0 || ret_document->sample == sample)))
        return status;
    status_fail(message, STATUS_USAGE, "paper %lld is no %s of this sample or of the workshop", (long long)id,
                document_kind_words[kind]);
    document_free(ret_document);
    return message->status;
}

/* What the saved plan says of its papers. One that cannot be read counts as none: it is about to be made anew. */
static enum status take_saved(struct book *book, int64_t sample, struct planned *planned, struct plan *ret_before,
                              struct message *message)
{
    struct document document;
    struct message ignored;
    *ret_before = (struct plan){.start_clock_s = NAN};
    enum status status = document_latest(book, sample, DOCUMENT_PLAN, NULL, &planned->saved_id, message);
    if (status != STATUS_OK || planned->saved_id == 0)
        return status;
    status = document_get(book, planned->saved_id, &document, message);
    if (status != STATUS_OK)
        return status;
    plan_read_text(document.name, whole(&document.text), ret_before, &ignored);
    planned->saved_utc_ns = document.utc_ns;
    planned->saved = document.text;
    document.text = TEXT_EMPTY;
    document_free(&document);
    return STATUS_OK;
}

static enum status take_label(struct book *book, int64_t sample, bool unlabelled, struct planned *planned,
                              struct message *message)
{
    struct document document;
    enum status status = find_paper(book, sample, DOCUMENT_LABEL, PLANNED_AS_BEFORE, NULL, &document, message);
    planned->label_id = document.id;
    if (status == STATUS_OK && document.id == 0 && unlabelled)
        return STATUS_OK;
    if (status == STATUS_OK && document.id == 0) {
        status_fail(message, STATUS_USAGE, "this sample has no label yet, and a test is planned around its claims");
        status = status_remedy(message, "type its label in (docs/label.md)");
    } else if (status == STATUS_OK) {
        status = label_read_text(document.name, whole(&document.text), &planned->label, &planned->notices, message);
    }
    if (status == STATUS_OK)
        label_check(&planned->label, &planned->notices);
    document_free(&document);
    return status;
}

static enum status take_rig(struct book *book, int64_t sample, const struct plan_wish *wish, const char *before,
                            struct planned *planned, struct message *message)
{
    struct document document;
    enum status status = find_paper(book, sample, DOCUMENT_RIG, wish->rig, before, &document, message);
    if (status == STATUS_OK && document.id != 0) {
        status = rig_read_text(document.name, whole(&document.text), &planned->rig, &planned->notices, message);
        planned->has_rig = status == STATUS_OK;
        planned->rig_id = document.id;
        snprintf(planned->rig_paper, sizeof planned->rig_paper, "%s", document.name);
    }
    document_free(&document);
    return status;
}

static enum status take_loads(struct book *book, int64_t sample, const struct plan_wish *wish, const char *before,
                              struct planned *planned, struct message *message)
{
    struct document document;
    enum status status = find_paper(book, sample, DOCUMENT_LOADS, wish->loads, before, &document, message);
    if (status == STATUS_OK && document.id != 0) {
        status = loads_read_text(document.name, whole(&document.text), &planned->loads, message);
        planned->has_loads = status == STATUS_OK;
        planned->loads_id = document.id;
        snprintf(planned->loads_paper, sizeof planned->loads_paper, "%s", document.name);
    }
    document_free(&document);
    return status;
}

enum status planned_take(struct book *book, int64_t sample, const struct plan_wish *wish, struct planned *planned,
                         struct message *message)
{
    struct plan before;
    struct book_sample found;
    enum status status = book_sample_by_id(book, sample, &found, message);
    if (status == STATUS_OK)
        status = take_saved(book, sample, planned, &before, message);
    if (status == STATUS_OK)
        snprintf(planned->label.sample, sizeof planned->label.sample, "%s", found.name);
    if (status == STATUS_OK)
        status = take_label(book, sample, wish->unlabelled, planned, message);
    if (status != STATUS_OK)
        return status;
    status = take_rig(book, sample, wish, before.of_book ? before.rig_paper : NULL, planned, message);
    if (status == STATUS_OK)
        status = take_loads(book, sample, wish, before.of_book ? before.loads_paper : NULL, planned, message);
    planned->of_book = true;
    planned->start_clock_s = wish->start_chosen ? wish->start_clock_s : before.start_clock_s;
    return status;
}

enum status planned_make(struct planned *planned, struct message *message)
{
    if (!(planned->label.rated_ah > 0)) {
        status_fail(message, STATUS_MALFORMED, "the label states no capacity, around which a test is planned");
        status_at(message, planned->label.path, 0, 0);
        return status_remedy(message, "add `capacity = 100 Ah` under [claims]");
    }
    plan_free(&planned->plan);
    planned->plan = plan_make(&planned->label, &planned->rig, planned->has_loads ? &planned->loads : NULL);
    planned->plan.start_clock_s = planned->start_clock_s;
    planned->plan.of_book = planned->of_book;
    snprintf(planned->plan.rig_paper, sizeof planned->plan.rig_paper, "%s", planned->rig_paper);
    snprintf(planned->plan.loads_paper, sizeof planned->plan.loads_paper, "%s", planned->loads_paper);
    return STATUS_OK;
}

bool planned_is_saved(const struct planned *planned)
{
    struct text text = TEXT_EMPTY;
    plan_save(&planned->plan, &text);
    bool same = planned->saved_id != 0 && span_is(whole(&planned->saved), text_string(&text));
    text_free(&text);
    return same;
}

enum status planned_save(struct book *book, int64_t sample, struct planned *planned, int64_t utc_ns,
                         struct message *message)
{
    struct text text = TEXT_EMPTY;
    plan_save(&planned->plan, &text);
    enum status status =
        document_put(book, sample, DOCUMENT_PLAN, "plan", whole(&text), utc_ns, &planned->saved_id, message);
    if (status == STATUS_OK) {
        text_free(&planned->saved);
        planned->saved = text;
        planned->saved_utc_ns = utc_ns;
    } else {
        text_free(&text);
    }
    return status;
}

void planned_free(struct planned *planned)
{
    label_free(&planned->label);
    loads_free(&planned->loads);
    notices_free(&planned->notices);
    plan_free(&planned->plan);
    text_free(&planned->saved);
}
