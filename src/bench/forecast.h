/* Forecast: where a run stands and what is to be expected of it: charge and energy so far, when the rated
 * charge will be passed, when half of it, and when the pack is going to stop.
 *
 * Each is a measure whose 95 % interval narrows as the run goes on, or 'cannot tell' with what is missing.
 * All of it holds if the load goes on as it is (`given` says how it is): a planned burst is allowed for, an
 * unplanned one cannot be. docs/methods.md, "Forecast", holds the model: current by the load law found so
 * far; a stated wide prior for real capacity over rated while the volts lie on the plateau, where a lithium
 * iron phosphate cell shows next to nothing of its charge; and the slope of the volts once they leave it.
 *
 * A forecast costs well under a millisecond and a fixed amount of memory, however long the run. */
#ifndef RUNDOWN_BENCH_FORECAST_H
#define RUNDOWN_BENCH_FORECAST_H

#include "bench/track.h"
#include "quantity/sightings.h"

enum forecast_goal { GOAL_DISCHARGE, GOAL_CHARGE, GOAL_NONE };

struct forecast {
    double t_s;                    /* the moment it was made */
    double ah, wh;                 /* so far, positive in the direction of the goal */
    struct measure ah_now, wh_now; /* the same with the budget so far, as the assessment will have it */
    double share_ah, share_wh;     /* of the rated; NaN without one */
    struct measure rated_at_s;     /* when the rated Ah is passed; once it has: when that was */
    struct measure cut_off_at_s;   /* when the pack is expected to stop; once it has: when that was */
    struct measure half_way_s;     /* when the burst of the plan, or half of the rated Ah, is due or was */
    double reaches_rated;          /* probability that the pack gives its rated Ah; NaN unknown */
    enum load_law law;             /* as found so far; LOAD_UNKNOWN until it shows */
    double level;                  /* W, A or ohm of it; A while unknown */
    bool knee;                     /* the volts have left the plateau */
    char given[160];               /* "if the load stays at about 240 W (constant power)"; "" when no load is on */
};

/* What is asked beside the readings; NaN or 0 where not stated. */
struct forecast_asked {
    enum forecast_goal goal;
    double rated_ah, rated_wh;
    double cut_off_v;                    /* of the pack or of the load, whichever is higher */
    int cells;                           /* in series; 0 unknown */
    double burst_at_ah, burst_a, burst_s; /* of the plan */
};

struct forecast_work; /* room for the calculation */
struct forecast_work *forecast_work_new(void);
void forecast_work_free(struct forecast_work *work);

/* Same track, same forecast: the work only spares what has not changed. */
void forecast_make(const struct track *track, const struct forecast_asked *asked, struct forecast_work *work,
                   struct forecast *ret_forecast);

#endif
