/* What `rundown sample list` prints: the shelf, as words and as JSON (docs/json.md). */
#ifndef RUNDOWN_CLI_SHELF_WORDS_H
#define RUNDOWN_CLI_SHELF_WORDS_H

#include "base/text.h"
#include "book/book.h"

struct shelf_counts {
    size_t samples, stale; /* stale: what is shown of them was found before something changed, or nothing was */
};
enum status shelf_list_text(struct book *book, bool json, struct text *text, struct shelf_counts *ret_counts,
                            struct message *message);

#endif
