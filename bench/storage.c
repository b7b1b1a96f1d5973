/* Times and sizes of the book on a long log, beside a row a reading in SQLite, in one run.
 *
 * The log is text as make_log writes it: a header, then lines of decimals, time first. What is timed begins with
 * the decimals: reading the text is left out. Medians where a number of times is cheap.
 * usage: storage LOG FOLDER [--size | --rows]      --size: that alone; --rows: also a row a reading in SQLite */
#include "base/memory.h"
#include "book/book_run.h"
#include "book/sample.h"
#include "book/stream.h"
#include "book/totals.h"
#include "numeric/integrate.h"

#include <math.h>
#include <sqlite3.h>
#include <stdint.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <unistd.h>

enum { REPEATS = 9, POINTS = 2000, LIVE_CHANNELS = 8, LIVE_BATCH = 100, LIVE_COMMITS = 600, COMMIT_BLOCKS = 64 };

static const char *book_file = "storage.book";

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double processor_s(void)
{
    struct rusage usage;
    getrusage(RUSAGE_SELF, &usage);
    return (double)(usage.ru_utime.tv_sec + usage.ru_stime.tv_sec) +
           1e-6 * (double)(usage.ru_utime.tv_usec + usage.ru_stime.tv_usec);
}

static void demand(bool fine, const struct message *message)
{
    if (fine)
        return;
    char words[1200];
    status_print(message, words, sizeof words);
    fprintf(stderr, "storage: %s\n", words);
    exit(1);
}
#define DO(call_)                                          \
    do {                                                   \
        struct message message = {0};                      \
        demand((call_) == STATUS_OK, &message);            \
    } while (0)

static int compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *values, size_t count)
{
    qsort(values, count, sizeof *values, compare);
    return values[count / 2];
}

/* The log, a block at a time. */
struct log {
    FILE *file;
    int columns; /* with time */
    size_t readings;
    struct decimal *cells[BLOCK_COLUMNS];
    struct block_columns block;
};

static bool log_open(struct log *log, const char *path)
{
    char line[1024];
    *log = (struct log){.file = fopen(path, "r")};
    if (log->file == NULL || fgets(line, sizeof line, log->file) == NULL)
        return false;
    for (const char *p = line; p != NULL && log->columns < BLOCK_COLUMNS; p = strchr(p + 1, ','))
        log->cells[log->columns++] = memory_get(BLOCK_READINGS * sizeof **log->cells);
    return true;
}

static void log_close(struct log *log)
{
    for (int c = 0; c < log->columns; c++)
        free(log->cells[c]);
    if (log->file != NULL)
        fclose(log->file);
}

static bool log_block(struct log *log)
{
    char line[1024];
    size_t count = 0;
    while (count < BLOCK_READINGS && fgets(line, sizeof line, log->file) != NULL) {
        struct span rest = span_of(line);
        for (int c = 0; c < log->columns; c++) {
            size_t used = decimal_read(rest, '.', &log->cells[c][count]);
            if (used == 0)
                log->cells[c][count] = (struct decimal){.kind = DECIMAL_MISSING};
            rest.p += used + (used < rest.n);
            rest.n -= used + (used < rest.n);
        }
        count++;
    }
    log->block = (struct block_columns){.count = count, .columns = log->columns};
    for (int c = 0; c < log->columns; c++)
        log->block.cells[c] = log->cells[c];
    log->readings += count;
    return count > 0;
}

static void add_stream(struct book *book, int columns, struct book_stream *ret_stream)
{
    int64_t sample = 0, run = 0;
    static int samples;
    char name[32];
    snprintf(name, sizeof name, "sample %d", ++samples);
    DO(book_sample_add(book, name, true, 1, &sample, &message));
    struct book_run made = {.sample = sample, .name = "log", .start_utc_s = NAN, .end_s = NAN, .invented = true};
    DO(book_run_add(book, &made, &run, &message));
    struct book_stream stream = {.run = run, .name = "log", .columns = columns - 1};
    for (int c = 0; c < columns - 1; c++) {
        stream.column[c] = (struct book_column){.channel = c < 2 ? (enum channel)c : CHANNELS,
                                                .unit = {QUANTITY_NONE, 1, 0}};
        snprintf(stream.column[c].name, sizeof stream.column[c].name, "column %d", c + 1);
    }
    DO(stream_add(book, &stream, &stream.id, &message));
    *ret_stream = stream;
}

