/* Room: where the readings of one block stand while they are at work; for the folder's own use. */
#ifndef RUNDOWN_BOOK_ROOM_H
#define RUNDOWN_BOOK_ROOM_H

#include "book/book.h"
#include "book/packed.h"
#include "book/sql.h"

struct room {
    int columns; /* with time */
    struct decimal *cells[BLOCK_COLUMNS]; /* each with room for twice a block, so that one more always fits */
    size_t count;
    struct text odd;
};

/* False when memory does not allow it. */
bool room_init(struct room *room, int columns);
void room_free(struct room *room);
struct block_columns room_block(const struct room *room); /* borrowed view of what it holds */

/* Says that readings cannot be trusted, and why. */
enum status room_damaged(const struct book *book, const char *what, struct message *message);

/* Appends the readings of packed bytes; refuses what does not hold `readings` of them, and more than a block. */
enum status room_take(struct room *room, struct book *book, struct span bytes, int64_t readings,
                      struct message *message);

/* Appends what the journal of the stream holds. */
enum status room_take_journal(struct room *room, struct book *book, int64_t stream, struct message *message);

/* The readings from `from` on, `count` of them: a view, whose texts of odd cells are put into `odd`. */
struct block_columns block_part(const struct block_columns *block, size_t from, size_t count, struct text *odd);

/* Says so, and the remedy; returns STATUS_UNREADABLE. */
enum status room_damaged(const struct book *book, const char *what, struct message *message);

/* The workspace of the book, made when first wanted. */
struct block_workspace *book_workspace(struct book *book);

#endif
