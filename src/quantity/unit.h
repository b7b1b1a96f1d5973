/* Units: what a symbol means, and numbers brought to the program's own units.
 *
 * Inside the program a quantity has one unit: s, V, A, W, Ah, Wh, °C, kg, m, m² (sections), ohm,
 * 1 (ratios, counts, multiples of I_t). Prefixes and variants exist at the border only. */
#ifndef RUNDOWN_QUANTITY_UNIT_H
#define RUNDOWN_QUANTITY_UNIT_H

#include "base/text.h"

enum quantity {
    QUANTITY_NONE, /* no unit given */
    QUANTITY_TIME,
    QUANTITY_VOLTAGE,
    QUANTITY_CURRENT,
    QUANTITY_POWER,
    QUANTITY_CHARGE,
    QUANTITY_ENERGY,
    QUANTITY_TEMPERATURE,
    QUANTITY_MASS,
    QUANTITY_LENGTH,
    QUANTITY_RESISTANCE,
    QUANTITY_RATIO,  /* %, ppm */
    QUANTITY_RATE,   /* multiples of I_t: `0.2 It` (IEC 61960-3) */
    QUANTITY_COUNT_OF, /* cycles, digits, frames */
    QUANTITIES
};

struct unit {
    enum quantity quantity;
    double factor; /* own unit = (number + shift) * factor */
    double shift;
};

/* Finds a unit by its symbol or name, exactly as meters and headers write it: `mV`, `kWh`, `°C`,
 * `degC`, `min`, `mOhm`, `µs`. Case matters only where a prefix needs it (mA against MA); returns
 * false for anything unknown. */
bool unit_find(struct span symbol, struct unit *ret_unit);

/* A unit at the start of the span: `V`, `A h`, `amp-hours`, `%rdg` (the % alone). Returns the
 * characters used, 0 when the span does not start with a unit. */
size_t unit_read(struct span span, struct unit *ret_unit);

double unit_own(double number, const struct unit *unit); /* number in that unit, in the own unit */

void unit_own_all(double *numbers, size_t count, const struct unit *unit); /* the same of many, in place */

/* The symbol of the own unit: "V", "Ah", "°C"; "" for none. */
const char *quantity_symbol(enum quantity quantity);
/* How people write it on a bench: millimetres, milliohms, per cent. `ret_factor` times the own unit. */
const char *quantity_shown(enum quantity quantity, double *ret_factor);
const char *quantity_name(enum quantity quantity); /* "voltage", "charge", … */

/* Reads `12.91 V`, `1,28 kWh`, `0.5C`: a number, optional blanks, a unit. Returns the characters
 * used, 0 when there is no number. A missing unit gives QUANTITY_NONE and factor 1; a word that is
 * no unit is left unread. `ret_digit` (may be NULL) is what one step of the last digit is worth, in
 * the own unit. */
size_t quantity_read(struct span span, char decimal, double *ret_value, double *ret_digit, enum quantity *ret_quantity);

#endif
