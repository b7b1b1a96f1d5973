/* What the JSON documents are put together from. Every function that returns a json_t hands it over. */
#ifndef RUNDOWN_REPORT_JSON_PARTS_H
#define RUNDOWN_REPORT_JSON_PARTS_H

#include "base/text.h"
#include "quantity/measure.h"

#include <jansson.h>

json_t *json_number(double value); /* null when it is not finite */
json_t *json_words(const char *value);
json_t *json_measure(const struct measure *measure);

void json_put(json_t *object, const char *key, json_t *value); /* takes the value over */
void json_put_words(json_t *object, const char *key, const char *value);

/* Program, version and form. */
void json_head(json_t *object);
/* Writes the document and lets it go. */
void json_finish(json_t *object, struct text *text);

#endif
