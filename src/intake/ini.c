#include "intake/ini.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "intake/amount.h"

#include <errno.h>
#include <ini.h>
#include <stdarg.h>

enum { NAME_LIMIT = 49 }; /* libinih cuts longer names of sections and keys */

/* What libinih asks for lines of, and hands entries to. */
struct reading {
    struct span rest;
    struct span line; /* the one libinih holds now */
    long number;
    struct ini ini;
    struct message *message;
    enum status status;
};

static enum status fault_line(struct reading *reading, size_t byte, const char *what, const char *remedy)
{
    status_fail(reading->message, STATUS_MALFORMED, "%s", what);
    status_remedy(reading->message, "%s", remedy);
    if (reading->message != NULL)
        reading->message->column = (long)byte;
    message_place(reading->message, reading->ini.path, reading->number, reading->line, 0);
    reading->status = STATUS_MALFORMED;
    return STATUS_MALFORMED;
}

static struct span next_line(struct reading *reading)
{
    struct span line = reading->rest;
    const char *end = memchr(line.p, '\n', line.n);
    line.n = end != NULL ? (size_t)(end - line.p) : line.n;
    reading->rest = span_from(reading->rest, line.n + (end != NULL));
    reading->number++;
    reading->line = line;
    return line;
}

/* What libinih would let pass or cut. */
static bool line_is_sound(struct reading *reading, struct span line)
{
    struct span text = span_trim(line);
    const char *end = text.n > 0 && text.p[0] == '[' ? memchr(text.p, ']', text.n) : NULL;
    size_t bad = span_bad_utf8(line);
    if (bad < line.n)
        fault_line(reading, bad, "this byte is no character of UTF-8", "save the file as plain text in UTF-8");
    else if (text.n > INI_LINE_LIMIT)
        fault_line(reading, 0, "this line is longer than 1000 bytes", "split or shorten it");
    else if (end != NULL && end - text.p - 1 > NAME_LIMIT)
        fault_line(reading, 0, "the name of this section is longer than 49 bytes", "shorten it");
    return reading->status == STATUS_OK;
}

/* Hands over one line without the blanks at its start, which libinih would take for a continuation. */
static char *give_line(char *buffer, int size, void *stream)
{
    struct reading *reading = stream;
    if (reading->rest.n == 0 || reading->status != STATUS_OK)
        return NULL;
    struct span line = next_line(reading);
    if (!line_is_sound(reading, line))
        return NULL;
    span_copy(span_trim(line), buffer, (size_t)size);
    return buffer;
}

static int take_entry(void *user, const char *section, const char *name, const char *value)
{
    struct reading *reading = user;
    struct span line = reading->line;
    size_t sign = 0;
    while (sign < line.n && line.p[sign] != '=' && line.p[sign] != ':')
        sign++;
    size_t start = sign + 1 + blanks_at(span_from(line, sign + 1));
    struct span key = span_trim((struct span){line.p, sign});
    if (key.n == 0 || key.n > NAME_LIMIT) {
        fault_line(reading, 0,
                   key.n == 0 ? "there is no name before the `=`" : "this name is longer than 49 bytes",
                   "write `name = value`");
        return 0;
    }
    struct ini *ini = &reading->ini;
    ini->entries = memory_grow(ini->entries, ini->count, &ini->capacity);
    struct ini_entry *entry = &ini->entries[ini->count++];
    *entry = (struct ini_entry){memory_copy_string(section), memory_copy_string(name),
                                memory_copy_string(value), reading->number, 1};
    for (size_t k = 0; k < start && k < line.n; k++)
        entry->column += ((unsigned char)line.p[k] & 0xC0) != 0x80;
    return 1;
}

