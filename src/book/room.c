#include "book/room.h"

#include "base/memory.h"
#include "book/state.h"

enum { ROOM = 2 * BLOCK_READINGS };

struct block_workspace *book_workspace(struct book *book)
{
    if (book->workspace == NULL)
        book->workspace = block_workspace_new();
    return book->workspace;
}

bool room_init(struct room *room, int columns)
{
    *room = (struct room){.columns = columns};
    for (int c = 0; c < columns; c++) {
        room->cells[c] = memory_try(ROOM, sizeof(struct decimal));
        if (room->cells[c] == NULL) {
            room_free(room);
            return false;
        }
    }
    return true;
}

void room_free(struct room *room)
{
    for (int c = 0; c < BLOCK_COLUMNS; c++)
        memory_try_free(room->cells[c], ROOM, sizeof(struct decimal));
    text_free(&room->odd);
    *room = (struct room){0};
}

struct block_columns room_block(const struct room *room)
{
    struct block_columns block = {.count = room->count, .columns = room->columns,
                                  .odd = room->odd.length > 0 ? room->odd.s : NULL};
    for (int c = 0; c < room->columns; c++)
        block.cells[c] = room->cells[c];
    return block;
}

enum status room_damaged(const struct book *book, const char *what, struct message *message)
{
    status_fail(message, STATUS_UNREADABLE, "readings in the book are damaged: %s", what);
    status_at(message, book_path(book), 0, 0);
    status_remedy(message, "keep the file as it is and go back to a backup; `rundown book check` names what is hurt");
    return STATUS_UNREADABLE;
}

enum status room_take(struct room *room, struct book *book, struct span bytes, int64_t readings,
                      struct message *message)
{
    struct decimal *into[BLOCK_COLUMNS] = {0};
    struct text odd = TEXT_EMPTY;
    struct message cause = {0};
    size_t count = 0;
    for (int c = 0; c < room->columns; c++)
        into[c] = room->cells[c] + room->count;
    enum status status = block_unpack(bytes, book_workspace(book), into, &count, &odd, &cause);
    if (status != STATUS_OK)
        status = room_damaged(book, cause.what, message);
    else if ((int64_t)count != readings || room->count + count > BLOCK_READINGS)
        status = room_damaged(book, "there are not as many as there should be", message);
    if (status == STATUS_OK) {
        room->count += count;
        text_add_bytes(&room->odd, text_string(&odd), odd.length);
    }
    text_free(&odd);
    return status;
}

enum status room_take_journal(struct room *room, struct book *book, int64_t stream, struct message *message)
{
    enum status status = STATUS_OK;
    struct sql q = sql_begin(book, "SELECT readings, bytes FROM journal WHERE stream = ?1 ORDER BY id");
    sql_integer(&q, stream);
    while (status == STATUS_OK && sql_row(&q))
        status = room_take(room, book, sql_bytes_at(&q, 1), sql_integer_at(&q, 0), message);
    enum status ended = sql_end(&q, message);
    return ended != STATUS_OK ? ended : status;
}

/* Texts of odd cells stand row by row: skips, or takes, those of the rows from `from` to `to`. */
static size_t lines_of(const struct block_columns *block, size_t from, size_t to, const char *lines)
{
    size_t length = 0;
    for (size_t k = from; k < to; k++)
        for (int c = 0; c < block->columns; c++)
            if (block->cells[c][k].kind == DECIMAL_ODD)
                length += strcspn(lines + length, "\n") + 1;
    return length;
}

struct block_columns block_part(const struct block_columns *block, size_t from, size_t count, struct text *odd)
{
    struct block_columns part = {.count = count, .columns = block->columns};
    for (int c = 0; c < block->columns; c++)
        part.cells[c] = block->cells[c] + from;
    odd->length = 0;
    if (block->odd != NULL) {
        const char *lines = block->odd + lines_of(block, 0, from, block->odd);
        text_add_bytes(odd, lines, lines_of(block, from, from + count, lines));
        part.odd = odd->length > 0 ? odd->s : NULL;
    }
    return part;
}
