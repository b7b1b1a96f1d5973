#include "made_book.h"
#include "book/stream.h"
#include "report/json.h"
#include "web/assessed.h"
#include "web/pool.h"
#include "web/workshop.h"

#include <pthread.h>

static const int64_t second_ns = 1000000000;

struct shop {
    struct scratch scratch;
    struct pool *pool;
    struct book *reader;
    struct assessed *assessed;
    int64_t sample, run;
};

static void shop_open(struct shop *shop)
{
    made_book(&shop->scratch, &shop->sample, &shop->run);
    shop->pool = pool_new(shop->scratch.path);
    shop->assessed = assessed_new();
    shop->reader = pool_take(shop->pool, BOOK_READ, &made_message);
    CHECK(shop->reader != NULL);
}

static void shop_close(struct shop *shop)
{
    pool_put(shop->pool, shop->reader);
    assessed_free(shop->assessed);
    pool_free(shop->pool);
    scratch_remove(&shop->scratch);
}

static const struct assessment *take(struct shop *shop, int64_t sample, int64_t run, double at_s)
{
    return assessed_take(shop->assessed, shop->reader, sample, run, (int64_t)(at_s * 1e9), &made_message);
}

static void look(struct shop *shop, int64_t sample, int64_t run, double at_s)
{
    const struct assessment *a = take(shop, sample, run, at_s);
    CHECK(a != NULL);
    assessed_give_back(shop->assessed, a);
}

/* What the command of the same request prints. */
static bool as_command(struct shop *shop, const struct assessment *a)
{
    struct text name = TEXT_EMPTY, ours = TEXT_EMPTY, theirs = TEXT_EMPTY;
    struct assessment own;
    text_addf(&name, "%s:%lld", shop->scratch.path, (long long)shop->run);
    const char *log = text_string(&name);
    struct assess_request request = {.logs = &log, .log_count = 1};
    if (assess(&request, &own, &made_message) != STATUS_OK)
        return false;
    json_assessment(a, &ours);
    json_assessment(&own, &theirs);
    bool same = strcmp(text_string(&ours), text_string(&theirs)) == 0 && ours.length > 10000;
    assessment_free(&own);
    text_free(&name);
    text_free(&ours);
    text_free(&theirs);
    return same;
}

TEST(one_is_kept_while_nothing_it_rests_on_has_changed)
{
    struct shop shop;
    shop_open(&shop);
    const struct assessment *a = take(&shop, shop.sample, 0, 1), *b = take(&shop, shop.sample, 0, 1e6);
    CHECK(a != NULL && a == b && assessed_made(shop.assessed) == 1);
    CHECK(as_command(&shop, a));
    const struct assessment *one = take(&shop, 0, shop.run, 1);
    CHECK(one != NULL && one != a && as_command(&shop, one));
    assessed_give_back(shop.assessed, a);
    assessed_give_back(shop.assessed, b);
    assessed_give_back(shop.assessed, one);
    int64_t other = made_sample(shop.scratch.book, "bivouac pack"); /* does not bear on it */
    made_paper(shop.scratch.book, other, DOCUMENT_LABEL, "demo/bivouac-pack.label");
    look(&shop, shop.sample, 0, 2);
    CHECK(assessed_made(shop.assessed) == 2);
    shop_close(&shop);
}

TEST(another_label_another_rig_or_another_run_make_it_anew)
{
    struct shop shop;
    shop_open(&shop);
    const struct assessment *before = take(&shop, shop.sample, 0, 1);
    CHECK(before != NULL && before->label.claim_count > 15);
    made_paper(shop.scratch.book, shop.sample, DOCUMENT_LABEL, "demo/bivouac-pack.label");
    const struct assessment *after = take(&shop, shop.sample, 0, 1);
    CHECK(after != NULL && after != before && after->label.claim_count < before->label.claim_count);
    assessed_give_back(shop.assessed, before);
    assessed_give_back(shop.assessed, after);
    CHECK(book_run_correct(shop.scratch.book, shop.run, "rig", "0", 5, &made_message) == STATUS_OK);
    look(&shop, shop.sample, 0, 1);
    CHECK(assessed_made(shop.assessed) == 3);
    made_log(shop.scratch.book, shop.sample, 0);
    after = take(&shop, shop.sample, 0, 1);
    CHECK(after != NULL && after->record_count == 2 && assessed_made(shop.assessed) == 4);
    assessed_give_back(shop.assessed, after);
    shop_close(&shop);
}

