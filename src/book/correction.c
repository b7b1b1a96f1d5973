#include "book/correction.h"

#include "base/memory.h"
#include "book/sql.h"

enum status correction_add(struct book *book, const struct correction *correction, struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO correction (sample, run, field, old, new, utc_ns) "
                                   "VALUES (?1, ?2, ?3, ?4, ?5, ?6)");
    sql_key(&q, correction->sample);
    sql_key(&q, correction->run);
    sql_words(&q, correction->field);
    sql_words(&q, correction->before);
    sql_words(&q, correction->after);
    sql_integer(&q, correction->utc_ns);
    return sql_finish(&q, message);
}

enum status book_corrections(struct book *book, int64_t sample, int64_t run, struct correction_list *ret_list,
                             struct message *message)
{
    struct correction_list list = {0};
    size_t capacity = 0;
    struct sql q = sql_begin(book, "SELECT sample, run, field, old, new, utc_ns FROM correction "
                                   "WHERE sample = ?1 OR run = ?2 ORDER BY id");
    sql_key(&q, sample);
    sql_key(&q, run);
    while (sql_row(&q)) {
        list.items = memory_grow(list.items, list.count, &capacity);
        struct correction *one = &list.items[list.count++];
        *one = (struct correction){.sample = sql_integer_at(&q, 0), .run = sql_integer_at(&q, 1),
                                   .utc_ns = sql_integer_at(&q, 5)};
        sql_copy_at(&q, 2, one->field, sizeof one->field);
        one->before = memory_copy_string(sql_words_at(&q, 3));
        one->after = memory_copy_string(sql_words_at(&q, 4));
    }
    enum status status = sql_end(&q, message);
    if (status == STATUS_OK)
        *ret_list = list;
    else
        correction_list_free(&list);
    return status;
}

void correction_list_free(struct correction_list *list)
{
    for (size_t k = 0; k < list->count; k++) {
        free(list->items[k].before);
        free(list->items[k].after);
    }
    free(list->items);
    *list = (struct correction_list){0};
}
