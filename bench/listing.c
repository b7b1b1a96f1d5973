/* A book of 1,000 samples and 10,000 runs, invented, is listed: the median of seven, in this process, with the cache
 * warm. usage: listing BOOK, a file that is not there yet; it is left for `rundown sample list` and `run list`. */
#include "base/clock.h"
#include "book/book_run.h"
#include "book/correction.h"
#include "book/digest.h"
#include "book/sample.h"
#include "book/stream.h"
#include "report/shelf.h"

enum { SAMPLES = 1000, RUNS = 10000, TIMES = 7 };

static enum status add_run(struct book *book, int number, int64_t sample, int64_t label, struct message *message)
{
    int64_t id = 0, stream_id = 0;
    struct book_run run = {.sample = sample, .kind = (enum test_kind)(number % TEST_KINDS), .origin = TEST_IMPORTED,
                           .rig_document = label > 0 ? 1 : 0, .label_document = label, .invented = true,
                           .start_utc_s = 1.79e9 - 86400.0 * (number * 7919 % RUNS), .zone_known = true,
                           .open = number % 500 == 3, .end_s = 7000 + number, .added_utc_ns = 1790000000000000000};
    struct book_stream stream = {.name = "log", .columns = 1,
                                 .column = {{.name = "voltage", .quantity = QUANTITY_VOLTAGE,
                                             .unit = {QUANTITY_VOLTAGE, 1, 0}}}};
    struct book_event mark = {.kind = EVENT_MARK, .t_s = 100, .until_s = NAN, .topic = "mark"};
    struct decimal time = {.mantissa = 100 + number, .kind = DECIMAL_NUMBER}, volts = {1291, 2, DECIMAL_NUMBER};
    struct block_columns reading = {.count = 1, .columns = 2, .cells = {&time, &volts}};
    snprintf(run.name, sizeof run.name, "discharge-%05d.csv", number);
    enum status status = book_run_add(book, &run, &id, message);
    stream.run = id;
    if (status == STATUS_OK)
        status = stream_add(book, &stream, &stream_id, message);
    if (status == STATUS_OK)
        status = stream_append(book, stream_id, &reading, message);
    if (status == STATUS_OK)
        status = book_event_add(book, id, &mark, message);
    return status;
}

static enum status fill(struct book *book, struct message *message)
{
    int64_t samples[SAMPLES], labels[SAMPLES], rig = 0;
    char name[64];
    enum status status = document_put(book, 0, DOCUMENT_RIG, "bench.rig", span_of("[voltage]\naccuracy = 0.1 %\n"), 1,
                                      &rig, message);
    for (int k = 0; k < SAMPLES && status == STATUS_OK; k++) {
        snprintf(name, sizeof name, "Hut pack %04d", k * 61 % SAMPLES);
        status = book_sample_add(book, name, true, 1790000000000000000, &samples[k], message);
        if (status == STATUS_OK)
            status = document_put(book, samples[k], DOCUMENT_LABEL, "label", span_of("[claims]\ncapacity = 100 Ah\n"), 1,
                                  &labels[k], message);
    }
    for (int k = 0; k < RUNS && status == STATUS_OK; k++)
        status = add_run(book, k, samples[k * 37 % SAMPLES], labels[k * 37 % SAMPLES], message);
    return status;
}

/* As long as those of the demo, with other numbers in each, since what is sent is compressed. */
static void digest(unsigned *seed, struct text *json)
{
    double x[8];
    for (int k = 0; k < 8; k++)
        x[k] = 0.9 + 0.2 * (double)rand_r(seed) / RAND_MAX;
    text_addf(json, "{\"description\":\"drop-in pack for the lamps of hut %d\",\"tested\":\"%d February 2026, workshop of the "
              "Stonebell Huts Association\",\"invented\":true,\"chemistry\":\"LiFePO4\",\"price\":%.1f,\"currency\":\"EUR\","
              "\"claimed\":{\"nominal_v\":12.8,\"charge_ah\":100.0,\"energy_wh\":1280.0,\"mass_kg\":10.9,\"volume_l\":12.33144},"
              "\"found\":{", rand_r(seed) % 90, 1 + rand_r(seed) % 28, floor(389 * x[0]));
    static const char *const keys[] = {"charge_ah", "energy_wh", "resistance_ohm", "mass_kg", "volume_l", "wh_per_kg", "wh_per_l", "wh_per_price"};
    static const double values[] = {103.4, 1282.7, 0.0139965, 11.24, 12.1098, 114.123, 105.926, 3.29754};
    for (int k = 0; k < 8; k++)
        text_addf(json, k < 2 ? "%s\"%s\":{\"value\":%.5g,\"words\":\"%.5g ± %.2g Wh\",\"low\":%.5g,\"high\":%.5g}"
                              : "%s\"%s\":{\"value\":%.5g,\"words\":\"%.5g ± %.2g Wh\"}", k > 0 ? "," : "", keys[k],
                  values[k] * x[k], values[k] * x[k], 0.01 * values[k], values[k] * x[k] * 0.99, values[k] * x[k] * 1.01);
    text_add(json, "},\"resistance_delay_s\":1.0,\"charge\":\"met\",\"energy\":\"too close to call\",\"mass\":\"not met\","
                   "\"verdicts\":{\"met\":5,\"not met\":1,\"too close to call\":2,\"not exercised\":3,\"not tested\":7}}");
}

