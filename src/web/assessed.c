#include "web/assessed.h"

#include "base/clock.h"
#include "base/memory.h"
#include "book/rests_on.h"
#include "claims/of_book.h"
#include "web/workshop.h"

#include <pthread.h>

/* 3 million readings of four columns take some 100 MB. */
enum { KEPT = 64, READINGS = 3000000 };
/* What takes long is not made again and again while a run is recorded: at most a fifth of the time goes into it. */
enum { LAG_OF_MAKING = 4 };

enum state { MAKING, MADE, FAILED };

struct kept {
    struct assessment assessment; /* given back by its address */
    int64_t sample, run;
    struct rests_on rests_on;
    struct ground *ground; /* NULL until asked for; of the lock `grounds` */
    enum state state;
    struct message fault;
    int users;        /* whoever waits for it counts */
    int64_t began_ns; /* by the caller's clock */
    double took_s;    /* of the machine */
    size_t readings;
    struct kept *next; /* used before this one */
};

struct assessed {
    pthread_mutex_t lock, grounds;
    pthread_cond_t made;
    struct kept *latest;
    long count;
};

struct assessed *assessed_new(void)
{
    struct assessed *assessed = memory_get(sizeof *assessed);
    pthread_mutex_init(&assessed->lock, NULL);
    pthread_mutex_init(&assessed->grounds, NULL);
    pthread_cond_init(&assessed->made, NULL);
    return assessed;
}

static void kept_free(struct kept *kept)
{
    ground_free(kept->ground);
    assessment_free(&kept->assessment);
    rests_on_free(&kept->rests_on);
    free(kept);
}

void assessed_free(struct assessed *assessed)
{
    if (assessed == NULL)
        return;
    for (struct kept *kept = assessed->latest; kept != NULL;) {
        struct kept *next = kept->next;
        kept_free(kept);
        kept = next;
    }
    pthread_cond_destroy(&assessed->made);
    pthread_mutex_destroy(&assessed->grounds);
    pthread_mutex_destroy(&assessed->lock);
    free(assessed);
}

static bool same(const struct text *a, const struct text *b)
{
    return strcmp(text_string(a), text_string(b)) == 0;
}

/* Still true, or behind an open run by no more than is promised. */
static bool holds(const struct kept *kept, const struct rests_on *now, int64_t now_ns)
{
    double lag_s = fmax(WORKSHOP_LAG_S, LAG_OF_MAKING * kept->took_s);
    return kept->state != FAILED && same(&kept->rests_on.settled, &now->settled) &&
           (kept->state == MAKING || same(&kept->rests_on.open, &now->open) ||
            (double)(now_ns - kept->began_ns) < lag_s * 1e9);
}

/* The lock is held. Puts what it finds first. */
static struct kept *find(struct assessed *assessed, int64_t sample, int64_t run, const struct rests_on *now,
                         int64_t now_ns)
{
    for (struct kept **place = &assessed->latest; *place != NULL; place = &(*place)->next) {
        struct kept *kept = *place;
        if (kept->sample != sample || kept->run != run || !holds(kept, now, now_ns))
            continue;
        *place = kept->next;
        kept->next = assessed->latest;
        assessed->latest = kept;
        return kept;
    }
    return NULL;
}

/* The lock is held. Lets go of what nobody uses: what failed, what a later one of the same replaces, and the oldest
 * over the bounds; the latest stays however large it is. */
static void tidy(struct assessed *assessed)
{
    size_t count = 0, readings = 0;
    for (struct kept **place = &assessed->latest; *place != NULL;) {
        struct kept *kept = *place;
        bool replaced = kept->state == FAILED;
        for (const struct kept *later = assessed->latest; later != kept && !replaced; later = later->next)
            replaced = later->state == MADE && later->sample == kept->sample && later->run == kept->run &&
                       later->began_ns >= kept->began_ns;
        count++;
        readings += kept->readings;
        if (kept->users > 0 || (!replaced && (count == 1 || (count <= KEPT && readings <= READINGS)))) {
            place = &kept->next;
            continue;
        }
        count--;
        readings -= kept->readings;
        *place = kept->next;
        kept_free(kept);
    }
}

