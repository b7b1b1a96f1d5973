#include "book/ready.h"

enum status ready_make(const struct block_columns *block, struct block_workspace *workspace,
                       struct cells *cells, struct ready_block *ready, struct message *message)
{
    ready->count = block->count;
    ready->columns = block->columns;
    enum status status = block_pack(block, workspace, &ready->bytes, message);
    if (status != STATUS_OK)
        return status;
    ready->from_s = decimal_value(block->cells[0][0]);
    ready->to_s = decimal_value(block->cells[0][block->count - 1]);
    const double *t_s = block_times(block, workspace);
    for (int position = 0; status == STATUS_OK && position < block->columns; position++) {
        ready->summary[position] = cells_of(block, t_s, position, cells);
        status = cells_pack(cells, position, workspace, &ready->cells[position], message);
    }
    return status;
}

void ready_free(struct ready_block *ready)
{
    text_free(&ready->bytes);
    for (int c = 0; c < BLOCK_COLUMNS; c++)
        text_free(&ready->cells[c]);
}
