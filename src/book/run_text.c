/* Texts that belong to a run, and its findings: see book/book_run.h. */
#include "book/book_run.h"

#include "book/sql.h"

enum status book_run_text_put(struct book *book, int64_t run, const char *topic, struct span text,
                              struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO run_text (run, topic, content) SELECT ?1, ?2, ?3 WHERE ?3 IS NOT "
                                   "(SELECT content FROM run_text WHERE run = ?1 AND topic = ?2 ORDER BY id DESC LIMIT 1)");
    sql_integer(&q, run);
    sql_words(&q, topic);
    sql_bytes(&q, text);
    return sql_finish(&q, message);
}

enum status book_run_text_get(struct book *book, int64_t run, const char *topic, struct text *ret_text,
                              struct message *message)
{
    struct text text = TEXT_EMPTY;
    struct sql q = sql_begin(book, "SELECT content FROM run_text WHERE run = ?1 AND topic = ?2 "
                                   "ORDER BY id DESC LIMIT 1");
    sql_integer(&q, run);
    sql_words(&q, topic);
    if (sql_row(&q)) {
        struct span content = sql_bytes_at(&q, 0);
        text_add_bytes(&text, content.p, content.n);
    }
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK)
        *ret_text = text;
    else
        text_free(&text);
    return status;
}

enum status finding_put(struct book *book, int64_t run, const char *method, struct span json, int64_t utc_ns,
                        struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO finding (run, method, utc_ns, json) "
                                   "VALUES (?1, ?2, ?3, CAST(?4 AS TEXT))");
    sql_integer(&q, run);
    sql_words(&q, method);
    sql_integer(&q, utc_ns);
    sql_bytes(&q, json);
    return sql_finish(&q, message);
}

enum status finding_latest(struct book *book, int64_t run, struct text *ret_method, struct text *ret_json,
                           struct message *message)
{
    struct text method = TEXT_EMPTY, json = TEXT_EMPTY;
    struct sql q = sql_begin(book, "SELECT method, json FROM finding WHERE run = ?1 ORDER BY id DESC LIMIT 1");
    sql_integer(&q, run);
    if (sql_row(&q)) {
        text_add(&method, sql_words_at(&q, 0));
        text_add(&json, sql_words_at(&q, 1));
    }
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK) {
        *ret_method = method;
        *ret_json = json;
        return STATUS_OK;
    }
    text_free(&method);
    text_free(&json);
    return status;
}
