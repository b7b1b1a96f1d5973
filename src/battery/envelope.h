/* Envelope: the least and the greatest reading of each block, from one pass.
 *
 * A search for abrupt changes looks only into blocks that can hold one: what it finds is the same as
 * without the envelope, sooner. A block also covers the first reading of the next, so that every interval
 * lies within one block. */
#ifndef RUNDOWN_BATTERY_ENVELOPE_H
#define RUNDOWN_BATTERY_ENVELOPE_H

#include <stdbool.h>
#include <stddef.h>

enum { ENVELOPE_BLOCK = 64 };

struct envelope {
    size_t blocks;
    double *lo, *hi; /* of readings 64 b … 64 (b + 1), as far as there are */
};

/* x without NaN; n > 0. False when memory does not allow it. */
bool envelope_of(const double *x, size_t n, struct envelope *ret_envelope);
void envelope_free(struct envelope *envelope);

#endif
