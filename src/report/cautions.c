#include "report/cautions.h"

#include <stddef.h>

enum { CAUTION_SHORT, CAUTION_MAINS, CAUTION_HEAT, CAUTION_CHARGE, CAUTION_OPENED };

const char *const cautions[] = {
    [CAUTION_SHORT] = "A 12 V pack drives thousands of amperes into a short: rings and watches off, insulated tools, a fuse at the "
    "source, the terminal not in use covered, eyes protected.",
    [CAUTION_MAINS] = "Behind an inverter is mains voltage. Mains work, and fixed wiring of any kind, is for licensed people under the "
    "local code.",
    [CAUTION_HEAT] = "Cables and terminals heat in a burst: size them for it, watch them, stop at smoke, smell, hiss or swelling.",
    [CAUTION_CHARGE] = "Never charge below 0 °C to see what happens beyond the protection's own trip. Do not leave a charge or a "
    "discharge alone.",
    [CAUTION_OPENED] = "An opened case bares live bus bars and cells: open it only at a low state of charge, cut nothing blind, and do not "
    "sell or ship it afterwards. Vent gas burns and poisons: ventilate, keep distance, have plenty of water at hand.",
    NULL,
};

const char *caution_of(enum plan_act act)
{
    switch (act) {
    case ACT_REST:
    case ACT_RECHARGE: return cautions[CAUTION_CHARGE];
    case ACT_ZERO: return cautions[CAUTION_SHORT]; /* before it, meters and loads are connected */
    case ACT_BASE: return cautions[CAUTION_MAINS];
    case ACT_BURST:
    case ACT_PEAK: return cautions[CAUTION_HEAT];
    default: return NULL;
    }
}
