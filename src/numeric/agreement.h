/* Whether two results of one quantity agree: the E_n number (ISO 13528:2022, 9.7), their difference
 * over the expanded uncertainty of the difference. |E_n| <= 1 agrees.
 *
 * Only what the two do not share may count: one shunt makes both wrong alike, so that a gain they have
 * in common would make them seem to agree whatever they say. */
#ifndef RUNDOWN_NUMERIC_AGREEMENT_H
#define RUNDOWN_NUMERIC_AGREEMENT_H

#include "quantity/measure.h"

/* From the expanded (95 %) uncertainties of what is not shared. NaN when both are 0. */
double agreement_en(double a, double expanded_a, double b, double expanded_b);

/* Of two measures; parts of the same source cancel as far as they are alike, and the expanded
 * uncertainty is the 95 % half-width of what is left. NaN when one is unknown or nothing is left. */
double agreement_of(const struct measure *a, const struct measure *b);

#endif