TEST(a_sample_without_readings_is_assessed_from_its_label)
{
    struct shop shop;
    shop_open(&shop);
    int64_t sample = made_sample(shop.scratch.book, "new pack");
    const struct assessment *bare = take(&shop, sample, 0, 1);
    CHECK(bare != NULL && !bare->has_label && bare->decision_count == 0 && bare->record_count == 0 && bare->invented);
    made_paper(shop.scratch.book, sample, DOCUMENT_LABEL, "demo/hut-pack.label");
    const struct assessment *a = take(&shop, sample, 0, 1);
    CHECK(a != NULL && a->has_label && a->record_count == 0);
    for (size_t k = 0; a != NULL && k < a->decision_count; k++) { /* a scale and a rule were at hand */
        enum claim_kind kind = a->label.claims[k].kind;
        bool weighed = kind == CLAIM_MASS || kind == CLAIM_LENGTH || kind == CLAIM_WIDTH || kind == CLAIM_HEIGHT;
        CHECK((a->decisions[k].verdict == VERDICT_NOT_TESTED) == !weighed);
    }
    CHECK(a != NULL && strncmp(a->summary, "There are no readings yet.", 26) == 0);
    assessed_give_back(shop.assessed, bare);
    assessed_give_back(shop.assessed, a);
    shop_close(&shop);
}

TEST(what_there_is_not_is_a_fault_and_is_not_kept)
{
    struct shop shop;
    shop_open(&shop);
    int64_t other = made_sample(shop.scratch.book, "other");
    CHECK(take(&shop, 77, 0, 1) == NULL && made_message.what[0] != '\0');
    CHECK(take(&shop, other, shop.run, 1) == NULL);
    CHECK(strstr(made_message.what, "is not of sample") != NULL);
    int64_t torn = 0;
    CHECK(document_put(shop.scratch.book, other, DOCUMENT_LABEL, "label", span_of("[claims]\ncapacity = heavy\n"), 1, &torn,
                       &made_message) == STATUS_OK);
    CHECK(take(&shop, other, 0, 1) == NULL && made_message.line == 2);
    CHECK(take(&shop, other, 0, 1) == NULL && made_message.line == 2);
    CHECK(assessed_made(shop.assessed) == 2);
    shop_close(&shop);
}

static int64_t open_run(struct book *book, int64_t sample, int64_t *ret_stream)
{
    int64_t run = 0;
    struct book_run made = {.sample = sample, .kind = TEST_DISCHARGE, .origin = TEST_RECORDED, .name = "evening",
                            .start_utc_s = 1680516000, .zone_known = true, .end_s = NAN, .open = true, .invented = true};
    CHECK(book_run_add(book, &made, &run, &made_message) == STATUS_OK);
    static const enum channel channels[] = {CHANNEL_VOLTAGE, CHANNEL_CURRENT};
    struct book_stream stream = {.run = run, .name = "meter", .columns = 2};
    for (int k = 0; k < 2; k++) {
        enum quantity quantity = channel_quantity(channels[k]);
        stream.column[k] = (struct book_column){.channel = channels[k], .quantity = quantity, .unit = {quantity, 1, 0},
                                                .unit_symbol = "1", .resolution = 0.01};
        snprintf(stream.column[k].name, sizeof stream.column[k].name, "%s", channel_name(channels[k]));
    }
    CHECK(stream_add(book, &stream, ret_stream, &made_message) == STATUS_OK);
    return run;
}

/* A rest of a minute, then 20 A, one reading a second. */
static void add_readings(struct book *book, int64_t stream, int from_s, int count)
{
    enum { MOST = 400 };
    struct decimal t[MOST], volts[MOST], amps[MOST];
    for (int k = 0; k < count; k++) {
        int at_s = from_s + k;
        t[k] = (struct decimal){at_s, 0, DECIMAL_NUMBER};
        volts[k] = (struct decimal){at_s < 60 ? 1331 : 1302 - at_s / 60, 2, DECIMAL_NUMBER};
        amps[k] = (struct decimal){at_s < 60 ? 0 : 2003, 2, DECIMAL_NUMBER};
    }
    struct block_columns readings = {.count = (size_t)count, .columns = 3, .cells = {t, volts, amps}};
    CHECK(stream_append(book, stream, &readings, &made_message) == STATUS_OK);
}

TEST(of_a_run_that_is_recorded_it_may_lag_but_not_for_long)
{
    struct shop shop;
    int64_t stream = 0;
    shop_open(&shop);
    int64_t sample = made_sample(shop.scratch.book, "evening pack");
    int64_t run = open_run(shop.scratch.book, sample, &stream);
    add_readings(shop.scratch.book, stream, 0, 300);
    const struct assessment *a = take(&shop, sample, 0, 100);
    CHECK(a != NULL && a->record_count == 1 && a->records[0].log.series.count == 300);
    add_readings(shop.scratch.book, stream, 300, 7);
    const struct assessment *b = take(&shop, sample, 0, 100 + WORKSHOP_LAG_S / 2.0);
    CHECK(b == a && assessed_made(shop.assessed) == 1);
    const struct assessment *c = take(&shop, sample, 0, 101 + WORKSHOP_LAG_S);
    CHECK(c != a && c != NULL && c->records[0].log.series.count == 307);
    assessed_give_back(shop.assessed, a);
    assessed_give_back(shop.assessed, b);
    assessed_give_back(shop.assessed, c);
    add_readings(shop.scratch.book, stream, 307, 4);
    CHECK(book_run_close(shop.scratch.book, run, 310, &made_message) == STATUS_OK); /* its end counts at once */
    const struct assessment *d = take(&shop, sample, 0, 102 + WORKSHOP_LAG_S);
    CHECK(d != NULL && d->records[0].log.series.count == 311);
    assessed_give_back(shop.assessed, d);
    shop_close(&shop);
}

