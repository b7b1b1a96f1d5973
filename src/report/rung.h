/* Rung: what stands on the ladder's axis for one claim.
 *
 * The rail, in the middle, is the claim; the axis is the departure from it in per cent, right better for the
 * buyer, so a claim of 'no more than' is mirrored. A temperature, of which a percentage means nothing, has
 * a scale of its own in kelvins, printed at its rung. A rung is the measured 95 % interval, a dot its
 * value, an arrow one that lies beyond the scale; where only the test's conditions leave a claim open, a dashed
 * line leads from the interval across the rail. What was not exercised is dashed, shows how far the test
 * got, and stops short of the rail; what was not tested is a dotted empty place. */
#ifndef RUNDOWN_REPORT_RUNG_H
#define RUNDOWN_REPORT_RUNG_H

#include "claims/assessment.h"
#include "draw/figure.h"
#include "draw/scale.h"

struct axis {
    double left, right, rail; /* user units */
    double half;              /* per cent from the rail to either end */
    double half_k;            /* kelvins likewise, for temperatures */
};

struct axis axis_of(const struct assessment *assessment, double left, double right);

/* Hairlines of the scale, and the rail. */
void axis_grid(struct figure *figure, const struct axis *axis, double top, double bottom);
void axis_ticks(struct figure *figure, const struct axis *axis, double baseline);
/* Which way is better. */
void axis_head(struct figure *figure, const struct axis *axis, double baseline);

/* Draws the rung on height y, and below it what was found. */
void rung_draw(struct figure *figure, const struct axis *axis, const struct decision *decision, double y);
/* What it takes below y. */
double rung_depth(const struct axis *axis, const struct decision *decision);

#endif
