/* Lead findings: what a lead does at a current, each with its uncertainty.
 *
 * Half-widths are bounds (rectangular) unless said otherwise; they are carried through the solution by the law of
 * propagation (numeric/propagate.h). The share of convection that is uncertain holds for the correlation (15 %, of
 * its authors' comparison with experiments, from memory) and for how freely the lead hangs. */
#ifndef RUNDOWN_TEARDOWN_LEAD_FINDINGS_H
#define RUNDOWN_TEARDOWN_LEAD_FINDINGS_H

#include "quantity/measure.h"
#include "teardown/lead.h"

/* Half-widths. */
struct lead_doubts {
    double area_share;    /* of a printed size; 0.02 for one weighed or measured */
    double length_m;
    double joint_share;   /* of the joints' ohms, and of the heat that they carry */
    double air_k, end_k;
    double at_a;          /* at which these two hold: what warms with the square of the current, k_per_a2, is in doubt by
                           * as much of it beyond; 0: by so much at any current */
    double emissivity;
    double convection_share;
};
/* 5 mm, 50 %, 3 K, 3 K, 0.05, 25 %; of the section 5 % for American gauges and bars, and 14 % for conductors sold by square
 * millimetres: IEC 60228 allows those of class 5 up to 16 % more ohms than their section of copper would have. */
struct lead_doubts lead_doubts_usual(const struct gauge *gauge);

struct lead_findings {
    double a;
    bool burns;               /* no steady state below the melting point: what follows cannot be told */
    struct measure ohm;       /* of metal and joints, as warm as they are */
    struct measure drop_v, heat_w, hottest_degc;
    double a_per_mm2;
    struct measure allowed_a; /* within the limits */
    enum lead_limit limit;    /* that sets it */
};

void lead_find(const struct lead *lead, const struct lead_doubts *doubts, const struct lead_limits *limits, double a,
               struct lead_findings *ret_findings);

#endif
