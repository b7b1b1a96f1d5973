/* Runs a program of loads on a pack and keeps what truly happened. */
#ifndef RUNDOWN_REHEARSAL_RUN_H
#define RUNDOWN_REHEARSAL_RUN_H

#include "rehearsal/load.h"
#include "rehearsal/truth.h"

struct program {
    const struct load_segment *segments; /* borrowed; at most TRUTH_MOST_SEGMENTS */
    size_t count;
    double grid_s;  /* length of an interval; the last of a segment is shorter when it must be */
    double limit_s; /* nothing runs longer than this: a guard against a program that never ends */
};

/* `pack` is left as the run left it (copy it first to run again). Allocates only when `truth` has
 * less room than the run needs. */
void rehearse(struct pack *pack, const struct program *program, struct truth *truth);

/* What a step shows, `count` delays after segment `k` began: volts of a twin that stays at the segment before, less
 * those of the run, over the difference of their amps. All that falls with the step is in it: the circuit, the charge
 * taken meanwhile, the resting volts that turn about. NaN where the run is no longer in the segment, where the pack was
 * dark, and for the first segment. `fresh` and `twin` as for rehearse_burst_cost. */
void rehearse_step_ohm(const struct pack *fresh, const struct program *program, size_t k,
                       const double *delays_s, size_t count, const struct truth *truth, struct truth *twin,
                       double *ret_ohm);

/* What a burst cost: the same charge taken at the base load, from a twin that is the same up to the
 * burst and then stays at the base (the segment before it) until it ends by itself.
 * energy_wh = integral of (V_base(q) - V(q)) dq from the start of the burst to `recovery_s` after its
 * end. charge_ah: what the twin gives to its end beyond what the run gave; NaN unless the base load is
 * all that follows the burst until the run ended by itself. */
struct burst_cost {
    double energy_wh;
    double base_wh; /* what the twin gave over the same charge: the whole of the percentage */
    double charge_ah;
};

/* `fresh` is the pack as it was before `rehearse` filled `truth`; segment `burst` is the burst. The
 * energies are NaN when the twin does not last long enough or the burst is the first segment. `twin`
 * is room to work in, and holds the twin's truth afterwards. */
struct burst_cost rehearse_burst_cost(const struct pack *fresh, const struct program *program, size_t burst,
                                      double recovery_s, const struct truth *truth, struct truth *twin);

#endif
