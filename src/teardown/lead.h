/* Lead: a conductor between two ends, how warm it gets and what it costs.
 *
 * Heat made in each slice (I²ρ(T)/A) leaves through the jacket to the air (air.h) and along the metal to the ends. A
 * lead of a hand's length is shorter than its own thermal decay length √(kA/(h·P)), so that its ends rule: a cold
 * terminal cools it, a board full of transistors heats it. The profile is solved slice by slice (finite volumes, h
 * and ρ renewed until nothing moves by 0.01 K); far from both ends it is the balance of joule heat against the air.
 *
 * Conductors side by side share the current evenly; where they lie in one bundle they lose heat through its outside
 * only. Amps are those of all together. Steady state: how long it takes is not said here. */
#ifndef RUNDOWN_TEARDOWN_LEAD_H
#define RUNDOWN_TEARDOWN_LEAD_H

#include "teardown/gauge.h"
#include "teardown/metal.h"

#include <stdbool.h>

struct lead_end {
    double degc;     /* of what it is fixed to, far from the joint, without current */
    double w_per_k;  /* how well the joint carries heat there; INFINITY: held at degc; 0: none */
    double ohm;      /* of the crimp or joint; its heat is made at the end */
    double w;        /* other heat that comes in there: a board's transistors */
    double k_per_a2; /* by which degc grows with the square of the lead's amps; 0: whatever the current */
};

struct lead {
    struct gauge gauge;
    enum metal metal;
    double length_m;
    double jacket_mm;   /* thickness; 0: bare */
    bool bundled;       /* the parallel ones lie together */
    struct lead_end ends[2];
    double air_degc;    /* around it, without current; in a closed case that of the air inside */
    double air_k_per_a2; /* likewise */
    double emissivity;  /* of its outside: 0.9 for jackets, 0.1 to 0.4 for bare metal */
    double convection;  /* share of air_convection that is left: 1 in open still air, 0 in foam */
};

enum { LEAD_SLICES = 33 };

struct lead_state {
    double a;
    double hottest_degc, hottest_at_m;
    double end_degc[2];
    double metal_ohm, joints_ohm; /* as warm as they are */
    double drop_v, heat_w;
    double w_to_air, w_to_ends;   /* where the heat goes; negative: it comes from there */
    double decay_m;               /* thermal decay length */
    double profile_degc[LEAD_SLICES];
};

/* False when no steady state exists below the metal's melting point: it burns through, or its heat has nowhere to
 * go; then only `a` is set. */
bool lead_solve(const struct lead *lead, double a, struct lead_state *ret_state);

/* What must not be exceeded; NaN: no such limit. */
struct lead_limits {
    double jacket_degc;   /* anywhere along the lead: its insulation */
    double end_degc[2];   /* at a joint: a cell, a terminal, a board */
};
enum lead_limit { LEAD_JACKET, LEAD_END_0, LEAD_END_1, LEAD_NONE };

/* The limit that this state comes closest to or exceeds, with by how much it is kept (negative: exceeded); LEAD_NONE
 * and INFINITY without limits. */
enum lead_limit lead_closest(const struct lead_state *state, const struct lead_limits *limits, double *ret_margin_k);

/* The largest current within the limits, to 0.01 %: 0 when one is exceeded without any; NaN when none is reached below
 * 10 kA. `ret_limit` is the one that is met first. */
double lead_current(const struct lead *lead, const struct lead_limits *limits, enum lead_limit *ret_limit);

/* One metre of an endless one in open still air, as ampacity tables assume. */
struct lead lead_endless(const struct gauge *gauge, enum metal metal, double jacket_mm, double air_degc);

/* The jacket that a conductor of that section usually has: 0.4 mm up to 0.5 mm², 0.8 mm from 2.5 to 10 mm², then growing to
 * 2 mm at 120 mm² (common practice, no source). About a thin conductor a thick jacket would help it to lose heat. */
double lead_usual_jacket_mm(double area_mm2);

/* A jacket of which nobody knows what it bears is taken for the least of 33 CFR 183.425, Table 5. */
extern const double lead_unknown_jacket_degc;

#endif
