#include "book/book_run.h"

#include "base/memory.h"
#include "base/number.h"
#include "book/correction.h"
#include "book/sample.h"
#include "book/sql.h"

const char *const test_kind_words[TEST_KINDS + 1] = {"discharge", "charge", "rest", "protection", "whole", NULL};
const char *const test_origin_words[TEST_ORIGINS + 1] = {"recorded", "imported", "typed", "rehearsed", NULL};

enum status book_run_add(struct book *book, const struct book_run *run, int64_t *ret_id, struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO run (sample, kind, origin, name, rig, label, start_utc_s, zone_known, "
                                   "open, end_s, invented, added_utc_ns) "
                                   "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)");
    sql_integer(&q, run->sample);
    sql_words(&q, test_kind_words[run->kind]);
    sql_words(&q, test_origin_words[run->origin]);
    sql_words(&q, run->name);
    sql_key(&q, run->rig_document);
    sql_key(&q, run->label_document);
    sql_real(&q, run->start_utc_s);
    sql_integer(&q, run->zone_known);
    sql_integer(&q, run->open);
    sql_real(&q, run->end_s);
    sql_integer(&q, run->invented);
    sql_integer(&q, run->added_utc_ns);
    enum status status = sql_finish(&q, message);
    if (status == STATUS_OK)
        *ret_id = sql_last_id(book);
    return status;
}

/* Of an open run the end is what its readings come to so far. */
#define RUN_COLUMNS                                                                                             \
    "SELECT id, sample, kind, origin, name, rig, label, start_utc_s, zone_known, open, "                        \
    "CASE open WHEN 0 THEN end_s ELSE (SELECT max(to_s) FROM ("                                                 \
    "  SELECT to_s FROM stream JOIN block ON block.stream = stream.id WHERE stream.run = run.id UNION ALL "      \
    "  SELECT to_s FROM stream JOIN journal ON journal.stream = stream.id WHERE stream.run = run.id)) END, "     \
    "invented, added_utc_ns FROM run "

static enum status run_at(const struct book *book, struct sql *q, struct book_run *ret_run, struct message *message)
{
    int kind = 0, origin = 0;
    enum status status = sql_word_find(book, test_kind_words, sql_words_at(q, 2), &kind, message);
    if (status == STATUS_OK)
        status = sql_word_find(book, test_origin_words, sql_words_at(q, 3), &origin, message);
    if (status != STATUS_OK)
        return status;
    *ret_run = (struct book_run){
        .id = sql_integer_at(q, 0),
        .sample = sql_integer_at(q, 1),
        .kind = (enum test_kind)kind,
        .origin = (enum test_origin)origin,
        .rig_document = sql_integer_at(q, 5),
        .label_document = sql_integer_at(q, 6),
        .start_utc_s = sql_real_at(q, 7),
        .zone_known = sql_integer_at(q, 8) != 0,
        .open = sql_integer_at(q, 9) != 0,
        .end_s = sql_real_at(q, 10),
        .invented = sql_integer_at(q, 11) != 0,
        .added_utc_ns = sql_integer_at(q, 12),
    };
    sql_copy_at(q, 4, ret_run->name, sizeof ret_run->name);
    return STATUS_OK;
}

static enum status no_such_run(const struct book *book, int64_t id, struct message *message)
{
    status_fail(message, STATUS_USAGE, "there is no run %lld", (long long)id);
    status_at(message, book_path(book), 0, 0);
    status_remedy(message, "`rundown run list` shows what there is");
    return STATUS_USAGE;
}

enum status book_run_get(struct book *book, int64_t id, struct book_run *ret_run, struct message *message)
{
    struct book_run run = {0};
    enum status status = STATUS_OK;
    struct sql q = sql_begin(book, RUN_COLUMNS "WHERE id = ?1");
    sql_integer(&q, id);
    if (sql_row(&q))
        status = run_at(book, &q, &run, message);
    enum status ended = sql_end(&q, message);
    status = ended != STATUS_OK ? ended : status;
    if (status == STATUS_OK && run.id == 0)
        status = no_such_run(book, id, message);
    if (status == STATUS_OK)
        *ret_run = run;
    return status;
}

static enum status collect(struct book *book, struct sql *q, struct book_run_list *ret_list, struct message *message)
{
    struct book_run_list list = {0};
    size_t capacity = 0;
    enum status status = STATUS_OK;
    while (status == STATUS_OK && sql_row(q)) {
        list.items = memory_grow(list.items, list.count, &capacity);
        status = run_at(book, q, &list.items[list.count], message);
        list.count += status == STATUS_OK;
    }
    enum status ended = sql_end(q, message);
    status = ended != STATUS_OK ? ended : status;
    if (status == STATUS_OK)
        *ret_list = list;
    else
        book_run_list_free(&list);
    return status;
}

/* A run without a start stands where it was added. */
#define RUN_ORDER "ORDER BY coalesce(start_utc_s, added_utc_ns / 1e9), id"

enum status book_runs(struct book *book, int64_t sample, struct book_run_list *ret_list, struct message *message)
{
    struct sql q = sample != 0 ? sql_begin(book, RUN_COLUMNS "WHERE sample = ?1 " RUN_ORDER)
                               : sql_begin(book, RUN_COLUMNS RUN_ORDER);
    if (sample != 0)
        sql_integer(&q, sample);
    return collect(book, &q, ret_list, message);
}

void book_run_list_free(struct book_run_list *list)
{
    free(list->items);
    *list = (struct book_run_list){0};
}

