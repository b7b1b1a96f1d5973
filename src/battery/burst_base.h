/* Burst base: the volts that the base load would have shown through a burst, from both sides of it.
 *
 * V(q) = c0 + c1 q + c2 q² + … before the burst, and the same plus two decaying exponentials in time
 * after it: the relaxation of a battery as two RC pairs (common practice; Plett 2004, J. Power Sources 134:262). q is
 * charge, so that the base is compared at equal charge. Linear least squares for given time constants
 * (numeric/regress.h); the pair of time constants with the least residuals is found on a grid of ratio two, then
 * ever closer around it, to a twelfth. Readings enter as means of pieces that lengthen with distance
 * from the burst, weighted by their number. */
#ifndef RUNDOWN_BATTERY_BURST_BASE_H
#define RUNDOWN_BATTERY_BURST_BASE_H

#include "battery/findings.h"
#include "quantity/series.h"

enum { BASE_TERMS = 7 };

struct burst_base {
    int powers;                 /* of q, the constant included; two exponentials follow */
    double term[BASE_TERMS], covariance[BASE_TERMS * BASE_TERMS];
    double tau_s[2];            /* the fast, the slow */
    double window_s;            /* after the burst */
    double after_a;             /* mean current there */
    double residual_sd, dof;    /* of a reading */
    bool cramped;               /* the slow one is as long as the window allows: it may be longer */
    double spread;              /* by which correlated residuals widen the uncertainties, at least 1 */
};

/* The charge that left from the edge start_s to the edge end_s of a phase, A·s, and with volts the
 * energy, W·s: the first and last readings stand up to the edges. */
double burst_charge_c(const struct trace *trace, const struct phase *phase);
double burst_energy_j(const struct trace *trace, const struct phase *phase);

/* The widest window after a burst that is worth a look: four times the burst, or twenty minutes. */
double burst_base_window_s(const struct phase *burst);

/* From the readings of the next phase within window_s after the burst, and of the phase before it within twice its
 * length or ten minutes, but no more than window_s. False when there are too few on either side. `powers` 2 to 5. */
bool burst_base_fit(const struct trace *trace, const struct phase *burst, double window_s, int powers,
                    struct burst_base *ret_base);

/* Volts of the base q A·s after the burst began, with their u. */
double burst_base_at(const struct burst_base *base, double q, double *ret_u);
/* What the base would have given over q A·s, less what recovery then lacks (W·s), with its u. */
double burst_base_energy_j(const struct burst_base *base, double q, double *ret_u);
/* Volts still missing `s` seconds after the burst, and the seconds until they fall to `volts`, NaN when they
 * do not in the window. */
double burst_base_missing_v(const struct burst_base *base, double s);
double burst_base_joined_s(const struct burst_base *base, double volts);

#endif
