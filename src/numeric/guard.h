/* GSL reports a fault by ending the program unless it is told otherwise. Every function of this folder
 * that calls GSL calls guard_gsl first: once in the life of the process, from whichever thread comes
 * first, it sets GSL's handler to one that does nothing; from then on GSL answers with status values
 * and NaN, which the callers look at. */
#ifndef RUNDOWN_NUMERIC_GUARD_H
#define RUNDOWN_NUMERIC_GUARD_H

void guard_gsl(void);

#endif
