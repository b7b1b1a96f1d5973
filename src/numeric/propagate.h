/* The law of propagation of uncertainty (JCGM 100:2008, clause 5): the combined standard uncertainty of
 * a function of up to PROPAGATE_INPUTS inputs.
 *
 * The part of an input is what its standard uncertainty does to the result, sign kept: sensitivity
 * times u. Sensitivities are central differences over half and whole standard uncertainties,
 * extrapolated (5.1.3, note 2 uses the whole alone), exact up to a polynomial of the fourth degree. An
 * input with u = 0 is a constant. The model is pure: same inputs, same value. */
#ifndef RUNDOWN_NUMERIC_PROPAGATE_H
#define RUNDOWN_NUMERIC_PROPAGATE_H

#include "numeric/answer.h"

#include <stddef.h>

enum { PROPAGATE_INPUTS = 32 };

typedef double propagate_model(const double *inputs, const void *context);

struct propagate_input {
    double value, u; /* u >= 0 */
    double dof;      /* of u; INFINITY when it is stated or exact */
};

struct propagated {
    double value;
    double u;
    double dof; /* Welch-Satterthwaite (G.4.1), which holds for independent inputs: NaN for correlated
                 * ones, unless all degrees of freedom are infinite */
};

/* `correlation` is n rows of n, symmetric, or NULL for independent inputs. ret_parts has room for n, or
 * is NULL. Not ANSWER_OK: more inputs than there is room for (ANSWER_NO_MEMORY), something not finite (also
 * where the model is tried, a whole u beside an input), correlations that contradict each other
 * (ANSWER_DEGENERATE). */
enum answer propagate(propagate_model *model, const void *context, const struct propagate_input *inputs,
                      size_t n, const double *correlation, double *ret_parts, struct propagated *ret_result);

/* With the terms of second order for independent inputs (5.1.2, note), for models that bend within the
 * uncertainties; ret_result is as above but for u. */
enum answer propagate_second_order(propagate_model *model, const void *context,
                                   const struct propagate_input *inputs, size_t n,
                                   struct propagated *ret_result);

/* Covariance of two results of the same inputs, from their parts (H.2.3). */
double propagate_covariance(const double *parts_a, const double *parts_b, size_t n,
                            const double *correlation);

#endif
