#include "archive/log_words.h"

#include "base/memory.h"

static const char *const sign_words[] = {
    [SIGN_NOT_STATED] = "not stated",
    [SIGN_DISCHARGE_POSITIVE] = "discharge positive",
    [SIGN_CHARGE_POSITIVE] = "charge positive",
    [SIGN_BY_MODE] = "by mode",
};
enum { SIGNS = sizeof sign_words / sizeof *sign_words };

static json_t *columns_json(const struct log *log)
{
    json_t *list = json_array();
    for (size_t k = 0; k < log->column_count; k++) {
        const struct column_choice *choice = &log->columns[k];
        json_t *one = json_object();
        json_put(one, "number", json_integer(choice->number));
        json_put_words(one, "header", choice->header);
        json_put_words(one, "taken for", role_name(choice->role, choice->channel));
        json_put_words(one, "unit", choice->unit);
        json_put(one, "factor", json_number(choice->factor));
        json_put_words(one, "why", choice->why);
        json_array_append_new(list, one);
    }
    return list;
}

static json_t *bad_json(const struct log *log)
{
    json_t *list = json_array();
    for (size_t k = 0; k < log->bad_count && k < LOG_BAD_ROWS_LISTED; k++) {
        const struct bad_row *bad = &log->bad[k];
        json_t *one = json_object();
        json_put(one, "line", json_integer(bad->line));
        json_put(one, "column", json_integer(bad->column));
        json_put_words(one, "text", bad->text);
        json_put_words(one, "why", bad->why);
        json_array_append_new(list, one);
    }
    return list;
}

static json_t *gaps_json(const struct series *series)
{
    json_t *list = json_array();
    for (size_t k = 0; k < series->gap_count; k++) {
        const struct gap *gap = &series->gaps[k];
        json_t *one = json_object();
        json_put(one, "after", json_integer((json_int_t)gap->after));
        json_put(one, "assumed_s", json_number(gap->assumed_s));
        json_put(one, "lo_s", json_number(gap->lo_s));
        json_put(one, "hi_s", json_number(gap->hi_s)); /* null: nothing bounds it */
        json_put_words(one, "why", gap->why);
        json_array_append_new(list, one);
    }
    return list;
}

static json_t *times_json(const struct log_times *times)
{
    json_t *one = json_object();
    json_put(one, "each", json_boolean(times->each));
    json_put(one, "factor", json_number(times->factor));
    json_put(one, "shift", json_number(times->shift));
    json_put(one, "decimals", json_integer(times->decimals));
    return one;
}

static json_t *turned_json(const struct digits *digits)
{
    json_t *object = json_object();
    for (int c = 0; c < CHANNELS; c++)
        if (digits->turned[c][0] || digits->turned[c][1])
            json_put_words(object, channel_name((enum channel)c), digits->turned[c][0] ? "discharge" : "charge");
    return object;
}

void log_words_write(const struct log *log, const struct log_times *times, struct text *text)
{
    char delimiter[2] = {log->delimiter, 0}, decimal[2] = {log->decimal, 0};
    json_t *all = json_object(), *lines = json_array();
    json_put_words(all, "file", log->path);
    json_put_words(all, "delimiter", delimiter);
    json_put_words(all, "decimal", decimal);
    json_put_words(all, "sign", sign_words[log->sign]);
    json_put(all, "sign turned while", turned_json(&log->digits));
    json_put(all, "first_line", json_integer(log->first_line));
    json_put(all, "rows", json_integer(log->rows));
    json_put(all, "missing_cells", json_integer((json_int_t)log->missing_cells));
    json_put(all, "out_of_order", json_integer((json_int_t)log->out_of_order));
    json_put(all, "invented", json_boolean(log->invented));
    json_put(all, "time_resolution_s", json_number(log->series.time_resolution_s));
    json_put(all, "times", times_json(times));
    json_put(all, "columns", columns_json(log));
    json_put(all, "bad_count", json_integer((json_int_t)log->bad_count));
    json_put(all, "bad", bad_json(log));
    json_put(all, "clock_joints", gaps_json(&log->series));
    for (size_t k = 0; k < log->series.mark_count; k++)
        json_array_append_new(lines, json_integer(log->series.marks[k].line));
    json_put(all, "mark_lines", lines);
    json_put(all, "notices", json_notices(&log->notices));
    json_add_text(all, false, text);
    json_decref(all);
}

