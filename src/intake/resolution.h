/* Resolution: one step of the last digit, as far as a column of readings shows it. */
#ifndef RUNDOWN_INTAKE_RESOLUTION_H
#define RUNDOWN_INTAKE_RESOLUTION_H

#include <stddef.h>

/* `typed` is the most decimals seen in the text, `factor` brings the text's numbers to the own unit in
 * which x stands. Zeros that every reading ends on do not count. Values dumped with more digits than any
 * meter has are the meter's own steps turned into decimals: the step is the smallest difference between
 * neighbours when the values keep to few levels, and unknown (0) otherwise. Looks at a sample of x. */
double resolution_find(const double *x, size_t count, int typed, double factor);

#endif