static double file_bytes(const char *folder, const char *name)
{
    char path[1024];
    struct stat found;
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return stat(path, &found) == 0 ? (double)found.st_size : NAN;
}

static struct book *book_make(const char *folder)
{
    char path[1024];
    static const char *const ends[] = {"", "-wal", "-shm"};
    for (int k = 0; k < 3; k++) {
        snprintf(path, sizeof path, "%s/%s%s", folder, book_file, ends[k]);
        unlink(path);
    }
    snprintf(path, sizeof path, "%s/%s", folder, book_file);
    struct book_options options = {.access = BOOK_WRITE};
    struct book *book = NULL;
    DO(book_create(path, &options, &book, &message));
    return book;
}

static struct book *book_again(const char *folder)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/%s", folder, book_file);
    struct book_options options = {.access = BOOK_READ};
    struct book *book = NULL;
    DO(book_open(path, &options, &book, &message));
    return book;
}

/* Packing and unpacking alone, without SQLite, and the whole way into the book. */
struct writing {
    double pack_s, values_s, fill_s;
    double packed_bytes;
};

static struct writing write_log(const char *folder, const char *path, struct book_stream *stream, size_t *ret_readings)
{
    struct log log;
    struct writing writing = {0};
    if (!log_open(&log, path))
        exit(1);
    struct block_workspace *workspace = block_workspace_new();
    struct text bytes = TEXT_EMPTY;
    double *values[BLOCK_COLUMNS] = {NULL};
    for (int c = 0; c < log.columns; c++)
        values[c] = memory_get(BLOCK_READINGS * sizeof **values);
    struct book *book = book_make(folder);
    add_stream(book, log.columns, stream);
    DO(book_begin(book, &message));
    for (int block = 1; log_block(&log); block++) {
        size_t count;
        double start_s = now_s();
        DO(block_pack(&log.block, workspace, &bytes, &message));
        double packed_s = now_s();
        DO(block_values((struct span){bytes.s, bytes.length}, workspace, values, &count, &message));
        double unpacked_s = now_s();
        DO(stream_fill(book, stream->id, &log.block, &message));
        if (block % COMMIT_BLOCKS == 0) {
            DO(book_commit(book, &message));
            DO(book_begin(book, &message));
        }
        writing.fill_s += now_s() - unpacked_s;
        writing.values_s += unpacked_s - packed_s;
        writing.pack_s += packed_s - start_s;
        writing.packed_bytes += (double)bytes.length;
    }
    double start_s = now_s();
    DO(book_commit(book, &message));
    book_close(book);
    writing.fill_s += now_s() - start_s;
    *ret_readings = log.readings;
    for (int c = 0; c < log.columns; c++)
        free(values[c]);
    text_free(&bytes);
    block_workspace_free(workspace);
    log_close(&log);
    return writing;
}

/* Ah and Wh of column 1, volts, and column 2, amps; as many readings at once as the cache holds well. */
enum { PART = 2048 };
struct integral {
    double t_s[PART + 1], v[PART + 1], a[PART + 1]; /* at 0 the last of the part before */
    double as, ws;
    bool began;
};

static bool integrate(void *context, const struct block_columns *block)
{
    struct integral *sum = context;
    for (size_t k = 0; k < block->count; k += PART) {
        size_t n = block->count - k < PART ? block->count - k : PART, from = sum->began ? 0 : 1;
        decimal_values(block->cells[0] + k, n, sum->t_s + 1);
        decimal_values(block->cells[1] + k, n, sum->v + 1);
        decimal_values(block->cells[2] + k, n, sum->a + 1);
        double both[2];
        integrate_both(sum->t_s + from, sum->a + from, sum->v + from, n + 1 - from, both);
        sum->as += both[0], sum->ws += both[1];
        sum->t_s[0] = sum->t_s[n], sum->v[0] = sum->v[n], sum->a[0] = sum->a[n];
        sum->began = true;
    }
    return true;
}

