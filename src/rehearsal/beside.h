/* Beside: what was found, beside what was true. Both as JSON: the truth of a rehearsal (truth_json.h), and what
 * `assess --json` found of it (docs/json.md). */
#ifndef RUNDOWN_REHEARSAL_BESIDE_H
#define RUNDOWN_REHEARSAL_BESIDE_H

#include "base/json_value.h"

/* Adds a table, and counts the true values that were told of and those inside their 95 % interval. Fails when either
 * is not what it should be; `truth_path` and `found_path` are for messages. */
enum status beside_table(const char *truth_path, const json_t *truth, const char *found_path,
                         const json_t *found, struct text *text, int *ret_told, int *ret_held,
                         struct message *message);

/* The same as {"told", "held", "rows": [{"what", "true", "found", "low", "high": printed, "holds"}]}. */
enum status beside_json(const char *truth_path, const json_t *truth, const char *found_path, const json_t *found,
                        json_t **ret_value, struct message *message);

#endif
