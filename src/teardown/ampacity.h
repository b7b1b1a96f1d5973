/* Ampacity: what published tables allow a copper conductor, with the conditions that they assume.
 *
 * 33 CFR 183.425, Table 5 (United States federal regulation for boats, public domain): stranded copper, 30 °C around it,
 * in air, not more than two that carry current in a bundle, by the temperature its insulation is rated for; in an engine
 * space (50 °C) times a factor. A table is a rule of design with a margin, for metres of cable: a hand's length
 * between two ends may carry more or, beside a hot board, less (lead.h). */
#ifndef RUNDOWN_TEARDOWN_AMPACITY_H
#define RUNDOWN_TEARDOWN_AMPACITY_H

struct ampacity {
    double a;               /* of the next smaller size in the table; NaN: smaller than any */
    double awg;             /* that size */
    double insulation_degc; /* the column: the next lower rating; NaN: lower than any */
};

/* One conductor of that section whose insulation is rated so; 30 °C around it. */
struct ampacity ampacity_boats(double area_mm2, double insulation_degc);

/* By which a table for `base_degc` around it is multiplied at `air_degc`: √((Tc − Ta)/(Tc − Tb)), as NEC 310.15 prints
 * to two digits. 0 where the air is as warm as the insulation may be. */
double ampacity_factor(double insulation_degc, double base_degc, double air_degc);

#endif
