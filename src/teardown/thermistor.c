#include "teardown/thermistor.h"

#include "numeric/budget.h"
#include "numeric/propagate.h"

#include <math.h>

static const double kelvin = 273.15, at_25 = 298.15;

struct thermistor thermistor_beta(double r25_ohm, double beta_k)
{
    return (struct thermistor){.r25_ohm = r25_ohm, .beta_k = beta_k, .r25_share = 0.01, .beta_share = 0.01};
}

enum status thermistor_through(const double ohm[3], const double degc[3], struct thermistor *ret_thermistor,
                               struct message *message)
{
    double l[3], y[3];
    for (int k = 0; k < 3; k++) {
        l[k] = log(ohm[k]);
        y[k] = 1 / (degc[k] + kelvin);
    }
    double d1 = (y[1] - y[0]) / (l[1] - l[0]), d2 = (y[2] - y[0]) / (l[2] - l[0]);
    double c = (d2 - d1) / (l[2] - l[1]) / (l[0] + l[1] + l[2]);
    double b = d1 - c * (l[0] * l[0] + l[0] * l[1] + l[1] * l[1]);
    if (!isfinite(c) || !isfinite(b) || !(d1 > 0) || !(d2 > 0)) {
        status_fail(message, STATUS_USAGE, "no curve of a thermistor goes through these three points");
        return status_remedy(message, "give three different temperatures, with resistances that fall as it gets warmer");
    }
    *ret_thermistor = (struct thermistor){.steinhart = true, .a = y[0] - l[0] * (b + c * l[0] * l[0]), .b = b, .c = c,
                                          .r25_share = 0.01};
    return STATUS_OK;
}

double thermistor_degc(const struct thermistor *t, double ohm)
{
    if (!(ohm > 0) || !isfinite(ohm))
        return NAN;
    double l = log(ohm);
    double inverse = t->steinhart ? t->a + l * (t->b + t->c * l * l) : 1 / at_25 + log(ohm / t->r25_ohm) / t->beta_k;
    return inverse > 0 ? 1 / inverse - kelvin : NAN;
}

/* The real root of C l³ + B l + (A − 1/T) = 0 (Cardano); there is one where C and B are of one sign, as they are for
 * a curve that falls. */
double thermistor_ohm(const struct thermistor *t, double degc)
{
    double inverse = 1 / (degc + kelvin);
    if (!(degc > -kelvin))
        return NAN;
    if (!t->steinhart)
        return t->r25_ohm * exp(t->beta_k * (inverse - 1 / at_25));
    if (t->c == 0)
        return exp((inverse - t->a) / t->b);
    double q = (t->a - inverse) / (2 * t->c), p = t->b / (3 * t->c);
    double root = sqrt(q * q + p * p * p);
    return exp(cbrt(root - q) - cbrt(root + q));
}

double thermistor_beta_of(double ohm_1, double degc_1, double ohm_2, double degc_2)
{
    double t1 = degc_1 + kelvin, t2 = degc_2 + kelvin;
    return t1 * t2 / (t2 - t1) * log(ohm_1 / ohm_2);
}

struct model {
    const struct thermistor *thermistor;
    double ohm;
};

/* Shares by which R25 and B of this part, and the resistance read, differ from what is stated. */
static double degc_of(const double *shares, const void *context)
{
    const struct model *m = context;
    struct thermistor part = *m->thermistor;
    part.beta_k *= 1 + shares[1];
    return thermistor_degc(&part, m->ohm * (1 + shares[2]) / (1 + shares[0]));
}

struct measure thermistor_measure_degc(const struct thermistor *thermistor, double ohm, double ohm_share)
{
    static const char *const words[3] = {"spread of R25", "spread of B", "resistance as read"};
    const double half[3] = {thermistor->r25_share, thermistor->beta_share, ohm_share};
    struct propagate_input inputs[3];
    struct propagated result;
    double parts[3];
    struct model model = {thermistor, ohm};
    for (int k = 0; k < 3; k++)
        inputs[k] = (struct propagate_input){0, half[k] / sqrt(3), INFINITY};
    if (propagate(degc_of, &model, inputs, 3, NULL, parts, &result) != ANSWER_OK)
        return measure_unknown("%g ohm lies on no part of this curve", ohm);
    struct measure measure = measure_of(result.value);
    for (int k = 0; k < 3; k++)
        measure_part(&measure, (struct part){.cause = CAUSE_GAIN_OTHER, .shape = SHAPE_RECTANGULAR, .u = parts[k],
                                             .dof = INFINITY, .source = (uint32_t)k + 1, .what = words[k], .remedy = ""});
    budget_close(&measure);
    return measure;
}
