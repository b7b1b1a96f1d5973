/* A book exported and made again is the same book, and a fault on the way leaves nothing half done. */
#include "archive/export.h"

#include "../book/random_columns.h"
#include "../book/scratch_book.h"
#include "book/book_run.h"
#include "book/picture.h"
#include "book/sample.h"
#include "book/stream.h"
#include "book/tables.h"
#include "check.h"

#include <math.h>
#include <signal.h>
#include <sys/resource.h>

static struct message message;

struct place {
    struct scratch scratch;
    char out[300], again[300], out_again[300], path[300];
};

static void place_make(struct place *place)
{
    scratch_open(&place->scratch);
    snprintf(place->out, sizeof place->out, "%s/out", place->scratch.folder);
    snprintf(place->again, sizeof place->again, "%s/again.book", place->scratch.folder);
    snprintf(place->out_again, sizeof place->out_again, "%s/out2", place->scratch.folder);
}

static void remove_tree(const char *path, int depth)
{
    DIR *list = opendir(path);
    for (struct dirent *entry; list != NULL && (entry = readdir(list)) != NULL;) {
        char name[700];
        if (entry->d_name[0] == '.' && (entry->d_name[1] == '\0' || strcmp(entry->d_name, "..") == 0))
            continue;
        snprintf(name, sizeof name, "%s/%s", path, entry->d_name);
        if (unlink(name) != 0 && depth > 0)
            remove_tree(name, depth - 1);
    }
    if (list != NULL)
        closedir(list);
    rmdir(path);
}

static void place_remove(struct place *place)
{
    book_close(place->scratch.book);
    remove_tree(place->scratch.folder, 3);
}

static int64_t add_run(struct book *book, int64_t sample, bool open)
{
    struct book_run run = {.sample = sample,
                           .kind = TEST_DISCHARGE,
                           .origin = TEST_RECORDED,
                           .name = "a, \"run\"\n",
                           .start_utc_s = open ? NAN : 1680516000.125,
                           .end_s = NAN,
                           .open = open,
                           .added_utc_ns = 77};
    int64_t id = 0;
    CHECK(book_run_add(book, &run, &id, &message) == STATUS_OK);
    return id;
}

/* Blocks and journal of untidy decimals. */
static void add_stream(struct book *book, int64_t run, uint64_t seed, int columns)
{
    struct book_stream stream = {.run = run, .name = "meter", .identity = "invented, 7", .columns = columns};
    for (int c = 0; c < columns; c++) {
        stream.column[c] = (struct book_column){.channel = c < 2 ? (enum channel)c : CHANNELS,
                                                .quantity = QUANTITY_VOLTAGE,
                                                .unit = {QUANTITY_VOLTAGE, 0.001, 0.1 * c},
                                                .unit_symbol = "mV",
                                                .resolution = 1e-5 / 3};
        snprintf(stream.column[c].name, sizeof stream.column[c].name,
                 c == 2 ? "cell \"3\", volts" : "column %d", c);
    }
    int64_t id = 0;
    struct random_columns made;
    CHECK(stream_add(book, &stream, &id, &message) == STATUS_OK);
    random_columns_make(&made, seed, 700 + seed * 97, columns + 1);
    CHECK(stream_fill(book, id, &made.columns, &message) == STATUS_OK);
    for (size_t k = 0; k < made.columns.count; k++)
        made.cells[0][k].mantissa += 100000000000; /* later */
    made.columns.count = 0;
    const char *odd = made.columns.odd;
    for (size_t rows = 0; rows < 60; rows += 20) { /* as a recording brings them */
        struct block_columns part = {.count = 20, .columns = columns + 1};
        struct text texts = TEXT_EMPTY;
        for (size_t k = 0; k < 20; k++)
            for (int c = 0; c <= columns; c++)
                if (made.cells[c][rows + k].kind == DECIMAL_ODD) {
                    size_t n = strcspn(odd, "\n") + 1;
                    text_add_bytes(&texts, odd, n);
                    odd += n;
                }
        for (int c = 0; c <= columns; c++)
            part.cells[c] = made.cells[c] + rows;
        part.odd = text_string(&texts);
        CHECK(stream_append(book, id, &part, &message) == STATUS_OK);
        text_free(&texts);
    }
    random_columns_free(&made);
}

