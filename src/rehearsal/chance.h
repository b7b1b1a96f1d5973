/* Chance for the rehearsal: the same seed gives the same numbers on every machine.
 * xoshiro256++ 1.0 seeded by splitmix64 (Blackman and Vigna 2021, ACM TOMS 47, 4, article 36);
 * normal numbers by the polar method (Marsaglia and Bray 1964, SIAM Review 6, 260). */
#ifndef RUNDOWN_REHEARSAL_CHANCE_H
#define RUNDOWN_REHEARSAL_CHANCE_H

#include <stdint.h>

struct chance {
    uint64_t s[4];
    double spare; /* second normal of a pair; NaN when used */
};

struct chance chance_of(uint64_t seed);
uint64_t chance_bits(struct chance *chance);
double chance_uniform(struct chance *chance); /* 0 <= u < 1 */
double chance_normal(struct chance *chance);  /* mean 0, standard deviation 1 */

/* How an error of the simulated bench is spread. */
enum spread_shape { SPREAD_NORMAL, SPREAD_RECTANGULAR };

struct spread {
    double size; /* normal: standard deviation; rectangular: half width. 0: no error */
    enum spread_shape shape;
};

double chance_spread(struct chance *chance, struct spread spread);

#endif
