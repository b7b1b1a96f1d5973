#include "book/sample.h"

#include "base/memory.h"
#include "book/sql.h"

const char *const document_kind_words[DOCUMENT_KINDS + 1] = {"label", "rig", "loads", "plan", "note", "opened", "summary", NULL};

static enum status find_latest(struct book *book, int64_t sample, enum document_kind kind, const char *name,
                               int64_t *ret_id, struct message *message)
{
    struct sql q = sql_begin(book, "SELECT id FROM document WHERE sample IS ?1 AND kind = ?2 "
                                   "AND (?3 IS NULL OR name = ?3) ORDER BY id DESC LIMIT 1");
    sql_key(&q, sample);
    sql_words(&q, document_kind_words[kind]);
    sql_words(&q, name);
    int64_t id = sql_row(&q) ? sql_integer_at(&q, 0) : 0;
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK)
        *ret_id = id;
    return status;
}

static enum status same_text(struct book *book, int64_t id, struct span text, bool *ret_same, struct message *message)
{
    struct sql q = sql_begin(book, "SELECT content = ?1 FROM document WHERE id = ?2");
    sql_bytes(&q, text);
    sql_integer(&q, id);
    *ret_same = sql_row(&q) && sql_integer_at(&q, 0) != 0;
    return sql_end(&q, message);
}

enum status document_put(struct book *book, int64_t sample, enum document_kind kind, const char *name,
                         struct span text, int64_t utc_ns, int64_t *ret_id, struct message *message)
{
    int64_t latest = 0;
    bool same = false;
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = find_latest(book, sample, kind, name, &latest, message);
    if (status == STATUS_OK && latest != 0)
        status = same_text(book, latest, text, &same, message);
    if (status == STATUS_OK && !same) {
        struct sql q = sql_begin(book, "INSERT INTO document (sample, kind, name, replaces, utc_ns, content) "
                                       "VALUES (?1, ?2, ?3, ?4, ?5, ?6)");
        sql_key(&q, sample);
        sql_words(&q, document_kind_words[kind]);
        sql_words(&q, name);
        sql_key(&q, latest);
        sql_integer(&q, utc_ns);
        sql_bytes(&q, text);
        status = sql_finish(&q, message);
        latest = sql_last_id(book);
    }
    status = book_settle(book, status, message);
    if (status == STATUS_OK)
        *ret_id = latest;
    return status;
}

enum status document_get(struct book *book, int64_t id, struct document *ret_document, struct message *message)
{
    struct document document = {0};
    struct sql q = sql_begin(book, "SELECT sample, kind, name, replaces, utc_ns, content FROM document WHERE id = ?1");
    sql_integer(&q, id);
    int kind = 0;
    enum status status = STATUS_OK;
    if (sql_row(&q)) {
        document = (struct document){.id = id, .sample = sql_integer_at(&q, 0), .replaces = sql_integer_at(&q, 3),
                                     .utc_ns = sql_integer_at(&q, 4)};
        sql_copy_at(&q, 2, document.name, sizeof document.name);
        struct span content = sql_bytes_at(&q, 5);
        text_add_bytes(&document.text, content.p, content.n);
        status = sql_word_find(book, document_kind_words, sql_words_at(&q, 1), &kind, message);
    }
    enum status ended = sql_end(&q, message);
    status = ended != STATUS_OK ? ended : status;
    if (status == STATUS_OK && document.id == 0) {
        status = status_fail(message, STATUS_USAGE, "there is no document of number %lld", (long long)id);
        status_at(message, book_path(book), 0, 0);
    }
    if (status != STATUS_OK) {
        document_free(&document);
        return status;
    }
    document.kind = (enum document_kind)kind;
    *ret_document = document;
    return STATUS_OK;
}

enum status document_latest(struct book *book, int64_t sample, enum document_kind kind, const char *name,
                            int64_t *ret_id, struct message *message)
{
    return find_latest(book, sample, kind, name, ret_id, message);
}

enum status document_held(struct book *book, int64_t sample, enum document_kind kind, int64_t utc_ns, int64_t *ret_id,
                          struct message *message)
{
    struct sql q = sql_begin(book, "SELECT id FROM document WHERE sample IS ?1 AND kind = ?2 AND utc_ns <= ?3 "
                                   "ORDER BY id DESC LIMIT 1");
    sql_key(&q, sample);
    sql_words(&q, document_kind_words[kind]);
    sql_integer(&q, utc_ns);
    int64_t id = sql_row(&q) ? sql_integer_at(&q, 0) : 0;
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK)
        *ret_id = id;
    return status;
}

static enum status collect(struct sql *q, int64_t **ret_ids, size_t *ret_count, struct message *message)
{
    int64_t *ids = NULL;
    size_t count = 0, capacity = 0;
    while (sql_row(q)) {
        ids = memory_grow(ids, count, &capacity);
        ids[count++] = sql_integer_at(q, 0);
    }
    enum status status = sql_end(q, message);
    if (status != STATUS_OK) {
        free(ids);
        return status;
    }
    *ret_ids = ids;
    *ret_count = count;
    return STATUS_OK;
}

enum status document_versions(struct book *book, int64_t id, int64_t **ret_ids, size_t *ret_count,
                              struct message *message)
{
    struct sql q = sql_begin(book,
                             "SELECT other.id FROM document AS this JOIN document AS other "
                             "ON other.sample IS this.sample AND other.kind = this.kind AND other.name = this.name "
                             "WHERE this.id = ?1 ORDER BY other.id");
    sql_integer(&q, id);
    return collect(&q, ret_ids, ret_count, message);
}

enum status document_list(struct book *book, int64_t sample, int64_t **ret_ids, size_t *ret_count,
                          struct message *message)
{
    struct sql q = sql_begin(book, "SELECT id FROM document AS this WHERE sample IS ?1 AND NOT EXISTS "
                                   "(SELECT 1 FROM document WHERE replaces = this.id) ORDER BY id");
    sql_key(&q, sample);
    return collect(&q, ret_ids, ret_count, message);
}

void document_free(struct document *document)
{
    text_free(&document->text);
}
