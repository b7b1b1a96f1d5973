#include "book/summary_row.h"

#include "book/room.h"


enum status summary_put(struct book *book, struct summary_place place, const struct summary *summary,
                        struct span cells, struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO summary (stream, position, level, seq, " SUMMARY_COLUMNS ", cells) "
                                   "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)");
    sql_integer(&q, place.stream);
    sql_integer(&q, place.position);
    sql_integer(&q, place.level);
    sql_integer(&q, place.seq);
    sql_integer(&q, summary->count);
    sql_integer(&q, summary->numbers);
    const double reals[] = {summary->first, summary->last, summary->first_s, summary->last_s,
                            summary->min,   summary->max,  summary->sum,     summary->integral};
    for (size_t k = 0; k < sizeof reals / sizeof *reals; k++)
        sql_real(&q, reals[k]);
    sql_bytes(&q, cells);
    return sql_finish(&q, message);
}

struct summary summary_at(struct sql *q)
{
    return (struct summary){.count = sql_integer_at(q, 0),
                            .numbers = sql_integer_at(q, 1),
                            .first = sql_real_at(q, 2),
                            .last = sql_real_at(q, 3),
                            .first_s = sql_real_at(q, 4),
                            .last_s = sql_real_at(q, 5),
                            .min = sql_real_at(q, 6),
                            .max = sql_real_at(q, 7),
                            .sum = sql_real_at(q, 8),
                            .integral = sql_real_at(q, 9)};
}
