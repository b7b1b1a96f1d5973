#include "columns.h"

#include "numeric/linefit.h"
#include "numeric/regress.h"

/* NIST Statistical Reference Datasets, linear regression: www.itl.nist.gov/div898/strd. Certified values
 * with 15 digits; the digits asked for here are what doubles can give on each set, which for Filip
 * (a polynomial of the tenth degree) are few. In Wampler4 and 5 the noise is 10^5 and 10^7 times the
 * coefficients. */
enum { TERMS = 11 };
static const struct set {
    const char *name;
    int degree; /* of the polynomial in x; 0: columns x1 … x6 of their own, with a constant */
    bool constant;
    int terms;
    double digits; /* relative agreement asked of the coefficients is 10^-digits */
    double b[TERMS], u[TERMS];
    double residual_sd, rss;
} sets[] = {
    // clang-format off
    {"Norris", 1, true, 2, 12,
     {-0.262323073774029, 1.00211681802045},
     {0.232818234301152, 0.429796848199937e-03},
     0.884796396144373, 26.6173985294224},
    {"Pontius", 2, true, 3, 12,
     {0.673565789473684e-03, 0.732059160401003e-06, -0.316081871345029e-14},
     {0.107938612033077e-03, 0.157817399981659e-09, 0.486652849992036e-16},
     0.205177424076185e-03, 0.155761768796992e-05},
    {"NoInt1", 1, false, 1, 14,
     {2.07438016528926},
     {0.165289256198347e-01},
     3.56753034006338, 127.272727272727},
    {"NoInt2", 1, false, 1, 14,
     {0.727272727272727},
     {0.420827318078432e-01},
     0.369274472937998, 0.272727272727273},
    {"Longley", 0, true, 7, 11,
     {-3482258.63459582, 15.0618722713733, -0.358191792925910e-01, -2.02022980381683,
      -1.03322686717359, -0.511041056535807e-01, 1829.15146461355},
     {890420.383607373, 84.9149257747669, 0.334910077722432e-01, 0.488399681651699, 0.214274163161675,
      0.226073200069370, 455.478499142212},
     304.854073561965, 836424.055505915},
    {"Filip", 10, true, 11, 7,
     {-1467.48961422980, -2772.17959193342, -2316.37108160893, -1127.97394098372, -354.478233703349,
      -75.1242017393757, -10.8753180355343, -1.06221498588947, -0.670191154593408e-01,
      -0.246781078275479e-02, -0.402962525080404e-04},
     {298.084530995537, 559.779865474950, 466.477572127796, 227.204274477751, 71.6478660875927,
      15.2897178747400, 2.23691159816033, 0.221624321934227, 0.142363763154724e-01,
      0.535617408889821e-03, 0.896632837373868e-05},
     0.334801051324544e-02, 0.795851382172941e-03},
    {"Wampler1", 5, true, 6, 9,
     {1.00000000000000, 1.00000000000000, 1.00000000000000, 1.00000000000000, 1.00000000000000,
      1.00000000000000},
     {0.000000000000000, 0.000000000000000, 0.000000000000000, 0.000000000000000, 0.000000000000000,
      0.000000000000000},
     0.000000000000000, 0.000000000000000},
    {"Wampler2", 5, true, 6, 12,
     {1.00000000000000, 0.100000000000000, 0.100000000000000e-01, 0.100000000000000e-02,
      0.100000000000000e-03, 0.100000000000000e-04},
     {0.000000000000000, 0.000000000000000, 0.000000000000000, 0.000000000000000, 0.000000000000000,
      0.000000000000000},
     0.000000000000000, 0.000000000000000},
    {"Wampler3", 5, true, 6, 9,
     {1.00000000000000, 1.00000000000000, 1.00000000000000, 1.00000000000000, 1.00000000000000,
      1.00000000000000},
     {2152.32624678170, 2363.55173469681, 779.343524331583, 101.475507550350, 5.64566512170752,
      0.112324854679312},
     2360.14502379268, 83554268.0000000},
    {"Wampler4", 5, true, 6, 7,
     {1.00000000000000, 1.00000000000000, 1.00000000000000, 1.00000000000000, 1.00000000000000,
      1.00000000000000},
     {215232.624678170, 236355.173469681, 77934.3524331583, 10147.5507550350, 564.566512170752,
      11.2324854679312},
     236014.502379268, 835542680000.000},
    {"Wampler5", 5, true, 6, 5,
     {1.00000000000000, 1.00000000000000, 1.00000000000000, 1.00000000000000, 1.00000000000000,
      1.00000000000000},
     {21523262.4678170, 23635517.3469681, 7793435.24331583, 1014755.07550350, 56456.6512170752,
      1123.24854679312},
     23601450.2379268, 0.835542680000000e+16},
    // clang-format on
};

