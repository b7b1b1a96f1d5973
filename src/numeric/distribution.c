#include "numeric/distribution.h"

#include "numeric/guard.h"

#include <gsl/gsl_cdf.h>

double normal_cdf(double z)
{
    return erfc(-z / sqrt(2)) / 2;
}

double normal_quantile(double p)
{
    guard_gsl();
    return p >= 0 && p <= 1 ? gsl_cdf_ugaussian_Pinv(p) : NAN;
}

double student_cdf(double t, double dof)
{
    guard_gsl();
    if (!(dof > 0) || isnan(t))
        return NAN;
    if (isinf(t))
        return t > 0;
    return isinf(dof) ? normal_cdf(t) : gsl_cdf_tdist_P(t, dof);
}

double student_quantile(double p, double dof)
{
    guard_gsl();
    if (!(dof > 0) || !(p >= 0 && p <= 1))
        return NAN;
    return isinf(dof) ? normal_quantile(p) : gsl_cdf_tdist_Pinv(p, dof);
}

double coverage_factor(double p, double dof)
{
    return student_quantile((1 + p) / 2, dof);
}