static enum status add_digests(struct book *book, struct message *message)
{
    unsigned seed = 7;
    enum status status = STATUS_OK;
    for (int64_t id = 1; id <= SAMPLES && status == STATUS_OK; id++) {
        struct text basis = TEXT_EMPTY, json = TEXT_EMPTY;
        digest(&seed, &json);
        status = digest_basis(book, id, &basis, message);
        if (status == STATUS_OK)
            status = digest_put(book, id, shelf_method, (struct span){basis.s, basis.length},
                                (struct span){json.s, json.length}, 1, message);
        text_free(&basis);
        text_free(&json);
    }
    return status;
}

static enum status make(const char *path, struct book **ret_book, struct message *message)
{
    struct book_options options = {.access = BOOK_WRITE};
    enum status status = book_create(path, &options, ret_book, message);
    if (status == STATUS_OK)
        status = book_begin(*ret_book, message);
    if (status == STATUS_OK)
        status = fill(*ret_book, message);
    if (status == STATUS_OK)
        status = add_digests(*ret_book, message);
    return status == STATUS_OK ? book_commit(*ret_book, message) : status;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static enum status list_once(struct book *book, size_t *ret_samples, size_t *ret_runs, struct message *message)
{
    struct book_sample_list samples = {0};
    struct book_run_list runs = {0};
    enum status status = book_samples(book, &samples, message);
    if (status == STATUS_OK)
        status = book_runs(book, 0, &runs, message);
    *ret_samples = samples.count;
    *ret_runs = runs.count;
    book_sample_list_free(&samples);
    book_run_list_free(&runs);
    return status;
}

/* What GET /api/samples answers. */
static enum status time_shelf(struct book *book, const struct clock *clock, struct message *message)
{
    double took_ms[TIMES];
    size_t stale = 0, bytes = 0;
    enum status status = STATUS_OK;
    for (int k = 0; k < TIMES && status == STATUS_OK; k++) {
        struct text json = TEXT_EMPTY;
        int64_t began_ns = clock->now_ns(clock->context);
        status = shelf_list(book, 0, &json, &stale, message);
        took_ms[k] = (double)(clock->now_ns(clock->context) - began_ns) / 1e6;
        bytes = json.length;
        text_free(&json);
    }
    qsort(took_ms, TIMES, sizeof took_ms[0], by_size);
    printf("shelf of %d samples: %zu kB in %.1f ms (%.1f to %.1f), %zu stale\n", SAMPLES, bytes / 1000, took_ms[TIMES / 2],
           took_ms[0], took_ms[TIMES - 1], stale);
    return status;
}

int main(int argc, char **argv)
{
    struct clock clock = clock_machine();
    struct message message = {0};
    struct book *book = NULL;
    double took_ms[TIMES];
    size_t samples = 0, runs = 0;
    enum status status = argc == 2 ? make(argv[1], &book, &message)
                                   : status_fail(&message, STATUS_USAGE, "usage: listing BOOK");
    for (int k = 0; k < TIMES && status == STATUS_OK; k++) {
        int64_t began_ns = clock.now_ns(clock.context);
        status = list_once(book, &samples, &runs, &message);
        took_ms[k] = (double)(clock.now_ns(clock.context) - began_ns) / 1e6;
    }
    if (status == STATUS_OK)
        status = time_shelf(book, &clock, &message);
    book_close(book);
    if (status != STATUS_OK) {
        char words[1200];
        status_print(&message, words, sizeof words);
        fprintf(stderr, "listing: %s\n", words);
        return (int)status;
    }
    qsort(took_ms, TIMES, sizeof took_ms[0], by_size);
    printf("%zu samples and %zu runs listed in %.1f ms (%.1f to %.1f)\n", samples, runs, took_ms[TIMES / 2], took_ms[0],
           took_ms[TIMES - 1]);
    return samples == SAMPLES && runs == RUNS ? 0 : 1;
}
