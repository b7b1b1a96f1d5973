/* book/packed.h: whatever the bytes, nothing is read or written beyond them; what unpacks packs and unpacks to the
 * same. Length and checksum are put right first, so that the search gets past them. */
#include "base/memory.h"
#include "book/byte_cursor.h"
#include "book/checksum.h"
#include "book/packed.h"
#include "book/totals.h"

enum { HEAD = 16 };

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static struct block_workspace *workspace;
static struct decimal *cells[BLOCK_COLUMNS], *again[BLOCK_COLUMNS];
static double *values[BLOCK_COLUMNS];
static struct cells summary_cells;

static void set_up(void)
{
    if (workspace != NULL)
        return;
    workspace = block_workspace_new();
    for (int c = 0; c < BLOCK_COLUMNS; c++) {
        cells[c] = memory_get(BLOCK_READINGS * sizeof **cells);
        again[c] = memory_get(BLOCK_READINGS * sizeof **again);
        values[c] = memory_get(BLOCK_READINGS * sizeof **values);
    }
}

static void demand(bool fine)
{
    if (!fine)
        abort();
}

static void check_again(const struct block_columns *columns)
{
    struct text bytes = TEXT_EMPTY, odd = TEXT_EMPTY;
    struct decimal *into[BLOCK_COLUMNS] = {NULL};
    size_t count = 0;
    for (int c = 0; c < columns->columns; c++)
        into[c] = again[c];
    demand(block_pack(columns, workspace, &bytes, NULL) == STATUS_OK);
    demand(block_unpack((struct span){bytes.s, bytes.length}, workspace, into, &count, &odd, NULL) == STATUS_OK);
    demand(count == columns->count && strcmp(text_string(&odd), columns->odd) == 0);
    for (int c = 0; c < columns->columns; c++)
        for (size_t k = 0; k < count; k++)
            demand(again[c][k].mantissa == cells[c][k].mantissa && again[c][k].decimals == cells[c][k].decimals &&
                   again[c][k].kind == cells[c][k].kind);
    text_free(&bytes);
    text_free(&odd);
}

static void try_block(struct span bytes, int columns)
{
    columns = columns < BLOCK_COLUMNS ? columns : BLOCK_COLUMNS;
    struct decimal *into[BLOCK_COLUMNS] = {NULL};
    double *numbers[BLOCK_COLUMNS] = {NULL};
    struct block_columns block = {.columns = columns};
    struct text odd = TEXT_EMPTY;
    size_t count = 0;
    for (int c = 0; c < columns; c++)
        block.cells[c] = into[c] = cells[c], numbers[c] = values[c];
    enum status status = block_unpack(bytes, workspace, into, &block.count, &odd, NULL);
    demand(status == STATUS_OK || status == STATUS_UNREADABLE);
    demand(status != STATUS_OK || block_values(bytes, workspace, numbers, &count, NULL) == STATUS_OK);
    block.odd = text_string(&odd);
    if (status == STATUS_OK)
        check_again(&block);
    cells_unpack(bytes, 0, workspace, &summary_cells, NULL);
    cells_unpack(bytes, 1, workspace, &summary_cells, NULL);
    text_free(&odd);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    set_up();
    const char *given = (const char *)data;
    try_block((struct span){given, size}, size > 1 ? data[1] : 1);
    if (size < HEAD)
        return 0;
    unsigned char *bytes = memory_get(size);
    memcpy(bytes, data, size);
    uint64_t head = (load_u64(bytes) & UINT32_MAX) | (uint64_t)size << 32;
    store_u64(bytes, head);
    store_u64(bytes + 8, checksum(bytes + HEAD, size - HEAD, head));
    try_block((struct span){(const char *)bytes, size}, bytes[1]);
    free(bytes);
    return 0;
}