enum status ini_read_text(const char *path, struct span text, struct ini *ret_ini, struct message *message)
{
    struct reading reading = {.rest = text, .message = message};
    snprintf(reading.ini.path, sizeof reading.ini.path, "%s", path);
    if (text.n >= 3 && memcmp(text.p, "\xEF\xBB\xBF", 3) == 0)
        reading.rest = span_from(text, 3);
    ini_max_line = INI_LINE_LIMIT + 8;
    ini_allow_bom = false; /* taken off above, where it is at the very start */
    ini_stop_on_first_error = true;
    int line = ini_parse_stream(give_line, &reading, take_entry, &reading);
    if (line != 0 && reading.status == STATUS_OK)
        fault_line(&reading, 0, "this line is neither `[section]` nor `name = value`",
                   "start a remark with `#`, and close a section with `]`");
    if (reading.status != STATUS_OK) {
        ini_free(&reading.ini);
        return reading.status;
    }
    *ret_ini = reading.ini;
    return STATUS_OK;
}

enum status ini_load(const char *path, struct text *ret_text, struct message *message)
{
    int error = text_read_file(path, INI_LIMIT, ret_text);
    if (error == 0)
        return STATUS_OK;
    if (error == EFBIG)
        status_fail(message, STATUS_LIMIT, "this file is larger than 1 MiB, far more than a person types");
    else
        status_fail(message, STATUS_UNREADABLE, "cannot read this file: %s", strerror(error));
    status_at(message, path, 0, 0);
    status_remedy(message, "check that it is the file you meant");
    return error == EFBIG ? STATUS_LIMIT : STATUS_UNREADABLE;
}

enum status ini_read(const char *path, struct ini *ret_ini, struct message *message)
{
    struct text text = TEXT_EMPTY;
    enum status status = ini_load(path, &text, message);
    if (status == STATUS_OK)
        status = ini_read_text(path, (struct span){text_string(&text), text.length}, ret_ini, message);
    text_free(&text);
    return status;
}

void ini_free(struct ini *ini)
{
    for (size_t k = 0; k < ini->count; k++) {
        free(ini->entries[k].section);
        free(ini->entries[k].key);
        free(ini->entries[k].value);
    }
    free(ini->entries);
    *ini = (struct ini){0};
}

const struct ini_entry *ini_next(const struct ini *ini, const char *section, const char *key,
                                 const struct ini_entry *after)
{
    size_t k = after != NULL ? (size_t)(after - ini->entries) + 1 : 0;
    for (; k < ini->count; k++) {
        const struct ini_entry *entry = &ini->entries[k];
        if ((section == NULL || name_alike(span_of(entry->section), section)) &&
            (key == NULL || name_alike(span_of(entry->key), key)))
            return entry;
    }
    return NULL;
}

enum status ini_fault(const struct ini *ini, const struct ini_entry *entry, size_t offset,
                      struct message *message, const char *what, ...)
{
    char text[512];
    va_list args;
    va_start(args, what);
    vsnprintf(text, sizeof text, what, args);
    va_end(args);
    status_fail(message, STATUS_MALFORMED, "%s", text);
    long character = entry->column;
    for (size_t k = 0; k < offset && entry->value[k] != '\0'; k++)
        character += ((unsigned char)entry->value[k] & 0xC0) != 0x80;
    return status_at(message, ini->path, entry->line, character);
}

enum status ini_optional(const struct ini *ini, const char *section, const char *key,
                         const struct ini_entry **ret_entry, struct message *message)
{
    const struct ini_entry *entry = ini_next(ini, section, key, NULL);
    const struct ini_entry *second = entry != NULL ? ini_next(ini, section, key, entry) : NULL;
    if (second != NULL) {
        ini_fault(ini, second, 0, message, "`%s` is stated twice, here and in line %ld", second->key,
                  entry->line);
        status_remedy(message, "keep the one that holds");
        return STATUS_MALFORMED;
    }
    *ret_entry = entry;
    return STATUS_OK;
}

