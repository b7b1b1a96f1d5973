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

/* The same with everything that pack.h knows of: diffusion in five rungs, time constants that follow
 * temperature and charge, hysteresis, a sensor that lags and that the board minds. */
struct pack_make invented_fine_pack(const struct cell_ocv *ocv, int cells, double capacity_ah);

/* Makes its cells unlike: capacities by up to 1.5 %, resistances by up to 8 %, the charge they start with by
 * up to half a percent. The smallest still holds what it held, so that the pack's capacity stays. */
void invented_cells_differ(struct pack_make *make, struct random *random);

struct spread invented_bound(double half_width); /* rectangular */

/* A panel meter with a shunt in the lead, powered by the pack: a row a second. */
struct instrument_make invented_meter(void);

/* A bench meter with a supply of its own, and a temperature probe held against the board's sensor. */
struct instrument_make invented_bench_meter(void);
struct instrument_make invented_probe(void);

#endif
