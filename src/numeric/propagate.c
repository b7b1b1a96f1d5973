#include "numeric/propagate.h"

#include <float.h>
#include <stdbool.h>

/* A model with its inputs, to be evaluated beside them. */
struct trial {
    propagate_model *model;
    const void *context;
    const struct propagate_input *inputs;
    size_t n;
};

/* The model with input i moved by a times its u, and j by b times its u (added when i is j). */
static double beside(const struct trial *trial, size_t i, double a, size_t j, double b)
{
    double at[PROPAGATE_INPUTS];
    for (size_t k = 0; k < trial->n; k++)
        at[k] = trial->inputs[k].value;
    at[i] += a * trial->inputs[i].u;
    at[j] += b * trial->inputs[j].u;
    return trial->model(at, trial->context);
}

/* First derivative times u. */
static double first(const struct trial *trial, size_t i)
{
    double half = beside(trial, i, 0.5, i, 0) - beside(trial, i, -0.5, i, 0);
    double whole = beside(trial, i, 1, i, 0) - beside(trial, i, -1, i, 0);
    return (4 * half - whole / 2) / 3;
}

/* Second derivative times u_i u_j. */
static double second(const struct trial *trial, size_t i, size_t j)
{
    if (i == j) {
        double middle = 2 * beside(trial, i, 0, i, 0);
        double half = beside(trial, i, 0.5, i, 0) - middle + beside(trial, i, -0.5, i, 0);
        double whole = beside(trial, i, 1, i, 0) - middle + beside(trial, i, -1, i, 0);
        return (16 * half - whole) / 3;
    }
    return beside(trial, i, 0.5, j, 0.5) - beside(trial, i, 0.5, j, -0.5) - beside(trial, i, -0.5, j, 0.5) +
           beside(trial, i, -0.5, j, -0.5);
}

/* Third derivative, once by i and twice by j, times u_i u_j^2. */
static double third(const struct trial *trial, size_t i, size_t j)
{
    if (i == j)
        return 4 * (beside(trial, i, 1, i, 0) - 2 * beside(trial, i, 0.5, i, 0) +
                    2 * beside(trial, i, -0.5, i, 0) - beside(trial, i, -1, i, 0));
    double above =
        beside(trial, i, 0.5, j, 0.5) - 2 * beside(trial, i, 0.5, j, 0) + beside(trial, i, 0.5, j, -0.5);
    double below =
        beside(trial, i, -0.5, j, 0.5) - 2 * beside(trial, i, -0.5, j, 0) + beside(trial, i, -0.5, j, -0.5);
    return 4 * (above - below);
}

double propagate_covariance(const double *parts_a, const double *parts_b, size_t n, const double *correlation)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++) {
        sum += parts_a[i] * parts_b[i];
        for (size_t j = 0; correlation != NULL && j < n; j++)
            sum += i != j ? parts_a[i] * parts_b[j] * correlation[i * n + j] : 0;
    }
    return sum;
}

static bool correlated(const double *correlation, size_t n)
{
    for (size_t k = 0; correlation != NULL && k < n * n; k++)
        if (k % (n + 1) != 0 && correlation[k] != 0)
            return true;
    return false;
}

static enum answer check(const struct propagate_input *inputs, size_t n, const double *correlation)
{
    if (n > PROPAGATE_INPUTS)
        return ANSWER_NO_MEMORY;
    for (size_t k = 0; k < n; k++)
        if (!isfinite(inputs[k].value) || !(inputs[k].u >= 0 && isfinite(inputs[k].u)) ||
            !(inputs[k].dof > 0))
            return ANSWER_NOT_FINITE;
    for (size_t i = 0; correlation != NULL && i < n; i++)
        for (size_t j = 0; j < n; j++) {
            double r = correlation[i * n + j];
            if (!(fabs(r) <= 1) || r != correlation[j * n + i] || (i == j && r != 1))
                return ANSWER_DEGENERATE;
        }
    return ANSWER_OK;
}

static double effective_dof(const struct propagate_input *inputs, const double *parts, size_t n,
                            double variance, bool dependent)
{
    double below = 0;
    for (size_t k = 0; k < n; k++)
        below += pow(parts[k], 4) / inputs[k].dof;
    if (below == 0)
        return INFINITY;
    return dependent ? NAN : variance * variance / below;
}

enum answer propagate(propagate_model *model, const void *context, const struct propagate_input *inputs,
                      size_t n, const double *correlation, double *ret_parts, struct propagated *ret_result)
{
    enum answer answer = check(inputs, n, correlation);
    if (answer != ANSWER_OK)
        return answer;
    struct trial trial = {model, context, inputs, n};
    double parts[PROPAGATE_INPUTS], plain[PROPAGATE_INPUTS], squares = 0;
    for (size_t k = 0; k < n; k++) {
        parts[k] = inputs[k].u > 0 ? first(&trial, k) : 0;
        plain[k] = inputs[k].value;
        squares += parts[k] * parts[k];
    }
    double value = model(plain, context), variance = propagate_covariance(parts, parts, n, correlation);
    if (!isfinite(value) || !isfinite(variance))
        return ANSWER_NOT_FINITE;
    if (variance < -(double)(n * n) * DBL_EPSILON * squares) /* less than rounding leaves of nothing */
        return ANSWER_DEGENERATE;
    variance = fmax(variance, 0);
    if (ret_parts != NULL)
        memcpy(ret_parts, parts, n * sizeof *parts);
    *ret_result = (struct propagated){
        .value = value,
        .u = sqrt(variance),
        .dof = effective_dof(inputs, parts, n, variance, correlated(correlation, n)),
    };
    return ANSWER_OK;
}

enum answer propagate_second_order(propagate_model *model, const void *context,
                                   const struct propagate_input *inputs, size_t n,
                                   struct propagated *ret_result)
{
    double parts[PROPAGATE_INPUTS];
    struct propagated result;
    enum answer answer = propagate(model, context, inputs, n, NULL, parts, &result);
    if (answer != ANSWER_OK)
        return answer;
    struct trial trial = {model, context, inputs, n};
    double variance = result.u * result.u;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            if (inputs[i].u > 0 && inputs[j].u > 0) {
                double bend = second(&trial, i, j);
                variance += bend * bend / 2 + parts[i] * third(&trial, i, j);
            }
    if (!(variance >= 0 && isfinite(variance)))
        return ANSWER_NOT_FINITE;
    result.u = sqrt(variance);
    *ret_result = result;
    return ANSWER_OK;
}
