/* Columns of untidy decimals, drawn by a seed: what a block has to hold. */
#ifndef RUNDOWN_TESTS_RANDOM_COLUMNS_H
#define RUNDOWN_TESTS_RANDOM_COLUMNS_H

#include "base/memory.h"
#include "base/text.h"
#include "book/packed.h"

struct random_columns {
    struct decimal *cells[BLOCK_COLUMNS];
    struct text odd;
    struct block_columns columns;
    uint64_t state;
};

static inline uint64_t draw(uint64_t *state, uint64_t below) /* xorshift64 (Marsaglia 2003) */
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return (*state >> 11) % below;
}

/* One column: a walk, noise, huge numbers or a constant; evenly printed or with trailing zeros dropped; gaps. */
static inline void draw_cells(struct random_columns *made, struct decimal *cells, size_t count)
{
    uint64_t *state = &made->state;
    unsigned shape = (unsigned)draw(state, 7), print = (unsigned)draw(state, 4), holes = (unsigned)draw(state, 4);
    int decimals = (int)draw(state, 12) - 2;
    int64_t level = (int64_t)draw(state, 20000) - 10000, slope = (int64_t)draw(state, 9) - 4;
    for (size_t k = 0; k < count; k++) {
        level += shape == 1 ? (int64_t)draw(state, 7) - 3 : shape == 2 ? slope : 0;
        slope += shape == 2 && draw(state, 3) == 0 ? (int64_t)draw(state, 3) - 1 : 0;
        int64_t mantissa = level + (shape == 3 ? (int64_t)draw(state, 19) : 0);
        if (shape == 4)
            mantissa = (int64_t)(draw(state, UINT64_C(1) << 53) * 111) * (draw(state, 2) == 0 ? -1 : 1);
        if (shape == 5 && draw(state, 500) == 0)
            mantissa *= 100000; /* a spike */
        struct decimal cell = {mantissa, (int8_t)decimals, DECIMAL_NUMBER};
        while (print == 1 && cell.mantissa % 10 == 0 && cell.mantissa != 0)
            cell.mantissa /= 10, cell.decimals--;
        if (print == 2)
            cell.decimals = (int8_t)((int)draw(state, 256) - 128);
        if (holes > 0 && draw(state, holes == 1 ? 200 : 3) == 0)
            cell = (struct decimal){.kind = DECIMAL_MISSING};
        if (holes == 2 && draw(state, 5) == 0)
            cell = (struct decimal){.kind = DECIMAL_OVERLOAD};
        if (holes == 3 && draw(state, 50) == 0)
            cell = (struct decimal){.decimals = (int8_t)decimals, .kind = DECIMAL_NEGATIVE_ZERO};
        if (holes == 3 && draw(state, 90) == 0) {
            text_addf(&made->odd, "1.%018d%d\n", (int)draw(state, 1000000), (int)k);
            cell = (struct decimal){.kind = DECIMAL_ODD};
        }
        cells[k] = cell;
    }
}

static inline void random_columns_make(struct random_columns *made, uint64_t seed, size_t count, int columns)
{
    *made = (struct random_columns){.odd = TEXT_EMPTY, .state = seed * UINT64_C(0x9E3779B97F4A7C15) + 1};
    for (int c = 0; c < columns; c++)
        made->cells[c] = memory_get(BLOCK_READINGS * sizeof(struct decimal));
    int64_t now = (int64_t)draw(&made->state, 1000000);
    bool regular = draw(&made->state, 2) == 0;
    for (size_t k = 0; k < count; k++) {
        now += regular ? 1000 : (int64_t)draw(&made->state, 4) * (int64_t)draw(&made->state, 900); /* some twice */
        made->cells[0][k] = (struct decimal){now, 3, DECIMAL_NUMBER};
    }
    for (int c = 1; c < columns; c++)
        draw_cells(made, made->cells[c], count);
    made->columns = (struct block_columns){.count = count, .columns = columns, .odd = text_string(&made->odd)};
    for (int c = 0; c < columns; c++)
        made->columns.cells[c] = made->cells[c];
}

static inline void random_columns_free(struct random_columns *made)
{
    for (int c = 0; c < BLOCK_COLUMNS; c++)
        free(made->cells[c]);
    text_free(&made->odd);
}

#endif