static void time_reading(const char *folder, const struct book_stream *stream)
{
    struct book *book = book_again(folder);
    double taken[REPEATS];
    static struct integral sum;
    for (int k = 0; k < REPEATS; k++) {
        double start_s = now_s();
        sum = (struct integral){.as = 0};
        DO(stream_walk(book, stream->id, -INFINITY, INFINITY, integrate, &sum, &message));
        taken[k] = now_s() - start_s;
    }
    printf("  %-44s %10.1f ms    %.6f Ah %.6f Wh\n", "whole run replayed, digit by digit, integrated",
           1e3 * median(taken, REPEATS), sum.as / 3600, sum.ws / 3600);
    for (int k = 0; k < REPEATS; k++) {
        double start_s = now_s(), both[2];
        struct series series;
        DO(stream_series(book, stream, &series, &message));
        integrate_both(series.t_s, series.column[CHANNEL_CURRENT], series.column[CHANNEL_VOLTAGE], series.count, both);
        sum.as = both[0], sum.ws = both[1];
        series_free(&series);
        taken[k] = now_s() - start_s;
    }
    printf("  %-44s %10.1f ms    %.6f Ah %.6f Wh\n", "whole run as a series in memory, integrated",
           1e3 * median(taken, REPEATS), sum.as / 3600, sum.ws / 3600);
    struct summary summaries[BLOCK_COLUMNS];
    for (int k = 0; k < REPEATS; k++) {
        double start_s = now_s();
        DO(stream_totals(book, stream->id, summaries, &message));
        taken[k] = now_s() - start_s;
    }
    printf("  %-44s %10.2f ms    %.6f Ah\n", "totals", 1e3 * median(taken, REPEATS), summaries[2].integral / 3600);
    static struct chart_stretch stretches[POINTS];
    double whole_s = summaries[0].last - summaries[0].first;
    static const double shares[] = {1, 0.999, 0.5, 0.25, 0.1, 0.05, 0.03, 0.0125, 0.003, 0.0001};
    for (size_t s = 0; s < sizeof shares / sizeof *shares; s++) {
        double from_s = summaries[0].first + 0.37 * (1 - shares[s]) * whole_s;
        size_t count = 0;
        for (int k = 0; k < REPEATS; k++) {
            double start_s = now_s();
            DO(stream_chart(book, stream, 1, from_s, from_s + shares[s] * whole_s, POINTS, stretches, &count, &message));
            taken[k] = now_s() - start_s;
        }
        char what[80];
        snprintf(what, sizeof what, "chart of %.0f readings", shares[s] * (double)summaries[0].count);
        printf("  %-44s %10.2f ms    %zu points\n", what, 1e3 * median(taken, REPEATS), count);
    }
    book_close(book);
}

/* A recording of LIVE_CHANNELS at 1 kHz, a commit each LIVE_BATCH readings, unpaced; then every digit compared. */
static struct decimal live_cell(size_t k, int column)
{
    uint64_t x = (k * 33 + (size_t)column) * UINT64_C(0x9E3779B97F4A7C15);
    x ^= x >> 29;
    x *= UINT64_C(0xBF58476D1CE4E5B9);
    return column == 0 ? (struct decimal){(int64_t)k * 1000 + (int64_t)(x >> 40) % 37, 6, DECIMAL_NUMBER}
                       : (struct decimal){12905 + (int64_t)(x >> 40) % 19, 3, DECIMAL_NUMBER};
}

static void make_batch(size_t from, struct decimal cells[LIVE_CHANNELS + 1][LIVE_BATCH])
{
    for (int c = 0; c <= LIVE_CHANNELS; c++)
        for (size_t k = 0; k < LIVE_BATCH; k++)
            cells[c][k] = live_cell(from + k, c);
}

struct comparison {
    size_t at, different;
};

static bool compare_block(void *context, const struct block_columns *block)
{
    struct comparison *comparison = context;
    for (size_t k = 0; k < block->count; k++, comparison->at++)
        for (int c = 0; c < block->columns; c++) {
            struct decimal there = block->cells[c][k], made = live_cell(comparison->at, c);
            comparison->different += there.mantissa != made.mantissa || there.decimals != made.decimals;
        }
    return true;
}

