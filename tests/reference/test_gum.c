#include "check.h"

#include "numeric/distribution.h"
#include "numeric/linefit.h"
#include "numeric/propagate.h"
#include "numeric/stats.h"

/* JCGM 100:2008 (GUM), Annex H, and small worked cases published elsewhere. 'Published' digits are as
 * printed; longer ones are the same arithmetic in R on the same inputs. */

/* H.1: an end gauge compared with a standard; lengths in nm, per degree Celsius. */
enum { STANDARD, DIFFERENCE, ALPHA_S, D_ALPHA, THETA, D_THETA, GAUGE_INPUTS };

static double gauge(const double *x, const void *context)
{
    return x[STANDARD] + x[DIFFERENCE] - x[STANDARD] * (x[D_ALPHA] * x[THETA] + x[ALPHA_S] * x[D_THETA]);
}

static double sum_of_three(const double *x, const void *context)
{
    return x[0] + x[1] + x[2];
}

TEST(h1_end_gauge)
{
    struct propagate_input parts_of_d[] = {{215, 5.8, 24}, {0, 3.9, 5}, {0, 6.7, 8}};
    struct propagated d, l, bent;
    CHECK(propagate(sum_of_three, NULL, parts_of_d, 3, NULL, NULL, &d) == ANSWER_OK);
    CHECK_NEAR(d.u, 9.7, 0.05);
    CHECK_NEAR(d.dof, 25.6, 0.2); /* published from u rounded; unrounded 25.45 */
    CHECK_NEAR(d.dof, 25.45, 0.005);

    struct propagate_input inputs[GAUGE_INPUTS] = {
        [STANDARD] = {50000623, 25, 18},
        [DIFFERENCE] = {215, d.u, d.dof},
        [ALPHA_S] = {11.5e-6, 2e-6 / sqrt(3), INFINITY},
        [D_ALPHA] = {0, 1e-6 / sqrt(3), 50},
        [THETA] = {-0.1, hypot(0.2, 0.5 / sqrt(2)), INFINITY},
        [D_THETA] = {0, 0.05 / sqrt(3), 2},
    };
    double parts[GAUGE_INPUTS];
    CHECK(propagate(gauge, NULL, inputs, GAUGE_INPUTS, NULL, parts, &l) == ANSWER_OK);
    CHECK_NEAR(l.value, 50000838, 0.5);
    CHECK_NEAR(l.u, 32, 0.5);
    CHECK_NEAR(l.u, 31.67, 0.02);
    CHECK_NEAR(parts[D_ALPHA], 2.9, 0.05);
    CHECK_NEAR(fabs(parts[D_THETA]), 16.6, 0.1);
    CHECK_NEAR(parts[ALPHA_S], 0, 1e-6);
    CHECK_NEAR(floor(l.dof), 16, 0);
    CHECK_NEAR(l.dof, 16.76, 0.1);
    CHECK_NEAR(coverage_factor(0.99, 16), 2.92, 0.005);
    CHECK_NEAR(coverage_factor(0.99, 16) * l.u, 93, 1); /* printed from 2.92 x 32 */
    CHECK(propagate_second_order(gauge, NULL, inputs, GAUGE_INPUTS, &bent) == ANSWER_OK);
    CHECK_NEAR(bent.u, 34, 0.5);
    CHECK_NEAR(bent.u, 33.81, 0.03);
}

/* H.2: resistance, reactance and impedance from simultaneous readings of voltage, current and phase. */
static const double volts[5] = {5.007, 4.994, 5.005, 4.990, 4.999};
static const double milliamps[5] = {19.663, 19.639, 19.640, 19.685, 19.678};
static const double phases[5] = {1.0456, 1.0438, 1.0468, 1.0428, 1.0433};

static double ohms(const double *x, const void *context)
{
    int which = *(const int *)context;
    double z = x[0] / (x[1] / 1000);
    return which == 0 ? z * cos(x[2]) : which == 1 ? z * sin(x[2]) : z;
}

static double mean_correlation(const double *a, const double *b)
{
    double sum = 0, mean_a = stats_mean(a, 5), mean_b = stats_mean(b, 5);
    for (int k = 0; k < 5; k++)
        sum += (a[k] - mean_a) * (b[k] - mean_b);
    return sum / (4 * stats_sd(a, 5) * stats_sd(b, 5));
}