static size_t readings_of(const struct assessment *assessment)
{
    size_t count = 0;
    for (size_t k = 0; k < assessment->record_count; k++)
        if (!assessment->records[k].by_eye)
            count += assessment->records[k].log.series.count;
    return count;
}

/* The lock is held, and let go of while it is made. */
static struct kept *add(struct assessed *assessed, struct book *book, int64_t sample, int64_t run,
                        struct rests_on *rests_on, int64_t now_ns)
{
    struct kept *kept = memory_get(sizeof *kept);
    struct assessment assessment = {0};
    struct message fault = {0};
    struct clock clock = clock_machine();
    *kept = (struct kept){.sample = sample, .run = run, .rests_on = *rests_on, .state = MAKING, .users = 1,
                          .began_ns = now_ns, .next = assessed->latest};
    *rests_on = (struct rests_on){TEXT_EMPTY, TEXT_EMPTY};
    assessed->latest = kept;
    pthread_mutex_unlock(&assessed->lock);
    int64_t began_ns = clock.now_ns(clock.context);
    enum status status = assess_sample(book, sample, run, &assessment, &fault);
    int64_t took_ns = clock.now_ns(clock.context) - began_ns;
    pthread_mutex_lock(&assessed->lock);
    kept->took_s = (double)took_ns / 1e9;
    kept->assessment = assessment;
    kept->readings = readings_of(&assessment);
    kept->fault = fault;
    kept->state = status == STATUS_OK ? MADE : FAILED;
    assessed->count++;
    pthread_cond_broadcast(&assessed->made);
    return kept;
}

const struct assessment *assessed_take(struct assessed *assessed, struct book *book, int64_t sample, int64_t run,
                                       int64_t now_ns, struct message *message)
{
    struct rests_on now;
    if (book_rests_on(book, sample, run, &now, message) != STATUS_OK)
        return NULL;
    pthread_mutex_lock(&assessed->lock);
    struct kept *kept = find(assessed, sample, run, &now, now_ns);
    if (kept != NULL)
        kept->users++;
    else
        kept = add(assessed, book, sample, run, &now, now_ns);
    while (kept->state == MAKING)
        pthread_cond_wait(&assessed->made, &assessed->lock);
    bool failed = kept->state == FAILED;
    if (failed) {
        *message = kept->fault;
        kept->users--;
    }
    tidy(assessed);
    pthread_mutex_unlock(&assessed->lock);
    rests_on_free(&now);
    return failed ? NULL : &kept->assessment;
}

/* Of an assessment that is in use. The lock is held. */
static struct kept *kept_of(const struct assessed *assessed, const struct assessment *assessment)
{
    struct kept *kept = assessed->latest;
    while (&kept->assessment != assessment)
        kept = kept->next;
    return kept;
}

void assessed_give_back(struct assessed *assessed, const struct assessment *assessment)
{
    if (assessment == NULL)
        return;
    pthread_mutex_lock(&assessed->lock);
    kept_of(assessed, assessment)->users--;
    tidy(assessed);
    pthread_mutex_unlock(&assessed->lock);
}

/* Two that ask at once make it once. */
const struct ground *assessed_ground(struct assessed *assessed, const struct assessment *assessment,
                                     struct message *message)
{
    const struct record *record = &assessment->records[0];
    if (assessment->record_count == 0 || record->by_eye) {
        status_fail(message, STATUS_USAGE, "what was read by eye is told phase by phase: between two readings the load is "
                                           "carried, not seen");
        return NULL;
    }
    pthread_mutex_lock(&assessed->lock);
    struct kept *kept = kept_of(assessed, assessment);
    pthread_mutex_unlock(&assessed->lock);
    pthread_mutex_lock(&assessed->grounds);
    if (kept->ground == NULL)
        (void)ground_make(&record->log.series, &assessment->rig, &record->findings, &kept->ground, message);
    const struct ground *ground = kept->ground;
    pthread_mutex_unlock(&assessed->grounds);
    return ground;
}

long assessed_made(struct assessed *assessed)
{
    pthread_mutex_lock(&assessed->lock);
    long count = assessed->count;
    pthread_mutex_unlock(&assessed->lock);
    return count;
}
