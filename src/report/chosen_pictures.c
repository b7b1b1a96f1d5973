#include "report/chosen_pictures.h"

#include "base/memory.h"

static enum status take(struct ready_pictures *ready, struct book *book, const struct picture *listed,
                        struct chosen_pictures *chosen, struct message *message)
{
    struct text *jpeg = &chosen->jpegs[chosen->count];
    enum status status = ready_pictures_add(ready, book, listed, jpeg, message);
    if (status == STATUS_OK)
        chosen->pictures[chosen->count++] = (struct publishing_picture){
            text_string(&listed->caption), listed->item, {text_string(jpeg), jpeg->length}};
    return status;
}

enum status chosen_pictures_read(struct book *book, int64_t sample, struct ready_pictures *ready,
                                 struct chosen_pictures *ret_chosen, struct message *message)
{
    struct chosen_pictures chosen = {0};
    enum status status = book_pictures(book, sample, &chosen.list, message);
    chosen.pictures = memory_get((chosen.list.count + 1) * sizeof *chosen.pictures);
    chosen.jpegs = memory_get((chosen.list.count + 1) * sizeof *chosen.jpegs);
    for (size_t k = 0; k < chosen.list.count && status == STATUS_OK; k++) {
        if (!chosen.list.items[k].shown)
            continue;
        if (chosen.count < CHOSEN_PICTURES)
            status = take(ready, book, &chosen.list.items[k], &chosen, message);
        else
            chosen.left_out++;
    }
    if (status == STATUS_OK)
        *ret_chosen = chosen;
    else
        chosen_pictures_free(&chosen);
    return status;
}

void chosen_pictures_put(const struct chosen_pictures *chosen, struct publishing *publishing)
{
    publishing->pictures = chosen->pictures;
    publishing->picture_count = chosen->count;
}

void chosen_pictures_free(struct chosen_pictures *chosen)
{
    for (size_t k = 0; k < chosen->list.count; k++)
        text_free(&chosen->jpegs[k]);
    free(chosen->jpegs);
    free(chosen->pictures);
    picture_list_free(&chosen->list);
    *chosen = (struct chosen_pictures){0};
}
