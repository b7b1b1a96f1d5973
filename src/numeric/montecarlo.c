#include "numeric/montecarlo.h"

#include "numeric/stats.h"

#include <stdbool.h>

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

enum answer montecarlo(montecarlo_model *model, const void *context, uint32_t seed, size_t trials,
                       double fraction, double *work, struct montecarlo *ret_result)
{
    /* The interval spans `within` steps from value to value (7.7.1, where it is q). */
    size_t within = (size_t)(fraction * (double)trials + 0.5), shortest = 0;
    if (trials < 2 || within < 1 || within >= trials)
        return ANSWER_TOO_FEW;
    struct random *random = random_new(seed);
    bool finite = true;
    for (size_t k = 0; k < trials && finite; k++) {
        work[k] = model(random, context);
        finite = isfinite(work[k]);
    }
    random_free(random);
    if (!finite)
        return ANSWER_NOT_FINITE;
    qsort(work, trials, sizeof *work, ascending);
    for (size_t k = 1; k + within < trials; k++)
        if (work[k + within] - work[k] < work[shortest + within] - work[shortest])
            shortest = k;
    size_t below = (trials - within) / 2;
    *ret_result = (struct montecarlo){
        .mean = stats_mean(work, trials),
        .u = stats_sd(work, trials),
        .lo = work[below],
        .hi = work[below + within],
        .shortest_lo = work[shortest],
        .shortest_hi = work[shortest + within],
    };
    return ANSWER_OK;
}