/* Members by name; the first that is missing or of another kind is the fault, and stands in `bad`. */
struct members {
    const json_t *object;
    const char *bad;
};

static const json_t *member(struct members *m, const char *key, bool right)
{
    const json_t *value = json_object_get(m->object, key);
    if ((value == NULL || !right) && m->bad == NULL)
        m->bad = key;
    return value;
}

static long long whole(struct members *m, const char *key)
{
    const json_t *value = member(m, key, json_is_integer(json_object_get(m->object, key)));
    long long number = json_integer_value(value);
    if (number < 0 && m->bad == NULL)
        m->bad = key;
    return number;
}

static double number(struct members *m, const char *key) /* NaN for null */
{
    const json_t *value = json_object_get(m->object, key);
    (void)member(m, key, json_is_number(value) || json_is_null(value));
    return json_is_number(value) ? json_number_value(value) : NAN;
}

static const char *words(struct members *m, const char *key)
{
    const json_t *value = member(m, key, json_is_string(json_object_get(m->object, key)));
    return json_is_string(value) ? json_string_value(value) : "";
}

static bool yes(struct members *m, const char *key)
{
    return json_is_true(member(m, key, json_is_boolean(json_object_get(m->object, key))));
}

static const json_t *list(struct members *m, const char *key)
{
    return member(m, key, json_is_array(json_object_get(m->object, key)));
}

static bool role_of(const char *name, struct column_choice *choice)
{
    for (int role = 0; role <= COLUMN_CHANNEL; role++) {
        for (int c = 0; c < (role == COLUMN_CHANNEL ? CHANNELS : 1); c++) {
            choice->role = (enum column_role)role;
            choice->channel = (enum channel)c;
            if (strcmp(role_name(choice->role, choice->channel), name) == 0)
                return true;
        }
    }
    return false;
}

static void copy(const char *from, char *buffer, size_t size)
{
    span_copy(span_of(from), buffer, size);
}

static const char *take_columns(const json_t *array, struct log *log)
{
    log->columns = memory_get((json_array_size(array) + 1) * sizeof *log->columns);
    for (size_t k = 0; k < json_array_size(array); k++) {
        struct members m = {json_array_get(array, k), NULL};
        struct column_choice *choice = &log->columns[log->column_count++];
        if (!role_of(words(&m, "taken for"), choice) && m.bad == NULL)
            m.bad = "taken for";
        choice->number = (int)whole(&m, "number");
        choice->factor = number(&m, "factor");
        copy(words(&m, "header"), choice->header, sizeof choice->header);
        copy(words(&m, "unit"), choice->unit, sizeof choice->unit);
        copy(words(&m, "why"), choice->why, sizeof choice->why);
        if (m.bad != NULL)
            return m.bad;
    }
    return NULL;
}

static const char *take_bad(const json_t *array, struct log *log)
{
    size_t listed = log->bad_count < LOG_BAD_ROWS_LISTED ? log->bad_count : LOG_BAD_ROWS_LISTED;
    if (json_array_size(array) != listed)
        return "bad";
    for (size_t k = 0; k < listed; k++) {
        struct members m = {json_array_get(array, k), NULL};
        struct bad_row *bad = &log->bad[k];
        bad->line = (long)whole(&m, "line");
        bad->column = (int)whole(&m, "column");
        copy(words(&m, "text"), bad->text, sizeof bad->text);
        bad->why = log_keep(log, words(&m, "why"));
        if (m.bad != NULL)
            return m.bad;
    }
    return NULL;
}

static const char *take_gaps(const json_t *array, struct log *log)
{
    for (size_t k = 0; k < json_array_size(array); k++) {
        struct members m = {json_array_get(array, k), NULL};
        double hi_s = number(&m, "hi_s");
        struct gap gap = {.after = (size_t)whole(&m, "after"),
                          .assumed_s = number(&m, "assumed_s"),
                          .lo_s = number(&m, "lo_s"),
                          .hi_s = isnan(hi_s) ? INFINITY : hi_s,
                          .why = log_keep(log, words(&m, "why"))};
        if (m.bad == NULL && (gap.after == 0 || isnan(gap.assumed_s) || isnan(gap.lo_s)))
            m.bad = "clock_joints";
        if (m.bad != NULL)
            return m.bad;
        series_gap(&log->series, gap);
    }
    return NULL;
}

