/* Protections as JSON: stops of the board, currents held, low-voltage stops and warming, as docs/json.md lists them. */
#ifndef RUNDOWN_REPORT_PROTECTIONS_JSON_H
#define RUNDOWN_REPORT_PROTECTIONS_JSON_H

#include "base/json_value.h"
#include "claims/assessment.h"

/* Puts the lists `trips`, `holds`, `low_stops` and `warmings` over all logs into `o`. */
void protections_json(const struct assessment *assessment, json_t *o);

#endif
