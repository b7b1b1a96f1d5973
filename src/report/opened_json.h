/* Opened as JSON: what was seen in an opened sample and what it comes to, as docs/json.md has it under `opened`. */
#ifndef RUNDOWN_REPORT_OPENED_JSON_H
#define RUNDOWN_REPORT_OPENED_JSON_H

#include "base/json_value.h"
#include "teardown/inspection.h"
#include "teardown/likeness.h"

json_t *opened_json(const struct opened *opened, const struct inspection *inspection);
json_t *opened_steps_json(const struct inspection *inspection);
/* The kinds with their keys, for forms: [{kind, keys: [{key, example, why, repeats, choices}]}]. */
json_t *opened_keys_json(void);
json_t *likeness_json(const struct likeness *likeness);

#endif
