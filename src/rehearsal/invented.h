/* Invented packs and instruments: the parameters that tests, the demo and the rehearsal start from.
 * None was measured on a real product; each only has the size that such things usually have. */
#ifndef RUNDOWN_REHEARSAL_INVENTED_H
#define RUNDOWN_REHEARSAL_INVENTED_H

#include "rehearsal/instrument.h"
#include "rehearsal/pack.h"

void invented_ocv(struct cell_ocv *ret_ocv);

/* A pack of `cells` in series, each of about `capacity_ah` (unlike by half a percent, the smallest
 * `capacity_ah` itself), protection for a current of one and a half times the capacity in an hour. */
struct pack_make invented_pack(const struct cell_ocv *ocv, int cells, double capacity_ah);

struct spread invented_bound(double half_width); /* rectangular */

/* A panel meter with a shunt in the lead, powered by the pack: a row a second. */
struct instrument_make invented_meter(void);

#endif
