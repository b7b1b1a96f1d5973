#include "book/book_run.h"

#include "base/memory.h"
#include "book/sql.h"

const char *const event_kind_words[EVENT_KINDS + 1] = {"mark", "gap", "call", "link", "note", "line", NULL};

enum status book_event_add(struct book *book, int64_t run, const struct book_event *event, struct message *message)
{
    struct sql q = sql_begin(book, "INSERT INTO event (run, stream, kind, t_s, until_s, topic, words) "
                                   "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)");
    sql_integer(&q, run);
    sql_key(&q, event->stream);
    sql_words(&q, event_kind_words[event->kind]);
    sql_real(&q, event->t_s);
    sql_real(&q, event->until_s);
    sql_words(&q, event->topic);
    sql_words(&q, event->text != NULL ? event->text : "");
    return sql_finish(&q, message);
}

static enum status event_at(const struct book *book, struct sql *q, struct book_event *ret_event,
                            struct message *message)
{
    int kind = 0;
    enum status status = sql_word_find(book, event_kind_words, sql_words_at(q, 1), &kind, message);
    if (status != STATUS_OK)
        return status;
    *ret_event = (struct book_event){.kind = (enum event_kind)kind, .stream = sql_integer_at(q, 0),
                                     .t_s = sql_real_at(q, 2), .until_s = sql_real_at(q, 3),
                                     .text = memory_copy_string(sql_words_at(q, 5))};
    sql_copy_at(q, 4, ret_event->topic, sizeof ret_event->topic);
    return STATUS_OK;
}

enum status book_events(struct book *book, int64_t run, struct book_event_list *ret_list, struct message *message)
{
    struct book_event_list list = {0};
    size_t capacity = 0;
    enum status status = STATUS_OK;
    struct sql q = sql_begin(book, "SELECT stream, kind, t_s, until_s, topic, words FROM event "
                                   "WHERE run = ?1 ORDER BY t_s, id");
    sql_integer(&q, run);
    while (status == STATUS_OK && sql_row(&q)) {
        list.items = memory_grow(list.items, list.count, &capacity);
        status = event_at(book, &q, &list.items[list.count], message);
        list.count += status == STATUS_OK;
    }
    enum status ended = sql_end(&q, message);
    status = ended != STATUS_OK ? ended : status;
    if (status == STATUS_OK)
        *ret_list = list;
    else
        book_event_list_free(&list);
    return status;
}

void book_event_list_free(struct book_event_list *list)
{
    for (size_t k = 0; k < list->count; k++)
        free(list->items[k].text);
    free(list->items);
    *list = (struct book_event_list){0};
}
