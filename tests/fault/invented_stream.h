/* Readings that can be told again from their number alone, with whatever a block must keep: digits that change
 * their length, gaps, overloads and numbers that no decimal holds. Invented. */
#ifndef RUNDOWN_TESTS_FAULT_INVENTED_STREAM_H
#define RUNDOWN_TESTS_FAULT_INVENTED_STREAM_H

#include "base/memory.h"
#include "book/book_run.h"
#include "book/sample.h"
#include "book/stream.h"

enum { INVENTED_COLUMNS = 4 }; /* time, volts, amps, degrees */

static const char invented_odd[] = "12.345678901234567890123\n";

static inline struct decimal invented_cell(int64_t k, int column)
{
    uint64_t noise = ((uint64_t)k * 4 + (uint64_t)column) * 0x9E3779B97F4A7C15u;
    noise ^= noise >> 31;
    if (column == 0) /* now and then two of one instant */
        return (struct decimal){(k - (k % 41 == 7)) * 20, 3, DECIMAL_NUMBER};
    if (column == 3 && k % 5 != 0)
        return (struct decimal){.kind = DECIMAL_MISSING};
    if (column == 3)
        return (struct decimal){231 + k / 900, 1, DECIMAL_NUMBER};
    if (k % 977 == 13)
        return (struct decimal){.kind = column == 1 ? DECIMAL_ODD : DECIMAL_OVERLOAD};
    if (column == 1)
        return (struct decimal){13310 - k / 60 + (int64_t)(noise % 7), 3, DECIMAL_NUMBER};
    if (k % 2003 < 1500)
        return (struct decimal){5840 + (int64_t)(noise % 23), 2, DECIMAL_NUMBER};
    return (struct decimal){0, 2, DECIMAL_NEGATIVE_ZERO};
}

struct invented_block {
    struct decimal cells[INVENTED_COLUMNS][1024];
    struct text odd;
    struct block_columns block;
};

/* `count` of at most 1024 readings from number `from` on. */
static inline void invented_fill(struct invented_block *into, int64_t from, size_t count)
{
    into->odd.length = 0;
    into->block = (struct block_columns){.count = count, .columns = INVENTED_COLUMNS};
    for (size_t k = 0; k < count; k++)
        for (int c = 0; c < INVENTED_COLUMNS; c++) {
            into->cells[c][k] = invented_cell(from + (int64_t)k, c);
            if (into->cells[c][k].kind == DECIMAL_ODD)
                text_add(&into->odd, invented_odd);
        }
    for (int c = 0; c < INVENTED_COLUMNS; c++)
        into->block.cells[c] = into->cells[c];
    into->block.odd = into->odd.length > 0 ? into->odd.s : NULL;
}

static inline struct book_stream invented_stream(int64_t run, const char *name)
{
    struct book_stream stream = {.run = run, .columns = INVENTED_COLUMNS - 1};
    static const struct {
        const char *name, *symbol;
        enum channel channel;
        enum quantity quantity;
        double factor;
    } columns[] = {
        {"voltage", "V", CHANNEL_VOLTAGE, QUANTITY_VOLTAGE, 1},
        {"current", "A", CHANNEL_CURRENT, QUANTITY_CURRENT, -1},
        {"cell 3 temperature", "\xC2\xB0""C", CHANNELS, QUANTITY_TEMPERATURE, 1},
    };
    snprintf(stream.name, sizeof stream.name, "%s", name);
    snprintf(stream.identity, sizeof stream.identity, "Invented,Bench meter,0007,1.0");
    for (int c = 0; c < stream.columns; c++) {
        struct book_column *column = &stream.column[c];
        *column = (struct book_column){.channel = columns[c].channel, .quantity = columns[c].quantity,
                                       .unit = {columns[c].quantity, columns[c].factor, 0}};
        snprintf(column->name, sizeof column->name, "%s", columns[c].name);
        snprintf(column->unit_symbol, sizeof column->unit_symbol, "%s", columns[c].symbol);
    }
    return stream;
}

/* How many readings a walk met, and how many of them were not the invented ones. */
struct invented_seen {
    int64_t next;
    long wrong;
};

static inline bool invented_compare(void *context, const struct block_columns *block)
{
    struct invented_seen *seen = context;
    size_t odd = 0, lines = 0;
    for (size_t k = 0; k < block->count; k++, seen->next++)
        for (int c = 0; c < INVENTED_COLUMNS; c++) {
            struct decimal got = block->cells[c][k], want = invented_cell(seen->next, c);
            odd += want.kind == DECIMAL_ODD;
            seen->wrong += got.kind != want.kind || got.mantissa != want.mantissa || got.decimals != want.decimals;
        }
    for (const char *p = block->odd; p != NULL && *p != '\0'; p += strlen(invented_odd)) {
        lines++;
        if (strncmp(p, invented_odd, strlen(invented_odd)) != 0) {
            seen->wrong++;
            break;
        }
    }
    seen->wrong += lines != odd;
    return true;
}

/* A sample with an open run, which has one such stream; one transaction. */
static inline enum status invented_begin(struct book *book, const char *name, int64_t *ret_stream,
                                         struct message *message)
{
    int64_t sample = 0, run_id = 0, id = 0;
    enum status status = book_begin(book, message);
    if (status != STATUS_OK)
        return status;
    status = book_sample_add(book, name, true, 1790000000000000000, &sample, message);
    struct book_run run = {.sample = sample, .kind = TEST_DISCHARGE, .origin = TEST_REHEARSED, .name = "invented",
                           .open = true, .start_utc_s = 1790000000.5, .end_s = NAN, .invented = true,
                           .added_utc_ns = 1790000000000000000};
    if (status == STATUS_OK)
        status = book_run_add(book, &run, &run_id, message);
    struct book_stream stream = invented_stream(run_id, "bench meter");
    if (status == STATUS_OK)
        status = stream_add(book, &stream, &id, message);
    if (status == STATUS_OK)
        status = book_commit(book, message);
    else
        book_rollback(book);
    if (status == STATUS_OK)
        *ret_stream = id;
    return status;
}

#endif
