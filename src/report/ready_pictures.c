#include "report/ready_pictures.h"

#include "archive/photograph.h"
#include "base/memory.h"

#include <pthread.h>

/* The bytes of a picture never change, and no number is given twice in a book. */
struct ready_picture {
    int64_t picture;
    struct text jpeg;
};

struct ready_pictures {
    pthread_mutex_t lock;
    struct ready_picture pictures[READY_PICTURES];
    size_t count; /* made so far: the oldest gives way */
};

struct ready_pictures *ready_pictures_new(void)
{
    struct ready_pictures *ready = memory_get(sizeof *ready);
    pthread_mutex_init(&ready->lock, NULL);
    return ready;
}

void ready_pictures_free(struct ready_pictures *ready)
{
    if (ready == NULL)
        return;
    for (size_t k = 0; k < READY_PICTURES; k++)
        text_free(&ready->pictures[k].jpeg);
    pthread_mutex_destroy(&ready->lock);
    free(ready);
}

static enum status make(struct book *book, int64_t id, struct text *jpeg, struct message *message)
{
    struct picture picture = {0};
    enum status status = picture_get(book, id, &picture, message);
    if (status == STATUS_OK)
        status = photograph_shown(&picture, READY_SIDE, jpeg, message);
    picture_free(&picture);
    return status;
}

/* Where it is, else where it is to be. */
static struct ready_picture *place_of(struct ready_pictures *ready, int64_t id)
{
    for (size_t k = 0; k < READY_PICTURES; k++)
        if (ready->pictures[k].picture == id && ready->pictures[k].jpeg.length > 0)
            return &ready->pictures[k];
    return &ready->pictures[ready->count % READY_PICTURES];
}

enum status ready_pictures_add(struct ready_pictures *ready, struct book *book, const struct picture *listed,
                               struct text *jpeg, struct message *message)
{
    enum status status = STATUS_OK;
    if (ready == NULL)
        return make(book, listed->id, jpeg, message);
    pthread_mutex_lock(&ready->lock);
    struct ready_picture *place = place_of(ready, listed->id);
    if (place->picture != listed->id || place->jpeg.length == 0) {
        place->picture = listed->id;
        place->jpeg.length = 0;
        status = make(book, listed->id, &place->jpeg, message);
        place->jpeg.length = status == STATUS_OK ? place->jpeg.length : 0;
        ready->count += status == STATUS_OK;
    }
    text_add_bytes(jpeg, text_string(&place->jpeg), place->jpeg.length);
    pthread_mutex_unlock(&ready->lock);
    return status;
}
