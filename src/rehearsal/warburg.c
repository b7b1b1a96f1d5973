#include "rehearsal/warburg.h"

#include <math.h>

void warburg_shares(int rungs, double ret_shares[])
{
    double rest = 1;
    for (int k = 0; k < rungs; k++) {
        double odd = 2 * k + 1;
        ret_shares[k] = k < rungs - 1 ? 8 / (M_PI * M_PI * odd * odd) : rest;
        rest -= ret_shares[k];
    }
}

void warburg_left(int rungs, double first_left, double ret_left[])
{
    /* Odd squares lie 8, 16, 24, ... apart: first_left^(2k-1)^2 without a call. */
    double second = first_left * first_left, fourth = second * second, eighth = fourth * fourth;
    double left = first_left, apart = eighth;
    for (int k = 0; k < rungs; k++, left *= apart, apart *= eighth)
        ret_left[k] = left;
}

double warburg_reached(int rungs, const double shares[], double first_left)
{
    double left[WARBURG_RUNGS], reached = 0;
    warburg_left(rungs, first_left, left);
    for (int k = 0; k < rungs; k++)
        reached += shares[k] * (1 - left[k]);
    return reached;
}
