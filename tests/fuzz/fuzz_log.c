/* intake/log.h: a series that was read keeps its invariants, and no row is lost without being counted; a
 * refusal says what is wrong and the remedy. The size of the input picks the options. */
#include "intake/log.h"
#include "memory_file.h"

static void need(bool holds)
{
    if (!holds)
        abort();
}

static void check_series(const struct series *series)
{
    for (size_t k = 0; k < series->count; k++) {
        need(isfinite(series->t_s[k]) && (k == 0 || series->t_s[k] >= series->t_s[k - 1]));
        for (int c = 0; c < CHANNELS; c++)
            need(series->column[c] == NULL || !isinf(series->column[c][k]));
    }
    for (size_t k = 0; k < series->gap_count; k++) {
        const struct gap *gap = &series->gaps[k];
        need(gap->after > 0 && gap->after < series->count && gap->assumed_s >= 0 && gap->lo_s <= gap->hi_s);
    }
    for (size_t k = 0; k < series->mark_count; k++)
        need(isfinite(series->marks[k].t_s) && series->marks[k].words != NULL && series->marks[k].line > 0);
}

static void check_log(const struct log *log)
{
    need(log->series.count > 0 && log->column_count > 0);
    need((long)(log->series.count + log->bad_count) == log->rows);
    for (size_t k = 0; k < log->bad_count && k < LOG_BAD_ROWS_LISTED; k++)
        need(log->bad[k].line > 0 && log->bad[k].why != NULL &&
             (k == 0 || log->bad[k].line >= log->bad[k - 1].line));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const char *const asked[] = {"time=1",   "voltage=2", "current=3:mA", "time=1:dmy",
                                        "unused=1", "voltage=V", "steptime=2",   "date=1"};
    struct column_wish wishes[3];
    struct message message = {0};
    struct log_options options = {
        .wishes = wishes, .threads = 1 + (int)(size % 2), .period_s = size % 7 == 3 ? 0.5 : 0};
    for (size_t k = 0; size % 3 == 2 && k < 3; k++)
        need(column_wish_read(asked[(size + 3 * k) % 8], &wishes[options.wish_count++], &message) ==
             STATUS_OK);
    char path[64];
    int file = memory_file(data, size, path, sizeof path);
    struct log log;
    enum status status = log_read(path, &options, &log, &message);
    close(file);
    if (status == STATUS_OK) {
        check_log(&log);
        check_series(&log.series);
        log_free(&log);
    } else {
        need(message.status == status && message.what[0] != '\0');
        need(status != STATUS_AMBIGUOUS || message.remedy[0] != '\0');
    }
    return 0;
}