static void fill_book(struct book *book)
{
    static const char bytes[] = "\x89PNG\r\n\0\xFF not a picture", latin[] = "[sample]\nname = H\xFCtte\n";
    char words[] = "the cable, pulled\r\n\"again\"";
    int64_t first = 0, sample = 0, id = 0;
    CHECK(book_sample_add(book, "Hut pack 1", true, 11, &first, &message) == STATUS_OK);
    CHECK(book_sample_add(book, "Bivouac \xE2\x80\x94 \"2\"", false, 12, &sample, &message) == STATUS_OK);
    CHECK(document_put(book, first, DOCUMENT_LABEL, "label", span_of(latin), 13, &id, &message) == STATUS_OK);
    CHECK(document_put(book, first, DOCUMENT_LABEL, "label", span_of("[sample]\nname = Hut\n"), 14, &id,
                       &message) == STATUS_OK);
    CHECK(document_put(book, 0, DOCUMENT_RIG, "bench.rig", (struct span){"a\0b", 3}, 15, &id, &message) ==
          STATUS_OK);
    for (int k = 0; k < 3; k++) {
        int64_t run = add_run(book, k == 0 ? first : sample, k == 2);
        add_stream(book, run, 3 + (uint64_t)k, 2 + k);
        add_stream(book, run, 40 + (uint64_t)k, 1);
        struct book_event event = {.kind = EVENT_GAP,
                                   .t_s = 0.1 + k,
                                   .until_s = k == 1 ? NAN : 1e9 / 3,
                                   .topic = "instrument silent",
                                   .text = words};
        CHECK(book_event_add(book, run, &event, &message) == STATUS_OK);
        CHECK(book_run_text_put(book, run, "log", span_of("{\"a\": 1}"), &message) == STATUS_OK);
        CHECK(finding_put(book, run, "0.1.0", span_of("{\"charge\": 98.7}"), 20 + k, &message) == STATUS_OK);
    }
    CHECK(book_run_correct(book, 1, "name", "another", 30, &message) == STATUS_OK);
    CHECK(book_run_remove(book, add_run(book, first, false), &message) ==
          STATUS_OK); /* its number stays taken */
    struct picture picture = {.sample = first, .kind = "image/jpeg", .name = "../../meter.jpg", .utc_ns = 5,
                              .item = "bus-bar", .shown = true};
    text_add(&picture.caption, "the meter, dark");
    text_add_bytes(&picture.bytes, bytes, sizeof bytes);
    CHECK(picture_add(book, &picture, &id, &message) == STATUS_OK);
    text_free(&picture.caption);
    text_free(&picture.bytes);
    CHECK(document_put(book, first, DOCUMENT_OPENED, "opened", span_of("[opened]\n[bus bar]\nsize = 20 mm \xC3\x97 2 mm\n"), 6,
                       &id, &message) == STATUS_OK);
    CHECK(document_put(book, first, DOCUMENT_SUMMARY, "summary", span_of("Sound, but heavy."), 6, &id, &message) == STATUS_OK);
}

static bool same_files(const char *a, const char *b, int depth, size_t *files)
{
    DIR *list = opendir(a);
    bool one = list != NULL;
    for (struct dirent *entry; one && (entry = readdir(list)) != NULL;) {
        char left[700], right[700];
        struct text x = TEXT_EMPTY, y = TEXT_EMPTY;
        if (entry->d_name[0] == '.')
            continue;
        snprintf(left, sizeof left, "%s/%s", a, entry->d_name);
        snprintf(right, sizeof right, "%s/%s", b, entry->d_name);
        if (entry->d_type == DT_DIR) {
            one = depth > 0 && same_files(left, right, depth - 1, files);
        } else {
            one = text_read_file(left, 1 << 28, &x) == 0 && text_read_file(right, 1 << 28, &y) == 0 &&
                  x.length == y.length && memcmp(text_string(&x), text_string(&y), x.length) == 0;
            ++*files;
        }
        if (!one)
            printf("    %s and %s differ\n", left, right);
        text_free(&x);
        text_free(&y);
    }
    if (list != NULL)
        closedir(list);
    return one;
}

/* Whether a path is there. */
static bool there(const char *path)
{
    struct stat about;
    return lstat(path, &about) == 0;
}

/* Entries of the scratch folder that are no book. */
static size_t strangers(const char *folder)
{
    size_t count = 0;
    DIR *list = opendir(folder);
    for (struct dirent *entry; (entry = readdir(list)) != NULL;)
        count += entry->d_name[0] != '.' && strncmp(entry->d_name, "hut", 3) != 0;
    closedir(list);
    return count;
}

TEST(export_import_export)
{
    struct place place;
    struct transfer transfer = {0};
    struct book *again = NULL;
    size_t files = 0, other = 0;
    long faults = 0;
    place_make(&place);
    fill_book(place.scratch.book);
    CHECK(book_export(place.scratch.book, place.out, &transfer, &message) == STATUS_OK);
    CHECK(transfer.pictures == 1 && transfer.readings > 5000);
    CHECK(book_import(place.out, place.again, &transfer, &message) == STATUS_OK);
    struct book_options options = reading();
    CHECK(book_open(place.again, &options, &again, &message) == STATUS_OK);
    if (again != NULL) {
        CHECK(book_export(again, place.out_again, &transfer, &message) == STATUS_OK);
        CHECK(book_check(again, NULL, NULL, NULL, &faults, &message) == STATUS_OK && faults == 0);
        book_close(again);
    }
    CHECK(same_files(place.out, place.out_again, 1, &files) &&
          same_files(place.out_again, place.out, 1, &other));
    CHECK(files == other && files > 15);
    place_remove(&place);
}

