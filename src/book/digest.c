#include "book/digest.h"

#include "book/sql.h"

/* The latest of everything that an assessment reads. Whatever is put right leaves a correction; papers and texts of
 * a run only ever get newer versions; of events the count and the sum of their times show one that went. Whole
 * numbers, since a thousand samples are compared at once. */
#define BASIS                                                                                                       \
    "printf('label %d opened %d summary %d corrected %d',"                                                           \
    " (SELECT max(id) FROM document WHERE sample = s.id AND kind = 'label'),"                                        \
    " (SELECT max(id) FROM document WHERE sample = s.id AND kind = 'opened'),"                                       \
    " (SELECT max(id) FROM document WHERE sample = s.id AND kind = 'summary'),"                                      \
    " (SELECT max(id) FROM correction WHERE sample = s.id))"                                                         \
    " || ifnull((SELECT group_concat(printf(' run %d open %d end %d rig %d text %d corrected %d', r.id, r.open,"     \
    " r.end_s * 1e6, r.rig, (SELECT max(id) FROM run_text WHERE run = r.id),"                                        \
    " (SELECT max(id) FROM correction WHERE run = r.id))"                                                            \
    " || (SELECT printf(' events %d %d %d', count(*), max(id), total(t_s) * 1e6) FROM event WHERE run = r.id), '')"  \
    " FROM run AS r WHERE r.sample = s.id), '') "

#define ROW                                                               \
    "SELECT s.id, s.name, s.invented, s.added_utc_ns,"                    \
    " (SELECT count(*) FROM run WHERE sample = s.id),"                    \
    " (SELECT count(*) FROM run WHERE sample = s.id AND open = 1),"       \
    " (SELECT max(start_utc_s) FROM run WHERE sample = s.id)"

static enum status has_digests(struct book *book, bool *ret_has, struct message *message)
{
    struct sql q = sql_begin(book, "SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = 'digest'");
    *ret_has = sql_row(&q);
    return sql_end(&q, message);
}

static struct digest_row row_at(struct sql *q)
{
    struct digest_row row = {.sample = {.id = sql_integer_at(q, 0), .invented = sql_integer_at(q, 2) != 0,
                                        .added_utc_ns = sql_integer_at(q, 3), .runs = (int)sql_integer_at(q, 4)},
                             .open_runs = (int)sql_integer_at(q, 5), .tested_utc_s = sql_real_at(q, 6),
                             .fresh = sql_integer_at(q, 7) != 0, .json = sql_bytes_at(q, 8)};
    sql_copy_at(q, 1, row.sample.name, sizeof row.sample.name);
    return row;
}

enum status digest_walk(struct book *book, int64_t sample, const char *method,
                        bool (*visit)(void *context, const struct digest_row *row), void *context,
                        struct message *message)
{
    bool has = false;
    enum status status = has_digests(book, &has, message);
    if (status != STATUS_OK)
        return status;
    struct sql q = has ? sql_begin(book, ROW ", d.method = ?2 AND d.basis = " BASIS ", d.json FROM sample AS s "
                                             "LEFT JOIN digest AS d ON d.sample = s.id "
                                             "WHERE ?1 IS NULL OR s.id = ?1 ORDER BY s.folded")
                       : sql_begin(book, ROW ", 0, NULL FROM sample AS s "
                                             "WHERE (?1 IS NULL OR s.id = ?1) AND ?2 IS NOT NULL ORDER BY s.folded");
    sql_key(&q, sample);
    sql_words(&q, method);
    for (bool on = true; on && sql_row(&q);) {
        struct digest_row row = row_at(&q);
        on = visit(context, &row);
    }
    return sql_end(&q, message);
}

enum status digest_basis(struct book *book, int64_t sample, struct text *ret_basis, struct message *message)
{
    struct sql q = sql_begin(book, "SELECT " BASIS "FROM sample AS s WHERE s.id = ?1");
    sql_integer(&q, sample);
    if (sql_row(&q))
        text_add(ret_basis, sql_words_at(&q, 0));
    return sql_end(&q, message);
}

enum status digest_put(struct book *book, int64_t sample, const char *method, struct span basis, struct span json,
                       int64_t utc_ns, struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO digest (sample, method, basis, utc_ns, json) "
                                   "SELECT id, ?2, CAST(?3 AS TEXT), ?4, CAST(?5 AS TEXT) FROM sample WHERE id = ?1 "
                                   "ON CONFLICT (sample) DO UPDATE SET method = excluded.method, "
                                   "basis = excluded.basis, utc_ns = excluded.utc_ns, json = excluded.json");
    sql_integer(&q, sample);
    sql_words(&q, method);
    sql_bytes(&q, basis);
    sql_integer(&q, utc_ns);
    sql_bytes(&q, json);
    return sql_finish(&q, message);
}
