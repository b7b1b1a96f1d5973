/* Streams: the readings of one instrument within a run, or of one log.
 *
 * Live readings are journalled as rows and committed at least once a second by whoever records; when enough
 * have come they are sealed into a block, in one transaction. Reading a stream gives blocks and journal alike. */
#ifndef RUNDOWN_BOOK_STREAM_H
#define RUNDOWN_BOOK_STREAM_H

#include "base/decimal.h"
#include "book/packed.h"
#include "book/book.h"
#include "quantity/link.h"
#include "quantity/series.h"

struct book_column {
    char name[48];
    enum channel channel;  /* CHANNELS: kept and shown only */
    enum quantity quantity;
    struct unit unit;      /* brings what was printed to the own unit */
    char unit_symbol[16];
    double resolution;     /* own unit; 0: of the digits */
};

struct book_stream {
    int64_t id, run;
    char name[64];     /* the instrument's section in the rig, or "log" */
    char identity[128]; /* what it called itself */
    int columns;       /* without time */
    struct book_column column[LINK_CHANNELS];
};

struct book_stream_list {
    struct book_stream *items;
    size_t count;
};

enum status stream_add(struct book *book, const struct book_stream *stream, int64_t *ret_id, struct message *message);
enum status book_streams(struct book *book, int64_t run, struct book_stream_list *ret_list, struct message *message);
void book_stream_list_free(struct book_stream_list *list);

/* Readings in the order of time, as columns of decimals: cells[0] time, then the stream's columns. Journalled as
 * one row a call, which holds them as a small block (packed.h: 33 bytes and up, not a row a reading): hand over
 * what a commit brings together. Durable once the surrounding transaction is committed. Sealing happens inside
 * when a block is full. */
enum status stream_append(struct book *book, int64_t stream, const struct block_columns *readings,
                          struct message *message);
/* A long log, straight into blocks, each with its summaries (totals.h). The journal of the stream must be empty,
 * or its rows must be those of the block and be deleted in the same transaction: that is how it is sealed. */
enum status stream_fill(struct book *book, int64_t stream, const struct block_columns *block, struct message *message);
/* Seals what the journal still holds: at the end of a run. */
enum status stream_seal(struct book *book, int64_t stream, struct message *message);

/* Walks all readings, block by block, in order; `visit` returns false to stop. */
enum status stream_walk(struct book *book, int64_t stream, double from_s, double to_s,
                        bool (*visit)(void *context, const struct block_columns *block), void *context,
                        struct message *message);

/* How many readings come before an instant, so that a reading has its number. */
enum status stream_before(struct book *book, int64_t stream, double t_s, int64_t *ret_count, struct message *message);

/* Whole stream into a series of its own: t_s and the known channels in own units. Marks and gaps are added by
 * the caller from the run's events. */
enum status stream_series(struct book *book, const struct book_stream *stream, struct series *ret_series,
                          struct message *message);

/* From summaries alone, and the journal: one for time and one a column, each in its own unit. */
enum status stream_totals(struct book *book, int64_t stream, struct summary *ret_summaries, struct message *message);

/* At most `points` stretches of [from_s, to_s] with min, max, first and last of one column in its own unit, from
 * the coarsest summaries that resolve them; edges decode blocks. A stretch says itself from which reading to which
 * it reaches, so that what it states is exact; `count` are its numbers (0: the rest is NaN). */
struct chart_stretch {
    double from_s, to_s, min, max, first, last;
    int64_t count;
};
enum status stream_chart(struct book *book, const struct book_stream *stream, int column, double from_s, double to_s,
                         size_t points, struct chart_stretch *ret_stretches, size_t *ret_count, struct message *message);

#endif
