#include "numeric/agreement.h"

#include "numeric/budget.h"

double agreement_en(double a, double expanded_a, double b, double expanded_b)
{
    double expanded = hypot(expanded_a, expanded_b);
    return expanded > 0 ? (a - b) / expanded : NAN;
}

double agreement_of(const struct measure *a, const struct measure *b)
{
    struct measure difference = measure_sum(a, 1, b, -1);
    budget_close(&difference);
    if (!measure_known(&difference))
        return NAN;
    return agreement_en(difference.value, (difference.hi - difference.lo) / 2, 0, 0);
}
