/* Forecast: when the rated value will be passed and when the cut-off is to be expected.
 *
 * From the load law and the shape of the curve so far, never a bare guess: an interval that narrows. Before
 * there is enough to go by it says what is missing. docs/methods.md holds the model. */
#ifndef RUNDOWN_BENCH_FORECAST_H
#define RUNDOWN_BENCH_FORECAST_H

#include "quantity/measure.h"

#include <stddef.h>

enum forecast_goal { GOAL_DISCHARGE, GOAL_CHARGE, GOAL_NONE };

struct forecast {
    double ah, wh;               /* so far, positive in the direction of the goal */
    struct measure ah_now, wh_now; /* with the budget so far */
    double share_ah, share_wh;   /* of the rated; NaN without a label */
    struct measure rated_at_s;   /* when the rated Ah is passed; known already once it has */
    struct measure cut_off_at_s; /* when the pack is expected to stop */
    struct measure half_way_s;   /* the burst of the plan */
};

/* What is known of the run, decimated to one point a few seconds; the arrays are the caller's. */
struct forecast_input {
    const double *t_s, *v, *a;
    size_t count;
    int cells;              /* in series; 0 unknown */
    double rated_ah, rated_wh, cut_off_v; /* NaN not claimed */
    double gain_u;          /* of the current channel, standard, fraction */
};
void forecast_make(const struct forecast_input *input, double *workspace, struct forecast *ret_forecast);

#endif
