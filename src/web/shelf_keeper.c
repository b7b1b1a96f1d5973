#include "web/shelf_keeper.h"

#include "base/memory.h"
#include "book/checksum.h"
#include "book/digest.h"
#include "report/shelf.h"

#include <pthread.h>
#include <sys/resource.h>
#include <unistd.h>

static const int behind_pages = 10; /* of nice: whoever waits for a page goes first, and a recording before all */

struct shelf_keeper {
    struct workshop *workshop;
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t woken;
    bool started, wanted, ending; /* under the lock */
    pthread_mutex_t reading;
    /* under `reading` */
    struct book *book; /* kept, since only one handle can tell that others have written */
    struct text list;
    char tag[SHELF_TAG];
    size_t stale;
    int64_t version;
};

static bool ending(struct shelf_keeper *keeper)
{
    pthread_mutex_lock(&keeper->lock);
    bool is = keeper->ending;
    pthread_mutex_unlock(&keeper->lock);
    return is;
}

/* What cannot be assessed says why, so that it is not tried again until something has changed. */
static enum status keep(struct shelf_keeper *keeper, int64_t sample, const struct text *basis,
                        const struct assessment *assessment, const struct message *fault, struct message *message)
{
    int64_t utc_ns = workshop_utc_ns(keeper->workshop);
    struct book *book = workshop_take(keeper->workshop, BOOK_WRITE, message);
    if (book == NULL)
        return message->status;
    enum status status = assessment != NULL ? shelf_keep(book, sample, basis, assessment, utc_ns, message)
                                            : shelf_keep_fault(book, sample, basis, fault, utc_ns, message);
    workshop_put(keeper->workshop, book);
    return status;
}

static enum status basis_of(struct shelf_keeper *keeper, int64_t sample, struct text *basis, struct message *message)
{
    struct book *book = workshop_take(keeper->workshop, BOOK_READ, message);
    enum status status = book != NULL ? digest_basis(book, sample, basis, message) : message->status;
    workshop_put(keeper->workshop, book);
    return status;
}

static enum status make(struct shelf_keeper *keeper, int64_t sample, struct message *message)
{
    struct text basis = TEXT_EMPTY;
    struct message fault;
    enum status status = basis_of(keeper, sample, &basis, message);
    if (status == STATUS_OK && basis.length > 0) {
        const struct assessment *assessment = workshop_assessed(keeper->workshop, sample, 0, &fault);
        status = keep(keeper, sample, &basis, assessment, &fault, message);
        workshop_give_back(keeper->workshop, assessment);
    }
    text_free(&basis);
    if (status == STATUS_OK)
        workshop_tell(keeper->workshop, "digest", sample, sample);
    return status;
}

/* A book that cannot be read or written stays as it is, and the pages say so; it is tried again when woken. */
static void look_through(struct shelf_keeper *keeper)
{
    struct message message;
    int64_t *samples = NULL;
    size_t count = 0;
    struct book *book = workshop_take(keeper->workshop, BOOK_READ, &message);
    enum status status = book != NULL ? shelf_stale(book, &samples, &count, &message) : message.status;
    workshop_put(keeper->workshop, book);
    for (size_t k = 0; k < count && status == STATUS_OK && !ending(keeper); k++)
        status = make(keeper, samples[k], &message);
    free(samples);
}

static void *run(void *context)
{
    struct shelf_keeper *keeper = context;
    (void)setpriority(PRIO_PROCESS, (id_t)gettid(), behind_pages);
    pthread_mutex_lock(&keeper->lock);
    while (!keeper->ending) {
        while (!keeper->wanted && !keeper->ending)
            pthread_cond_wait(&keeper->woken, &keeper->lock);
        keeper->wanted = false;
        pthread_mutex_unlock(&keeper->lock);
        look_through(keeper);
        pthread_mutex_lock(&keeper->lock);
    }
    pthread_mutex_unlock(&keeper->lock);
    return NULL;
}

struct shelf_keeper *shelf_keeper_new(struct workshop *workshop)
{
    struct shelf_keeper *keeper = memory_get(sizeof *keeper);
    keeper->workshop = workshop;
    pthread_mutex_init(&keeper->lock, NULL);
    pthread_mutex_init(&keeper->reading, NULL);
    pthread_cond_init(&keeper->woken, NULL);
    return keeper;
}

void shelf_keeper_free(struct shelf_keeper *keeper)
{
    if (keeper == NULL)
        return;
    pthread_mutex_lock(&keeper->lock);
    keeper->ending = true;
    bool started = keeper->started;
    pthread_cond_signal(&keeper->woken);
    pthread_mutex_unlock(&keeper->lock);
    if (started)
        pthread_join(keeper->thread, NULL);
    workshop_put(keeper->workshop, keeper->book);
    text_free(&keeper->list);
    pthread_cond_destroy(&keeper->woken);
    pthread_mutex_destroy(&keeper->reading);
    pthread_mutex_destroy(&keeper->lock);
    free(keeper);
}

void shelf_keeper_wake(struct shelf_keeper *keeper)
{
    pthread_mutex_lock(&keeper->lock);
    keeper->wanted = true;
    if (!keeper->started && !keeper->ending)
        keeper->started = pthread_create(&keeper->thread, NULL, run, keeper) == 0;
    pthread_cond_signal(&keeper->woken);
    pthread_mutex_unlock(&keeper->lock);
}

/* The version is asked first: what is written after that is read again next time. */
static enum status read_again(struct shelf_keeper *keeper, struct message *message)
{
    int64_t version = 0;
    if (keeper->book == NULL)
        keeper->book = workshop_take(keeper->workshop, BOOK_READ, message);
    enum status status = keeper->book != NULL ? book_version(keeper->book, &version, message) : message->status;
    if (status != STATUS_OK || (keeper->list.length > 0 && version == keeper->version))
        return status;
    struct text list = TEXT_EMPTY;
    status = shelf_list(keeper->book, 0, &list, &keeper->stale, message);
    text_free(&keeper->list);
    if (status != STATUS_OK) {
        text_free(&list);
        return status;
    }
    keeper->list = list;
    keeper->version = version;
    snprintf(keeper->tag, sizeof keeper->tag, "%016llx",
             (unsigned long long)checksum((const unsigned char *)list.s, list.length, 0));
    return STATUS_OK;
}

enum status shelf_keeper_list(struct shelf_keeper *keeper, struct text *json, char ret_tag[static SHELF_TAG],
                              struct message *message)
{
    pthread_mutex_lock(&keeper->reading);
    enum status status = read_again(keeper, message);
    bool stale = status == STATUS_OK && keeper->stale > 0;
    if (status == STATUS_OK) {
        text_add_bytes(json, keeper->list.s, keeper->list.length);
        memcpy(ret_tag, keeper->tag, sizeof keeper->tag);
    }
    pthread_mutex_unlock(&keeper->reading);
    if (stale)
        shelf_keeper_wake(keeper); /* another program may have changed the book */
    return status;
}