TEST(few_are_kept)
{
    enum { MANY = 70 };
    struct shop shop;
    int64_t samples[MANY];
    char name[32];
    shop_open(&shop);
    for (int k = 0; k < MANY; k++) {
        snprintf(name, sizeof name, "pack of shelf %d", k);
        samples[k] = made_sample(shop.scratch.book, name);
        look(&shop, samples[k], 0, 1);
    }
    look(&shop, samples[MANY - 1], 0, 1);
    look(&shop, samples[MANY - 60], 0, 1);
    CHECK(assessed_made(shop.assessed) == MANY);
    look(&shop, samples[0], 0, 1);
    CHECK(assessed_made(shop.assessed) == MANY + 1);
    shop_close(&shop);
}

struct asker {
    struct shop *shop;
    const struct assessment *got;
    int rounds;
    bool well;
};

static void *ask(void *context)
{
    struct asker *asker = context;
    struct message message;
    for (int k = 0; k < asker->rounds; k++) {
        struct book *book = pool_take(asker->shop->pool, BOOK_READ, &message);
        asker->got = assessed_take(asker->shop->assessed, book, asker->shop->sample, 0, k * second_ns, &message);
        asker->well = book != NULL && asker->got != NULL && asker->got->label.claim_count > 0;
        pool_put(asker->shop->pool, book);
        if (k + 1 < asker->rounds)
            assessed_give_back(asker->shop->assessed, asker->got);
    }
    return NULL;
}

enum { ASKERS = 6 };

static void ask_all(struct shop *shop, int rounds, struct asker askers[static ASKERS], void (*meanwhile)(struct shop *))
{
    pthread_t threads[ASKERS];
    for (int k = 0; k < ASKERS; k++) {
        askers[k] = (struct asker){.shop = shop, .rounds = rounds};
        CHECK(pthread_create(&threads[k], NULL, ask, &askers[k]) == 0);
    }
    if (meanwhile != NULL)
        meanwhile(shop);
    for (int k = 0; k < ASKERS; k++) {
        pthread_join(threads[k], NULL);
        CHECK(askers[k].well);
    }
}

TEST(several_that_ask_for_the_same_have_it_made_once)
{
    struct shop shop;
    struct asker askers[ASKERS];
    shop_open(&shop);
    ask_all(&shop, 1, askers, NULL);
    CHECK(assessed_made(shop.assessed) == 1);
    for (int k = 0; k < ASKERS; k++) {
        CHECK(askers[k].got == askers[0].got);
        assessed_give_back(shop.assessed, askers[k].got);
    }
    shop_close(&shop);
}

static void change_labels(struct shop *shop)
{
    struct message message;
    for (int k = 0; k < 8; k++) {
        struct book *book = pool_take(shop->pool, BOOK_WRITE, &message);
        CHECK(book != NULL);
        made_paper(book, shop->sample, DOCUMENT_LABEL, k % 2 == 0 ? "demo/bivouac-pack.label" : "demo/hut-pack.label");
        pool_put(shop->pool, book);
    }
}

TEST(the_book_changes_while_they_ask)
{
    struct shop shop;
    struct asker askers[ASKERS];
    shop_open(&shop);
    ask_all(&shop, 12, askers, change_labels);
    for (int k = 0; k < ASKERS; k++)
        assessed_give_back(shop.assessed, askers[k].got);
    const struct assessment *last = take(&shop, shop.sample, 0, 1);
    CHECK(last != NULL && as_command(&shop, last));
    assessed_give_back(shop.assessed, last);
    shop_close(&shop);
}

TEST(a_handle_comes_back_with_nothing_begun)
{
    struct shop shop;
    shop_open(&shop);
    struct book *book = pool_take(shop.pool, BOOK_WRITE, &made_message);
    CHECK(book_begin(book, &made_message) == STATUS_OK && book_begin(book, &made_message) == STATUS_OK);
    made_sample(book, "never");
    pool_put(shop.pool, book);
    CHECK(pool_take(shop.pool, BOOK_WRITE, &made_message) == book);
    struct book_sample sample;
    CHECK(book_sample_find(book, "never", &sample, &made_message) != STATUS_OK);
    made_sample(book, "ever");
    pool_put(shop.pool, book);
    CHECK(book_sample_find(shop.reader, "ever", &sample, &made_message) == STATUS_OK);
    shop_close(&shop);
}
