/* JSON: Jansson, and the few forms that Rundown's JSON keeps to everywhere. */
#ifndef RUNDOWN_BASE_JSON_VALUE_H
#define RUNDOWN_BASE_JSON_VALUE_H

#include "base/notices.h"
#include "base/status.h"
#include "base/text.h"

#include <jansson.h>

json_t *json_number(double value); /* null when not finite */
json_t *json_words(const char *value); /* bytes that are no UTF-8 become U+FFFD */
void json_put(json_t *object, const char *key, json_t *value); /* takes the value */
void json_put_words(json_t *object, const char *key, const char *value);

/* {"what", "remedy", "file", "line", "column"}: the file without its folders, 0 where no line or column is at fault. */
json_t *json_message(const struct message *message);

json_t *json_notices(const struct notices *notices); /* [{"topic", "line", "text"}] */

/* Parses one value that fills the span; the caller owns it (json_decref). `path` and `line` are for the message:
 * the line at which the span begins. */
enum status json_parse(const char *path, long line, struct span text, json_t **ret_value, struct message *message);

/* Adds the value as text: one line when `compact`, else indented by two blanks. Keys keep their order. */
void json_add_text(const json_t *value, bool compact, struct text *text);

#endif
