/* Summary row: a row of the table `summary` (book/totals.h), written and read; for the folder's own use. */
#ifndef RUNDOWN_BOOK_SUMMARY_ROW_H
#define RUNDOWN_BOOK_SUMMARY_ROW_H

#include "book/sql.h"
#include "book/totals.h"

struct summary_place {
    int64_t stream, seq;
    int position, level;
};

enum status summary_put(struct book *book, struct summary_place place, const struct summary *summary,
                        struct span cells, struct message *message); /* cells: packed */

/* Of a statement that begins `SELECT SUMMARY_COLUMNS`. */
#define SUMMARY_COLUMNS "readings, numbers, first, last, first_s, last_s, min, max, sum, integral"
enum { SUMMARY_FIELDS = 10 };
struct summary summary_at(struct sql *q);

#endif
