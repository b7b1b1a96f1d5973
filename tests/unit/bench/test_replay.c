#include "bench/replay.h"

#include "archive/stored.h"
#include "bench/recorder.h"
#include "book/sample.h"
#include "book/stream.h"
#include "check.h"

#include <unistd.h>

static char folder[64], path_of_book[96], rig_path[96];

static struct decimal number(int64_t mantissa, int decimals)
{
    return (struct decimal){mantissa, (int8_t)decimals, DECIMAL_NUMBER};
}

/* Two streams; the first longer than a block, with equal times at its joints, overloads, holes, and a number that no
 * decimal holds. */
enum { ROWS = BLOCK_READINGS + 4000 };
static struct decimal cells[4][ROWS];

static void fill(void)
{
    for (int k = 0; k < ROWS; k++) {
        cells[0][k] = number(k / 3 * 5, 3);
        cells[1][k] = number(12912 - k % 90, k % 11 == 0 ? 3 : 0);
        cells[2][k] = number(-2480 - k % 5, 2);
        cells[3][k] = number(k, 1);
        if (k % 5000 == 17)
            cells[3][k] = (struct decimal){.kind = DECIMAL_ODD};
        if (k % 777 == 3)
            cells[1][k] = (struct decimal){.kind = DECIMAL_OVERLOAD};
        if (k % 901 == 4)
            cells[2][k] = (struct decimal){.kind = DECIMAL_MISSING};
    }
}

static const char odd_texts[] =
    "1234567890123456789.17\n1234567890123456789.5017\n1234567890123456789.10017\n"
    "1234567890123456789.15017\n1234567890123456789.20017\n";

static void put(struct book *book, int64_t stream)
{
    struct message message = {0};
    const char *odd = odd_texts;
    for (size_t from = 0; from < ROWS; from += 3001) {
        struct block_columns block = {.count = ROWS - from < 3001 ? ROWS - from : 3001, .columns = 4};
        struct text texts = TEXT_EMPTY;
        for (int c = 0; c < 4; c++)
            block.cells[c] = cells[c] + from;
        for (size_t k = from; k < from + block.count; k++) {
            if (cells[3][k].kind != DECIMAL_ODD)
                continue;
            size_t n = strcspn(odd, "\n") + 1;
            text_add_bytes(&texts, odd, n);
            odd += n;
        }
        block.odd = text_string(&texts);
        CHECK(stream_append(book, stream, &block, &message) == STATUS_OK);
        text_free(&texts);
    }
}

static int64_t make_book(void)
{
    struct message message = {0};
    struct book *book = NULL;
    int64_t sample = 0, run = 0, stream = 0;
    snprintf(folder, sizeof folder, "replay_test_XXXXXX");
    CHECK(mkdtemp(folder) != NULL);
    snprintf(path_of_book, sizeof path_of_book, "%s/hut.book", folder);
    snprintf(rig_path, sizeof rig_path, "%s/hut.rig", folder);
    CHECK(book_create(path_of_book, &(struct book_options){.access = BOOK_WRITE}, &book, &message) ==
          STATUS_OK);
    CHECK(book_sample_add(book, "Hut pack 3", true, 1, &sample, &message) == STATUS_OK);
    struct book_run of = {.sample = sample, .name = "S", .start_utc_s = 1.7e9, .open = true, .end_s = NAN};
    CHECK(book_run_add(book, &of, &run, &message) == STATUS_OK);
    struct book_stream first = {.run = run, .name = "Shunt meter", .columns = 3};
    first.column[0] = (struct book_column){
        "voltage", CHANNEL_VOLTAGE, QUANTITY_VOLTAGE, {QUANTITY_VOLTAGE, 1e-3, 0}, "mV", 0};
    first.column[1] =
        (struct book_column){"current", CHANNEL_CURRENT, QUANTITY_CURRENT, {QUANTITY_CURRENT, -1, 0}, "A", 0};
    first.column[2] = (struct book_column){"count", CHANNELS, QUANTITY_NONE, {QUANTITY_NONE, 1, 0}, "", 0};
    CHECK(stream_add(book, &first, &stream, &message) == STATUS_OK);
    fill();
    put(book, stream);
    struct book_stream second = {.run = run, .name = "probe", .columns = 1};
    second.column[0] = (struct book_column){
        "temperature", CHANNEL_TEMPERATURE, QUANTITY_TEMPERATURE, {QUANTITY_TEMPERATURE, 1, 0}, "°C", 0};
    CHECK(stream_add(book, &second, &stream, &message) == STATUS_OK);
    CHECK(book_run_close(book, run, 30, &message) == STATUS_OK);
    book_close(book);
    return run;
}

