/* What intake read goes into the book and comes out the same, to the last bit and word. */
#include "../book/scratch_book.h"
#include "../intake/log_text.h"
#include "archive/stored.h"
#include "book/sample.h"
#include "same_log.h"

static struct message message;

static int64_t a_sample(struct book *book)
{
    int64_t id = 0;
    CHECK(book_sample_add(book, "hut pack", true, 1, &id, &message) == STATUS_OK);
    return id;
}

/* Stores the log and reads it again: is it the same? */
static bool comes_back(struct book *book, int64_t sample, const struct log *log)
{
    struct stored_request request = {.run = {.sample = sample, .kind = TEST_DISCHARGE}};
    struct stored stored;
    int64_t run = 0;
    if (stored_log(book, &request, log, &run, &message) != STATUS_OK ||
        stored_read(book, run, &stored, &message) != STATUS_OK) {
        printf("    %s: %s\n", log->path, message.what);
        return false;
    }
    bool one = !stored.by_eye && same_log(log, &stored.log);
    stored_free(&stored);
    return one;
}

static bool text_comes_back(struct scratch *scratch, int64_t sample, const char *text)
{
    struct log log;
    struct log_options options = {.digits = true, .threads = 1};
    if (read_bytes(text, strlen(text), &options, &log) != STATUS_OK) {
        printf("    %s\n", log_message.what);
        return false;
    }
    bool one = comes_back(scratch->book, sample, &log);
    log_free(&log);
    return one;
}

static void check_texts(const char *const *texts, size_t count)
{
    struct scratch scratch;
    scratch_open(&scratch);
    int64_t sample = a_sample(scratch.book);
    for (size_t k = 0; k < count; k++) {
        bool one = text_comes_back(&scratch, sample, texts[k]);
        CHECK(one);
        if (!one)
            printf("    log %zu\n", k);
    }
    scratch_remove(&scratch);
}

TEST(untidy_logs)
{
    static const char *const texts[] = {
        "time (s),volts,amps\n0,13.10,1.0\n1,13.20,1.00\n2,,OL\n3,13.1x,2\n4,13.0 V,2100 mA\n5,13.00,-0.00\n",
        "time (min);U/mV;I (A);T (degF)\n0,07;13100;1,5;68,0\n0,14;13090;1,50;68,1\n0,21;13080;1,500;NaN\n0,28;13070;2;70\n",
        "time (h),volts,amps\n0.1,13,1\n0.2,13.01,1\n0.30,13.02,1\n0.7,13.1,1\n1.1,13,1\n",
        "epoch,volts,amps\n1680516000.125,13.1,1\n1680516000.250,13.2,1\n1680516001.000,13.3,1\n",
        "unix time (ms),volts,amps\n1680516000125,13.1,1\n1680516000250,13.2,1\n1680516001000,13.3,1\n",
        "date,volts,amps\n2023-04-03 10:00:00.5,13.1,1\n2023-04-03 10:00:01.25,13.2,1\n2023-04-04 10:00:01,13.3,1.0\n",
        "time,volts,amps\n10:00:00,13.1,1\n10:00:01,13.2,1\n23:59:59,13.3,1.0\n0:00:30,13.3,1.0\n",
        "# invented\ntime (s),volts,amps,note\n0,13.1,1,\n10,13.2,1,load on\n20.0,13.3,2,load on\n15,13.4,3,\n30,13.5,3,burst\n0,13.6,4,burst\n10.5,13.7,5,off\n",
        "time,volts,amps\n40,13.40,1\n30.5,13.300,2\n20,13.2,1.2\n10,13.1,3.00\n0,13,4\n",
        "time (s),volts,amps\n0.1,13.1,1\n0.1,13.2,1\n0.3,13.25,1\n0.30000000000000004,13.3,1\n",
        "time (s),volts,amps\n-1.5,13.1,1\n-0.5,13.2,1\n0.5,13.25,1\n",
        "time (s),volts,amps\n0,1.23456789012345678901,1\n1,123456789012345678,1\n2,1e-9,12E3\n3,0.000001,1\n",
    };
    check_texts(texts, sizeof texts / sizeof *texts);
}

TEST(marks_clocks_and_modes)
{
    struct text modes = TEXT_EMPTY, steps = TEXT_EMPTY, many = TEXT_EMPTY;
    text_add(&modes, "time (s),volts,amps,watts,mode\n");
    text_add(&steps, "step,step time (s),volts,amps\n");
    text_add(&many, "time (s),voltage (V),current (A),temp (C),charge (Ah)\n");
    for (int k = 0; k < 60; k++)
        text_addf(&modes, "%d,13.2,%d.5,%d.50,%s\n", k, 5 + k % 3, 60 + k,
                  k == 50  ? "wobble"
                  : k < 30 ? "discharge"
                  : k < 45 ? "charge"
                           : "rest");
    for (int k = 0; k < 60; k++)
        text_addf(&steps, "%d,%d.%d,13.2,%d\n", k / 20, k % 20, k % 10, k < 20 ? 0 : 5);
    for (int k = 0; k < 40000;
         k++) /* several blocks, with cells that no decimal holds on either side of a seam */
        text_addf(&many, "%d.%d,13.%03d,%s,%d.%d,%.4f\n", k / 10, k % 10, 999 - k / 100,
                  k % 16384 == 0 || k % 16384 == 16383 ? "1234 mA" : "-4.20", 19 + k / 10000, k % 7,
                  k * 0.0137);
    const char *const texts[] = {text_string(&modes), text_string(&steps), text_string(&many)};
    check_texts(texts, 3);
    text_free(&modes);
    text_free(&steps);
    text_free(&many);
}

