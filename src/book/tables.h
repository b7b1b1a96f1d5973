/* Tables: all that a book holds but its readings, row by row as it stands, for export and import.
 *
 * Blocks, journal and summaries are left to stream.h: readings go out and in as decimals, and a book made again
 * from them packs the same stretches. Digests are made anew. The forms are asked of the book itself, so that a new column needs nothing
 * here. */
#ifndef RUNDOWN_BOOK_TABLES_H
#define RUNDOWN_BOOK_TABLES_H

#include "book/book.h"
#include "base/text.h"

enum table_kind { TABLE_NULL, TABLE_INTEGER, TABLE_REAL, TABLE_WORDS, TABLE_BYTES };

struct table_value {
    enum table_kind kind;
    int64_t integer;
    double real;
    struct span span; /* words and bytes; borrowed */
};

enum { TABLE_COLUMNS = 24, TABLE_NAME = 32 };
struct book_table {
    char name[TABLE_NAME];
    int columns;
    char column[TABLE_COLUMNS][TABLE_NAME];
    enum table_kind kind[TABLE_COLUMNS]; /* as declared */
};

struct book_table_list {
    struct book_table *items; /* a table refers only to those before it, and to itself */
    size_t count;
};
enum status book_tables(struct book *book, struct book_table_list *ret_forms, struct message *message);
void book_table_list_free(struct book_table_list *forms);

/* The form of an open book's tables; of those that this program makes. */
enum status book_form(struct book *book, int *ret_form, struct message *message);
int book_form_newest(void);

/* A new book of an older form, to be filled with what such a form holds and then brought up to date: no copy is made. */
enum status book_create_old(const char *path, const struct book_options *options, int form, struct book **ret_book,
                            struct message *message);
enum status book_bring_up(struct book *book, struct message *message);

/* In the order of the primary key; `visit` returns false to stop. */
enum status book_table_walk(struct book *book, const struct book_table *form,
                            bool (*visit)(void *context, const struct table_value *values), void *context,
                            struct message *message);
/* Adds a row with the key it brings. What the tables do not allow is STATUS_MALFORMED, and says why. */
enum status book_table_put(struct book *book, const struct book_table *form, const struct table_value *values,
                           struct message *message);

/* The last number that a table gave to a row, which no later row gets though the row be gone; 0 where numbers are
 * not kept so. Setting it never takes it back. */
enum status book_last_number(struct book *book, const struct book_table *form, int64_t *ret_last,
                             struct message *message);
enum status book_last_number_put(struct book *book, const struct book_table *form, int64_t last,
                                 struct message *message);

/* How many readings each block of a stream holds, and behind them each row of its journal; free() the lengths. */
enum status book_stream_parts(struct book *book, int64_t stream, size_t **ret_lengths, size_t *ret_blocks,
                              size_t *ret_journal, struct message *message);

#endif
