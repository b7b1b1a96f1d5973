#include "book/teardown.h"

#include "base/memory.h"
#include "book/sql.h"

enum status teardown_add(struct book *book, const struct teardown_item *item, int64_t *ret_id,
                         struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO teardown (sample, topic, value, opinion, utc_ns) "
                                   "VALUES (?1, ?2, ?3, ?4, ?5)");
    sql_integer(&q, item->sample);
    sql_words(&q, text_string(&item->topic));
    sql_words(&q, text_string(&item->value));
    sql_words(&q, text_string(&item->opinion));
    sql_integer(&q, item->utc_ns);
    enum status status = sql_finish(&q, message);
    if (status == STATUS_OK)
        *ret_id = sql_last_id(book);
    return status;
}

enum status book_teardown(struct book *book, int64_t sample, struct teardown_list *ret_list, struct message *message)
{
    struct teardown_list list = {0};
    size_t capacity = 0;
    struct sql q = sql_begin(book, "SELECT id, topic, value, opinion, utc_ns FROM teardown WHERE sample = ?1 "
                                   "ORDER BY id");
    sql_integer(&q, sample);
    while (sql_row(&q)) {
        list.items = memory_grow(list.items, list.count, &capacity);
        struct teardown_item *item = &list.items[list.count++];
        *item = (struct teardown_item){.id = sql_integer_at(&q, 0), .sample = sample, .utc_ns = sql_integer_at(&q, 4)};
        text_add(&item->topic, sql_words_at(&q, 1));
        text_add(&item->value, sql_words_at(&q, 2));
        text_add(&item->opinion, sql_words_at(&q, 3));
    }
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK)
        *ret_list = list;
    else
        teardown_list_free(&list);
    return status;
}

enum status teardown_remove(struct book *book, int64_t id, struct message *message)
{
    struct sql q = sql_begin(book, "DELETE FROM teardown WHERE id = ?1");
    sql_integer(&q, id);
    enum status status = sql_finish(&q, message);
    if (status != STATUS_OK || sql_changes(book) > 0)
        return status;
    status_fail(message, STATUS_USAGE, "there is no item %lld of a teardown", (long long)id);
    status_at(message, book_path(book), 0, 0);
    status_remedy(message, "`rundown sample show` lists those of a sample");
    return STATUS_USAGE;
}

void teardown_list_free(struct teardown_list *list)
{
    for (size_t k = 0; k < list->count; k++) {
        text_free(&list->items[k].topic);
        text_free(&list->items[k].value);
        text_free(&list->items[k].opinion);
    }
    free(list->items);
    *list = (struct teardown_list){0};
}
