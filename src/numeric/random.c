#include "numeric/random.h"

#include "base/memory.h"
#include "numeric/guard.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

struct random {
    gsl_rng generator;
};

struct random *random_new(uint32_t seed)
{
    guard_gsl();
    struct random *random = memory_get(sizeof *random);
    random->generator = (gsl_rng){gsl_rng_mt19937, memory_get(gsl_rng_mt19937->size)};
    gsl_rng_set(&random->generator, seed);
    return random;
}

void random_free(struct random *random)
{
    if (random != NULL)
        free(random->generator.state);
    free(random);
}

double random_uniform(struct random *random)
{
    return gsl_rng_uniform(&random->generator);
}

double random_normal(struct random *random)
{
    return gsl_ran_gaussian_ziggurat(&random->generator, 1);
}

double random_shape(struct random *random, enum shape shape, double u, double dof)
{
    switch (shape) {
    case SHAPE_NORMAL: return u * random_normal(random);
    case SHAPE_RECTANGULAR: return u * sqrt(3) * (2 * random_uniform(random) - 1);
    case SHAPE_TRIANGULAR: return u * sqrt(6) * (random_uniform(random) - random_uniform(random));
    case SHAPE_ARCSINE: return u * sqrt(2) * cos(M_PI * random_uniform(random));
    case SHAPE_T: return u * (isinf(dof) ? random_normal(random) : gsl_ran_tdist(&random->generator, dof));
    }
    return NAN;
}
