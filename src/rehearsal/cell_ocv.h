/* The resting voltage of a lithium iron phosphate cell against its state of charge.
 *
 * U(s) = U_positive(y) - U_negative(x), both electrodes linear in s over a stated window.
 * Positive electrode: Afshar 2017, arXiv:1709.03970. Negative electrode: Prada et al. 2013,
 * J. Electrochem. Soc. 160 (4) A616. The window below is INVENTED: it is set so that s = 0 lies a
 * little under the usual protection limit of 2.5 V and s = 1 near 3.4 V after a full charge.
 *
 * The truth of a rehearsal is the table itself: straight lines between its nodes, so that its
 * integral (the stored energy) is known exactly. Outside 0..1 the end lines go on. */
#ifndef RUNDOWN_REHEARSAL_CELL_OCV_H
#define RUNDOWN_REHEARSAL_CELL_OCV_H

#define CELL_OCV_SPANS 1024

/* Fractions of lithium in each electrode: x negative, y positive. */
struct cell_window {
    double x_empty, x_full, y_empty, y_full;
};

#define CELL_WINDOW_INVENTED ((struct cell_window){0.045, 0.83, 0.955, 0.012})

/* One node of the table: values at its state of charge and their rise to the next node. */
struct cell_node {
    double v, v_rise;             /* volts */
    double thicker, thicker_rise; /* resistance as a multiple of that on the plateau */
    double stored_v;              /* integral of v from s = 0, volts (times capacity: energy) */
};

struct cell_ocv {
    struct cell_node nodes[CELL_OCV_SPANS];
};

/* What a cell is at one state of charge. */
struct cell_point {
    double v;       /* open-circuit volts */
    double slope_v; /* dv/ds, volts per unit of state of charge */
    double thicker; /* resistance factor */
};

double cell_positive_v(double y); /* against lithium */
double cell_negative_v(double x); /* against lithium */

/* Fills the table. The resistance factor is 1 + (rise - 1) exp(-s / spread): `rise` at empty, 1 on the
 * plateau (form and values invented; that resistance rises near empty is common practice). */
void cell_ocv_init(struct cell_ocv *ret_ocv, struct cell_window window, double rise, double spread);

/* The resistance factor grows towards full as well, to about `rise`, by exp(-(1 - s) / spread): what makes the current
 * of a charger die away before the cells are at its volts, and the volts fall for hours afterwards (form and values
 * invented; that they settle some tenths of a volt lower is common practice). */
void cell_ocv_thicken_full(struct cell_ocv *ocv, double rise, double spread);

struct cell_point cell_ocv_at(const struct cell_ocv *ocv, double soc);

/* Energy stored above s = 0 for each coulomb of capacity, in volts: integral of U ds. */
double cell_ocv_stored_v(const struct cell_ocv *ocv, double soc);

#endif
