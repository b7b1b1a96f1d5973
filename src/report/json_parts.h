/* What the JSON documents are put together from. Every function that returns a json_t hands it over. */
#ifndef RUNDOWN_REPORT_JSON_PARTS_H
#define RUNDOWN_REPORT_JSON_PARTS_H

#include "base/json_value.h"
#include "base/text.h"
#include "quantity/measure.h"

/* With `words` as people read them, in the unit that they write the quantity in: "61.1 ± 0.9 Ah". */
json_t *json_measure(const struct measure *measure, enum quantity quantity);
json_t *json_measure_with_budget(const struct measure *measure, enum quantity quantity);

/* The document of `plan --json`. */
struct plan;
json_t *json_of_plan(const struct plan *plan);

/* Program, version and form. */
void json_head(json_t *object);
/* Writes the document and lets it go. */
void json_finish(json_t *object, struct text *text);

#endif
