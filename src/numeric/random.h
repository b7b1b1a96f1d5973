/* Random numbers for Monte Carlo trials and for rehearsals: a Mersenne Twister (Matsumoto & Nishimura
 * 1998, ACM TOMACS 8:3) with a seed that the caller states. Same seed, same numbers. A generator belongs
 * to one thread. */
#ifndef RUNDOWN_NUMERIC_RANDOM_H
#define RUNDOWN_NUMERIC_RANDOM_H

#include "quantity/measure.h"

#include <stdint.h>

struct random;

struct random *random_new(uint32_t seed); /* never NULL; random_free() it */
void random_free(struct random *random);  /* NULL is fine */

double random_uniform(struct random *random); /* over [0, 1) */
double random_normal(struct random *random);  /* mean 0, standard deviation 1 */

/* A draw from a distribution about zero with the meaning of u and dof that quantity/measure.h gives
 * (dof counts for SHAPE_T alone; infinite dof is normal). */
double random_shape(struct random *random, enum shape shape, double u, double dof);

#endif
