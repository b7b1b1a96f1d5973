#include "intake/readings_file.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "base/number.h"
#include "intake/amount.h"

#include <ctype.h>
#include <stdarg.h>

enum status readings_fault(const struct readings_file *file, size_t at, const char *remedy, const char *what,
                           ...)
{
    char text[300];
    va_list args;
    va_start(args, what);
    vsnprintf(text, sizeof text, what, args);
    va_end(args);
    status_fail(file->message, STATUS_MALFORMED, "%s", text);
    status_remedy(file->message, "%s", remedy);
    if (file->message != NULL)
        file->message->column = 0;
    message_place(file->message, file->path, file->number, file->line, at);
    return STATUS_MALFORMED;
}

/* Where the value lies in its line. */
static size_t offset_of(const struct readings_file *file, struct span value)
{
    return (size_t)(value.p - file->line.p);
}

/* One of a list of words; its place in the list goes to *ret_which. */
static enum status one_of(struct readings_file *file, struct span value, const char *const *words,
                          int *ret_which)
{
    int which = name_find(value, words);
    if (which < 0) {
        char list[200], remedy[240];
        name_list(words, list, sizeof list);
        snprintf(remedy, sizeof remedy, "write one of: %s", list);
        return readings_fault(file, offset_of(file, value), remedy, "`%.*s` is not known here", (int)value.n,
                              value.p);
    }
    *ret_which = which;
    return STATUS_OK;
}

static enum status read_title(struct readings_file *file, struct span value)
{
    span_copy(value, file->sightings.title, sizeof file->sightings.title);
    return STATUS_OK;
}

static enum status read_direction(struct readings_file *file, struct span value)
{
    static const char *const words[] = {"charge", "rest", "discharge", NULL};
    int which = 1;
    enum status status = one_of(file, value, words, &which);
    if (status == STATUS_OK)
        file->sightings.direction = which - 1;
    return status;
}

static enum status read_load(struct readings_file *file, struct span value)
{
    static const char *const words[] = {"unknown", "constant power", "constant current", "constant resistance",
                                        "power",   "current",        "resistance",       NULL};
    static const enum load_law laws[] = {LOAD_UNKNOWN, LOAD_POWER,   LOAD_CURRENT,   LOAD_RESISTANCE,
                                         LOAD_POWER,   LOAD_CURRENT, LOAD_RESISTANCE};
    int which = 0;
    size_t n = 0; /* `constant power (an inverter)`: the words after a comma or bracket are for people */
    while (n < value.n && value.p[n] != ',' && value.p[n] != '(')
        n++;
    enum status status = one_of(file, (struct span){value.p, n}, words, &which);
    if (status == STATUS_OK)
        file->sightings.law = laws[which];
    return status;
}

static enum status read_rate(struct readings_file *file, struct span value)
{
    size_t used;
    enum status status = frame_rate_read(value, &file->form.rate, &used, file->message);
    if (status != STATUS_OK) {
        message_place(file->message, file->path, file->number, file->line, offset_of(file, value));
        return status;
    }
    if (used != value.n)
        return readings_fault(file, offset_of(file, value) + used,
                              "write the rate alone, like `frame rate: 29.97 drop`",
                              "this is no part of a frame rate");
    if (!file->had_stated) /* who reads timecodes reads film */
        file->form.had = HAD_FILMED;
    return STATUS_OK;
}

static enum status read_times(struct readings_file *file, struct span value)
{
    static const char *const words[] = {"elapsed", "clock", NULL};
    int which = 0;
    enum status status = one_of(file, value, words, &which);
    if (status == STATUS_OK)
        file->form.times = which == 0 ? TIMES_ELAPSED : TIMES_CLOCK;
    return status;
}

static enum status read_decimal(struct readings_file *file, struct span value)
{
    static const char *const words[] = {"point", "comma", NULL};
    int which = 0;
    enum status status = one_of(file, value, words, &which);
    if (status == STATUS_OK)
        file->form.decimal = which == 0 ? '.' : ',';
    return status;
}

