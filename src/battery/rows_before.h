/* Rows before: where an instant falls among the rows of a log. */
#ifndef RUNDOWN_BATTERY_ROWS_BEFORE_H
#define RUNDOWN_BATTERY_ROWS_BEFORE_H

#include <stddef.h>

/* How many of the rows are earlier; t_s never decreases. */
static inline size_t rows_before(const double *t_s, size_t count, double at_s)
{
    size_t low = 0, high = count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (t_s[middle] < at_s)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

#endif