static void time_recording(const char *folder)
{
    struct book *book = book_make(folder);
    struct book_stream stream;
    add_stream(book, LIVE_CHANNELS + 1, &stream);
    static struct decimal cells[LIVE_CHANNELS + 1][LIVE_BATCH];
    struct block_columns batch = {.count = LIVE_BATCH, .columns = LIVE_CHANNELS + 1};
    for (int c = 0; c <= LIVE_CHANNELS; c++)
        batch.cells[c] = cells[c];
    double used_s = 0, longest_s = 0, wall_s = 0;
    for (size_t k = 0; k < LIVE_COMMITS; k++) {
        make_batch(k * LIVE_BATCH, cells);
        double start_s = now_s(), processor_start_s = processor_s();
        DO(book_begin(book, &message));
        DO(stream_append(book, stream.id, &batch, &message));
        DO(book_commit(book, &message));
        used_s += processor_s() - processor_start_s;
        wall_s += now_s() - start_s;
        longest_s = fmax(longest_s, now_s() - start_s);
    }
    struct comparison comparison = {0};
    DO(stream_walk(book, stream.id, -INFINITY, INFINITY, compare_block, &comparison, &message));
    printf("  %-44s %10.2f %% of a core, %.1f %% of the time, longest commit %.1f ms\n",
           "8 channels at 1 kHz, commit each 100 ms", 100 * used_s / (LIVE_COMMITS * 0.1),
           100 * wall_s / (LIVE_COMMITS * 0.1), 1e3 * longest_s);
    printf("  %-44s %10zu of %d lost, %zu cells different\n", "", LIVE_COMMITS * LIVE_BATCH - comparison.at,
           LIVE_COMMITS * LIVE_BATCH, comparison.different);
    book_close(book);
    printf("  %-44s %10.2f bytes a reading of nine\n", "",
           file_bytes(folder, book_file) / (LIVE_COMMITS * LIVE_BATCH));
}

/* The peer: a row a reading, mantissas as integers, or doubles. */
static void run_sql(sqlite3 *handle, const char *sql)
{
    char *error = NULL;
    if (sqlite3_exec(handle, sql, NULL, NULL, &error) == SQLITE_OK)
        return;
    fprintf(stderr, "storage: SQLite: %s\n", error);
    exit(1);
}

static sqlite3 *rows_open(const char *folder, const char *name, const char *table)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    unlink(path);
    sqlite3 *handle = NULL;
    if (sqlite3_open(path, &handle) != SQLITE_OK)
        exit(1);
    run_sql(handle, "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL");
    run_sql(handle, table);
    return handle;
}

static void put_row(sqlite3_stmt *insert, const struct block_columns *block, size_t k, bool doubles)
{
    for (int c = 0; c < block->columns; c++) {
        struct decimal cell = block->cells[c][k];
        if (doubles)
            sqlite3_bind_double(insert, c + 1, decimal_value(cell));
        else
            sqlite3_bind_int64(insert, c + 1, cell.mantissa);
    }
    sqlite3_step(insert);
    sqlite3_reset(insert);
}

static double rows_write(sqlite3 *handle, const char *log_path, bool doubles)
{
    struct log log;
    sqlite3_stmt *insert = NULL;
    double taken_s = 0;
    if (!log_open(&log, log_path) || log.columns != 4 ||
        sqlite3_prepare_v2(handle, "INSERT INTO reading (t, v, a, c) VALUES (?1, ?2, ?3, ?4)", -1, &insert, NULL) != SQLITE_OK)
        exit(1);
    run_sql(handle, "BEGIN");
    for (int block = 1; log_block(&log); block++) {
        double start_s = now_s();
        for (size_t k = 0; k < log.block.count; k++)
            put_row(insert, &log.block, k, doubles);
        if (block % COMMIT_BLOCKS == 0)
            run_sql(handle, "COMMIT; BEGIN");
        taken_s += now_s() - start_s;
    }
    run_sql(handle, "COMMIT");
    sqlite3_finalize(insert);
    log_close(&log);
    return taken_s;
}

static double rows_integrate(sqlite3 *handle, double *ret_ah)
{
    sqlite3_stmt *select = NULL;
    double start_s = now_s(), as = 0, last_t = NAN, last_a = NAN;
    if (sqlite3_prepare_v2(handle, "SELECT t, v, a FROM reading ORDER BY rowid", -1, &select, NULL) != SQLITE_OK)
        exit(1);
    while (sqlite3_step(select) == SQLITE_ROW) {
        double t = sqlite3_column_double(select, 0), a = sqlite3_column_double(select, 2);
        if (!isnan(last_t))
            as += (t - last_t) * (a + last_a) / 2;
        last_t = t, last_a = a;
    }
    sqlite3_finalize(select);
    *ret_ah = as / 3600;
    return now_s() - start_s;
}