TEST(rows_without_a_clock)
{
    struct scratch scratch;
    struct log log;
    struct log_options options = {.digits = true, .period_s = 0.1};
    static const char text[] = "volts,amps\n13.1,1\n13.2,x\n13.3,1\n13.4,1\n13.5,1\n";
    scratch_open(&scratch);
    CHECK(read_bytes(text, strlen(text), &options, &log) == STATUS_OK);
    CHECK(log.series.count == 4 && log.series.t_s[3] == 4 * 0.1);
    CHECK(comes_back(scratch.book, a_sample(scratch.book), &log));
    log_free(&log);
    scratch_remove(&scratch);
}

/* Real logs, and the demo's. */
TEST(logs_of_the_open_data)
{
    static const char *const files[] = {"lead-acid-12v-17ah/all_2017-03-25_2017-04-04.csv",
                                        "lead-acid-12v-17ah/discharge_1.0A_a.csv",
                                        "lfp-26650-2.6ah/discharge_1C_20degC.txt",
                                        "lfp-26650-2.6ah/hppc_clean_20degC.csv",
                                        "lithium-18650-3ah/S001_C10.csv",
                                        "lmo-pouch-33ah/discharge_1C.csv",
                                        "lmo-pouch-33ah/hppc_25degC.csv"};
    struct scratch scratch;
    size_t read = 0;
    if (test_data("lfp-26650-2.6ah/expected.json") == NULL)
        SKIP("the open data are not on this machine");
    scratch_open(&scratch);
    int64_t sample = a_sample(scratch.book);
    for (size_t k = 0; k <= sizeof files / sizeof *files; k++) {
        const char *path = k < sizeof files / sizeof *files ? test_data(files[k]) : "demo/hut-pack.log.csv";
        struct log_options options = {.digits = true};
        struct log log = {0};
        if (path == NULL || log_read(path, &options, &log, &message) != STATUS_OK) {
            printf("    %s: %s\n", path, message.what);
            continue;
        }
        read++;
        bool one = comes_back(scratch.book, sample, &log);
        CHECK(one);
        if (!one)
            printf("    %s\n", path);
        log_free(&log);
    }
    CHECK(read >= 5);
    scratch_remove(&scratch);
}

TEST(typed_readings_word_for_word)
{
    struct scratch scratch;
    struct stored stored;
    int64_t run = 0;
    scratch_open(&scratch);
    struct stored_request request = {.run = {.sample = a_sample(scratch.book), .kind = TEST_DISCHARGE}};
    CHECK(stored_readings(scratch.book, &request, "demo/hut-pack.readings", &run, &message) == STATUS_OK);
    struct text typed = TEXT_EMPTY, kept = TEXT_EMPTY;
    CHECK(text_read_file("demo/hut-pack.readings", 1 << 20, &typed) == 0);
    CHECK(book_run_text_get(scratch.book, run, "readings", &kept, &message) == STATUS_OK);
    CHECK_TEXT(text_string(&kept), text_string(&typed));
    CHECK(stored_read(scratch.book, run, &stored, &message) == STATUS_OK);
    CHECK(stored.by_eye && stored.sightings.count > 5 && stored.run.origin == TEST_TYPED &&
          stored.run.invented);
    CHECK_TEXT(stored.run.name, "hut-pack.readings");
    stored_free(&stored);
    text_free(&typed);
    text_free(&kept);
    CHECK(stored_readings(scratch.book, &request, "demo/hut-pack.label", &run, &message) != STATUS_OK);
    CHECK(stored_readings(scratch.book, &request, "demo/not-there", &run, &message) == STATUS_UNREADABLE);
    scratch_remove(&scratch);
}

TEST(names_of_runs)
{
    struct scratch scratch;
    char name[600], book[512];
    int64_t run = 0;
    scratch_open(&scratch);
    snprintf(name, sizeof name, "%s:12", scratch.path);
    CHECK(stored_name(name, book, sizeof book, &run) && run == 12);
    CHECK_TEXT(book, scratch.path);
    snprintf(name, sizeof name, "%s:x", scratch.path);
    CHECK(!stored_name(name, book, sizeof book, &run));
    snprintf(name, sizeof name, "%s:0", scratch.path);
    CHECK(!stored_name(name, book, sizeof book, &run));
    CHECK(!stored_name("demo/hut-pack.log.csv:1", book, sizeof book, &run));
    CHECK(!stored_name(":1", book, sizeof book, &run) && !stored_name("", book, sizeof book, &run));
    CHECK(!stored_name(scratch.path, book, sizeof book, &run));
    struct stored stored;
    CHECK(stored_read(scratch.book, 99, &stored, &message) != STATUS_OK && message.what[0] != '\0');
    scratch_remove(&scratch);
}
