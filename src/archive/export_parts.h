/* What export and import share: the names in the folder, and how a value of a table stands in JSON. */
#ifndef RUNDOWN_ARCHIVE_EXPORT_PARTS_H
#define RUNDOWN_ARCHIVE_EXPORT_PARTS_H

#include "base/json_value.h"
#include "book/tables.h"

#define EXPORT_HEAD "book.json"
#define EXPORT_PARTS "parts.json"
#define EXPORT_READINGS "readings"
#define EXPORT_PICTURES "pictures"

enum { EXPORT_PATH = 1200 };

/* A picture's bytes are a file of their own. */
bool export_is_file(const struct book_table *form, int column);
/* Its name, from the picture's number and media type: `pictures/3.jpg`. */
void export_picture_name(const struct book_table *form, const struct table_value *values, char *buffer, size_t size);
/* The value of the column of that name; NULL when there is none. */
const struct table_value *export_find(const struct book_table *form, const struct table_value *values, const char *column);

/* Integers, reals and null as such; words, and bytes that are words, as a string; other bytes as {"hex": …}, a
 * real that is not finite as {"real": …}. */
json_t *export_value(const struct table_value *value);
/* Back; words and bytes are borrowed from the JSON, or from `hex` which then holds them. False when it is none of these. */
bool export_take_value(const json_t *json, struct table_value *ret_value, struct text *hex);

#endif
