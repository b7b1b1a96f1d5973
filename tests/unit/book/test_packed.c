#include "check.h"

#include "random_columns.h"

#include <math.h>
#include <string.h>

static struct block_workspace *workspace;
static struct decimal *back[BLOCK_COLUMNS];
static double *value[BLOCK_COLUMNS];

static void set_up(void)
{
    if (workspace != NULL)
        return;
    workspace = block_workspace_new();
    for (int c = 0; c < BLOCK_COLUMNS; c++) {
        back[c] = memory_get(BLOCK_READINGS * sizeof **back);
        value[c] = memory_get(BLOCK_READINGS * sizeof **value);
    }
}

static struct span bytes_of(const struct text *text)
{
    return (struct span){text->s, text->length};
}

static bool same(struct decimal a, struct decimal b)
{
    return a.mantissa == b.mantissa && a.decimals == b.decimals && a.kind == b.kind;
}

static bool same_value(double a, double b)
{
    return memcmp(&a, &b, sizeof a) == 0 || (isnan(a) && isnan(b));
}

/* Packs, unpacks in both ways and compares every digit; returns the bytes taken. */
static size_t round_trip(const struct random_columns *made)
{
    set_up();
    struct text bytes = TEXT_EMPTY, odd = TEXT_EMPTY;
    struct message message;
    struct decimal *cells[BLOCK_COLUMNS] = {NULL};
    double *values[BLOCK_COLUMNS] = {NULL};
    const struct block_columns *columns = &made->columns;
    for (int c = 0; c < columns->columns; c++)
        cells[c] = back[c], values[c] = value[c];
    size_t count = 0, counted = 0, different = 0;
    CHECK(block_pack(columns, workspace, &bytes, &message) == STATUS_OK);
    CHECK(block_unpack(bytes_of(&bytes), workspace, cells, &count, &odd, &message) == STATUS_OK);
    CHECK(block_values(bytes_of(&bytes), workspace, values, &counted, &message) == STATUS_OK);
    CHECK(count == columns->count && counted == count);
    CHECK_TEXT(text_string(&odd), columns->odd);
    for (int c = 0; c < columns->columns; c++)
        for (size_t k = 0; k < columns->count; k++)
            different += !same(back[c][k], columns->cells[c][k]) ||
                         !same_value(value[c][k], decimal_value(columns->cells[c][k]));
    CHECK(different == 0);
    size_t size = bytes.length;
    text_free(&bytes);
    text_free(&odd);
    return size;
}

TEST(round_trip_of_every_digit)
{
    static const size_t counts[] = {1, 2, 3, 5, 100, 255, 256, 257, 1000, 1024, 5000, BLOCK_READINGS};
    for (uint64_t seed = 1; seed <= 96; seed++) {
        struct random_columns made;
        size_t count = counts[seed % (sizeof counts / sizeof *counts)];
        random_columns_make(&made, seed, count, count > 1000 ? 2 + (int)(seed % 3) : 1 + (int)(seed % 9));
        round_trip(&made);
        random_columns_free(&made);
    }
}

TEST(thirty_three_columns)
{
    struct random_columns made;
    random_columns_make(&made, 33, 700, BLOCK_COLUMNS);
    round_trip(&made);
    random_columns_free(&made);
}

/* The far ends of what a decimal can be, in every order. */
TEST(extreme_mantissas)
{
    static const int64_t extreme[] = {INT64_MAX, INT64_MIN, 0, -1, 999999999999999999, -999999999999999999, 1};
    struct random_columns made;
    random_columns_make(&made, 7, 1100, 3);
    for (size_t k = 0; k < 1100; k++) {
        made.cells[1][k] = (struct decimal){extreme[draw(&made.state, 7)], 0, DECIMAL_NUMBER};
        made.cells[2][k] = (struct decimal){extreme[k % 7], (int8_t)(k % 2 == 0 ? -128 : 127), DECIMAL_NUMBER};
    }
    made.columns.odd = "";
    round_trip(&made);
    random_columns_free(&made);
}

TEST(nothing_but_gaps)
{
    struct random_columns made;
    random_columns_make(&made, 9, 300, 2);
    for (size_t k = 0; k < 300; k++)
        made.cells[1][k] = (struct decimal){.kind = k % 2 == 0 ? DECIMAL_MISSING : DECIMAL_OVERLOAD};
    made.columns.odd = "";
    round_trip(&made);
    random_columns_free(&made);
}