static enum status read_columns(struct readings_file *file, struct span value)
{
    struct readings_form *form = &file->form;
    form->column_count = 0;
    for (size_t at = 0; at < value.n;) {
        struct span rest = span_from(value, at);
        struct unit unit;
        size_t skip = blanks_at(rest);
        skip += skip < rest.n && strchr(",;|", rest.p[skip]) != NULL ? 1 : 0;
        if (skip > 0) {
            at += skip;
            continue;
        }
        size_t n = 0; /* `A h` would be one unit: the list is cut at blanks first */
        while (n < rest.n && blanks_at(span_from(rest, n)) == 0 && strchr(",;|", rest.p[n]) == NULL)
            n++;
        bool known = unit_find((struct span){rest.p, n}, &unit);
        bool first_time = known && unit.quantity == QUANTITY_TIME && form->column_count == 0;
        for (int c = 0; known && !first_time && c <= CHANNELS; c++)
            if (c == CHANNELS || channel_quantity((enum channel)c) == unit.quantity) {
                known = c < CHANNELS;
                break;
            }
        if (!known || form->column_count == READINGS_COLUMNS)
            return readings_fault(file, offset_of(file, value) + at,
                                  "list at most 12 units of a test, a unit of time "
                                  "first if at all, like `columns: min V A Ah`",
                                  "`%.*s` is no unit of a column", (int)n, rest.p);
        form->columns[form->column_count++] = unit;
        at += n;
    }
    return STATUS_OK;
}

static enum status read_how(struct readings_file *file, struct span value)
{
    int had = readings_had(value);
    if (had < 0)
        return readings_fault(file, offset_of(file, value),
                              "write seen, filmed, printed, remembered or inferred",
                              "`%.*s` is no way of having a reading", (int)value.n, value.p);
    file->form.had = (enum had)had;
    file->had_stated = true;
    return STATUS_OK;
}

static enum status read_invented(struct readings_file *file, struct span value)
{
    static const char *const words[] = {"no", "yes", NULL};
    int which = 1;
    enum status status = one_of(file, value, words, &which);
    if (status == STATUS_OK)
        file->sightings.invented = which == 1;
    return status;
}

/* Digits of a fixed count. */
static bool read_digits(struct span span, size_t at, size_t count, int *ret_number)
{
    int number = 0;
    for (size_t k = at; k < at + count; k++) {
        if (k >= span.n || !isdigit((unsigned char)span.p[k]))
            return false;
        number = number * 10 + (span.p[k] - '0');
    }
    *ret_number = number;
    return true;
}

/* ISO 8601: `2026-03-14`. */
static enum status read_date(struct readings_file *file, struct span value)
{
    int year = 0, month = 0, day = 0;
    bool good = value.n == 10 && value.p[4] == '-' && value.p[7] == '-' && read_digits(value, 0, 4, &year) &&
                read_digits(value, 5, 2, &month) && read_digits(value, 8, 2, &day);
    struct tm date = {.tm_year = year - 1900, .tm_mon = month - 1, .tm_mday = day};
    struct tm same = date;
    time_t seconds = timegm(&same);
    if (!good || same.tm_mday != day || same.tm_mon != month - 1) /* 31 April became 1 May */
        return readings_fault(file, offset_of(file, value), "write it like `date: 2026-03-14`",
                              "`%.*s` is no date", (int)value.n, value.p);
    file->date_s = (double)seconds;
    return STATUS_OK;
}

/* `UTC`, `+01:00`, `-0930`. */
static enum status read_zone(struct readings_file *file, struct span value)
{
    int hours = 0, minutes = 0;
    if (span_is_word(value, "UTC") || span_is_word(value, "Z")) {
        file->zone_s = 0;
        return STATUS_OK;
    }
    bool colon = value.n == 6 && value.p[3] == ':';
    bool good = (colon || value.n == 5) && (value.p[0] == '+' || value.p[0] == '-') &&
                read_digits(value, 1, 2, &hours) && read_digits(value, colon ? 4 : 3, 2, &minutes) &&
                hours <= 14 && minutes < 60;
    if (!good)
        return readings_fault(file, offset_of(file, value), "write it like `zone: +01:00` or `zone: UTC`",
                              "`%.*s` is no time zone", (int)value.n, value.p);
    file->zone_s = (hours * 3600 + minutes * 60) * (value.p[0] == '-' ? -1 : 1);
    return STATUS_OK;
}

static enum status read_note(struct readings_file *file, struct span value)
{
    notices_add(file->notices, "note", file->number, "%.*s", (int)(value.n < 900 ? value.n : 900), value.p);
    return STATUS_OK;
}

/* Where one of the spellings stands as a word; value.n when none does. */
static size_t find_word(struct span value, const char *const *spellings)
{
    size_t at = 0;
    while (at < value.n && (spelling_at(span_from(value, at), spellings) == 0 ||
                            (at > 0 && isalpha((unsigned char)value.p[at - 1]))))
        at++;
    return at;
}

