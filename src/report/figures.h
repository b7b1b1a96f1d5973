/* Figures of an assessment: the claims ladder and the discharge curve. One figure serves the sheet,
 * the page and the picture files. */
#ifndef RUNDOWN_REPORT_FIGURES_H
#define RUNDOWN_REPORT_FIGURES_H

#include "claims/assessment.h"
#include "draw/figure.h"

/* The claims ladder: every claim a rung on its own scale about the rail that is the claim; right is
 * better for the buyer. Free it with figure_free. */
void ladder_figure(const struct assessment *assessment, double width, struct figure *ret_figure);

/* Volts and amps of a record's test against the charge delivered (against time where the charge is
 * not known), with phases, marks, the rated value and the end written on the curve. Points, joined
 * by the load law, for readings by eye. False when the record has no discharge. */
bool curve_figure(const struct assessment *assessment, size_t record, double width, struct figure *ret_figure);

#endif