/* 12.9 among 12.90: the trailing zeros that a meter drops cost a few bits, not a step of a factor of ten. */
TEST(dropped_zeros_are_cheap)
{
    struct random_columns made;
    random_columns_make(&made, 4, BLOCK_READINGS, 2);
    for (size_t k = 0; k < BLOCK_READINGS; k++) {
        int64_t mantissa = 12900 + (int64_t)draw(&made.state, 12);
        int8_t decimals = 3;
        while (mantissa % 10 == 0)
            mantissa /= 10, decimals--;
        made.cells[0][k] = (struct decimal){(int64_t)k * 50, 3, DECIMAL_NUMBER};
        made.cells[1][k] = (struct decimal){mantissa, decimals, DECIMAL_NUMBER};
    }
    made.columns.odd = "";
    CHECK(round_trip(&made) < BLOCK_READINGS * 3 / 4);
    random_columns_free(&made);
}

TEST(a_constant_and_a_regular_clock_cost_nothing)
{
    struct random_columns made;
    random_columns_make(&made, 4, BLOCK_READINGS, 2);
    for (size_t k = 0; k < BLOCK_READINGS; k++) {
        made.cells[0][k] = (struct decimal){1234567 + (int64_t)k * 50, 3, DECIMAL_NUMBER};
        made.cells[1][k] = (struct decimal){-3, 2, DECIMAL_NUMBER};
    }
    made.columns.odd = "";
    CHECK(round_trip(&made) < 40);
    random_columns_free(&made);
}

TEST(columns_may_be_left_out)
{
    struct random_columns made;
    random_columns_make(&made, 21, 400, 5);
    set_up();
    struct text bytes = TEXT_EMPTY;
    struct message message;
    CHECK(block_pack(&made.columns, workspace, &bytes, &message) == STATUS_OK);
    struct decimal *cells[BLOCK_COLUMNS] = {[3] = back[3]};
    size_t count = 0, different = 0;
    CHECK(block_unpack(bytes_of(&bytes), workspace, cells, &count, NULL, &message) == STATUS_OK);
    for (size_t k = 0; k < 400; k++)
        different += !same(back[3][k], made.cells[3][k]);
    CHECK(count == 400 && different == 0);
    cells[5] = back[5]; /* one that the block does not have */
    CHECK(block_unpack(bytes_of(&bytes), workspace, cells, &count, NULL, &message) == STATUS_UNREADABLE);
    text_free(&bytes);
    random_columns_free(&made);
}

TEST(every_changed_byte_is_noticed)
{
    struct random_columns made;
    random_columns_make(&made, 12, 60, 3);
    set_up();
    struct text bytes = TEXT_EMPTY;
    struct message message;
    CHECK(block_pack(&made.columns, workspace, &bytes, &message) == STATUS_OK);
    double *values[BLOCK_COLUMNS] = {value[0], value[1], value[2]};
    size_t count = 99999;
    for (size_t k = 0; k < bytes.length; k++) {
        bytes.s[k] ^= 0x10;
        CHECK(block_values(bytes_of(&bytes), workspace, values, &count, &message) == STATUS_UNREADABLE);
        bytes.s[k] ^= 0x10;
        CHECK(block_values((struct span){bytes.s, k}, workspace, values, &count, &message) == STATUS_UNREADABLE);
    }
    CHECK(count == 99999);
    CHECK(block_values(bytes_of(&bytes), workspace, values, &count, &message) == STATUS_OK && count == 60);
    text_free(&bytes);
    random_columns_free(&made);
}

TEST(what_is_no_block_is_refused)
{
    struct random_columns made;
    random_columns_make(&made, 12, 60, 3);
    set_up();
    struct text bytes = TEXT_EMPTY;
    struct message message;
    made.columns.odd = "1.5\n"; /* of no odd cell */
    CHECK(block_pack(&made.columns, workspace, &bytes, &message) == STATUS_MALFORMED);
    made.columns.count = 0;
    CHECK(block_pack(&made.columns, workspace, &bytes, &message) == STATUS_LIMIT);
    made.columns.count = BLOCK_READINGS + 1;
    CHECK(block_pack(&made.columns, workspace, &bytes, &message) == STATUS_LIMIT);
    CHECK(bytes.length == 0);
    random_columns_free(&made);
}
