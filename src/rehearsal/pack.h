/* A simulated pack: cells in series behind leads and a protection board, with the truth known.
 *
 * Each cell: open-circuit voltage, an ohmic resistance and two RC pairs (fast, slow). All three grow
 * near empty (cell_ocv.h) and in the cold, by exp(B (1/T - 1/298.15 K)). The pack is one lump of heat:
 * C dT/dt = I (U - V) - hA (T - ambient), where I (U - V) is all that is lost between the cells'
 * resting voltage and the terminal (Bernardi, Pawlikowski, Newman 1985, J. Electrochem. Soc. 132, 5,
 * without the entropy term). So what is delivered plus what turns to heat is what the cells' stored
 * energy falls by, exactly.
 *
 * Within one step the current is constant and the RC pairs are stepped exactly; resistances are those
 * at the start of the step. Current is positive when it leaves. All parameters in use are invented. */
#ifndef RUNDOWN_REHEARSAL_PACK_H
#define RUNDOWN_REHEARSAL_PACK_H

#include "rehearsal/bms.h"
#include "rehearsal/cell_ocv.h"

enum { PACK_MOST_CELLS = 16 };

/* What the pack is made of: constant through a run. */
struct pack_make {
    const struct cell_ocv *ocv; /* borrowed */
    int cells;
    double capacity_ah[PACK_MOST_CELLS];  /* between s = 0 and 1; the smallest cell trips first */
    double ohmic_ohm, fast_ohm, slow_ohm; /* each cell, plateau, 25 degC */
    double fast_s, slow_s;                /* time constants of the RC pairs */
    double leads_ohm;                     /* board, bars and leads up to where volts are measured */
    double cold_k;                        /* B of the resistance, kelvin; 0 switches it off */
    double heat_j_per_k, cooling_w_per_k, ambient_degc;
    /* Hysteresis of the resting voltage: half the gap, each cell, and the part of the capacity over
     * which it turns about (first-order form of Plett 2004, J. Power Sources 134, 262). 0: none. */
    double hysteresis_v, hysteresis_span;
    struct bms_limits bms;
};

struct cell_state {
    double soc, fast_v, slow_v; /* RC volts: positive when they lower the terminal */
    double soc_per_ah;          /* one over its capacity */
};

struct pack {
    const struct pack_make *make; /* borrowed */
    struct cell_state cells[PACK_MOST_CELLS];
    double degc;
    double hysteresis; /* 1 after a charge (the start) .. -1 after a discharge */
    struct bms bms;
};

/* What depends only on the length of a step; made once for each length used. */
struct pack_pace {
    double step_s;
    double fast_kept, slow_kept, heat_kept; /* parts left after a whole step */
    double fast_half, slow_half;            /* parts left after half a step */
};

/* How the pack looks to a load over the coming step: volts at mid-step = volts - ohms * current. */
struct pack_view {
    double volts, ohms;        /* mid-step */
    double start_v, start_ohm; /* at its start, just after the current is set */
    double resting_v;          /* sum of the cells' resting volts at the start */
    double colder;             /* resistance factor of temperature */
    struct cell_point points[PACK_MOST_CELLS];
};

/* The terminal over one step of constant current; volts in between lie on a parabola through the
 * three, to within microvolts when the step is short beside fast_s. */
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
