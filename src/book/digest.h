/* Digests: for each sample what was last found of it, in a few hundred bytes, so that a shelf of a thousand samples
 * is read at once. Recomputable, and never the only copy of anything.
 *
 * With a digest stands its basis: the versions of what it was made from (label, runs with rig, end, marks, texts,
 * corrections). It is fresh while the basis is still that and the method the same; else it tells of a former state. */
#ifndef RUNDOWN_BOOK_DIGEST_H
#define RUNDOWN_BOOK_DIGEST_H

#include "book/sample.h"

struct digest_row {
    struct book_sample sample;
    int open_runs;       /* of sample.runs: being recorded, or left open by a crash */
    double tested_utc_s; /* start of the latest run that says one; NaN */
    bool fresh;
    struct span json;    /* empty: never made. Borrowed until the visit returns */
};

/* One query over all samples, or one (`sample` 0: all), in the order of their names. A book of a form without
 * digests has none. `visit` returns false to stop. */
enum status digest_walk(struct book *book, int64_t sample, const char *method,
                        bool (*visit)(void *context, const struct digest_row *row), void *context,
                        struct message *message);

/* To be asked before the findings are: what changes meanwhile then makes the digest stale. Appends. */
enum status digest_basis(struct book *book, int64_t sample, struct text *ret_basis, struct message *message);
/* In place of the one before. Of a sample that is gone nothing is kept. */
enum status digest_put(struct book *book, int64_t sample, const char *method, struct span basis, struct span json,
                       int64_t utc_ns, struct message *message);

#endif
