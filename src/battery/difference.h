/* Difference: two runs held against each other.
 *
 * Where both were measured over one rig, its gains, offsets and clock are one unknown number each, and
 * cancel as far as both runs feel them alike; over two rigs (or one whose identity is not known) nothing
 * cancels. Two samples differ, or one sample has changed, where the interval of the difference leaves
 * out zero. */
#ifndef RUNDOWN_BATTERY_DIFFERENCE_H
#define RUNDOWN_BATTERY_DIFFERENCE_H

#include "battery/findings.h"

struct difference {
    struct measure value; /* a - b, closed */
    double cancelled;     /* share of the variance that a and b had apart and that cancelled, 0…1 */
    char words[160];
};

/* `unit` for the words: "Ah". */
struct difference difference_of(const struct measure *a, const struct measure *b, const char *unit);

#endif