TEST(nothing_is_replaced)
{
    struct place place;
    struct transfer transfer = {0};
    place_make(&place);
    fill_book(place.scratch.book);
    CHECK(mkdir(place.out, 0700) == 0);
    CHECK(book_export(place.scratch.book, place.out, &transfer, &message) == STATUS_UNREADABLE);
    CHECK(strstr(message.what, "there already") != NULL && strangers(place.scratch.folder) == 1);
    rmdir(place.out);
    CHECK(book_export(place.scratch.book, place.out, &transfer, &message) == STATUS_OK);
    CHECK(book_import(place.out, place.scratch.path, &transfer, &message) != STATUS_OK &&
          there(place.scratch.path));
    snprintf(place.path, sizeof place.path, "%s/no/such/out", place.scratch.folder);
    CHECK(book_export(place.scratch.book, place.path, &transfer, &message) == STATUS_UNREADABLE);
    place_remove(&place);
}

/* Files may not grow beyond a limit: as a full disk, at many places. */
TEST(a_full_disk_leaves_no_folder)
{
    struct place place;
    struct rlimit before, limit;
    place_make(&place);
    fill_book(place.scratch.book);
    CHECK(getrlimit(RLIMIT_FSIZE, &before) == 0 && signal(SIGXFSZ, SIG_IGN) != SIG_ERR);
    size_t failed = 0;
    for (rlim_t most = 1; most < 40000; most = most * 3 + 7) {
        struct transfer transfer = {0};
        limit = (struct rlimit){most, before.rlim_max};
        CHECK(setrlimit(RLIMIT_FSIZE, &limit) == 0);
        enum status status = book_export(place.scratch.book, place.out, &transfer, &message);
        CHECK(setrlimit(RLIMIT_FSIZE, &before) == 0);
        failed += status == STATUS_UNREADABLE;
        CHECK(status != STATUS_OK || there(place.out));
        CHECK(status == STATUS_OK || (strangers(place.scratch.folder) == 0 && message.file[0] != '\0'));
        if (status == STATUS_OK)
            remove_tree(place.out, 2);
    }
    CHECK(failed > 5);
    place_remove(&place);
}

static void change_file(const char *path, uint64_t *state)
{
    struct text text = TEXT_EMPTY;
    CHECK(text_read_file(path, 1 << 28, &text) == 0);
    size_t at = text.length > 0 ? draw(state, text.length) : 0;
    unsigned how = (unsigned)draw(state, 4);
    FILE *file = fopen(path, "wb");
    if (how == 0)
        fwrite(text.s, 1, at, file); /* cut short */
    if (how > 0)
        fwrite(text.s, 1, at, file);
    if (how == 1 && at < text.length)
        fputc("\"{}[],9-\n\\Ox"[draw(state, 12)], file),
            fwrite(text.s + at + 1, 1, text.length - at - 1, file);
    if (how == 2 && at < text.length)
        fwrite(text.s + at + 1, 1, text.length - at - 1, file); /* one byte less */
    if (how == 3)
        fputs("7", file), fwrite(text.s + at, 1, text.length - at, file);
    fclose(file);
    text_free(&text);
}

static void tell(void *context, const char *fault)
{
    printf("    %s\n", fault);
}

/* What was changed on the way is refused, with the file named, or gives another sound book; never half of one. */
TEST(damaged_folders)
{
    static const char *const names[] = {"book.json",      "parts.json",         "sample.json",   "run.json",
                                        "stream.json",    "stream_column.json", "document.json", "event.json",
                                        "readings/1.csv", "readings/4.csv",     "picture.json"};
    struct place place;
    struct transfer transfer = {0};
    uint64_t state = 20231103;
    size_t refused = 0;
    place_make(&place);
    fill_book(place.scratch.book);
    for (int round = 0; round < 44; round++) {
        char path[700];
        CHECK(book_export(place.scratch.book, place.out, &transfer, &message) == STATUS_OK);
        snprintf(path, sizeof path, "%s/%s", place.out, names[round % 11]);
        change_file(path, &state);
        message = (struct message){0};
        enum status status = book_import(place.out, place.again, &transfer, &message);
        refused += status != STATUS_OK;
        CHECK(status == STATUS_OK || (message.file[0] != '\0' && message.what[0] != '\0'));
        CHECK(there(place.again) == (status == STATUS_OK));
        if (status == STATUS_OK) {
            struct book_options options = reading();
            struct book *book = NULL;
            long faults = 0;
            CHECK(book_open(place.again, &options, &book, &message) == STATUS_OK);
            CHECK(book_check(book, tell, NULL, NULL, &faults, &message) == STATUS_OK && faults == 0);
            book_close(book);
            unlink(place.again);
        }
        remove_tree(place.out, 2);
    }
    CHECK(refused > 20);
    place_remove(&place);
}
