#include "cli/planning.h"

#include "cli/desk.h"
#include "intake/rig_file.h"

static enum status take_book(const char *path, const char *name, const struct plan_wish *wish, struct planned *planned,
                             struct message *message)
{
    struct book *book = NULL;
    struct book_sample sample;
    enum status status = desk_open(path, BOOK_READ, &book, message);
    if (status == STATUS_OK)
        status = book_sample_find(book, name, &sample, message);
    if (status == STATUS_OK)
        status = planned_take(book, sample.id, wish, planned, message);
    book_close(book);
    return status;
}

static enum status take_files(const struct planning_papers *files, struct planned *planned, struct message *message)
{
    enum status status = STATUS_OK;
    if (files->label != NULL) {
        label_free(&planned->label);
        planned->label = label_empty();
        status = label_read(files->label, &planned->label, &planned->notices, message);
        if (status == STATUS_OK)
            label_check(&planned->label, &planned->notices);
    }
    if (status == STATUS_OK && files->rig != NULL) {
        status = rig_read(files->rig, &planned->rig, &planned->notices, message);
        planned->of_book = false;
    }
    if (status == STATUS_OK && files->loads != NULL) {
        loads_free(&planned->loads);
        status = loads_read(files->loads, &planned->loads, message);
        planned->has_loads = status == STATUS_OK;
        planned->of_book = false;
    }
    return status;
}

enum status planning_take(const struct planning_papers *papers, const struct plan_wish *wish, struct planned *planned,
                          struct message *message)
{
    enum status status = STATUS_OK;
    if (papers->book != NULL)
        status = take_book(papers->book, papers->sample, wish, planned, message);
    return status == STATUS_OK ? take_files(papers, planned, message) : status;
}

void planning_warn(const struct planned *planned)
{
    for (size_t k = 0; k < planned->notices.count; k++)
        fprintf(stderr, "%s\n", planned->notices.items[k].text);
}