static void remove_book(void)
{
    char path[128];
    static const char *const ends[] = {"hut.book", "hut.book-wal", "hut.book-shm", "hut.rig"};
    for (size_t k = 0; k < 4; k++) {
        snprintf(path, sizeof path, "%s/%s", folder, ends[k]);
        unlink(path);
    }
    rmdir(folder);
}

static struct link link_of(const char *stream)
{
    static struct link_setting setting;
    struct link link = {
        .name = "replay", .file = "hut.rig", .driver = "replay", .timeout_s = 1, .own_time = true};
    snprintf(link.address, sizeof link.address, "%s:1", path_of_book);
    static char key[] = "stream", value[64];
    snprintf(value, sizeof value, "%s", stream);
    setting = (struct link_setting){key, value, 4, 1};
    link.settings = &setting;
    link.setting_count = 1;
    static const char *const sources[] = {"Voltage", "column 2", "count"};
    static const struct unit units[] = {
        {QUANTITY_VOLTAGE, 1, 0}, {QUANTITY_CURRENT, 1, 0}, {QUANTITY_NONE, 1, 0}};
    link.channel_count = 3;
    for (int c = 0; c < 3; c++) {
        link.channels[c].unit = units[c];
        snprintf(link.channels[c].name, sizeof link.channels[c].name, "%s", sources[c]);
        snprintf(link.channels[c].source, sizeof link.channels[c].source, "%s", sources[c]);
    }
    return link;
}

static bool same(struct decimal a, struct decimal b)
{
    return a.mantissa == b.mantissa && a.decimals == b.decimals && a.kind == b.kind;
}

TEST(every_digit_comes_again_in_order_and_at_its_time)
{
    make_book();
    struct link link = link_of("shunt METER");
    struct clock_set set = {1000, 5};
    struct clock clock = clock_by_hand(&set);
    void *state = NULL;
    struct message message = {0};
    char identity[128];
    CHECK(driver_replay.prepare(&link, &clock, &state, &message) == STATUS_OK);
    CHECK(driver_replay.connect(state, identity, &message) == STATUS_OK);
    CHECK(strstr(identity, "Shunt meter") != NULL);
    int differ = 0, odd = 0;
    for (int k = 0; k < ROWS; k++) {
        struct arrival arrival;
        enum heard heard;
        while ((heard = driver_replay.hear(state, 0.002, &arrival, &message)) == HEARD_NOTHING)
            ;
        struct decimal volts = cells[1][k], amps = cells[2][k];
        volts.decimals = (int8_t)(volts.kind == DECIMAL_NUMBER ? volts.decimals + 3 : volts.decimals);
        amps.mantissa =
            -amps.mantissa; /* a column wired the other way round; the link's unit is plain amps */
        differ += heard != HEARD_READING || !same(arrival.time, cells[0][k]) ||
                  !same(arrival.cells[0], volts) || !same(arrival.cells[1], amps) ||
                  !same(arrival.cells[2], cells[3][k]) ||
                  arrival.at_ns != 1000 + cells[0][k].mantissa * 1000000 || set.now_ns < arrival.at_ns;
        odd +=
            strncmp(arrival.odd, "1234567890123456789.", 20) == 0 && strtol(arrival.odd + 20, NULL, 10) == k;
    }
    CHECK(differ == 0);
    CHECK(odd == 4 + (ROWS > 20017));
    struct arrival arrival;
    CHECK(driver_replay.hear(state, 1, &arrival, &message) == HEARD_END);
    driver_replay.disconnect(state);
    CHECK(driver_replay.connect(state, identity, &message) == STATUS_OK); /* from the start again */
    CHECK(driver_replay.hear(state, 1, &arrival, &message) == HEARD_READING && arrival.time.mantissa == 0);
    driver_replay.free(state);
    remove_book();
}

