/* Sums of long lists at the speed of memory: terms are written into a block, the block is folded in
 * halves (loops the compiler turns into vector instructions, and whose rounding grows with the
 * logarithm only), and the totals of blocks are added with compensation (sum.h). */
#ifndef RUNDOWN_NUMERIC_BLOCK_H
#define RUNDOWN_NUMERIC_BLOCK_H

#include <stddef.h>

enum { BLOCK = 256 }; /* a power of two; fits the first cache several times over */

static inline size_t block_size(size_t left)
{
    return left < BLOCK ? left : BLOCK;
}

/* Sum of the first `count` terms; the block is used up. */
static inline double block_fold(double term[BLOCK], size_t count)
{
    for (size_t k = count; k < BLOCK; k++)
        term[k] = 0;
    for (size_t half = BLOCK / 2; half >= 4; half /= 2)
        for (size_t k = 0; k < half; k++)
            term[k] += term[k + half];
    return term[0] + term[1] + term[2] + term[3];
}

#endif
