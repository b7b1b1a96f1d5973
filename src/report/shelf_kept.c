/* The shelf as it is kept in a book: the digest of each sample, made anew when what it rests on has changed. */
#include "report/shelf.h"

#include "base/memory.h"
#include "book/digest.h"
#include "claims/of_book.h"

const char shelf_method[] = "rundown " RUNDOWN_VERSION " shelf 1";

static enum status put(struct book *book, int64_t sample, const struct text *basis, json_t *entry, int64_t utc_ns,
                       struct message *message)
{
    char *json = json_dumps(entry, JSON_COMPACT | JSON_REAL_PRECISION(5)); /* of rows there are many */
    enum status status = digest_put(book, sample, shelf_method, (struct span){text_string(basis), basis->length},
                                    span_of(json != NULL ? json : "null"), utc_ns, message);
    json_decref(entry);
    free(json);
    return status;
}

enum status shelf_keep(struct book *book, int64_t sample, const struct text *basis, const struct assessment *assessment,
                       int64_t utc_ns, struct message *message)
{
    return put(book, sample, basis, shelf_json(assessment), utc_ns, message);
}

enum status shelf_keep_fault(struct book *book, int64_t sample, const struct text *basis, const struct message *fault,
                             int64_t utc_ns, struct message *message)
{
    json_t *entry = json_object();
    json_put_words(entry, "fault", fault->what);
    return put(book, sample, basis, entry, utc_ns, message);
}

struct stale {
    int64_t *samples;
    size_t count, capacity;
};

static bool note_stale(void *context, const struct digest_row *row)
{
    struct stale *stale = context;
    if (row->fresh)
        return true;
    stale->samples = memory_grow(stale->samples, stale->count, &stale->capacity);
    stale->samples[stale->count++] = row->sample.id;
    return true;
}

enum status shelf_stale(struct book *book, int64_t **ret_samples, size_t *ret_count, struct message *message)
{
    struct stale stale = {0};
    enum status status = digest_walk(book, 0, shelf_method, note_stale, &stale, message);
    if (status != STATUS_OK) {
        free(stale.samples);
        return status;
    }
    *ret_samples = stale.samples;
    *ret_count = stale.count;
    return STATUS_OK;
}

static enum status refresh(struct book *book, int64_t sample, int64_t utc_ns, struct message *message)
{
    struct text basis = TEXT_EMPTY;
    struct assessment assessment;
    struct message fault;
    enum status status = digest_basis(book, sample, &basis, message);
    if (status == STATUS_OK && assess_sample(book, sample, 0, &assessment, &fault) == STATUS_OK) {
        status = shelf_keep(book, sample, &basis, &assessment, utc_ns, message);
        assessment_free(&assessment);
    } else if (status == STATUS_OK) {
        status = shelf_keep_fault(book, sample, &basis, &fault, utc_ns, message);
    }
    text_free(&basis);
    return status;
}

enum status shelf_refresh(struct book *book, int64_t utc_ns, void (*progress)(void *context, double share), void *context,
                          size_t *ret_made, struct message *message)
{
    int64_t *samples = NULL;
    size_t count = 0;
    enum status status = shelf_stale(book, &samples, &count, message);
    for (size_t k = 0; k < count && status == STATUS_OK; k++) {
        status = refresh(book, samples[k], utc_ns, message);
        if (progress != NULL)
            progress(context, (double)(k + 1) / (double)count);
    }
    free(samples);
    if (status == STATUS_OK)
        *ret_made = count;
    return status;
}