enum status book_run_remove(struct book *book, int64_t id, struct message *message)
{
    struct sql q = sql_begin(book, "DELETE FROM run WHERE id = ?1");
    sql_integer(&q, id);
    enum status status = sql_finish(&q, message);
    return status == STATUS_OK && sql_changes(book) == 0 ? no_such_run(book, id, message) : status;
}

enum status book_run_close(struct book *book, int64_t id, double end_s, struct message *message)
{
    struct sql q = sql_begin(book, "UPDATE run SET open = 0, end_s = ?1 WHERE id = ?2");
    sql_real(&q, end_s);
    sql_integer(&q, id);
    enum status status = sql_finish(&q, message);
    return status == STATUS_OK && sql_changes(book) == 0 ? no_such_run(book, id, message) : status;
}

enum field { FIELD_NAME, FIELD_KIND, FIELD_RIG, FIELD_LABEL, FIELD_SAMPLE };

static const char *const fields[] = {"name", "kind", "rig", "label", "sample", NULL};

static enum status bad_value(const struct book *book, const char *field, const char *value, struct message *message)
{
    status_fail(message, STATUS_USAGE, "the %s of a run cannot be '%.60s'", field, value);
    status_at(message, book_path(book), 0, 0);
    status_remedy(message, "see `rundown run --help`");
    return STATUS_USAGE;
}

/* Written out as it stands in the table, so that the old and the new value can be told. */
static enum status field_now(struct book *book, int64_t id, enum field field, struct text *ret_value,
                             struct message *message)
{
    struct book_run run;
    enum status status = book_run_get(book, id, &run, message);
    if (status != STATUS_OK)
        return status;
    switch (field) {
    case FIELD_NAME: text_add(ret_value, run.name); break;
    case FIELD_KIND: text_add(ret_value, test_kind_words[run.kind]); break;
    case FIELD_RIG: text_addf(ret_value, "%lld", (long long)run.rig_document); break;
    case FIELD_LABEL: text_addf(ret_value, "%lld", (long long)run.label_document); break;
    case FIELD_SAMPLE: text_addf(ret_value, "%lld", (long long)run.sample); break;
    }
    return STATUS_OK;
}

/* The sample or document of that number must be there, and of the right kind. */
static enum status judge_reference(struct book *book, enum field field, int64_t id, bool *ret_fits,
                                   struct message *message)
{
    struct book_sample sample;
    struct document document;
    *ret_fits = true;
    if (field == FIELD_SAMPLE)
        return book_sample_by_id(book, id, &sample, message);
    if (id == 0)
        return STATUS_OK;
    enum status status = document_get(book, id, &document, message);
    if (status != STATUS_OK)
        return status;
    *ret_fits = document.kind == (field == FIELD_RIG ? DOCUMENT_RIG : DOCUMENT_LABEL);
    document_free(&document);
    return STATUS_OK;
}

static enum status set_field(struct book *book, int64_t id, enum field field, const char *value,
                             struct message *message)
{
    static const char *const updates[] = {
        "UPDATE run SET name = ?1 WHERE id = ?2",  "UPDATE run SET kind = ?1 WHERE id = ?2",
        "UPDATE run SET rig = ?1 WHERE id = ?2",   "UPDATE run SET label = ?1 WHERE id = ?2",
        "UPDATE run SET sample = ?1 WHERE id = ?2",
    };
    double number = 0;
    int kind = 0;
    bool fits = field == FIELD_NAME  ? strlen(value) < BOOK_NAME && span_bad_utf8(span_of(value)) == strlen(value)
                : field == FIELD_KIND ? sql_word_find(book, test_kind_words, value, &kind, NULL) == STATUS_OK
                                      : number_is(span_of(value), '.', &number) && number >= 0 && number < 1e15;
    enum status status = STATUS_OK;
    if (fits && field >= FIELD_RIG)
        status = judge_reference(book, field, (int64_t)number, &fits, message);
    if (status != STATUS_OK || !fits)
        return status != STATUS_OK ? status : bad_value(book, fields[field], value, message);
    struct sql q = sql_begin(book, updates[field]);
    if (field < FIELD_RIG)
        sql_words(&q, value);
    else
        sql_key(&q, (int64_t)number);
    sql_integer(&q, id);
    return sql_finish(&q, message);
}

static enum status change(struct book *book, int64_t id, enum field field, const char *value, int64_t utc_ns,
                          struct message *message)
{
    struct text before = TEXT_EMPTY, after = TEXT_EMPTY;
    enum status status = field_now(book, id, field, &before, message);
    if (status == STATUS_OK)
        status = set_field(book, id, field, value, message);
    if (status == STATUS_OK)
        status = field_now(book, id, field, &after, message);
    if (status == STATUS_OK && strcmp(text_string(&before), text_string(&after)) != 0) {
        struct correction correction = {.run = id, .before = before.s, .after = after.s, .utc_ns = utc_ns};
        snprintf(correction.field, sizeof correction.field, "%s", fields[field]);
        status = correction_add(book, &correction, message);
    }
    text_free(&before);
    text_free(&after);
    return status;
}

enum status book_run_correct(struct book *book, int64_t id, const char *field, const char *value, int64_t utc_ns,
                             struct message *message)
{
    int k = 0;
    if (sql_word_find(book, fields, field, &k, NULL) != STATUS_OK)
        return bad_value(book, field, value, message);
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = change(book, id, (enum field)k, value, utc_ns, message);
    return book_settle(book, status, message);
}
