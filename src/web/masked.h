/* Masked: a rig may hold the password of a broker. Who may only read gets the rig without it. */
#ifndef RUNDOWN_WEB_MASKED_H
#define RUNDOWN_WEB_MASKED_H

#include "base/json_value.h"
#include "http/http.h"

/* The text of a rig with the value of each `password` left out; appended to `masked`. */
void masked_rig(struct span rig, struct text *masked);
/* In every object of the answer that is a rig paper ("kind": "rig", or the member "rig" of another) its "text", for a
 * reader. */
void masked_json(json_t *answer, enum http_role role);

#endif
