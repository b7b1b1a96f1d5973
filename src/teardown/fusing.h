/* Fusing: how long a conductor stands a current from which no heat escapes.
 *
 * Onderdonk, for copper in air: 33 (I/A)² t = log10((1083 − T)/(234 + T) + 1), I in amperes, A in circular mils, T the
 * start in °C, as handbooks print it (from memory; some prints have 234 − T, which is wrong). It assumes no loss, so that
 * it holds for seconds and not for minutes, and that nothing else melts first: a jacket, solder or a crimp does.
 * The adiabatic rule of IEC 60364-5-54 and IEC 60949: I²t = k²S², k = 226 √ln(1 + (θf − θi)/(234.5 + θi)) for copper, up
 * to 5 s: what heats it from θi to the limit θf of its jacket. */
#ifndef RUNDOWN_TEARDOWN_FUSING_H
#define RUNDOWN_TEARDOWN_FUSING_H

double fusing_current_a(double area_mm2, double start_degc, double for_s);
double fusing_time_s(double area_mm2, double start_degc, double a);

double adiabatic_k(double from_degc, double to_degc);                            /* A·√s/mm² */
double adiabatic_time_s(double area_mm2, double from_degc, double to_degc, double a);

#endif
