/* Prints packed blocks of invented readings beside what they hold, for a reader that knows the format from
 * docs/blocks.md alone: a line `block HEX`, then a line a reading of `kind:mantissa:decimals` a column, the text
 * itself for odd cells, then `end`. */
#include "../unit/book/random_columns.h"

static void print_block(const struct block_columns *columns, const struct text *bytes)
{
    const char *odd = columns->odd;
    printf("block ");
    for (size_t k = 0; k < bytes->length; k++)
        printf("%02x", (unsigned char)bytes->s[k]);
    printf("\n");
    for (size_t k = 0; k < columns->count; k++) {
        for (int c = 0; c < columns->columns; c++) {
            struct decimal cell = columns->cells[c][k];
            if (cell.kind == DECIMAL_ODD) {
                int length = (int)strcspn(odd, "\n");
                printf("%.*s ", length, odd);
                odd += length + 1;
            } else {
                printf("%d:%lld:%d ", cell.kind, (long long)cell.mantissa, cell.decimals);
            }
        }
        printf("\n");
    }
    printf("end\n");
}

/* Texts of odd cells, in the order of rows. */
static void name_odd(struct random_columns *made)
{
    made->odd.length = 0;
    for (size_t k = 0; k < made->columns.count; k++)
        for (int c = 0; c < made->columns.columns; c++)
            if (made->cells[c][k].kind == DECIMAL_ODD)
                text_addf(&made->odd, "0.00%d123456789012345678%zu\n", c, k);
    made->columns.odd = made->odd.length > 0 ? made->odd.s : "";
}

int main(void)
{
    static const size_t counts[] = {1, 2, 3, 7, 60, 256, 257, 1000, 1024, 2000};
    struct block_workspace *workspace = block_workspace_new();
    struct text bytes = TEXT_EMPTY;
    for (uint64_t seed = 1; seed <= 150; seed++) {
        struct random_columns made;
        struct message message;
        random_columns_make(&made, seed, seed == 150 ? BLOCK_READINGS : counts[seed % 10], 1 + (int)(seed % 7));
        name_odd(&made);
        if (block_pack(&made.columns, workspace, &bytes, &message) != STATUS_OK)
            return 1;
        print_block(&made.columns, &bytes);
        random_columns_free(&made);
    }
    text_free(&bytes);
    block_workspace_free(workspace);
    return 0;
}
