/* Diffusion as a ladder of RC pairs: the finite-length Warburg impedance
 * Z(s) = R tanh(sqrt(s tau)) / sqrt(s tau) in its Foster form,
 * R_k = 8 R / (pi^2 (2k-1)^2) with the time constant 4 tau / (pi^2 (2k-1)^2), k = 1, 2, ...
 * (partial fractions of tanh; Mauracher and Karden 1997, J. Power Sources 67, 69, from memory).
 *
 * Cut off after some rungs; the last one takes what the others would have held, so that the whole is R.
 * One rung is a plain RC pair. Everything is told by the first, the slowest: the k-th is (2k-1)^2 times
 * as fast. */
#ifndef RUNDOWN_REHEARSAL_WARBURG_H
#define RUNDOWN_REHEARSAL_WARBURG_H

enum { WARBURG_RUNGS = 8 };

/* Part of the whole resistance in each rung; they add up to 1. */
void warburg_shares(int rungs, double ret_shares[]);

/* Part of each rung's volts that is left, from the part left of the first. */
void warburg_left(int rungs, double first_left, double ret_left[]);

/* Part of the whole resistance that a step of current has brought about when so much of the first rung
 * is still to come. */
double warburg_reached(int rungs, const double shares[], double first_left);

#endif
