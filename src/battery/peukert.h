/* Peukert: how capacity falls with current, Q·I^(k-1) = const (W. Peukert 1897, Elektrotechnische
 * Zeitschrift 20), k by regression of ln t on ln I over complete discharges to one cut-off. Three runs or
 * more give k with an uncertainty, two a bare quotient that has none. Refused as confounded where
 * temperature, the order of the tests or the sample differ with the current. */
#ifndef RUNDOWN_BATTERY_PEUKERT_H
#define RUNDOWN_BATTERY_PEUKERT_H

#include "battery/findings.h"

/* One complete discharge. */
struct rate_point {
    double mean_a, duration_s, charge_ah;
    double degc;        /* mean; NaN unknown */
    double order;       /* start instant or rank, to see ageing; NaN unknown */
    double u_charge_ah; /* the unshared standard uncertainty */
};

struct peukert {
    int points;
    struct measure exponent; /* unknown with the reason when refused or when too few */
    double capacity_at_1a_ah;
    bool confounded;
    char words[320];
};

struct peukert peukert_fit(const struct rate_point *points, int count);

#endif