TEST(h2_impedance)
{
    const double *rows[] = {volts, milliamps, phases};
    struct propagate_input inputs[3];
    double correlation[9], parts[3][3];
    for (int i = 0; i < 3; i++) {
        inputs[i] =
            (struct propagate_input){stats_mean(rows[i], 5), stats_sd(rows[i], 5) / sqrt(5), INFINITY};
        for (int j = 0; j < 3; j++)
            correlation[3 * i + j] = i == j ? 1 : mean_correlation(rows[i < j ? i : j], rows[i < j ? j : i]);
    }
    CHECK_NEAR(correlation[1], -0.36, 0.005);
    CHECK_NEAR(correlation[2], 0.86, 0.005);
    CHECK_NEAR(correlation[5], -0.65, 0.005);
    static const double value[] = {127.732, 219.847, 254.260}, u[] = {0.071, 0.295, 0.236};
    static const double longer[] = {127.732169928, 219.846511913, 254.259701948};
    static const double longer_u[] = {0.0710714074, 0.2955816774, 0.2363361301};
    double got_u[3];
    for (int which = 0; which < 3; which++) {
        struct propagated result;
        CHECK(propagate(ohms, &which, inputs, 3, correlation, parts[which], &result) == ANSWER_OK);
        CHECK_NEAR(result.value, value[which], 0.0005);
        CHECK_NEAR(result.u, u[which], 0.0006);
        CHECK_REL(result.value, longer[which], 1e-10);
        CHECK_REL(result.u, longer_u[which], 1e-7);
        got_u[which] = result.u;
    }
    double r_rx = propagate_covariance(parts[0], parts[1], 3, correlation) / (got_u[0] * got_u[1]);
    double r_rz = propagate_covariance(parts[0], parts[2], 3, correlation) / (got_u[0] * got_u[2]);
    double r_xz = propagate_covariance(parts[1], parts[2], 3, correlation) / (got_u[1] * got_u[2]);
    CHECK_NEAR(r_rx, -0.588, 0.0005);
    CHECK_NEAR(r_rz, -0.485, 0.0005);
    CHECK_NEAR(r_xz, 0.993, 0.0006);
}

/* H.3: the correction of a thermometer as a straight line about 20 degrees. */
TEST(h3_thermometer)
{
    static const double t[] = {21.521, 22.012, 22.512, 23.003, 23.507, 23.999,
                               24.513, 25.002, 25.503, 26.010, 26.511};
    static const double b[] = {-0.171, -0.169, -0.166, -0.159, -0.164, -0.165,
                               -0.156, -0.157, -0.159, -0.161, -0.160};
    double x[11], u30;
    for (int k = 0; k < 11; k++)
        x[k] = t[k] - 20;
    struct linefit fit;
    CHECK(linefit(x, b, NULL, 11, &fit) == ANSWER_OK);
    CHECK_NEAR(fit.intercept, -0.1712, 0.00005);
    CHECK_NEAR(fit.u_intercept, 0.0029, 0.00005);
    CHECK_NEAR(fit.slope, 0.00218, 0.000005);
    CHECK_NEAR(fit.u_slope, 0.00067, 0.000005);
    CHECK_NEAR(fit.covariance / (fit.u_intercept * fit.u_slope), -0.930, 0.0005);
    CHECK_NEAR(fit.residual_sd, 0.0035, 0.00005);
    CHECK(fit.dof == 9);
    CHECK_REL(fit.intercept, -0.17120379013135, 1e-12);
    CHECK_REL(fit.slope, 0.00218269773989, 1e-11);
    CHECK_REL(fit.chi2, 1.10096583109e-4, 1e-11);
    CHECK_NEAR(linefit_at(&fit, 10, &u30), -0.1494, 0.00005);
    CHECK_NEAR(u30, 0.0041, 0.00005);
    CHECK_REL(u30, 0.004138595753, 1e-9);

    /* A systematic 0.005 common to all corrections joins the intercept (Guide to the GTC package, GUM
     * H.3): u 0.00576893138 with 145.38 degrees of freedom. */
    struct propagate_input inputs[] = {
        {fit.intercept, fit.u_intercept, fit.dof}, {0, 0.005, INFINITY}, {0, 0, INFINITY}};
    struct propagated result;
    CHECK(propagate(sum_of_three, NULL, inputs, 3, NULL, NULL, &result) == ANSWER_OK);
    CHECK_REL(result.u, 0.00576893138, 1e-8);
    CHECK_NEAR(result.dof, 145.38, 0.005);
}

