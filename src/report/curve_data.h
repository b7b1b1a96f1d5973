/* Curve data: the points of a record's test, as the discharge curve wants them.
 *
 * Of a log no more points are kept than a picture can show: of each stretch of readings the first, the last,
 * and those with the least and the most volts and amps, so that no extreme is lost. Where the log has a
 * hole the points are parted by one that is NaN. Readings by eye are all kept, with their bounds. */
#ifndef RUNDOWN_REPORT_CURVE_DATA_H
#define RUNDOWN_REPORT_CURVE_DATA_H

#include "claims/assessment.h"

enum { CURVE_MARKS = 48 };

/* What x counts: Ah since the start of the test; without any charge the seconds of the record; without times
 * the order of the readings. */
enum curve_x { CURVE_CHARGE, CURVE_TIME, CURVE_ORDER };

struct curve_mark {
    double x, t_s; /* t_s: NaN without times */
    char words[80];
};

struct curve_data {
    size_t count;
    double *t_s, *x, *v, *a;             /* x never falls */
    double *v_lo, *v_hi, *a_lo, *a_hi;   /* bounds of what was typed, when sparse; otherwise NULL */
    enum curve_x along;
    bool sparse;                         /* read by eye: every point is shown, what lies between is not known */
    bool has_volts, has_amps;
    double fell_to_v;                    /* lowest volts in the minute after the load had gone; NaN */
    struct curve_mark marks[CURVE_MARKS];
    size_t mark_count, marks_left_out;
    size_t room_;
};

/* False when the record holds fewer than two points of a test, or memory does not allow it. */
bool curve_data_make(const struct record *record, struct curve_data *ret_data);
void curve_data_free(struct curve_data *data);

/* Place on x of an instant, by interpolation; the nearer end outside, NaN when the points have no times. */
double curve_data_at(const struct curve_data *data, double t_s);

#endif
