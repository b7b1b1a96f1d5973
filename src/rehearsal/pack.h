/* A simulated pack: cells in series behind leads and a protection board, with the truth known.
 *
 * Each cell: open-circuit voltage, an ohmic resistance, a fast RC pair (charge transfer) and diffusion as
 * a ladder (warburg.h; of one rung: a slow RC pair). All three grow near empty (cell_ocv.h) and in the
 * cold, by exp(B (1/T - 1/298.15 K)); with capacitances that stay, their time constants grow alike. The
 * pack is one lump of heat: C dT/dt = I (U - V) - hA (T - ambient), where I (U - V) is all that is lost
 * between the cells' resting voltage and the terminal (Bernardi, Pawlikowski, Newman 1985,
 * J. Electrochem. Soc. 132, 5, without the entropy term). So what is delivered plus what turns to heat
 * is what the cells' stored energy falls by, exactly. The board's sensor lags behind the lump, can be
 * heated or chilled from outside, and is too small to count as heat.
 *
 * Within one step the current is constant and the RC pairs are stepped exactly; resistances and time
 * constants are those at the start of the step. Current is positive when it leaves. All parameters in
 * use are invented. */
#ifndef RUNDOWN_REHEARSAL_PACK_H
#define RUNDOWN_REHEARSAL_PACK_H

#include "rehearsal/bms.h"
#include "rehearsal/cell_ocv.h"
#include "rehearsal/warburg.h"

enum { PACK_MOST_CELLS = 16 };

/* What the pack is made of: constant through a run. Zero leaves an effect out. */
struct pack_make {
    const struct cell_ocv *ocv; /* borrowed */
    int cells;
    double capacity_ah[PACK_MOST_CELLS];  /* between s = 0 and 1; the smallest cell trips first */
    double resists[PACK_MOST_CELLS];      /* a cell's resistances beside those below; 0: alike */
    double fuller[PACK_MOST_CELLS];       /* state of charge beside the pack's at its start */
    double ohmic_ohm, fast_ohm, slow_ohm; /* each cell, plateau, 25 degC */
    double fast_s, slow_s;                /* time constants: the fast pair, the first rung of the ladder */
    int rungs;                            /* of the ladder; 0 as 1 */
    double leads_ohm;                     /* board, bars and leads up to where volts are measured */
    double cold_k;                        /* B of the resistance, kelvin */
    double fast_more_k, slow_more_k;      /* on top of it for the fast pair and for the ladder */
    bool time_follows;                    /* time constants grow as their resistances do */
    double heat_j_per_k, cooling_w_per_k, ambient_degc;
    /* Hysteresis of the resting voltage: half the gap, each cell, and the part of the capacity over
     * which it turns about (first-order form of Plett 2004, J. Power Sources 134, 262). */
    double hysteresis_v, hysteresis_span;
    double sensor_s;     /* lag of the board's sensor */
    double sensor_touch; /* how far it follows what touches it from outside: 1 wholly */
    struct bms_limits bms;
};

struct cell_state {
    double soc, fast_v, slow_v[WARBURG_RUNGS]; /* RC volts: positive when they lower the terminal */
    double soc_per_ah;                         /* one over its capacity */
    double resists;
};

struct pack {
    const struct pack_make *make; /* borrowed */
    struct cell_state cells[PACK_MOST_CELLS];
    int rungs;
    double shares[WARBURG_RUNGS];
    double degc, sensor_degc;
    double touch_degc; /* what touches the sensor from outside; NaN: nothing does */
    bool charger_on;   /* keeps the board awake */
    double hysteresis; /* 1 after a charge (the start) .. -1 after a discharge */
    struct bms bms;
};

/* What depends only on the length of a step; made once for each length used. */
struct pack_pace {
    double step_s;
    double fast_half, slow_half; /* parts left after half a step, where time constants stay */
    double heat_kept, sensor_kept;
};

/* How a cell stands over the coming step. */
struct cell_view {
    struct cell_point point;
    double ohmic_ohm, fast_ohm, slow_ohm;       /* now */
    double fast_half, slow_half[WARBURG_RUNGS]; /* parts left after half the step */
};

/* How the pack looks to a load over the coming step: volts at mid-step = volts - ohms * current. */
struct pack_view {
    double volts, ohms;        /* mid-step */
    double start_v, start_ohm; /* at its start, just after the current is set */
    double resting_v;          /* sum of the cells' resting volts at the start */
    struct cell_view cells[PACK_MOST_CELLS];
};

/* The terminal over one step of constant current; volts in between lie on a parabola through the
 * three, to within microvolts when the step is short beside the time constants. */
struct pack_terminal {
    double start_v, mid_v, end_v;
    double lowest_cell_v; /* at the end of the step */
    double heat_w;        /* mean over the step, turned to heat inside the pack */
};

void pack_init(struct pack *ret_pack, const struct pack_make *make, double soc);
struct pack_pace pack_pace(const struct pack_make *make, double step_s);
void pack_look(const struct pack *pack, const struct pack_pace *pace, struct pack_view *ret_view);

/* Takes the step. The board only watches: what the load or the dark pack makes of it is the
 * caller's (load.h). While dark, `a` must be 0 and the terminal shows the leak. */
void pack_step(struct pack *pack, const struct pack_pace *pace, const struct pack_view *view, double a,
               struct pack_terminal *ret_terminal);

/* Resistance seen `delay_s` after a step of current, at the pack's present state. */
double pack_resistance_ohm(const struct pack *pack, double delay_s);

/* Energy in the cells above s = 0. */
double pack_stored_wh(const struct pack *pack);

#endif
