/* Thermistor: resistance to temperature and back, for the sensors of a board (NTC).
 *
 * Beta: R = R25 exp(B (1/T − 1/298.15 K)), which holds between the two temperatures that B was taken from (25/50,
 * 25/85) and departs by kelvins beyond. Steinhart–Hart: 1/T = A + B ln R + C (ln R)³ (J. S. Steinhart, S. R. Hart,
 * Deep-Sea Res. 15 (1968) 497), with coefficients given or found from three points. Which of them a board uses is not
 * printed on it: a temperature that is worked out from a resistance is that of the curve assumed. */
#ifndef RUNDOWN_TEARDOWN_THERMISTOR_H
#define RUNDOWN_TEARDOWN_THERMISTOR_H

#include "base/status.h"
#include "quantity/measure.h"

struct thermistor {
    bool steinhart;
    double r25_ohm, beta_k;      /* when !steinhart */
    double a, b, c;              /* when steinhart */
    double r25_share, beta_share; /* half-widths of the part's spread: 0.01 each where nothing is stated */
};

struct thermistor thermistor_beta(double r25_ohm, double beta_k);

/* Through three points of a table, warmest last or first; fails where they do not fall with temperature, or are alike. */
enum status thermistor_through(const double ohm[3], const double degc[3], struct thermistor *ret_thermistor,
                               struct message *message);

double thermistor_degc(const struct thermistor *thermistor, double ohm); /* NaN for what is no resistance */
double thermistor_ohm(const struct thermistor *thermistor, double degc);

/* With the spread of the part, and of the resistance read (half-width, a share of it). */
struct measure thermistor_measure_degc(const struct thermistor *thermistor, double ohm, double ohm_share);
/* B from two points: T1 T2/(T2 − T1) ln(R1/R2). */
double thermistor_beta_of(double ohm_1, double degc_1, double ohm_2, double degc_2);

#endif
