/* Teardown: what was seen in an opened sample, item by item; what was seen or measured stands apart from what the
 * tester makes of it. */
#ifndef RUNDOWN_BOOK_TEARDOWN_H
#define RUNDOWN_BOOK_TEARDOWN_H

#include "base/text.h"
#include "book/book.h"

struct teardown_item {
    int64_t id, sample;
    struct text topic;   /* what was looked at: "bus bar", "cell code"; the texts are owned where read */
    struct text value;   /* as typed: "copper, 20 mm x 2 mm" */
    struct text opinion; /* "" for none */
    int64_t utc_ns;
};

struct teardown_list {
    struct teardown_item *items;
    size_t count;
};

enum status teardown_add(struct book *book, const struct teardown_item *item, int64_t *ret_id,
                         struct message *message);
/* As they were added. */
enum status book_teardown(struct book *book, int64_t sample, struct teardown_list *ret_list, struct message *message);
enum status teardown_remove(struct book *book, int64_t id, struct message *message);
void teardown_list_free(struct teardown_list *list);

#endif
