/* Makes the book that stands in tests/golden for the present form: `make_book tests/golden/form-N.book`. Run once,
 * when a form is new; a book of a form that was released is never made again. */
#include "book/digest.h"
#include "book/picture.h"
#include "golden/golden_book.h"

static enum status put_samples(struct book *book, int64_t *ret_run, struct message *message)
{
    int64_t sample = 0, label = 0, rig = 0, id = 0;
    enum status status = book_sample_add(book, golden_sample, true, golden_utc_ns, &sample, message);
    if (status == STATUS_OK)
        status = book_sample_rename(book, sample, golden_name, golden_utc_ns + 1, message);
    if (status == STATUS_OK)
        status = document_put(book, sample, DOCUMENT_LABEL, "label", span_of(golden_label_before), golden_utc_ns, &label,
                              message);
    if (status == STATUS_OK)
        status = document_put(book, sample, DOCUMENT_LABEL, "label", span_of(golden_label), golden_utc_ns + 2, &label,
                              message);
    if (status == STATUS_OK)
        status = document_put(book, 0, DOCUMENT_RIG, "bench.rig", span_of(golden_rig), golden_utc_ns, &rig, message);
    struct book_run run = {.sample = sample, .kind = TEST_CHARGE, .origin = TEST_REHEARSED, .name = "invented",
                           .rig_document = rig, .label_document = label, .start_utc_s = 1789999000.25,
                           .zone_known = true, .open = true, .end_s = NAN, .invented = true,
                           .added_utc_ns = golden_utc_ns};
    if (status == STATUS_OK)
        status = book_run_add(book, &run, ret_run, message);
    if (status == STATUS_OK)
        status = book_run_correct(book, *ret_run, "kind", "discharge", golden_utc_ns + 3, message);
    struct picture picture = {.sample = sample, .run = *ret_run, .kind = "image/png", .name = "bus bar.png",
                              .item = "bus-bar", .shown = true, .utc_ns = golden_utc_ns};
    text_add_bytes(&picture.bytes, golden_picture, sizeof golden_picture);
    text_add(&picture.caption, "the bus bar");
    if (status == STATUS_OK)
        status = picture_add(book, &picture, &id, message);
    picture_free(&picture);
    if (status == STATUS_OK)
        status = document_put(book, sample, DOCUMENT_OPENED, "opened", span_of(golden_opened), golden_utc_ns, &id, message);
    return status;
}

static enum status put_readings(struct book *book, int64_t run, struct message *message)
{
    static struct invented_block block;
    struct book_stream stream = invented_stream(run, "bench meter");
    int64_t id = 0;
    enum status status = stream_add(book, &stream, &id, message);
    for (int64_t k = 0; k < GOLDEN_READINGS && status == STATUS_OK;) {
        int64_t end = k < GOLDEN_SEALED ? GOLDEN_SEALED : GOLDEN_READINGS, count = end - k < 1000 ? end - k : 1000;
        invented_fill(&block, k, (size_t)count);
        status = stream_append(book, id, &block.block, message);
        k += count;
        if (status == STATUS_OK && k == GOLDEN_SEALED)
            status = stream_seal(book, id, message);
    }
    text_free(&block.odd);
    return status;
}

static enum status put_events(struct book *book, int64_t run, struct message *message)
{
    char line[sizeof golden_line];
    memcpy(line, golden_line, sizeof line);
    struct book_event typed = {.kind = EVENT_LINE, .t_s = 31.5, .until_s = NAN, .topic = "typed", .text = line};
    struct book_event gap = {.kind = EVENT_GAP, .t_s = 4.25, .until_s = 9.75, .stream = 1, .topic = "instrument silent"};
    enum status status = book_event_add(book, run, &typed, message);
    if (status == STATUS_OK)
        status = book_event_add(book, run, &gap, message);
    if (status == STATUS_OK)
        status = book_run_text_put(book, run, "columns", span_of(golden_columns), message);
    if (status == STATUS_OK)
        status = finding_put(book, run, "0.1.0", span_of(golden_finding), golden_utc_ns, message);
    struct text basis = TEXT_EMPTY;
    if (status == STATUS_OK)
        status = digest_basis(book, 1, &basis, message);
    if (status == STATUS_OK)
        status = digest_put(book, 1, "0.1.0", (struct span){basis.s, basis.length}, span_of(golden_digest), golden_utc_ns,
                            message);
    text_free(&basis);
    return status;
}

int main(int argc, char **argv)
{
    struct book_options options = {.access = BOOK_WRITE};
    struct book *book = NULL;
    struct message message = {0};
    int64_t run = 0;
    enum status status = argc == 2 ? book_create(argv[1], &options, &book, &message)
                                   : status_fail(&message, STATUS_USAGE, "usage: make_book BOOK");
    if (status == STATUS_OK)
        status = put_samples(book, &run, &message);
    if (status == STATUS_OK)
        status = put_readings(book, run, &message);
    if (status == STATUS_OK)
        status = put_events(book, run, &message);
    book_close(book);
    if (status != STATUS_OK)
        fprintf(stderr, "make_book: %s\n", message.what);
    return (int)status;
}