static double data[COLUMNS][COLUMN_ROWS], X[COLUMN_ROWS * TERMS];

static void make_columns(const struct set *set, size_t n)
{
    for (size_t k = 0; k < n; k++) {
        double *row = X + k * (size_t)set->terms;
        if (set->constant)
            *row++ = 1;
        if (set->degree == 0)
            for (int j = 1; j < set->terms; j++)
                *row++ = data[j][k];
        for (int j = 1; j <= set->degree; j++)
            *row++ = pow(data[1][k], j);
    }
}

static void check_set(const struct set *set)
{
    char file[64];
    snprintf(file, sizeof file, "strd_linear_%s.csv", set->name);
    size_t n = columns_read(file, data), p = (size_t)set->terms;
    if (n == 0)
        SKIP("the reference data sets are not on this machine");
    make_columns(set, n);
    double b[TERMS], covariance[TERMS * TERMS], near = pow(10, -set->digits);
    struct regress fit;
    CHECK(regress(X, data[0], n, p, b, covariance, &fit) == ANSWER_OK);
    CHECK(fit.dof == (double)(n - p));
    /* Wampler1 and 2 fit exactly: the residuals must vanish beside the values, which reach 4e6. */
    double floor = set->rss == 0 ? 1e-8 : 0;
    CHECK_NEAR(fit.residual_sd, set->residual_sd, near * set->residual_sd + floor);
    CHECK_NEAR(fit.rss, set->rss, 2 * near * set->rss + floor);
    for (size_t j = 0; j < p; j++) {
        CHECK_REL(b[j], set->b[j], near);
        CHECK_NEAR(sqrt(covariance[j * p + j]), set->u[j], near * set->u[j] + floor);
    }
}

TEST(norris)
{
    check_set(&sets[0]);
}

TEST(pontius)
{
    check_set(&sets[1]);
}

TEST(noint1)
{
    check_set(&sets[2]);
}

TEST(noint2)
{
    check_set(&sets[3]);
}

TEST(longley)
{
    check_set(&sets[4]);
}

TEST(filip)
{
    check_set(&sets[5]);
}

TEST(wampler1)
{
    check_set(&sets[6]);
}

TEST(wampler2)
{
    check_set(&sets[7]);
}

TEST(wampler3)
{
    check_set(&sets[8]);
}

TEST(wampler4)
{
    check_set(&sets[9]);
}

TEST(wampler5)
{
    check_set(&sets[10]);
}

/* The same sets, where they are straight lines, by the line fit. */
TEST(straight_lines)
{
    struct linefit fit;
    size_t n = columns_read("strd_linear_Norris.csv", data);
    if (n == 0)
        SKIP("the reference data sets are not on this machine");
    CHECK(linefit(data[1], data[0], NULL, n, &fit) == ANSWER_OK);
    CHECK_REL(fit.intercept, -0.262323073774029, 1e-12);
    CHECK_REL(fit.slope, 1.00211681802045, 1e-14);
    CHECK_REL(fit.u_intercept, 0.232818234301152, 1e-13);
    CHECK_REL(fit.u_slope, 0.429796848199937e-3, 1e-13);
    CHECK_REL(fit.residual_sd, 0.884796396144373, 1e-13);
    CHECK(fit.dof == 34);
    /* The covariance is not certified; -7.743275363156437e-05 is exact rational arithmetic on the data. A
     * value in circulation, -7.74327536339570e-05, has ten right digits only. */
    CHECK_REL(fit.covariance, -7.743275363156437e-05, 1e-13);
    CHECK(fabs(fit.covariance / -7.74327536339570e-05 - 1) > 1e-11);

    n = columns_read("strd_linear_NoInt1.csv", data);
    CHECK(linefit_origin(data[1], data[0], NULL, n, &fit) == ANSWER_OK);
    CHECK_REL(fit.slope, 2.07438016528926, 1e-14);
    CHECK_REL(fit.u_slope, 0.165289256198347e-1, 1e-13);
    CHECK_REL(fit.residual_sd, 3.56753034006338, 1e-14);
    n = columns_read("strd_linear_NoInt2.csv", data);
    CHECK(linefit_origin(data[1], data[0], NULL, n, &fit) == ANSWER_OK);
    CHECK_REL(fit.slope, 0.727272727272727, 1e-14);
    CHECK_REL(fit.u_slope, 0.420827318078432e-1, 1e-14);
    CHECK_REL(fit.residual_sd, 0.369274472937998, 1e-14);
}
