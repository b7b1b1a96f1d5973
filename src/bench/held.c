#include "bench/held.h"

#include "base/memory.h"

enum { ROOM_AT_FIRST = 256, ROOM_KEPT = 8 * BLOCK_READINGS };

struct held held_new(int channels)
{
    return (struct held){.columns = channels + 1};
}

void held_free(struct held *held)
{
    for (int c = 0; c < held->columns; c++)
        free(held->cells[c]);
    free(held->odd);
    *held = (struct held){.columns = held->columns};
}

size_t held_cells(const struct held *held)
{
    return held->count * (size_t)held->columns;
}

/* A recording outlives a machine short of memory: then what comes is lost and counted, not the program. */
static bool make_room(struct held *held)
{
    if (held->count < held->room)
        return true;
    size_t room = held->room > 0 ? 2 * held->room : ROOM_AT_FIRST;
    for (int c = 0; c < held->columns; c++) {
        struct decimal *more = realloc(held->cells[c], room * sizeof *more);
        if (more == NULL)
            return false;
        held->cells[c] = more;
    }
    held->room = room;
    return true;
}

static void keep_text(struct held *held, const char *text)
{
    held->odd = memory_grow(held->odd, held->odd_count, &held->odd_room);
    struct held_odd *odd = &held->odd[held->odd_count++];
    odd->reading = held->count;
    snprintf(odd->text, sizeof odd->text, "%s", text);
}

bool held_add(struct held *held, struct decimal time, const struct decimal *cells, const char *odd,
              size_t cells_left)
{
    if ((size_t)held->columns > cells_left || !make_room(held))
        return false;
    held->cells[0][held->count] = time;
    const char *text = odd;
    for (int c = 1; c < held->columns; c++) {
        held->cells[c][held->count] = cells[c - 1];
        if (cells[c - 1].kind != DECIMAL_ODD)
            continue;
        keep_text(held, text);
        text = ""; /* an arrival brings the text of the first */
    }
    held->count++;
    return true;
}

struct block_columns held_block(const struct held *held, size_t from, struct text *odd)
{
    size_t left = held->count - from;
    struct block_columns block = {.count = left < BLOCK_READINGS ? left : BLOCK_READINGS,
                                  .columns = held->columns};
    for (int c = 0; c < held->columns; c++)
        block.cells[c] = held->cells[c] + from;
    odd->length = 0;
    for (size_t k = 0; k < held->odd_count; k++)
        if (held->odd[k].reading >= from && held->odd[k].reading < from + block.count)
            text_addf(odd, "%s\n", held->odd[k].text);
    block.odd = odd->length > 0 ? text_string(odd) : "";
    return block;
}

void held_clear(struct held *held)
{
    held->count = held->odd_count = 0;
    if (held->room > ROOM_KEPT)
        held_free(held);
}
