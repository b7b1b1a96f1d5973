/* Peukert: how capacity falls with current, Q·I^(k-1) = const (W. Peukert 1897, Elektrotechnische
 * Zeitschrift 20), k by regression of ln t on ln I over complete discharges to one cut-off. Three runs or
 * more give k with an uncertainty, two a bare quotient that has none (u, lo and hi are NaN).
 *
 * Refused as confounded, since the exponent would not be the current's doing, where
 *   - the runs are of more than one sample,
 *   - their mean temperatures are further apart than DEGC_APART,
 *   - two runs at one current (within CURRENT_ALIKE) differ by more than their uncertainty,
 *   - the current only ever fell, or only ever rose, from run to run, and no current was repeated: then
 *     ageing, or recovery, looks the same as the rate,
 *   - all currents are alike: there is no rate to tell from,
 *   - the capacity rises with the current, which the rate alone does not do. */
#ifndef RUNDOWN_BATTERY_PEUKERT_H
#define RUNDOWN_BATTERY_PEUKERT_H

#include "battery/findings.h"

#define DEGC_APART 4.0 /* 2 to 4 % of a capacity: as much as a rate does; our convention */
#define CURRENT_ALIKE 0.05

/* One complete discharge. */
struct rate_point {
    double mean_a, duration_s, charge_ah;
    double degc;        /* mean; NaN unknown */
    double order;       /* start instant or rank, to see ageing; NaN unknown */
    double u_charge_ah; /* the unshared standard uncertainty */
    int sample;         /* equal for runs of one sample; 0 unknown */
};

struct peukert {
    int points;
    struct measure exponent;  /* unknown with the reason when refused or when too few */
    double capacity_at_1a_ah; /* NaN when unknown */
    bool confounded;
    char words[320];
};

struct peukert peukert_fit(const struct rate_point *points, int count);

#endif
