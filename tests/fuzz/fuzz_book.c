/* book/book.h: a small book with some of its bytes altered, five bytes of input a byte of the book: page (2), offset in
 * it (2), value. Whatever was altered is told or does no harm: nothing crashes, faults have words, and of a book that
 * checks without a fault every reading can be read. */
#include "book/correction.h"
#include "fault/invented_stream.h"
#include "unit/book/scratch_book.h"

#include <stdint.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { PAGE = 4096, EDIT = 5 };

static struct text whole;

static struct scratch scratch;

static void remove_folder(void)
{
    scratch_remove(&scratch);
    text_free(&whole);
}

static void make_whole(void)
{
    static struct invented_block block;
    int64_t stream = 0, id = 0;
    char words[] = "load on";
    struct book_event event = {.kind = EVENT_MARK, .t_s = 3, .until_s = NAN, .topic = "mark", .text = words};
    scratch_open(&scratch);
    invented_fill(&block, 0, 900);
    if (invented_begin(scratch.book, "Hut pack 14", &stream, NULL) != STATUS_OK ||
        book_sample_rename(scratch.book, 1, "Hut pack 014", 5, NULL) != STATUS_OK ||
        document_put(scratch.book, 1, DOCUMENT_LABEL, "label", span_of("[claims]\n"), 6, &id, NULL) != STATUS_OK ||
        book_event_add(scratch.book, 1, &event, NULL) != STATUS_OK ||
        stream_fill(scratch.book, stream, &block.block, NULL) != STATUS_OK)
        abort();
    invented_fill(&block, 900, 30);
    if (stream_append(scratch.book, stream, &block.block, NULL) != STATUS_OK)
        abort();
    text_free(&block.odd);
    book_close(scratch.book);
    scratch.book = NULL;
    if (text_read_file(scratch.path, 1 << 24, &whole) != 0 || atexit(remove_folder) != 0)
        abort();
}

static void put_altered(const uint8_t *data, size_t size)
{
    struct text altered = TEXT_EMPTY;
    size_t pages = whole.length / PAGE;
    text_add_bytes(&altered, whole.s, whole.length);
    for (size_t k = 0; k + EDIT <= size; k += EDIT) {
        size_t page = (data[k] | (size_t)data[k + 1] << 8) % pages;
        size_t at = (data[k + 2] | (size_t)data[k + 3] << 8) % PAGE;
        altered.s[page * PAGE + at] = (char)data[k + 4];
    }
    FILE *file = fopen(scratch.path, "wb");
    if (file == NULL || fwrite(altered.s, 1, altered.length, file) != altered.length || fclose(file) != 0)
        abort();
    text_free(&altered);
}

static void judge(enum status status, const struct message *message)
{
    if (status != STATUS_OK && (message->what[0] == '\0' || message->status != status))
        abort();
}

static bool count(void *context, const struct block_columns *block)
{
    *(size_t *)context += block->count;
    return true;
}

/* Returns whether all readings could be read. */
static bool read_stream(struct book *book, const struct book_stream *stream)
{
    struct message message = {0};
    struct summary totals[BLOCK_COLUMNS];
    struct series series = {0};
    size_t readings = 0;
    enum status walked = stream_walk(book, stream->id, -INFINITY, INFINITY, count, &readings, &message);
    judge(walked, &message);
    enum status totalled = stream_totals(book, stream->id, totals, &message);
    judge(totalled, &message);
    enum status gathered = stream_series(book, stream, &series, &message);
    judge(gathered, &message);
    series_free(&series);
    return walked == STATUS_OK && totalled == STATUS_OK && gathered == STATUS_OK &&
           totals[0].count == (int64_t)readings;
}

static void read_all(struct book *book)
{
    struct message message = {0};
    struct book_sample_list samples = {0};
    struct book_run_list runs = {0};
    struct book_event_list events = {0};
    struct correction_list corrections = {0};
    struct book_stream_list streams = {0};
    struct document document = {0};
    long faults = 1;
    judge(book_samples(book, &samples, &message), &message);
    judge(book_runs(book, 0, &runs, &message), &message);
    judge(book_events(book, 1, &events, &message), &message);
    judge(book_corrections(book, 1, 0, &corrections, &message), &message);
    judge(document_get(book, 1, &document, &message), &message);
    judge(book_streams(book, 1, &streams, &message), &message);
    enum status checked = book_check(book, NULL, NULL, NULL, &faults, &message);
    judge(checked, &message);
    for (size_t k = 0; k < streams.count; k++)
        if (!read_stream(book, &streams.items[k]) && checked == STATUS_OK && faults == 0)
            abort();
    book_sample_list_free(&samples);
    book_run_list_free(&runs);
    book_event_list_free(&events);
    correction_list_free(&corrections);
    document_free(&document);
    book_stream_list_free(&streams);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct book_options options = reading();
    struct message message = {0};
    struct book *book = NULL;
    if (whole.length == 0)
        make_whole();
    put_altered(data, size);
    enum status status = book_open(scratch.path, &options, &book, &message);
    judge(status, &message);
    if (status == STATUS_OK)
        read_all(book);
    book_close(book);
    return 0;
}
