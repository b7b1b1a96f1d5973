#include "report/cautions.h"

#include <stddef.h>

const char *const cautions[] = {
    "A 12 V pack drives thousands of amperes into a short: rings and watches off, insulated tools, a fuse at the "
    "source, the terminal not in use covered, eyes protected.",
    "Behind an inverter is mains voltage. Mains work, and fixed wiring of any kind, is for licensed people under the "
    "local code.",
    "Cables and terminals heat in a burst: size them for it, watch them, stop at smoke, smell, hiss or swelling.",
    "Never charge below 0 °C to see what happens beyond the protection's own trip. Do not leave a charge or a "
    "discharge alone.",
    "An opened case bares live bus bars and cells: open it only at a low state of charge, cut nothing blind, and do not "
    "sell or ship it afterwards. Vent gas burns and poisons: ventilate, keep distance, have plenty of water at hand.",
    NULL,
};
