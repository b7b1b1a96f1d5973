/* The normal and Student's t distribution, and coverage factors.
 *
 * Degrees of freedom may be any positive number, INFINITY included, which gives the normal. What is not
 * defined (p outside 0 to 1, dof not positive, NaN) is NaN. */
#ifndef RUNDOWN_NUMERIC_DISTRIBUTION_H
#define RUNDOWN_NUMERIC_DISTRIBUTION_H

double normal_cdf(double z);
double normal_quantile(double p);
double student_cdf(double t, double dof);
double student_quantile(double p, double dof);

/* k such that an interval of k standard uncertainties on either side holds the fraction p: the table
 * G.2 of JCGM 100:2008, without its rounding down to whole degrees of freedom. */
double coverage_factor(double p, double dof);

#endif
