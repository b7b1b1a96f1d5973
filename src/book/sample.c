#include "book/sample.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "book/correction.h"
#include "book/sql.h"

/* A name is one printable line that fits. `ret_folded` is what is compared. */
static enum status judge_name(const struct book *book, const char *name, char *ret_folded, size_t size,
                              struct message *message)
{
    struct span span = span_of(name);
    bool control = false;
    for (size_t k = 0; k < span.n; k++)
        control = control || (unsigned char)span.p[k] < ' ' || span.p[k] == 0x7F;
    size_t n = name_fold(span, ret_folded, size - 1);
    ret_folded[n] = '\0';
    if (n > 0 && span.n < size && !control && span_bad_utf8(span) == span.n && span_trim(span).n == span.n)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "a sample cannot be called '%.60s'", name);
    status_at(message, book_path(book), 0, 0);
    status_remedy(message, "give a name of one line, at most %zu bytes of UTF-8, without blanks at its ends", size - 1);
    return STATUS_USAGE;
}

static enum status taken(const struct book *book, const char *name, struct message *message)
{
    status_fail(message, STATUS_USAGE, "there is a sample of the name '%s' already", name);
    status_at(message, book_path(book), 0, 0);
    status_remedy(message, "each sample has its own name, in which case and joints do not count: choose another");
    return STATUS_USAGE;
}

/* Of a sample other than `except`. */
static enum status look_for(struct book *book, const char *folded, int64_t except, bool *ret_taken,
                            struct message *message)
{
    struct sql q = sql_begin(book, "SELECT 1 FROM sample WHERE folded = ?1 AND id <> ?2");
    sql_words(&q, folded);
    sql_integer(&q, except);
    *ret_taken = sql_row(&q);
    return sql_end(&q, message);
}

static enum status insert(struct book *book, const char *name, const char *folded, bool invented, int64_t utc_ns,
                          struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO sample (name, folded, invented, added_utc_ns) VALUES (?1, ?2, ?3, ?4)");
    sql_words(&q, name);
    sql_words(&q, folded);
    sql_integer(&q, invented);
    sql_integer(&q, utc_ns);
    return sql_finish(&q, message);
}

enum status book_sample_add(struct book *book, const char *name, bool invented, int64_t utc_ns, int64_t *ret_id,
                            struct message *message)
{
    char folded[BOOK_NAME];
    bool there = false;
    enum status status = judge_name(book, name, folded, sizeof folded, message);
    if (status != STATUS_OK)
        return status;
    status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = look_for(book, folded, 0, &there, message);
    if (status == STATUS_OK && there)
        status = taken(book, name, message);
    if (status == STATUS_OK)
        status = insert(book, name, folded, invented, utc_ns, message);
    int64_t id = sql_last_id(book);
    status = book_settle(book, status, message);
    if (status == STATUS_OK)
        *ret_id = id;
    return status;
}

static enum status rename_row(struct book *book, int64_t id, const char *name, const char *folded,
                              struct message *message)
{
    struct sql q = sql_begin(book, "UPDATE sample SET name = ?1, folded = ?2 WHERE id = ?3");
    sql_words(&q, name);
    sql_words(&q, folded);
    sql_integer(&q, id);
    return sql_finish(&q, message);
}

enum status book_sample_rename(struct book *book, int64_t id, const char *name, int64_t utc_ns,
                               struct message *message)
{
    struct book_sample before;
    char folded[BOOK_NAME], after[BOOK_NAME];
    bool there = false;
    enum status status = judge_name(book, name, folded, sizeof folded, message);
    if (status != STATUS_OK)
        return status;
    snprintf(after, sizeof after, "%s", name);
    status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = book_sample_by_id(book, id, &before, message);
    if (status == STATUS_OK)
        status = look_for(book, folded, id, &there, message);
    if (status == STATUS_OK && there)
        status = taken(book, name, message);
    if (status == STATUS_OK)
        status = rename_row(book, id, name, folded, message);
    struct correction correction = {.sample = id, .field = "name", .before = before.name, .after = after,
                                    .utc_ns = utc_ns};
    if (status == STATUS_OK && strcmp(before.name, name) != 0)
        status = correction_add(book, &correction, message);
    return book_settle(book, status, message);
}

