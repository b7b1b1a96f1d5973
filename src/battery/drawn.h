/* Drawn: what a step's resistances and a burst's cost rest on, as lines to lay over the readings. By the functions
 * that the findings come from, nothing anew. */
#ifndef RUNDOWN_BATTERY_DRAWN_H
#define RUNDOWN_BATTERY_DRAWN_H

#include "battery/resistance.h"
#include "battery/stretch.h"

enum { DRAWN_POINTS = 24, DRAWN_BURST_POINTS = 240 };

struct step_drawn {
    const struct step *step;
    struct step_line before;   /* up to the step */
    double carried_s[DRAWN_POINTS], carried_v[DRAWN_POINTS]; /* from the step to its last delay */
    int carried;
    struct {
        double t_s, before_v, after_v;
        const struct resistance *resistance; /* borrowed from the findings */
    } values[STEP_DELAYS];     /* those that are known */
    int count;
    double to_s;               /* end of what is worth seeing */
};
/* Fails when there is no such step, or the log has no volts. */
enum status step_draw(const struct ground *ground, size_t index, struct step_drawn *ret_drawn, struct message *message);

struct burst_drawn {
    const struct burst *burst;
    double t_s[DRAWN_BURST_POINTS], base_v[DRAWN_BURST_POINTS], read_v[DRAWN_BURST_POINTS]; /* burst and recovery */
    int count;
    double from_s, to_s; /* of what is worth seeing */
};
enum status burst_draw(const struct ground *ground, size_t index, struct burst_drawn *ret_drawn, struct message *message);

#endif
