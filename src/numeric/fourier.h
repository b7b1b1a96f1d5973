/* Inside of sumdist: the Fourier sum of a sum of independent contributions, made once and evaluated at
 * as many places as wanted. */
#ifndef RUNDOWN_NUMERIC_FOURIER_H
#define RUNDOWN_NUMERIC_FOURIER_H

#include "numeric/sumdist.h"

#include <stdbool.h>

enum { FOURIER_TERMS = 4096 };

/* F(x) = closed(x) + sum over k of coefficient[k] sin((k + 1/2) step x), for |x| <= bound. The closed
 * part is 1/2 when no t is among the parts; else the sum over them of that t with all else as one normal,
 * less the normal of scale `spread` for every t but one, so that it rises from 0 to 1 in all. */
struct fourier {
    const struct sumdist_part *parts;
    size_t n, tails; /* parts; how many are t */
    double bound, step, spread;
    size_t terms;
    double coefficient[FOURIER_TERMS];
};

/* A t counts as one only while it can be told from a normal. */
bool fourier_is_t(const struct sumdist_part *part);

/* Largest value of a bounded shape for u = 1; 0 for a shape that has none. */
double fourier_reach(enum shape shape);

/* With parts and n filled and all else zero. */
void fourier_make(struct fourier *fourier);
double fourier_cdf(const struct fourier *fourier, double x);

#endif