/* What runs of other samples refer to stays: they would lose the label they were tested under. */
static enum status refuse_lent(struct book *book, int64_t id, struct message *message)
{
    struct sql q = sql_begin(book, "SELECT run.id FROM run JOIN document ON document.id IN (run.rig, run.label) "
                                   "WHERE document.sample = ?1 AND run.sample <> ?1 LIMIT 1");
    sql_integer(&q, id);
    int64_t run = sql_row(&q) ? sql_integer_at(&q, 0) : 0;
    enum status status = sql_end(&q, message);
    if (status != STATUS_OK || run == 0)
        return status;
    status_fail(message, STATUS_USAGE, "run %lld of another sample goes by a document of this one", (long long)run);
    status_at(message, book_path(book), 0, 0);
    status_remedy(message, "give that run its own label and rig first, with `rundown run correct`");
    return STATUS_USAGE;
}

enum status book_sample_remove(struct book *book, int64_t id, struct message *message)
{
    struct book_sample sample;
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = book_sample_by_id(book, id, &sample, message);
    if (status == STATUS_OK)
        status = refuse_lent(book, id, message);
    if (status == STATUS_OK) {
        struct sql q = sql_begin(book, "DELETE FROM sample WHERE id = ?1");
        sql_integer(&q, id);
        status = sql_finish(&q, message);
    }
    return book_settle(book, status, message);
}

#define SAMPLE_COLUMNS \
    "id, name, invented, added_utc_ns, (SELECT count(*) FROM run WHERE run.sample = sample.id) FROM sample "

static struct book_sample sample_at(struct sql *q)
{
    struct book_sample sample = {.id = sql_integer_at(q, 0), .invented = sql_integer_at(q, 2) != 0,
                                 .added_utc_ns = sql_integer_at(q, 3), .runs = (int)sql_integer_at(q, 4)};
    sql_copy_at(q, 1, sample.name, sizeof sample.name);
    return sample;
}

enum status book_sample_by_id(struct book *book, int64_t id, struct book_sample *ret_sample, struct message *message)
{
    struct book_sample sample = {0};
    struct sql q = sql_begin(book, "SELECT " SAMPLE_COLUMNS "WHERE id = ?1");
    sql_integer(&q, id);
    if (sql_row(&q))
        sample = sample_at(&q);
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK && sample.id == 0) {
        status = status_fail(message, STATUS_USAGE, "there is no sample of number %lld", (long long)id);
        status_at(message, book_path(book), 0, 0);
        status_remedy(message, "`rundown sample list` shows what there is");
    }
    if (status == STATUS_OK)
        *ret_sample = sample;
    return status;
}

static enum status not_there(struct book *book, const char *name, struct message *message)
{
    struct book_sample_list list;
    enum status status = book_samples(book, &list, message);
    if (status != STATUS_OK)
        return status;
    const char **known = memory_get((list.count + 1) * sizeof *known);
    for (size_t k = 0; k < list.count; k++)
        known[k] = list.items[k].name;
    const char *near = name_nearest(span_of(name), known);
    status = status_fail(message, STATUS_USAGE, "there is no sample '%s'", name);
    status_at(message, book_path(book), 0, 0);
    if (near != NULL)
        status_remedy(message, "did you mean '%s'?", near);
    else
        status_remedy(message, "`rundown sample list` shows what there is, `rundown sample add` makes one");
    free(known);
    book_sample_list_free(&list);
    return status;
}

enum status book_sample_find(struct book *book, const char *name, struct book_sample *ret_sample,
                             struct message *message)
{
    struct book_sample sample = {0};
    char folded[BOOK_NAME];
    folded[name_fold(span_of(name), folded, sizeof folded - 1)] = '\0';
    struct sql q = sql_begin(book, "SELECT " SAMPLE_COLUMNS "WHERE folded = ?1");
    sql_words(&q, folded);
    if (sql_row(&q))
        sample = sample_at(&q);
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK && sample.id == 0)
        status = not_there(book, name, message);
    if (status == STATUS_OK)
        *ret_sample = sample;
    return status;
}

enum status book_samples(struct book *book, struct book_sample_list *ret_list, struct message *message)
{
    struct book_sample_list list = {0};
    size_t capacity = 0;
    struct sql q = sql_begin(book, "SELECT " SAMPLE_COLUMNS "ORDER BY id");
    while (sql_row(&q)) {
        list.items = memory_grow(list.items, list.count, &capacity);
        list.items[list.count++] = sample_at(&q);
    }
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK)
        *ret_list = list;
    else
        book_sample_list_free(&list);
    return status;
}

void book_sample_list_free(struct book_sample_list *list)
{
    free(list->items);
    *list = (struct book_sample_list){0};
}