static void time_rows(const char *folder, const char *log_path, size_t readings, bool doubles)
{
    const char *table = doubles ? "CREATE TABLE reading (t REAL, v REAL, a REAL, c REAL) STRICT"
                                : "CREATE TABLE reading (t INTEGER, v INTEGER, a INTEGER, c INTEGER) STRICT";
    double ah;
    sqlite3 *handle = rows_open(folder, "rows.sqlite", table);
    double written_s = rows_write(handle, log_path, doubles);
    run_sql(handle, "PRAGMA wal_checkpoint(TRUNCATE)");
    rows_integrate(handle, &ah);
    double read_s = rows_integrate(handle, &ah);
    sqlite3_close(handle);
    printf("  a row a reading in SQLite, %-17s %10.2f bytes a reading; written at %.2f million/s; read and integrated in %.2f s\n",
           doubles ? "doubles" : "integers", file_bytes(folder, "rows.sqlite") / (double)readings,
           1e-6 * (double)readings / written_s, read_s);
}

/* The same recording, a row a reading. */
static void time_recording_rows(const char *folder)
{
    static struct decimal cells[LIVE_CHANNELS + 1][LIVE_BATCH];
    sqlite3 *handle = rows_open(folder, "rows.sqlite", "CREATE TABLE reading (t INTEGER, a INTEGER, b INTEGER, c INTEGER, "
                                "d INTEGER, e INTEGER, f INTEGER, g INTEGER, h INTEGER) STRICT");
    sqlite3_stmt *insert = NULL;
    struct block_columns batch = {.count = LIVE_BATCH, .columns = LIVE_CHANNELS + 1};
    for (int c = 0; c <= LIVE_CHANNELS; c++)
        batch.cells[c] = cells[c];
    if (sqlite3_prepare_v2(handle, "INSERT INTO reading VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)", -1, &insert, NULL) != SQLITE_OK)
        exit(1);
    double used_s = 0;
    for (size_t k = 0; k < LIVE_COMMITS; k++) {
        make_batch(k * LIVE_BATCH, cells);
        double start_s = processor_s();
        run_sql(handle, "BEGIN");
        for (size_t i = 0; i < LIVE_BATCH; i++)
            put_row(insert, &batch, i, false);
        run_sql(handle, "COMMIT");
        used_s += processor_s() - start_s;
    }
    sqlite3_finalize(insert);
    sqlite3_close(handle);
    printf("  %-44s %10.2f %% of a core; %.2f bytes a reading of nine\n", "the same, a row a reading in SQLite",
           100 * used_s / (LIVE_COMMITS * 0.1), file_bytes(folder, "rows.sqlite") / (LIVE_COMMITS * LIVE_BATCH));
}

int main(int argc, char **argv)
{
    if (argc < 3) {
        fprintf(stderr, "usage: storage LOG FOLDER [--size | --rows]\n");
        return 2;
    }
    struct book_stream stream;
    size_t readings = 0;
    struct writing writing = write_log(argv[2], argv[1], &stream, &readings);
    double million = 1e-6 * (double)readings;
    printf("  %-44s %10.3f bytes a reading\n", "packed", writing.packed_bytes / (double)readings);
    if (argc > 3 && strcmp(argv[3], "--size") == 0)
        return 0; /* of a short log the empty tables are most of the book */
    printf("  %-44s %10.3f bytes a reading\n", "in the book, with summaries",
           file_bytes(argv[2], book_file) / (double)readings);
    printf("  %-44s %10.1f million readings/s\n", "packed in memory", million / writing.pack_s);
    printf("  %-44s %10.1f million readings/s\n", "unpacked in memory to doubles", million / writing.values_s);
    printf("  %-44s %10.1f million readings/s\n", "into the book with summaries", million / writing.fill_s);
    time_reading(argv[2], &stream);
    time_recording(argv[2]);
    if (argc > 3) {
        time_rows(argv[2], argv[1], readings, false);
        time_rows(argv[2], argv[1], readings, true);
        time_recording_rows(argv[2]);
    }
    return 0;
}