enum status ini_required(const struct ini *ini, const char *section, const char *key, const char *remedy,
                         const struct ini_entry **ret_entry, struct message *message)
{
    const struct ini_entry *entry = NULL;
    enum status status = ini_optional(ini, section, key, &entry, message);
    if (status != STATUS_OK)
        return status;
    if (entry == NULL) {
        status_fail(message, STATUS_MALFORMED,
                    section[0] != '\0' ? "`%s` is missing from [%s]" : "`%s` is missing%s", key, section);
        status_at(message, ini->path, 0, 0);
        return status_remedy(message, "%s", remedy);
    }
    *ret_entry = entry;
    return STATUS_OK;
}

static enum status unknown(const struct ini *ini, const struct ini_entry *entry, const char *kind,
                           const char *name, const char *const *known, struct message *message)
{
    const char *near = name_nearest(span_of(name), known);
    char list[400];
    name_list(known, list, sizeof list);
    if (name[0] != '\0')
        ini_fault(ini, entry, 0, message, "there is no %s `%s`", kind, name);
    else
        ini_fault(ini, entry, 0, message, "`%s` stands before the first section", entry->key);
    if (message != NULL)
        message->column = 0;
    if (name[0] == '\0')
        return status_remedy(message, "put the line of its section above it, in square brackets: %s", list);
    return near != NULL ? status_remedy(message, "`%s` was meant, perhaps", near)
                        : status_remedy(message, "known are: %s", list);
}

enum status ini_known_keys(const struct ini *ini, const char *section, const char *const *known,
                           struct message *message)
{
    const struct ini_entry *entry = NULL;
    while ((entry = ini_next(ini, section, NULL, entry)) != NULL)
        if (name_find(span_of(entry->key), known) < 0)
            return unknown(ini, entry, "key", entry->key, known, message);
    return STATUS_OK;
}

enum status ini_known_sections(const struct ini *ini, const char *const *known, struct message *message)
{
    for (size_t k = 0; k < ini->count; k++)
        if (name_find(span_of(ini->entries[k].section), known) < 0)
            return unknown(ini, &ini->entries[k], "section", ini->entries[k].section, known, message);
    return STATUS_OK;
}

enum status ini_quantity(const struct ini *ini, const struct ini_entry *entry, enum quantity expected,
                         double *ret_value, double *ret_digit, struct message *message)
{
    struct amount amount;
    struct span value = span_of(entry->value);
    size_t used;
    enum status status = amount_read(value, '\0', &amount, &used, message);
    if (status != STATUS_OK) {
        size_t offset = message != NULL ? (size_t)message->column : 0;
        struct message kept = message != NULL ? *message : (struct message){0};
        ini_fault(ini, entry, offset, message, "%s", kept.what);
        status_remedy(message, "%s", kept.remedy);
        if (message != NULL)
            message->status = status;
        return status;
    }
    if (used == 0 || used != value.n || amount.form != AMOUNT_PLAIN || amount.quantity != expected) {
        const char *unit = expected == QUANTITY_RATIO ? "%" : quantity_symbol(expected);
        ini_fault(ini, entry, used < value.n ? used : 0, message, "`%s` should be one %s", entry->value,
                  expected == QUANTITY_NONE ? "number without a unit" : quantity_name(expected));
        return status_remedy(message, "write one number%s%s after `%s =`, and nothing else",
                             unit[0] != '\0' ? " in " : "", unit, entry->key);
    }
    *ret_value = amount.value;
    if (ret_digit != NULL)
        *ret_digit = amount.digit;
    return STATUS_OK;
}

enum status ini_yes(const struct ini *ini, const struct ini_entry *entry, bool *ret_yes,
                    struct message *message)
{
    static const char *const yes[] = {"yes", "true", "on", NULL}, *const no[] = {"no", "false", "off", NULL};
    bool is_yes = name_find(span_of(entry->value), yes) >= 0;
    if (!is_yes && name_find(span_of(entry->value), no) < 0) {
        ini_fault(ini, entry, 0, message, "`%s` should be yes or no", entry->value);
        return status_remedy(message, "write `%s = yes` or `%s = no`", entry->key, entry->key);
    }
    *ret_yes = is_yes;
    return STATUS_OK;
}
