/* Figures of an assessment: the claims ladder and the discharge curve. One figure serves the sheet,
 * the page and the picture files. */
#ifndef RUNDOWN_REPORT_FIGURES_H
#define RUNDOWN_REPORT_FIGURES_H

#include "claims/assessment.h"
#include "draw/figure.h"

/* The claims ladder: every claim a rung on its own scale about the rail that is the claim; right is
 * better for the buyer. Wide, the claim stands left of its rung and the verdict right of it; below 560 units
 * the three stand one below the other. Claims that were not tested come last. */
void ladder_figure(const struct assessment *assessment, double width, struct figure *ret_figure);

/* The height it would have: cheaper than to draw it. */
double ladder_height(const struct assessment *assessment, double width);

/* The same in parts that are at most so high: the rows from `from` on, at least one. Returns the row after
 * the last; assessment->decision_count when none is left. */
size_t ladder_part(const struct assessment *assessment, double width, size_t from, double most_height,
                   struct figure *ret_figure);

/* Volts and amps of a record's test against the charge delivered (against time where the charge is
 * not known), with phases, marks, the rated value and the end written on the curve. For readings by eye
 * points with the bounds of what was typed. What finds no place on the figure is written below it, which adds
 * to its height. False when the record has no discharge. */
bool curve_figure(const struct assessment *assessment, size_t record, double width, double height,
                  struct figure *ret_figure);

#endif