static const char *take_notices(const json_t *array, struct log *log)
{
    for (size_t k = 0; k < json_array_size(array); k++) {
        struct members m = {json_array_get(array, k), NULL};
        notices_add(&log->notices, log_keep(log, words(&m, "topic")), (long)whole(&m, "line"), "%s",
                    words(&m, "text"));
        if (m.bad != NULL)
            return m.bad;
    }
    return NULL;
}

static const char *take_times(const json_t *object, struct log_times *times)
{
    struct members m = {object, NULL};
    bool each = yes(&m, "each");
    double factor = number(&m, "factor"), shift = number(&m, "shift");
    long long decimals = whole(&m, "decimals");
    if (m.bad == NULL && each)
        *times = (struct log_times){.each = true, .factor = 1};
    else if (m.bad == NULL && !log_times_set(factor, shift, decimals < 99 ? (int)decimals : 99, times))
        m.bad = "times";
    return m.bad;
}

static void take_turned(const json_t *object, struct digits *digits)
{
    for (int c = 0; c < CHANNELS; c++) {
        const char *when = json_string_value(json_object_get(object, channel_name((enum channel)c)));
        digits->turned[c][0] = when != NULL && strcmp(when, "discharge") == 0;
        digits->turned[c][1] = when != NULL && strcmp(when, "charge") == 0;
    }
}

static int sign_find(const char *word)
{
    int k = 0;
    while (k < SIGNS && strcmp(sign_words[k], word) != 0)
        k++;
    return k;
}

static const char *take_plain(struct members *m, struct log *log)
{
    const char *sign = words(m, "sign");
    log->delimiter = words(m, "delimiter")[0];
    log->decimal = words(m, "decimal")[0];
    log->first_line = (long)whole(m, "first_line");
    log->rows = (long)whole(m, "rows");
    log->missing_cells = (size_t)whole(m, "missing_cells");
    log->out_of_order = (size_t)whole(m, "out_of_order");
    log->bad_count = (size_t)whole(m, "bad_count");
    log->invented = yes(m, "invented");
    log->series.time_resolution_s = number(m, "time_resolution_s");
    take_turned(member(m, "sign turned while", json_is_object(json_object_get(m->object, "sign turned while"))),
                &log->digits);
    int k = sign_find(sign);
    log->sign = k < SIGNS ? (enum sign_stated)k : SIGN_NOT_STATED;
    return m->bad != NULL ? m->bad : k == SIGNS ? "sign" : NULL;
}

static const char *take_all(const json_t *all, struct log *log, struct log_times *times)
{
    struct members m = {all, NULL};
    const char *bad = take_plain(&m, log);
    const json_t *columns = list(&m, "columns"), *rows = list(&m, "bad"), *gaps = list(&m, "clock_joints");
    const json_t *notices = list(&m, "notices");
    (void)list(&m, "mark_lines");
    if (bad == NULL)
        bad = m.bad;
    if (bad == NULL)
        bad = take_columns(columns, log);
    if (bad == NULL)
        bad = take_bad(rows, log);
    if (bad == NULL)
        bad = take_gaps(gaps, log);
    if (bad == NULL)
        bad = take_notices(notices, log);
    return bad != NULL ? bad : take_times(json_object_get(all, "times"), times);
}

enum status log_words_read(const char *name, struct span json, struct log *log, struct log_times *ret_times,
                           json_t **ret_mark_lines, struct message *message)
{
    json_t *all;
    enum status status = json_parse(name, 1, json, &all, message);
    if (status != STATUS_OK)
        return status;
    const char *bad = take_all(all, log, ret_times);
    if (bad == NULL)
        *ret_mark_lines = json_incref(json_object_get(all, "mark_lines"));
    json_decref(all);
    if (bad == NULL)
        return STATUS_OK;
    status_fail(message, STATUS_MALFORMED, "what the log's reader said of this run is damaged at '%s'", bad);
    status_remedy(message, "check the book with `rundown book check`, and import the log once more");
    return status_at(message, name, 0, 0);
}

enum sign_stated log_words_sign(struct span json)
{
    json_t *all;
    if (json_parse("", 1, json, &all, NULL) != STATUS_OK)
        return SIGN_NOT_STATED;
    const char *word = json_string_value(json_object_get(all, "sign"));
    int k = word != NULL ? sign_find(word) : SIGNS;
    json_decref(all);
    return k < SIGNS ? (enum sign_stated)k : SIGN_NOT_STATED;
}