/* A published course example: 0.57 with 9 degrees of freedom and 0.25 exact. */
TEST(effective_degrees_of_freedom)
{
    struct propagate_input inputs[] = {{1, 0.57, 9}, {2, 0.25, INFINITY}, {0, 0, INFINITY}};
    struct propagated result;
    CHECK(propagate(sum_of_three, NULL, inputs, 3, NULL, NULL, &result) == ANSWER_OK);
    CHECK_NEAR(result.dof, 12.80, 0.005);
}

static double quotient(const double *x, const void *context)
{
    return x[0] / x[1] * x[2];
}

TEST(quotient_times_a_reference)
{
    struct propagate_input inputs[] = {{0.1820, 0.00093, 9}, {0.1823, 0.00058, 19}, {0.6978, 0.0026, 19}};
    struct propagated result;
    CHECK(propagate(quotient, NULL, inputs, 3, NULL, NULL, &result) == ANSWER_OK);
    CHECK_NEAR(result.value, 0.6967, 0.00005);
    CHECK_NEAR(result.u, 0.004932, 0.000002);
    CHECK_NEAR(result.dof, 27.51, 0.02);
    CHECK_NEAR(coverage_factor(0.95, result.dof) * result.u, 0.0101, 0.00005);
}

/* NIST Technical Note 1900, example E13: linear expansion. */
static double expansion(const double *x, const void *context)
{
    return (x[1] - x[0]) / (x[0] * (x[3] - x[2]));
}

TEST(expansion_of_a_rod)
{
    struct propagate_input inputs[] = {{1.4999, 1e-4, INFINITY},
                                       {1.5021, 2e-4, INFINITY},
                                       {288.15, 0.02, INFINITY},
                                       {373.10, 0.05, INFINITY}};
    struct propagated result;
    CHECK(propagate(expansion, NULL, inputs, 4, NULL, NULL, &result) == ANSWER_OK);
    CHECK_NEAR(result.value, 1.7266e-5, 0.0001e-5);
    CHECK_NEAR(result.u, 1.7555e-6, 0.0002e-6);
}

/* EA-4/02, S2: calibration of a weight of nominal value 10 kg, in grams. */
static double weight(const double *x, const void *context)
{
    return x[0] + x[1] + x[2] + x[3] + x[4];
}

TEST(weight_of_ten_kilograms)
{
    struct propagate_input inputs[] = {{10000.005, 0.045 / 2, INFINITY},
                                       {0, 0.015 / sqrt(3), INFINITY},
                                       {0.0200, 0.0142, INFINITY},
                                       {0, 0.010 / sqrt(3), INFINITY},
                                       {0, 0.010 / sqrt(3), INFINITY}};
    struct propagated result;
    double parts[5];
    static const double share[] = {59.6, 8.8, 23.7, 3.9, 3.9};
    CHECK(propagate(weight, NULL, inputs, 5, NULL, parts, &result) == ANSWER_OK);
    CHECK_NEAR(result.value, 10000.025, 0.0005);
    CHECK_NEAR(result.u, 0.0291465, 0.00005);
    CHECK_NEAR(2 * result.u, 0.058, 0.0005);
    for (int k = 0; k < 5; k++)
        CHECK_NEAR(100 * parts[k] * parts[k] / (result.u * result.u), share[k], 0.2);
}

/* NPL report DEM-ES-011, table 9.2: y = ln x, x rectangular over [0.1, 1.1]. First order only: the
 * model bends too much, and the true u is 0.606. */
static double logarithm(const double *x, const void *context)
{
    return log(x[0]);
}

TEST(logarithm_of_a_wide_input)
{
    struct propagate_input input = {0.6, 1 / sqrt(12), INFINITY};
    struct propagated result;
    CHECK(propagate(logarithm, NULL, &input, 1, NULL, NULL, &result) == ANSWER_OK);
    CHECK_NEAR(result.value, -0.511, 0.0005);
    CHECK_REL(result.u, 0.481, 0.004); /* differences over so wide a bend are 0.3 % off */
}
