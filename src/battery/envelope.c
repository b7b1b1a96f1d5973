#include "battery/envelope.h"

#include "base/memory.h"

enum { LANES = 8 };

/* Independent lanes, which the compiler turns into vector instructions. */
static void block_bounds(const double *x, double *ret_lo, double *ret_hi)
{
    double lo[LANES], hi[LANES];
    for (int l = 0; l < LANES; l++)
        lo[l] = hi[l] = x[l];
    for (int k = LANES; k < ENVELOPE_BLOCK; k += LANES) {
        for (int l = 0; l < LANES; l++) {
            lo[l] = x[k + l] < lo[l] ? x[k + l] : lo[l];
            hi[l] = x[k + l] > hi[l] ? x[k + l] : hi[l];
        }
    }
    for (int l = 1; l < LANES; l++) {
        lo[0] = lo[l] < lo[0] ? lo[l] : lo[0];
        hi[0] = hi[l] > hi[0] ? hi[l] : hi[0];
    }
    *ret_lo = lo[0];
    *ret_hi = hi[0];
}

bool envelope_of(const double *x, size_t n, struct envelope *ret_envelope)
{
    struct envelope envelope = {.blocks = (n + ENVELOPE_BLOCK - 1) / ENVELOPE_BLOCK};
    envelope.lo = memory_try(2 * envelope.blocks, sizeof *envelope.lo);
    if (envelope.lo == NULL)
        return false;
    envelope.hi = envelope.lo + envelope.blocks;
    for (size_t b = 0; b < envelope.blocks; b++) {
        size_t k = b * ENVELOPE_BLOCK, end = k + ENVELOPE_BLOCK;
        double lo = x[k], hi = x[k];
        if (end <= n)
            block_bounds(x + k, &lo, &hi), k = end;
        for (; k < n && k <= end; k++) {
            lo = x[k] < lo ? x[k] : lo;
            hi = x[k] > hi ? x[k] : hi;
        }
        envelope.lo[b] = lo;
        envelope.hi[b] = hi;
    }
    *ret_envelope = envelope;
    return true;
}

void envelope_free(struct envelope *envelope)
{
    memory_try_free(envelope->lo, 2 * envelope->blocks, sizeof *envelope->lo);
    *envelope = (struct envelope){0};
}
