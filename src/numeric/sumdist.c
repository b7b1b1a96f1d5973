#include "numeric/sumdist.h"

#include "numeric/distribution.h"
#include "numeric/fourier.h"

/* Whether the parts make sense; how many are not nothing, and how many of these are not normal. */
struct survey {
    bool sound;
    size_t parts, shaped;
    double normal_u;
    const struct sumdist_part *one; /* the last that is not nothing */
};

static struct survey survey_parts(const struct sumdist_part *parts, size_t n)
{
    struct survey survey = {.sound = true};
    for (size_t k = 0; k < n; k++) {
        survey.sound =
            survey.sound && isfinite(parts[k].u) && (parts[k].shape != SHAPE_T || parts[k].dof >= 0.5);
        if (parts[k].u == 0)
            continue;
        survey.parts++;
        survey.one = &parts[k];
        if (fourier_reach(parts[k].shape) > 0 || fourier_is_t(&parts[k]))
            survey.shaped++;
        else
            survey.normal_u = hypot(survey.normal_u, parts[k].u);
    }
    return survey;
}

/* One part of scale 1. */
static double part_cdf(const struct sumdist_part *part, double z)
{
    double reach = fourier_reach(part->shape);
    if (reach > 0 && fabs(z) >= reach)
        return z > 0;
    switch (part->shape) {
    case SHAPE_RECTANGULAR: return (1 + z / reach) / 2;
    case SHAPE_TRIANGULAR: {
        double edge = 1 - fabs(z) / reach;
        return z > 0 ? 1 - edge * edge / 2 : edge * edge / 2;
    }
    case SHAPE_ARCSINE: return 0.5 + asin(z / reach) / M_PI;
    case SHAPE_NORMAL: return normal_cdf(z);
    case SHAPE_T: return student_cdf(z, part->dof);
    }
    return NAN;
}

static double part_quantile(const struct sumdist_part *part, double p)
{
    double reach = fourier_reach(part->shape);
    switch (part->shape) {
    case SHAPE_RECTANGULAR: return reach * (2 * p - 1);
    case SHAPE_TRIANGULAR: return p > 0.5 ? reach * (1 - sqrt(2 - 2 * p)) : reach * (sqrt(2 * p) - 1);
    case SHAPE_ARCSINE: return reach * sin(M_PI * (p - 0.5));
    case SHAPE_NORMAL: return normal_quantile(p);
    case SHAPE_T: return student_quantile(p, part->dof);
    }
    return NAN;
}

double sumdist_cdf(const struct sumdist_part *parts, size_t n, double x)
{
    struct survey survey = survey_parts(parts, n);
    if (!survey.sound || isnan(x))
        return NAN;
    if (survey.parts == 0)
        return x >= 0;
    if (survey.shaped == 0)
        return normal_cdf(x / survey.normal_u);
    if (survey.parts == 1)
        return part_cdf(survey.one, x / fabs(survey.one->u));
    struct fourier fourier = {.parts = parts, .n = n};
    fourier_make(&fourier);
    return fourier_cdf(&fourier, x);
}

/* The root of F(x) = p for p above 1/2, between ever closer bounds: false position, with the weight of
 * a bound that stays halved (Illinois; Dowell & Jarratt 1971, BIT 11:168). */
static double solve(const struct fourier *fourier, double p)
{
    double old = 0, new = fourier->spread *normal_quantile(p);
    double at_old = 0.5 - p, at_new = fourier_cdf(fourier, new) - p;
    while (at_new < 0 && isfinite(new)) {
        old = new;
        at_old = at_new;
        new *= 2;
        at_new = fourier_cdf(fourier, new) - p;
    }
    for (int k = 0; k < 100 && fabs(at_new) > 1e-10; k++) {
        double x = new - at_new *(new - old) / (at_new - at_old), at_x = fourier_cdf(fourier, x) - p;
        if ((at_x > 0) == (at_new > 0)) {
            at_old /= 2;
        } else {
            old = new;
            at_old = at_new;
        }
        new = x;
        at_new = at_x;
    }
    return new;
}

double sumdist_quantile(const struct sumdist_part *parts, size_t n, double p)
{
    struct survey survey = survey_parts(parts, n);
    if (!survey.sound || !(p > 0 && p < 1))
        return NAN;
    if (survey.parts == 0)
        return 0;
    if (survey.shaped == 0)
        return survey.normal_u * normal_quantile(p);
    if (survey.parts == 1)
        return fabs(survey.one->u) * part_quantile(survey.one, p);
    if (p == 0.5)
        return 0;
    struct fourier fourier = {.parts = parts, .n = n};
    fourier_make(&fourier);
    return p > 0.5 ? solve(&fourier, p) : -solve(&fourier, 1 - p);
}