/* `clip 2`, `clip: the second evening, starts 14:31:05`. */
static enum status read_clip(struct readings_file *file, struct span value)
{
    static const char *const starts[] = {"starts at", "starts", "start", NULL};
    struct clip clip = {.line = file->number};
    size_t at = find_word(value, starts), word = spelling_at(span_from(value, at), starts);
    if (word > 0) {
        size_t used, from = at + word;
        from += blanks_at(span_from(value, from));
        struct span rest = span_from(value, from);
        enum status status =
            typed_time_read(rest, file->form.decimal, &file->form.rate, &clip.start, &used, file->message);
        if (status != STATUS_OK) {
            message_place(file->message, file->path, file->number, file->line, offset_of(file, rest));
            return status;
        }
        if (used == 0 || used != rest.n || clip.start.form == TIME_TWO)
            return readings_fault(file, offset_of(file, rest),
                                  "write when the clip's own time is zero, with hours, "
                                  "minutes and seconds: `clip: evening, starts 14:31:05`",
                                  "this is no start of a clip");
        clip.has_start = true;
    }
    file->clips = memory_grow(file->clips, file->clip_count, &file->clip_capacity);
    file->clips[file->clip_count++] = clip;
    return STATUS_OK;
}

static const struct {
    const char *key;
    enum status (*read)(struct readings_file *file, struct span value);
    bool anywhere; /* may stand between readings */
} headings[] = {
    {"title", read_title, false},
    {"date", read_date, false},
    {"zone", read_zone, false},
    {"kind", read_direction, false},
    {"direction", read_direction, false},
    {"load", read_load, false},
    {"frame rate", read_rate, false},
    {"times", read_times, false},
    {"decimal", read_decimal, false},
    {"columns", read_columns, false},
    {"how", read_how, true},
    {"invented", read_invented, false},
    {"note", read_note, true},
    {"clip", read_clip, true},
};
enum { HEADINGS = sizeof headings / sizeof *headings };

/* The words before a colon, when nothing but words stands there; empty otherwise. */
static struct span key_of(struct span line)
{
    struct span text = span_trim(line), none = {line.p, 0};
    size_t n = 0;
    struct unit unit;
    while (n < text.n && (isalpha((unsigned char)text.p[n]) || strchr(" \t_-", text.p[n]) != NULL) &&
           text.p[n] != '\0')
        n++;
    if (n == 0 || n == text.n || text.p[n] != ':' || !isalpha((unsigned char)text.p[0]))
        return none;
    struct span key = span_trim((struct span){text.p, n});
    return key.n == 1 || unit_find(key, &unit) ? none : key; /* `V: 12.91`, `U: 12.91` */
}

static int heading_of(struct span key)
{
    for (int k = 0; k < HEADINGS; k++)
        if (key.n > 0 && name_alike(key, headings[k].key))
            return k;
    return -1;
}

/* `clip 2`: one word after it, no colon needed. */
static bool is_bare_clip(struct span text, struct span *ret_value)
{
    static const char *const clip[] = {"clip", NULL};
    size_t n = spelling_at(text, clip), gap = n > 0 ? blanks_at(span_from(text, n)) : 0;
    struct span value = span_from(text, n + gap);
    for (size_t k = 0; k < value.n && n > 0; k++) {
        if (value.p[k] == ',')
            break;
        if (blanks_at(span_from(value, k)) > 0)
            return false;
    }
    *ret_value = value;
    return gap > 0;
}

static enum status unknown(struct readings_file *file, struct span key)
{
    const char *known[HEADINGS + 1];
    char list[200], remedy[400];
    for (int k = 0; k < HEADINGS; k++)
        known[k] = headings[k].key;
    known[HEADINGS] = NULL;
    const char *near = name_nearest(key, known);
    name_list(known, list, sizeof list);
    if (near != NULL)
        snprintf(remedy, sizeof remedy, "`%s` was meant, perhaps", near);
    else
        snprintf(remedy, sizeof remedy,
                 "headings are: %s; other words go under `note:`, and a mark needs no colon", list);
    return readings_fault(file, offset_of(file, key), remedy, "there is no heading `%.*s`", (int)key.n,
                          key.p);
}

enum status readings_heading(struct readings_file *file, bool *ret_taken)
{
    struct span key = key_of(file->line), value;
    int which = heading_of(key);
    bool above = file->sightings.count == 0;
    *ret_taken = true;
    if (which < 0 && is_bare_clip(span_trim(file->line), &value))
        return read_clip(file, value);
    if (which < 0 && key.n > 0 && above)
        return unknown(file, key);
    if (which < 0) {
        *ret_taken = false;
        return STATUS_OK;
    }
    if (!above && !headings[which].anywhere)
        return readings_fault(file, offset_of(file, key), "move it up",
                              "`%s:` stands above the first reading", headings[which].key);
    value = span_trim(span_from(file->line, offset_of(file, key) + key.n));
    value = span_trim(span_from(value, 1)); /* past the colon */
    if (value.n == 0)
        return readings_fault(file, offset_of(file, key),
                              "write what it is after the colon, or remove the line", "`%s:` says nothing",
                              headings[which].key);
    return headings[which].read(file, value);
}
