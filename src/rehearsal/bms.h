/* The protection board of a pack: it watches each cell's volts, the pack's amps and one sensor, and opens.
 *
 * Once it has opened for an empty cell or for too much current the terminal is dark until a charger
 * wakes it; opened for a full cell it still lets current out. Too cold or too hot at its sensor it lets no
 * current in until the sensor has come back past the release. Limits are the caller's, and invented;
 * that a limit must be passed for a stated time before it acts is common practice. */
#ifndef RUNDOWN_REHEARSAL_BMS_H
#define RUNDOWN_REHEARSAL_BMS_H

#include <stdbool.h>

struct bms_limits {
    double cell_under_v, under_s; /* any cell below, for so long */
    double over_a, over_s;        /* pack current above, for so long */
    double cell_over_v, over_v_s; /* any cell above, for so long, while charging */
    double cell_over_release_v;   /* charging is let in again below this */
    bool minds_temperature;       /* the sensor counts: no charging below `cold` or above `hot` ... */
    double cold_degc, cold_release_degc, hot_degc, hot_release_degc, temperature_s;
    double dark_v; /* volts that leak through at the terminal when dark */
};

enum bms_state {
    BMS_CLOSED,
    BMS_DARK_UNDER_VOLTAGE,
    BMS_DARK_OVER_CURRENT,
    BMS_CHARGE_STOPPED, /* a full cell: no current in, current out allowed */
};

enum bms_climate { BMS_MILD, BMS_TOO_COLD, BMS_TOO_HOT };

struct bms {
    enum bms_state state;
    enum bms_climate climate;
    double under_for_s, over_for_s, over_v_for_s, climate_for_s; /* how long each limit has been passed */
};

/* What the board sees at the end of a step. */
struct bms_sight {
    double lowest_cell_v, highest_cell_v;
    double a; /* positive: leaving */
    double sensor_degc;
    bool charger_on;
};

bool bms_dark(const struct bms *bms);
bool bms_charges(const struct bms *bms); /* lets current in */

/* After `step_s` seconds that ended so. */
void bms_watch(struct bms *bms, const struct bms_limits *limits, double step_s,
               const struct bms_sight *sight);

/* A charger is put on: a dark pack closes again. */
void bms_wake(struct bms *bms);

#endif