static enum status connect_with(struct link *link, struct message *message)
{
    struct clock clock = clock_machine();
    void *state = NULL;
    char identity[128];
    enum status status = driver_replay.prepare(link, &clock, &state, message);
    if (status != STATUS_OK)
        return status;
    status = driver_replay.connect(state, identity, message);
    driver_replay.free(state);
    return status;
}

TEST(what_cannot_be_replayed_is_told_with_what_would)
{
    make_book();
    struct message message = {0};
    struct link link = link_of("nothing such");
    CHECK(connect_with(&link, &message) == STATUS_MALFORMED);
    CHECK(strstr(message.what, "Shunt meter, probe") != NULL);
    link = link_of("shunt meter");
    snprintf(link.channels[1].source, sizeof link.channels[1].source, "amps");
    CHECK(connect_with(&link, &message) == STATUS_MALFORMED &&
          strstr(message.what, "no column 'amps'") != NULL);
    link = link_of("shunt meter");
    link.channels[0].unit.factor = 0.0254;
    CHECK(connect_with(&link, &message) == STATUS_MALFORMED && strstr(message.remedy, "in mV") != NULL);
    link = link_of("shunt meter");
    snprintf(link.address, sizeof link.address, "%s", path_of_book);
    CHECK(connect_with(&link, &message) == STATUS_MALFORMED &&
          strstr(message.remedy, "workshop.book:12") != NULL);
    snprintf(link.address, sizeof link.address, "none.book:1");
    CHECK(connect_with(&link, &message) == STATUS_UNREADABLE);
    remove_book();
}

/* A run recorded from the replay of another is that other, to the digit, times included. */
TEST(a_replay_recorded_is_the_run_again)
{
    make_book();
    FILE *file = fopen(rig_path, "w");
    fprintf(file,
            "rehearsal rate = 30\n[replay]\ndriver = replay\naddress = %s:1\nstream = shunt meter\n"
            "voltage from = voltage in mV\ncurrent from = current reversed\ntime from = time\n",
            path_of_book);
    fclose(file);
    struct recorder_request request = {.book = path_of_book, .sample = "Hut pack 3, again", .rig = rig_path};
    struct recorder *recorder = NULL;
    struct message message = {0};
    CHECK(recorder_open(&request, NULL, &recorder, &message) == STATUS_OK);
    CHECK(recorder_start(recorder, &message) == STATUS_OK);
    struct bench_view view;
    for (bool over = false; !over;)
        recorder_turn(recorder, 0.02, NULL, NULL, &view, &over);
    int64_t run = recorder_run(recorder);
    CHECK(recorder_end(recorder, "over", &message) == STATUS_OK);
    recorder_close(recorder);
    struct book *book = NULL;
    struct book_stream_list was = {0}, is = {0};
    struct series before, after;
    CHECK(book_open(path_of_book, &(struct book_options){.access = BOOK_READ}, &book, &message) == STATUS_OK);
    CHECK(book_streams(book, 1, &was, &message) == STATUS_OK &&
          book_streams(book, run, &is, &message) == STATUS_OK);
    CHECK(stream_series(book, &was.items[0], &before, &message) == STATUS_OK);
    CHECK(stream_series(book, &is.items[0], &after, &message) == STATUS_OK);
    CHECK(before.count == ROWS && after.count == ROWS && view.readings == ROWS);
    int differ = 0;
    double shift_s = after.t_s[0] - before.t_s[0];
    for (size_t k = 0; k < ROWS && after.count == ROWS; k++)
        for (int c = CHANNEL_VOLTAGE; c <= CHANNEL_CURRENT; c++)
            differ += !(before.column[c][k] == after.column[c][k] ||
                        (isnan(before.column[c][k]) && isnan(after.column[c][k]))) ||
                      fabs(after.t_s[k] - before.t_s[k] - shift_s) > 1e-9;
    CHECK(differ == 0);
    series_free(&before);
    series_free(&after);
    book_stream_list_free(&was);
    book_stream_list_free(&is);
    book_close(book);
    remove_book();
}
