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
 *     current = 20 A             ; at the nominal voltage: a resistance
 *     [travel battery]
 *     power = 300 W
 *     behind inverter = yes
 *     fills up after = 500 Wh    ; a load that is itself a battery
 */
#ifndef RUNDOWN_CLAIMS_LOADS_H
#define RUNDOWN_CLAIMS_LOADS_H

#include "base/status.h"

#include <stdbool.h>
#include <stddef.h>

struct load {
    char name[64];
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
void loads_free(struct loads *loads);

/* Watts at the sample's terminals, inverter losses and its idle draw included, and which of the loads
 * are on (bit mask, at most 16 loads are combined); respects what the inverter can carry. */
double loads_draw_w(const struct loads *loads, unsigned on, double nominal_v);
bool loads_carried(const struct loads *loads, unsigned on);

#endif
