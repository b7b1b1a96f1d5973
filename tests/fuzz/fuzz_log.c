/* intake/log.h: a series that was read keeps its invariants; a refusal says what is wrong and the remedy. */
#include "intake/log.h"
#include "memory_file.h"

static void check_series(const struct series *series)
{
    for (size_t k = 0; k < series->count; k++)
        if (!isfinite(series->t_s[k]) || (k > 0 && series->t_s[k] < series->t_s[k - 1]))
            abort();
    for (int c = 0; c < CHANNELS; c++)
        for (size_t k = 0; series->column[c] != NULL && k < series->count; k++)
            if (isinf(series->column[c][k]))
                abort();
    for (size_t k = 0; k < series->mark_count; k++)
        if (series->marks[k].words == NULL || !isfinite(series->marks[k].t_s))
            abort();
    for (size_t k = 0; k < series->gap_count; k++)
        if (!(series->gaps[k].lo_s <= series->gaps[k].hi_s) || series->gaps[k].after >= series->count)
            abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char path[64];
    int file = memory_file(data, size, path, sizeof path);
    struct log_options options = {.threads = 1};
    struct message message = {0};
    struct log log;
    enum status status = log_read(path, &options, &log, &message);
    if (status == STATUS_OK) {
        if (log.series.count < 1 || log.column_count < 1)
            abort();
        check_series(&log.series);
        log_free(&log);
    } else if (message.status != status || message.what[0] == '\0' ||
               (status == STATUS_AMBIGUOUS && message.remedy[0] == '\0')) {
        abort();
    }
    close(file);
    return 0;
}
