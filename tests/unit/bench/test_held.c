#include "bench/held.h"
#include "check.h"

static struct decimal number(int64_t mantissa)
{
    return (struct decimal){mantissa, 3, DECIMAL_NUMBER};
}

TEST(readings_come_back_as_they_went_in)
{
    struct held held = held_new(2);
    struct decimal odd = {.kind = DECIMAL_ODD};
    for (int k = 0; k < 40000; k++) {
        struct decimal cells[2] = {number(k * 7), k % 1000 == 3 ? odd : number(-k)};
        CHECK(held_add(&held, number(k), cells, k % 1000 == 3 ? "1234567890123456789.5" : "", HELD_CELLS_AT_MOST));
    }
    struct text texts = TEXT_EMPTY;
    size_t read = 0;
    for (size_t from = 0; from < held.count; from += BLOCK_READINGS) {
        struct block_columns block = held_block(&held, from, &texts);
        size_t lines = 0;
        for (const char *p = block.odd; *p != '\0'; p++)
            lines += *p == '\n';
        for (size_t k = 0; k < block.count; k++, read++) {
            CHECK(block.cells[0][k].mantissa == (int64_t)read && block.cells[1][k].mantissa == (int64_t)read * 7);
            lines -= block.cells[2][k].kind == DECIMAL_ODD;
        }
        CHECK(lines == 0);
    }
    CHECK(read == 40000);
    text_free(&texts);
    held_free(&held);
}

TEST(the_bound_holds_and_nothing_half_is_taken)
{
    struct held held = held_new(3);
    struct decimal cells[3] = {number(1), number(2), number(3)};
    CHECK(held_add(&held, number(0), cells, "", 4));
    CHECK(!held_add(&held, number(1), cells, "", 3));
    CHECK(held.count == 1 && held_cells(&held) == 4);
    held_clear(&held);
    CHECK(held.count == 0 && held_cells(&held) == 0);
    held_free(&held);
}

TEST(memory_of_a_long_trouble_is_given_back)
{
    struct held held = held_new(1);
    struct decimal cell = number(5);
    for (int k = 0; k < 200000; k++)
        held_add(&held, number(k), &cell, "", HELD_CELLS_AT_MOST);
    held_clear(&held);
    CHECK(held.room == 0);
    CHECK(held_add(&held, number(1), &cell, "", HELD_CELLS_AT_MOST));
    CHECK(held_block(&held, 0, &(struct text){0}).count == 1);
    held_free(&held);
}
