/* Compensated sum (Neumaier 1974, ZAMM 54:39): the error stays near one rounding however many terms
 * are added. Start from {0, 0}. */
#ifndef RUNDOWN_NUMERIC_SUM_H
#define RUNDOWN_NUMERIC_SUM_H

#include <math.h>

struct sum {
    double total, lost;
};

static inline void sum_add(struct sum *sum, double term)
{
    double next = sum->total + term;
    sum->lost += fabs(sum->total) >= fabs(term) ? (sum->total - next) + term : (term - next) + sum->total;
    sum->total = next;
}

static inline double sum_value(struct sum sum)
{
    return sum.total + sum.lost;
}

#endif
