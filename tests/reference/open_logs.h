/* The open measurement logs, each read by a stated layout into a series (current as the log signs it),
 * and what was computed from them independently (expected.json). A plain reader of these few layouts,
 * so that a fault in intake cannot hide one in what is tested here. */
#ifndef RUNDOWN_TESTS_REFERENCE_OPEN_LOGS_H
#define RUNDOWN_TESTS_REFERENCE_OPEN_LOGS_H

#include "check.h"

#include "base/number.h"
#include "base/text.h"
#include "quantity/series.h"

#include "base/json_value.h"

enum open_time { TIME_SECONDS, TIME_STAMP, TIME_ROW, TIME_MENDED /* seconds; a step outside 0…5 s is 1 s */ };

struct open_log {
    const char *folder, *name;
    int time, current, voltage; /* columns, from 0 */
    enum open_time form;
    int sign; /* as SOURCE.md states it: +1 discharge positive */
};

static const struct open_log open_logs[] = {
    {"lead-acid-12v-17ah", "all_2017-03-25_2017-04-04.csv", 0, 2, 1, TIME_STAMP, 1},
    {"lead-acid-12v-17ah", "discharge_0.5A.csv", 0, 2, 1, TIME_STAMP, 1},
    {"lead-acid-12v-17ah", "discharge_1.0A_a.csv", 0, 2, 1, TIME_STAMP, 1},
    {"lead-acid-12v-17ah", "discharge_1.0A_b.csv", 0, 2, 1, TIME_STAMP, 1},
    {"lead-acid-12v-17ah", "discharge_1.5A.csv", 0, 2, 1, TIME_STAMP, 1},
    {"lead-acid-12v-17ah", "discharge_2.0A.csv", 0, 2, 1, TIME_STAMP, 1},
    {"lead-acid-12v-17ah", "discharge_2.5A.csv", 0, 2, 1, TIME_STAMP, 1},
    {"lead-acid-12v-17ah", "discharge_3.0A.csv", 0, 2, 1, TIME_STAMP, 1},
    {"lead-acid-12v-17ah", "other_battery_2017-03-24.csv", 0, 2, 1, TIME_STAMP, 1},
    {"lfp-26650-2.6ah", "discharge_1C_20degC.txt", 0, 1, 2, TIME_SECONDS, -1},
    {"lfp-26650-2.6ah", "discharge_1C_40degC.txt", 0, 1, 2, TIME_SECONDS, -1},
    {"lfp-26650-2.6ah", "hppc_clean_20degC.csv", -1, 1, 0, TIME_ROW, -1},
    {"lfp-26650-2.6ah", "hppc_raw_10pct_20degC.txt", 0, 1, 2, TIME_MENDED, -1},
    {"lithium-18650-3ah", "S001_1C.csv", 0, 1, 2, TIME_SECONDS, -1},
    {"lithium-18650-3ah", "S001_2C.csv", 0, 1, 2, TIME_SECONDS, -1},
    {"lithium-18650-3ah", "S001_3C.csv", 0, 1, 2, TIME_SECONDS, -1},
    {"lithium-18650-3ah", "S001_4C.csv", 0, 1, 2, TIME_SECONDS, -1},
    {"lithium-18650-3ah", "S001_C10.csv", 0, 1, 2, TIME_SECONDS, -1},
    {"lmo-pouch-33ah", "discharge_1C.csv", 1, 8, 9, TIME_SECONDS, -1},
    {"lmo-pouch-33ah", "discharge_2C.csv", 1, 8, 9, TIME_SECONDS, -1},
    {"lmo-pouch-33ah", "hppc_25degC.csv", 1, 8, 9, TIME_SECONDS, -1},
};
enum { OPEN_LOGS = sizeof open_logs / sizeof *open_logs };

static inline const struct open_log *open_log_named(const char *name)
{
    for (size_t k = 0; k < OPEN_LOGS; k++)
        if (strcmp(open_logs[k].name, name) == 0)
            return &open_logs[k];
    return NULL;
}

/* `2017-03-25 07:00:06.900`: all logs lie within two months of one year, so days can be counted plainly. */
static inline bool open_stamp(struct span cell, double *ret_s)
{
    int month, day, hour, minute;
    double second;
    char text[40];
    span_copy(cell, text, sizeof text);
    if (sscanf(text, "2017-%d-%d %d:%d:%lf", &month, &day, &hour, &minute, &second) != 5)
        return false;
    *ret_s = (((month - 3) * 31 + day) * 24.0 + hour) * 3600 + minute * 60 + second;
    return true;
}

