/* Loads file: what the tester can draw from the sample; an INI file. [inverter] is the one inverter, if
 * there is one; every other section is a load:
 *
 *     [inverter]
 *     power = 2000 W             ; what it can carry
 *     idle = 18 W                ; what it draws with nothing behind it
 *     efficiency = 90 %
 *     low-voltage cut-off = 10.5 V
 *
 *     [kettle]
 *     power = 1800 W
 *     behind inverter = yes
 *     [resistor bank]
 *     current = 20 A             ; at the nominal voltage
 *     [travel battery]
 *     power = 300 W
 *     behind inverter = yes
 *     fills up after = 500 Wh    ; a load that is itself a battery
 *
 * Each load has a power or a current; behind the inverter only powers make sense. docs/loads.md is the
 * full form. */
#ifndef RUNDOWN_CLAIMS_LOADS_H
#define RUNDOWN_CLAIMS_LOADS_H

#include "base/status.h"
#include "base/text.h"

#include <stdbool.h>
#include <stddef.h>

enum { LOADS_MOST = 12 }; /* every combination of them is tried */

struct load {
    char name[64];
    long line;           /* where its section begins to speak */
    double power_w;      /* at the load; NaN when given as a current */
    double current_a;    /* at the sample's nominal voltage; NaN when given as a power */
    bool behind_inverter;
    double fills_wh;     /* NaN: never full */
};

struct loads {
    char path[256];
    struct load *loads;
    size_t count;
    bool inverter;
    double inverter_w, idle_w, efficiency, low_v; /* NaN where not stated */
};

enum status loads_read(const char *path, struct loads *ret_loads, struct message *message);
/* The same from memory; `path` is for messages. */
enum status loads_read_text(const char *path, struct span text, struct loads *ret_loads, struct message *message);
void loads_free(struct loads *loads);

/* Watts at the sample's terminals of the loads in the bit mask `on`, with the inverter's losses and its
 * idle draw. An efficiency that is not stated is taken as 90 % (sizing practice). */
double loads_draw_w(const struct loads *loads, unsigned on, double nominal_v);
bool loads_carried(const struct loads *loads, unsigned on); /* the inverter can carry what stands behind it */
bool loads_inverted(const struct loads *loads, unsigned on); /* one of them stands behind the inverter */

#endif
