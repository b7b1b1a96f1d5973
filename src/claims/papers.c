#include "claims/papers.h"

#include "archive/stored.h"
#include "base/memory.h"
#include "claims/rated_of.h"
#include "intake/rig_file.h"

struct taking {
    const struct assess_request *request;
    struct assessment *assessment;
    struct paper *papers;
    struct stored_papers *stored; /* one a log; empty for files */
    struct message *message;
};

static enum status find_stored(struct taking *t, size_t k)
{
    struct paper *paper = &t->papers[k];
    struct book_options options = {.access = BOOK_READ};
    struct book *book;
    if (!stored_name(t->request->logs[k], paper->book, sizeof paper->book, &paper->run))
        return STATUS_OK;
    enum status status = book_open(paper->book, &options, &book, t->message);
    if (status != STATUS_OK)
        return status;
    status = stored_papers_read(book, paper->run, &t->stored[k], t->message);
    book_close(book);
    paper->invented = status == STATUS_OK && t->stored[k].run.invented;
    return status;
}

static enum status same_sample(const struct taking *t)
{
    size_t first = SIZE_MAX;
    for (size_t k = 0; k < t->request->log_count; k++) {
        if (t->papers[k].run == 0)
            continue;
        first = first == SIZE_MAX ? k : first;
        if (strcmp(t->papers[k].book, t->papers[first].book) == 0 && t->stored[k].run.sample != t->stored[first].run.sample) {
            status_fail(t->message, STATUS_AMBIGUOUS, "runs %lld and %lld are of different samples",
                        (long long)t->papers[first].run, (long long)t->papers[k].run);
            status_at(t->message, t->papers[k].book, 0, 0);
            return status_remedy(t->message, "assess each sample by itself: `rundown assess BOOK --sample NAME`");
        }
    }
    return STATUS_OK;
}

static enum status take_label(struct taking *t)
{
    struct assessment *a = t->assessment;
    enum status status = STATUS_OK;
    bool found = t->request->label != NULL;
    if (found && t->request->label_text.p != NULL) {
        status = label_read_text(t->request->label, t->request->label_text, &a->label, &a->notices, t->message);
    } else if (found) {
        status = label_read(t->request->label, &a->label, &a->notices, t->message);
    } else {
        status = same_sample(t);
        for (size_t k = 0; k < t->request->log_count && status == STATUS_OK && !found; k++) {
            const struct stored_papers *stored = &t->stored[k];
            found = stored->label.length > 0;
            if (found)
                status = label_read_text(stored->label_name, (struct span){stored->label.s, stored->label.length},
                                         &a->label, &a->notices, t->message);
        }
    }
    if (!found || status != STATUS_OK)
        return status;
    a->has_label = true;
    a->invented |= a->label.invented;
    label_check(&a->label, &a->notices);
    return STATUS_OK;
}

static enum status read_opened(struct taking *t, struct message *message)
{
    const struct assess_request *request = t->request;
    struct assessment *a = t->assessment;
    enum status status = request->opened_text.p != NULL
                             ? opened_read_text(request->opened, request->opened_text, &a->opened, message)
                             : opened_read(request->opened, &a->opened, message);
    if (status != STATUS_OK)
        return status;
    struct rated rated = rated_of(&a->label);
    status = inspect(&a->opened, &rated, &a->inspection, message);
    a->has_opened = status == STATUS_OK;
    a->invented |= a->has_opened && a->opened.invented;
    if (status != STATUS_OK)
        opened_free(&a->opened);
    return status;
}

/* Of a file it is as faulty as any other; of a book it does not take the findings of the readings with it. */
static enum status take_opened(struct taking *t)
{
    struct message fault = {0};
    if (t->request->opened == NULL)
        return STATUS_OK;
    if (t->request->opened_text.p == NULL)
        return read_opened(t, t->message);
    if (read_opened(t, &fault) != STATUS_OK)
        notices_add(&t->assessment->notices, "opened", fault.line,
                    "What was seen in the opened sample is left out, since it cannot be read: line %ld: %s (%s).",
                    fault.line, fault.what, fault.remedy);
    return STATUS_OK;
}

/* Runs that share a version of a rig file share what it is read as. */
static enum status take_rig(struct taking *t, size_t k)
{
    const struct stored_papers *stored = &t->stored[k];
    for (size_t j = 0; j < k; j++) {
        if (stored->run.rig_document != 0 && t->stored[j].run.rig_document == stored->run.rig_document &&
            strcmp(t->papers[j].book, t->papers[k].book) == 0) {
            t->papers[k].rig = t->papers[j].rig;
            return STATUS_OK;
        }
    }
    if (stored->rig.length == 0)
        return STATUS_OK;
    return rig_read_text(stored->rig_name, (struct span){stored->rig.s, stored->rig.length}, &t->papers[k].rig,
                         &t->assessment->notices, t->message);
}

static enum status take_rigs(struct taking *t)
{
    struct assessment *a = t->assessment;
    size_t count = t->request->log_count, without = 0;
    enum status status = STATUS_OK;
    if (t->request->rig != NULL)
        status = rig_read(t->request->rig, &a->rig, &a->notices, t->message);
    for (size_t k = 0; k < count && status == STATUS_OK; k++) {
        t->papers[k].rig = a->rig;
        if (t->request->rig == NULL)
            status = take_rig(t, k);
        without += t->request->rig == NULL && t->stored[k].rig.length == 0;
    }
    if (status != STATUS_OK)
        return status;
    if (count > 0)
        a->rig = t->papers[0].rig;
    if (without > 0 && without == count)
        notices_add(&a->notices, "rig", 0,
                    "No rig file: wide defaults stand for the meters' accuracy (volts 1 %% + 2 digits, amps 2 %% + 2 "
                    "digits), and every interval rests on them.");
    else if (without > 0)
        notices_add(&a->notices, "rig", 0,
                    "%zu of %zu logs have no rig file: wide defaults stand for their meters' accuracy.", without, count);
    return STATUS_OK;
}

enum status papers_take(const struct assess_request *request, struct assessment *assessment,
                        struct paper **ret_papers, struct message *message)
{
    size_t count = request->log_count;
    struct taking t = {.request = request, .assessment = assessment, .message = message};
    t.papers = memory_get((count + 1) * sizeof *t.papers);
    t.stored = memory_get((count + 1) * sizeof *t.stored);
    assessment->label = label_empty();
    assessment->rig = rig_default();
    enum status status = STATUS_OK;
    for (size_t k = 0; k < count && status == STATUS_OK; k++)
        status = find_stored(&t, k);
    if (status == STATUS_OK)
        status = take_label(&t);
    if (status == STATUS_OK)
        status = take_opened(&t);
    if (status == STATUS_OK)
        status = take_rigs(&t);
    for (size_t k = 0; k < count; k++)
        stored_papers_free(&t.stored[k]);
    free(t.stored);
    if (status == STATUS_OK)
        *ret_papers = t.papers;
    else
        free(t.papers);
    return status;
}