static inline bool open_row(const struct open_log *log, struct span line, double ret_row[3])
{
    ret_row[0] = ret_row[1] = ret_row[2] = NAN;
    for (int column = 0; line.n > 0; column++) {
        size_t n = 0;
        while (n < line.n && line.p[n] != ',' && line.p[n] != '\t')
            n++;
        struct span cell = span_trim((struct span){line.p, n});
        double number;
        if (column == log->time && log->form == TIME_STAMP)
            open_stamp(cell, &ret_row[0]);
        else if (number_is(cell, '.', &number) && fabs(number) < 1e30) /* 3.4E+38 stands for no value */
            for (int k = 0; k < 3; k++)
                if (column == (k == 0 ? log->time : k == 1 ? log->voltage : log->current))
                    ret_row[k] = number;
        n += n < line.n;
        line = (struct span){line.p + n, line.n - n};
    }
    return !isnan(ret_row[1]) && (log->form == TIME_ROW || !isnan(ret_row[0]));
}

static inline void open_sort(struct series *series)
{
    double *t = series->t_s, *v = series->column[CHANNEL_VOLTAGE], *a = series->column[CHANNEL_CURRENT];
    for (size_t k = 1; k < series->count; k++) {
        double keep[3] = {t[k], v[k], a[k]};
        size_t j = k;
        for (; j > 0 && t[j - 1] > keep[0]; j--)
            t[j] = t[j - 1], v[j] = v[j - 1], a[j] = a[j - 1];
        t[j] = keep[0], v[j] = keep[1], a[j] = keep[2];
    }
}

/* False when the data are not on this machine. Times as in the file (stamps: from the
 * earliest row). */
static inline bool open_log_read(const struct open_log *log, struct series *ret_series)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", log->folder, log->name);
    const char *found = test_data(path);
    struct text text = TEXT_EMPTY;
    if (found == NULL || text_read_file(found, (size_t)1 << 26, &text) != 0)
        return false;
    size_t lines = 1;
    for (size_t k = 0; k < text.length; k++)
        lines += text.s[k] == '\n';
    struct series series;
    if (!series_init(&series, lines, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT))
        return false;
    struct span rest = {text.s, text.length};
    if (rest.n >= 3 && memcmp(rest.p, "\xEF\xBB\xBF", 3) == 0)
        rest = (struct span){rest.p + 3, rest.n - 3};
    double last = NAN, earliest = INFINITY;
    while (rest.n > 0) {
        const char *end = memchr(rest.p, '\n', rest.n);
        size_t n = end != NULL ? (size_t)(end - rest.p) : rest.n;
        double row[3];
        bool whole = open_row(log, (struct span){rest.p, n}, row);
        earliest = row[0] < earliest ? row[0] : earliest;
        if (whole) {
            size_t k = series.count;
            double step = row[0] - last;
            last = row[0];
            if (log->form == TIME_ROW)
                row[0] = (double)k;
            else if (log->form == TIME_MENDED && k > 0)
                row[0] = series.t_s[k - 1] + (step > 0 && step <= 5 ? step : 1);
            series.t_s[k] = row[0];
            series.column[CHANNEL_VOLTAGE][k] = row[1];
            series.column[CHANNEL_CURRENT][k] = row[2];
            series.count++;
        }
        n += n < rest.n;
        rest = (struct span){rest.p + n, rest.n - n};
    }
    text_free(&text);
    open_sort(&series);
    for (size_t k = 0; k < series.count && log->form == TIME_STAMP; k++)
        series.t_s[k] -= earliest;
    *ret_series = series;
    return true;
}

/* What was computed independently for one log; free with json_decref(*ret_root). NULL when absent. */
static inline json_t *open_log_expected(const struct open_log *log, json_t **ret_root)
{
    char path[128];
    snprintf(path, sizeof path, "%s/expected.json", log->folder);
    const char *found = test_data(path);
    *ret_root = found != NULL ? json_load_file(found, 0, NULL) : NULL;
    return *ret_root != NULL ? json_object_get(json_object_get(*ret_root, "files"), log->name) : NULL;
}

static inline double expected_number(const json_t *object, const char *key)
{
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : NAN;
}

#endif
