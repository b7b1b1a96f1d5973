#include "archive/export_parts.h"

#include <math.h>

static const struct {
    const char *type, *ending;
} picture_types[] = {{"image/jpeg", "jpg"}, {"image/png", "png"}, {"image/webp", "webp"}, {"image/gif", "gif"},
                     {"image/svg+xml", "svg"}, {"application/pdf", "pdf"}};

bool export_is_file(const struct book_table *form, int column)
{
    return strcmp(form->name, "picture") == 0 && strcmp(form->column[column], "bytes") == 0;
}

const struct table_value *export_find(const struct book_table *form, const struct table_value *values, const char *column)
{
    for (int c = 0; c < form->columns; c++)
        if (strcmp(form->column[c], column) == 0)
            return &values[c];
    return NULL;
}

void export_picture_name(const struct book_table *form, const struct table_value *values, char *buffer, size_t size)
{
    const struct table_value *id = export_find(form, values, "id"), *kind = export_find(form, values, "kind");
    const char *ending = "bin";
    for (size_t k = 0; kind != NULL && kind->kind == TABLE_WORDS && k < sizeof picture_types / sizeof *picture_types; k++)
        if (span_is(kind->span, picture_types[k].type))
            ending = picture_types[k].ending;
    snprintf(buffer, size, EXPORT_PICTURES "/%lld.%s", id != NULL ? (long long)id->integer : 0, ending);
}

static json_t *hex(struct span bytes)
{
    static const char digits[] = "0123456789abcdef";
    struct text text = TEXT_EMPTY;
    for (size_t k = 0; k < bytes.n; k++) {
        unsigned char byte = (unsigned char)bytes.p[k];
        char two[2] = {digits[byte >> 4], digits[byte & 15]};
        text_add_bytes(&text, two, 2);
    }
    json_t *object = json_object();
    json_put(object, "hex", json_string(text_string(&text)));
    text_free(&text);
    return object;
}

json_t *export_value(const struct table_value *value)
{
    json_t *object;
    switch (value->kind) {
    case TABLE_INTEGER: return json_integer(value->integer);
    case TABLE_REAL:
        if (isfinite(value->real))
            return json_real(value->real);
        object = json_object();
        json_put(object, "real", json_string(value->real > 0 ? "infinity" : "-infinity"));
        return object;
    case TABLE_WORDS:
    case TABLE_BYTES:
        if (value->span.n == 0)
            return json_string("");
        return span_bad_utf8(value->span) == value->span.n ? json_stringn(value->span.p, value->span.n) : hex(value->span);
    case TABLE_NULL: break;
    }
    return json_null();
}

static int nibble(char c)
{
    return c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : -1;
}

static bool take_hex(const char *words, struct text *bytes)
{
    bytes->length = 0;
    for (; words[0] != '\0'; words += 2) {
        int high = nibble(words[0]), low = high >= 0 ? nibble(words[1]) : -1;
        if (low < 0)
            return false;
        char byte = (char)(high << 4 | low);
        text_add_bytes(bytes, &byte, 1);
    }
    return true;
}

bool export_take_value(const json_t *json, struct table_value *ret_value, struct text *bytes)
{
    struct table_value value = {.kind = TABLE_NULL};
    const char *words = json_string_value(json_object_get(json, "hex"));
    const char *real = json_string_value(json_object_get(json, "real"));
    if (json_is_integer(json)) {
        value = (struct table_value){.kind = TABLE_INTEGER, .integer = json_integer_value(json)};
    } else if (json_is_real(json)) {
        value = (struct table_value){.kind = TABLE_REAL, .real = json_real_value(json)};
    } else if (json_is_string(json)) {
        value.kind = TABLE_WORDS;
        value.span = (struct span){json_string_value(json), json_string_length(json)};
    } else if (words != NULL) {
        if (!take_hex(words, bytes))
            return false;
        value.kind = TABLE_BYTES;
        value.span = (struct span){bytes->s, bytes->length};
    } else if (real != NULL) {
        value = (struct table_value){.kind = TABLE_REAL, .real = real[0] == '-' ? -INFINITY : INFINITY};
    } else if (!json_is_null(json)) {
        return false;
    }
    *ret_value = value;
    return true;
}
