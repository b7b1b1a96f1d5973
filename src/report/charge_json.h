/* Charges and rests as JSON; docs/json.md names the keys. The caller owns what is returned. */
#ifndef RUNDOWN_REPORT_CHARGE_JSON_H
#define RUNDOWN_REPORT_CHARGE_JSON_H

#include "base/json_value.h"
#include "battery/findings.h"

json_t *charge_json_charging(size_t log, const struct findings *findings, const struct charging *charging);
json_t *charge_json_resting(size_t log, const struct resting *resting);

#endif
