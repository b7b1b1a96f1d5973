/* What is done to the pack: a program of segments, one after the other.
 *
 * A segment ends after its duration; when it has none (INFINITY) it ends when the load gives up, the
 * pack goes dark, or a charge is full. A load that has given up draws nothing until the next segment.
 * A charger that the board refuses for its sensor waits; refused for a full cell it is done. */
#ifndef RUNDOWN_REHEARSAL_LOAD_H
#define RUNDOWN_REHEARSAL_LOAD_H

#include "rehearsal/pack.h"

enum segment_kind {
    SEGMENT_REST,
    SEGMENT_POWER,      /* an inverter: `amount` watts at its input, beside its idle draw */
    SEGMENT_CURRENT,    /* `amount` amps */
    SEGMENT_RESISTANCE, /* `amount` ohms */
    SEGMENT_CHARGE,     /* `amount` amps into the pack until `charge_v`, then that voltage held */
};

struct load_segment {
    enum segment_kind kind;
    double amount;
    double duration_s;           /* INFINITY: until it ends by itself */
    double idle_w;               /* SEGMENT_POWER: drawn as well */
    double ripple;               /* rms of the ripple on its current, as a part of the mean */
    double give_up_v, give_up_s; /* load's own low-voltage limit: below it for so long; 0 V: none */
    double charge_v, tail_a;     /* SEGMENT_CHARGE: volts held; ends when amps fall below the tail */
    double refused_s;            /* SEGMENT_CHARGE without duration: ends when refused for so long */
    bool touches;                /* the board's sensor is held against something of `touch_degc` */
    double touch_degc;           /* when the segment begins, ... */
    double touch_k_per_s;        /* ... and how fast it grows warmer; negative: colder */
};

/* The current that the segment draws over the coming step, positive when it leaves the pack. A constant
 * power beyond what the pack can give, V^2/4R, gets the current of that largest power: the voltage
 * then halves and something gives up. */
double load_draw_a(const struct load_segment *segment, const struct pack_view *view);

/* I = (V - sqrt(V^2 - 4 R P)) / 2R, from P = I (V - R I). NaN beyond V^2/4R. */
double load_power_a(double volts, double ohms, double power_w);

#endif
