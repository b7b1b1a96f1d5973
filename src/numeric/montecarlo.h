/* Propagation of distributions by Monte Carlo (JCGM 101:2008, clause 7): the model draws its own inputs
 * from the generator and returns one value of the output. Seed and number of trials are the caller's:
 * same seed, same result. For a sum of independent contributions sumdist.h gives the same without
 * draws. */
#ifndef RUNDOWN_NUMERIC_MONTECARLO_H
#define RUNDOWN_NUMERIC_MONTECARLO_H

#include "numeric/answer.h"
#include "numeric/random.h"

#include <stddef.h>

typedef double montecarlo_model(struct random *random, const void *context);

struct montecarlo {
    double mean, u;
    double lo, hi;                   /* as much probability below as above (7.7.2) */
    double shortest_lo, shortest_hi; /* 7.7.4 */
};

/* `fraction` (0.95) of the probability lies in either interval. `work` holds the drawn values, sorted,
 * when it returns: room for `trials`. Not ANSWER_OK: so few trials that none is left beyond the
 * interval, or a value that is not finite. */
enum answer montecarlo(montecarlo_model *model, const void *context, uint32_t seed, size_t trials,
                       double fraction, double *work, struct montecarlo *ret_result);

#endif
