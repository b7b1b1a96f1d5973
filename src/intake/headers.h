/* Headers: what the words over a column say it holds.
 *
 * Names and units are written in every way: `Voltage(V)`, `I [mA]`, `temp_degC`, `U/V`, `Current, A`,
 * `Strom in A`, `BattVolts`, `mA` alone, or a name with its unit in a row below. The words decide, then
 * the unit; a unit that contradicts the words is no evidence for either. */
#ifndef RUNDOWN_INTAKE_HEADERS_H
#define RUNDOWN_INTAKE_HEADERS_H

#include "quantity/channel.h"

/* What a column is taken for. */
enum column_role {
    COLUMN_UNUSED,
    COLUMN_TIME,      /* elapsed, clock, epoch, or date and time in one */
    COLUMN_DATE,      /* a date beside a time of day */
    COLUMN_STEP,      /* a step index; elapsed time restarts with it */
    COLUMN_STEP_TIME, /* elapsed within the step */
    COLUMN_MODE,      /* charge, discharge or rest in words: the sign of an unsigned current */
    COLUMN_MARK,      /* words put at an instant */
    COLUMN_CHANNEL,   /* a channel of the series */
};

/* How well a header fits its role: candidates of the best rank compete, the others give way. */
enum header_rank {
    RANK_NEVER,  /* a limit, a setting, a cell's or another device's quantity: not the sample's own */
    RANK_UNIT,   /* no known word, but the unit tells */
    RANK_PLAIN,  /* `Voltage` */
    RANK_SAMPLE, /* `Battery voltage`: names the sample itself */
};

struct header {
    enum column_role role;
    enum channel channel; /* when role is COLUMN_CHANNEL */
    enum header_rank rank;
    bool has_unit, discharge_only, charge_only, wall_clock, utc;
    struct unit unit;
    char unit_text[16];
    char why[96]; /* "header says voltage, unit V" */
};

/* `text` is the header cell, `unit_below` the cell of a units row ("" when there is none). */
struct header header_read(const char *text, const char *unit_below);

/* Is the whole text a unit, bare or in brackets? */
bool header_is_unit(const char *text, struct unit *ret_unit);

/* "time", "step time", "voltage", …; and the word that asks for it on the command line. */
const char *role_name(enum column_role role, enum channel channel);
const char *role_option(enum column_role role, enum channel channel);

#endif
