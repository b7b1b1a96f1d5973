/* Curve model: what the discharge curve shows and says, before any place on paper or screen is chosen. The figure
 * (figures.h) is drawn from it, and a page gets it as JSON, so that the two cannot differ. */
#ifndef RUNDOWN_REPORT_CURVE_MODEL_H
#define RUNDOWN_REPORT_CURVE_MODEL_H

#include "base/json_value.h"
#include "report/curve_data.h"

enum { CURVE_BURSTS_NAMED = 3 };

struct curve_range {
    double from, to;
};

/* Words at a place; "" where there is nothing to say. */
struct curve_note {
    double x, y, t_s; /* y: volts; NaN where it belongs to no value, or (t_s) to no instant */
    char words[160];
};

/* What the volts did once the load had gone. */
enum curve_after { AFTER_NOTHING, AFTER_FELL, AFTER_CAME_BACK };

struct curve_burst {
    double from, to; /* along x */
    char words[160], cost[160];
};

struct curve_model {
    const struct findings *findings; /* borrowed */
    struct curve_data data;
    struct curve_range x, volts, amps; /* of the scales */
    const char *x_unit;
    bool ends_short;                   /* the rated charge lies right of the scale */
    struct curve_note rated, end, lone; /* lone: a reading far below all others, which the scale leaves out */
    enum curve_after after;
    double last_v;                      /* of the last point that has volts */
    char volts_name[64], amps_name[160];
    struct curve_burst *bursts; /* one each of the findings; owned */
};

/* False when the record has no discharge to draw, or memory does not allow it. */
bool curve_model_make(const struct record *record, struct curve_model *ret_model);
void curve_model_free(struct curve_model *model);

const char *curve_phase_name(const struct phase *phase);
bool curve_phase_shown(const struct findings *findings, const struct phase *phase); /* part of the test */

/* Scales, names, phases, marks, bursts, rated value and end; without the points. Handed over. */
json_t *json_curve_model(const struct curve_model *model);

#endif
