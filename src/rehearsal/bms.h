/* The protection board of a pack: it watches each cell's volts and the pack's amps, and opens.
 *
 * Once it has opened for an empty cell or for too much current the terminal is dark until a charger
 * wakes it; opened for a full cell it still lets current out. Limits are the caller's, and invented;
 * that a limit must be passed for a stated time before it acts is common practice. */
#ifndef RUNDOWN_REHEARSAL_BMS_H
#define RUNDOWN_REHEARSAL_BMS_H

#include <stdbool.h>

struct bms_limits {
    double cell_under_v, under_s; /* any cell below, for so long */
    double over_a, over_s;        /* pack current above, for so long */
    double cell_over_v, over_v_s; /* any cell above, for so long, while charging */
    double cell_over_release_v;   /* charging is let in again below this */
    double dark_v;                /* volts that leak through at the terminal when dark */
};

enum bms_state {
    BMS_CLOSED,
    BMS_DARK_UNDER_VOLTAGE,
    BMS_DARK_OVER_CURRENT,
    BMS_CHARGE_STOPPED, /* a full cell: no current in, current out allowed */
};

struct bms {
    enum bms_state state;
    double under_for_s, over_for_s, over_v_for_s; /* how long each limit has been passed */
};

bool bms_dark(const struct bms *bms);

/* After `step_s` seconds that ended with these cell volts and this current (positive: leaving). */
void bms_watch(struct bms *bms, const struct bms_limits *limits, double step_s, double lowest_cell_v,
               double highest_cell_v, double a);

/* A charger is put on: a dark pack closes again. */
void bms_wake(struct bms *bms);

#endif
