#include "base/json_value.h"

#include <math.h>
#include <stdlib.h>

json_t *json_number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

void json_put(json_t *object, const char *key, json_t *value)
{
    json_object_set_new(object, key, value);
}

json_t *json_words(const char *value)
{
    struct text good = TEXT_EMPTY;
    struct span rest = span_of(value);
    while (rest.n > 0) {
        size_t n = span_bad_utf8(rest);
        text_add_bytes(&good, rest.p, n);
        if (n < rest.n)
            text_add(&good, "\xEF\xBF\xBD"), n++;
        rest.p += n, rest.n -= n;
    }
    json_t *text = json_string(text_string(&good));
    text_free(&good);
    return text;
}

void json_put_words(json_t *object, const char *key, const char *value)
{
    json_put(object, key, json_words(value));
}

enum status json_parse(const char *path, long line, struct span text, json_t **ret_value, struct message *message)
{
    json_error_t error;
    json_t *value = json_loadb(text.p, text.n, JSON_REJECT_DUPLICATES | JSON_DECODE_ANY, &error);
    if (value == NULL) {
        status_fail(message, STATUS_MALFORMED, "this is no JSON: %s", error.text);
        return status_at(message, path, line + (error.line > 0 ? error.line - 1 : 0), error.column);
    }
    *ret_value = value;
    return STATUS_OK;
}

void json_add_text(const json_t *value, bool compact, struct text *text)
{
    size_t form = JSON_ENCODE_ANY | (compact ? JSON_COMPACT : JSON_INDENT(2));
    char *written = json_dumps(value, form);
    if (written != NULL)
        text_add(text, written);
    free(written);
}

json_t *json_message(const struct message *message)
{
    const char *slash = strrchr(message->file, '/');
    json_t *object = json_object();
    json_put_words(object, "what", message->what);
    json_put_words(object, "remedy", message->remedy);
    json_put_words(object, "file", slash != NULL ? slash + 1 : message->file);
    json_put(object, "line", json_integer(message->line));
    json_put(object, "column", json_integer(message->column));
    return object;
}

json_t *json_notices(const struct notices *notices)
{
    json_t *list = json_array();
    for (size_t k = 0; k < notices->count; k++) {
        json_t *one = json_object();
        json_put_words(one, "topic", notices->items[k].topic);
        json_put(one, "line", json_integer(notices->items[k].line));
        json_put_words(one, "text", notices->items[k].text);
        json_array_append_new(list, one);
    }
    return list;
}
