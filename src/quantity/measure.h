/* Measure: a value, its standard uncertainty, its 95 % interval, and what the uncertainty is made of.
 *
 * The parts are the budget (JCGM 100:2008, clause 5): each is a signed standard uncertainty in the
 * unit of the value (sensitivity times the input's uncertainty), with the shape of the input's
 * distribution. Parts are independent of one another. Two measures whose parts carry the same
 * non-zero `source` share that error, sign included: it cancels in their difference as far as the
 * signed parts agree.
 *
 * A value of NaN means 'cannot tell', and `why` says what is missing. A measure is made by
 * measure_of, measure_part… and numeric/budget.h's budget_close; until closed, lo and hi are NaN. */
#ifndef RUNDOWN_QUANTITY_MEASURE_H
#define RUNDOWN_QUANTITY_MEASURE_H

#include "quantity/unit.h"

#include <stdbool.h>
#include <stdint.h>

enum shape {
    SHAPE_NORMAL,
    SHAPE_RECTANGULAR, /* u = a/√3: bounds, nothing known between them (GUM 4.3.7) */
    SHAPE_TRIANGULAR,  /* u = a/√6 (GUM 4.3.9) */
    SHAPE_ARCSINE,     /* u = a/√2 */
    SHAPE_T,           /* scaled Student t: u is the scale (s/√n), dof its degrees of freedom */
};

enum cause {
    CAUSE_GAIN_CURRENT,
    CAUSE_GAIN_VOLTAGE,
    CAUSE_GAIN_OTHER,
    CAUSE_OFFSET_CURRENT,
    CAUSE_OFFSET_VOLTAGE,
    CAUSE_OFFSET_OTHER,
    CAUSE_RESOLUTION,
    CAUSE_NOISE,
    CAUSE_SAMPLING,      /* what happened between samples, from the data themselves */
    CAUSE_STEP_INSTANTS, /* when exactly a step fell, between two samples */
    CAUSE_CLOCK,
    CAUSE_GAP,           /* a stretch without readings, carried by the load law */
    CAUSE_LOAD_LAW,
    CAUSE_HEDGE,         /* how the value was had: remembered, approximate */
    CAUSE_RIPPLE,
    CAUSE_SKEW,          /* volts and amps not read at one instant */
    CAUSE_LEADS,
    CAUSE_FIT,
    CAUSE_CONDITIONS,    /* the test's conditions against the claim's */
    CAUSES
};

struct part {
    enum cause cause;
    enum shape shape;
    double u;           /* signed; unit of the value */
    double dof;         /* of u itself; INFINITY when u is stated or exact */
    uint32_t source;    /* same non-zero number in two measures: the same unknown error; 0: its own */
    const char *what;   /* static: "shunt, 1 %" is told by rig; here e.g. "gain of the current channel" */
    const char *remedy; /* static: what would shrink it, "" when nothing would */
};

enum { MEASURE_PARTS = 16 };

struct measure {
    double value;
    double u;      /* combined standard uncertainty */
    double dof;    /* effective, Welch–Satterthwaite */
    double lo, hi; /* 95 % interval of the propagated distribution (JCGM 101), not k·u */
    struct part parts[MEASURE_PARTS];
    int count;
    char why[192]; /* when the value is NaN: what is missing, to follow 'cannot tell:' */
};

struct measure measure_of(double value);
__attribute__((format(printf, 1, 2))) struct measure measure_unknown(const char *why, ...);
bool measure_known(const struct measure *measure);

/* Adds a part. A part of the same cause, shape and source is merged: linearly when source is not 0
 * (one error, two paths), in quadrature when it is 0. Parts with u == 0 are left out. When the table
 * is full, the two smallest source-less normal parts are merged. */
void measure_part(struct measure *measure, struct part part);

/* Sum, a scaled copy, and difference of measures; shared sources add with sign before they are squared.
 * The result is not closed. */
struct measure measure_scale(const struct measure *a, double factor);
struct measure measure_sum(const struct measure *a, double factor_a, const struct measure *b, double factor_b);

/* `61.1 ± 0.9 Ah`: half the 95 % interval with two significant digits, the value to match; `cannot
 * tell` when unknown; the value alone when the measure is not closed. */
void measure_print(const struct measure *measure, const char *symbol, char *buffer, size_t size);
/* The same in the unit that people write the quantity in (quantity_shown). */
void measure_print_in(const struct measure *measure, enum quantity quantity, char *buffer, size_t size);

const char *cause_name(enum cause cause); /* "gain of the current channel", … */

#endif
