/* Curve data: the points of a record's test, as the discharge curve wants them. */
#ifndef RUNDOWN_REPORT_CURVE_DATA_H
#define RUNDOWN_REPORT_CURVE_DATA_H

#include "claims/assessment.h"

enum { CURVE_MARKS = 16 };

struct curve_mark {
    double x;
    char words[80];
};

struct curve_data {
    size_t count;
    double *t_s, *x, *v, *a; /* x: Ah delivered since the start of the test, or seconds when x_is_time */
    bool x_is_time;
    bool sparse;             /* read by eye: every point is shown, and the line between them is not */
    struct curve_mark marks[CURVE_MARKS];
    size_t mark_count;
    size_t room_;
};

/* False when the record holds fewer than two points, or memory does not allow it. */
bool curve_data_make(const struct record *record, struct curve_data *ret_data);
void curve_data_free(struct curve_data *data);

/* Place on x of an instant, by interpolation; NaN outside. */
double curve_data_at(const struct curve_data *data, double t_s);

#endif
