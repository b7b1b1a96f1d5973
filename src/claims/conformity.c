#include "claims/conformity.h"

#include "numeric/budget.h"

double conformity_at_most(const struct measure *measure, double limit)
{
    return measure_known(measure) ? budget_probability_below(measure, limit) : NAN;
}

double conformity_at_least(const struct measure *measure, double limit)
{
    return 1 - conformity_at_most(measure, limit);
}

double conformity_within(const struct measure *measure, double lo, double hi)
{
    return conformity_at_most(measure, hi) - conformity_at_most(measure, lo);
}
