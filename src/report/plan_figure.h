/* The figure of a plan, claim by claim: the interval that this rig would give, drawn at the claim, on the scale of the
 * claims ladder (rung.h). The same scale for all claims of a plan: its head once, then a rung a claim. */
#ifndef RUNDOWN_REPORT_PLAN_FIGURE_H
#define RUNDOWN_REPORT_PLAN_FIGURE_H

#include "claims/plan.h"
#include "draw/figure.h"

/* Which way is better, and the numbers of the scale. */
void plan_scale_figure(const struct plan *plan, double width, struct figure *ret_figure);
/* Of plan->prospects[k]. A claim that is out of reach shows how far the loads get; one that needs another test is a
 * dotted empty place. */
void plan_rung_figure(const struct plan *plan, size_t k, double width, struct figure *ret_figure);

#endif
