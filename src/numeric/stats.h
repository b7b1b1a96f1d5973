/* Moments and robust scale of a list of values.
 *
 * Input is free of NaN. A statistic that the list is too short for is NaN. `work` is the caller's
 * scratch of n doubles. Sums are compensated (sum.h). */
#ifndef RUNDOWN_NUMERIC_STATS_H
#define RUNDOWN_NUMERIC_STATS_H

#include <stdbool.h>
#include <stddef.h>

double stats_mean(const double *y, size_t n);

/* Standard deviation, divisor n - 1 (GUM 4.2.2), by the corrected two-pass algorithm (Chan, Golub &
 * LeVeque 1983, The American Statistician 37:242). */
double stats_sd(const double *y, size_t n);

/* Lag-1 autocorrelation, as NIST/SEMATECH e-Handbook 1.3.3.1 defines it. NaN for a constant. */
double stats_lag1(const double *y, size_t n);

double stats_median(const double *y, size_t n, double *work);

/* Median absolute deviation from the median, unscaled. Times STATS_MAD_TO_SD it is the standard
 * deviation of normal values (Rousseeuw & Croux 1993, JASA 88:1273). */
double stats_mad(const double *y, size_t n, double *work);
#define STATS_MAD_TO_SD 1.482602218505602 /* 1 / quantile(3/4) of the standard normal */

/* Noise of a slowly varying signal.
 *
 * Each reading is compared with the straight line between its neighbours, so a drift does not count;
 * the pseudo-residual is scaled to the noise of one reading for any spacing (Gasser, Sroka &
 * Jennen-Steinmetz 1986, Biometrika 73:625). Their median size, scaled for normal noise, is the SD: a
 * few steps or glitches do not count either. Noise that a meter has averaged over several readings is
 * correlated and comes out too small.
 *
 * Readings in digits: the median is taken as that of grouped values, the group being one step wide.
 * When most neighbours are equal the noise hides below the step: the SD is then at least
 * step / sqrt(12) (GUM F.2.2.1). */
struct stats_noise {
    double sd;      /* NaN when n < 3, and when all readings are equal: nothing then shows the step */
    double step;    /* smallest difference between neighbours other than zero; NaN when there is none */
    bool quantised; /* more than half of all neighbours are equal */
    size_t changes; /* neighbours that differ: few of them are jumps of the signal, no lattice of digits */
};

/* `t` ascending, or NULL for even spacing. */
struct stats_noise stats_noise(const double *t, const double *y, size_t n, double *work);

#endif
