#include "numeric/budget.h"

#include "numeric/sumdist.h"

static size_t contributions(const struct measure *measure, struct sumdist_part ret_parts[MEASURE_PARTS])
{
    for (int k = 0; k < measure->count; k++) {
        const struct part *part = &measure->parts[k];
        bool spread = part->shape == SHAPE_NORMAL && isfinite(part->dof);
        ret_parts[k] = (struct sumdist_part){part->u, spread ? SHAPE_T : part->shape, part->dof};
    }
    return (size_t)measure->count;
}

void budget_close(struct measure *measure)
{
    if (!measure_known(measure))
        return;
    double square = 0, below = 0;
    for (int k = 0; k < measure->count; k++) {
        double u = measure->parts[k].u;
        square += u * u;
        below += u * u * u * u / measure->parts[k].dof;
    }
    struct sumdist_part parts[MEASURE_PARTS];
    double half = sumdist_quantile(parts, contributions(measure, parts), 0.975);
    if (!isfinite(half)) {
        *measure = measure_unknown("a part of its uncertainty is not known");
        return;
    }
    measure->u = sqrt(square);
    measure->dof = below > 0 ? square * square / below : INFINITY;
    measure->lo = measure->value - half;
    measure->hi = measure->value + half;
}

double budget_probability_below(const struct measure *measure, double x)
{
    struct sumdist_part parts[MEASURE_PARTS];
    if (!measure_known(measure))
        return NAN;
    return sumdist_cdf(parts, contributions(measure, parts), x - measure->value);
}
