#include "columns.h"

#include "numeric/curvefit.h"

/* NIST Statistical Reference Datasets, nonlinear regression: www.itl.nist.gov/div898/strd. Certified
 * values with 11 digits; each set is started from the two starts that NIST gives, far and near. */

static double misra1a(const double *b, double x)
{
    return b[0] * (1 - exp(-b[1] * x));
}

static double misra1b(const double *b, double x)
{
    return b[0] * (1 - pow(1 + b[1] * x / 2, -2));
}

static double misra1c(const double *b, double x)
{
    return b[0] * (1 - pow(1 + 2 * b[1] * x, -0.5));
}

static double misra1d(const double *b, double x)
{
    return b[0] * b[1] * x / (1 + b[1] * x);
}

static double danwood(const double *b, double x)
{
    return b[0] * pow(x, b[1]);
}

static double boxbod(const double *b, double x)
{
    return b[0] * (1 - exp(-b[1] * x));
}

static double eckerle4(const double *b, double x)
{
    return b[0] / b[1] * exp(-pow((x - b[2]) / b[1], 2) / 2);
}

static double mgh09(const double *b, double x)
{
    return b[0] * (x * x + x * b[1]) / (x * x + x * b[2] + b[3]);
}

static double mgh10(const double *b, double x)
{
    return b[0] * exp(b[1] / (x + b[2]));
}

static double mgh17(const double *b, double x)
{
    return b[0] + b[1] * exp(-x * b[3]) + b[2] * exp(-x * b[4]);
}

static double rat42(const double *b, double x)
{
    return b[0] / (1 + exp(b[1] - b[2] * x));
}

static double rat43(const double *b, double x)
{
    return b[0] / pow(1 + exp(b[1] - b[2] * x), 1 / b[3]);
}

static double chwirut2(const double *b, double x)
{
    return exp(-b[0] * x) / (b[1] + b[2] * x);
}

static double lanczos3(const double *b, double x)
{
    return b[0] * exp(-b[1] * x) + b[2] * exp(-b[3] * x) + b[4] * exp(-b[5] * x);
}

static double kirby2(const double *b, double x)
{
    return (b[0] + x * (b[1] + x * b[2])) / (1 + x * (b[3] + x * b[4]));
}

static double gauss1(const double *b, double x)
{
    return b[0] * exp(-b[1] * x) + b[2] * exp(-pow((x - b[3]) / b[4], 2)) +
           b[5] * exp(-pow((x - b[6]) / b[7], 2));
}

static double bennett5(const double *b, double x)
{
    return b[0] * pow(b[1] + x, -1 / b[2]);
}

/* Thurber and Hahn1. */
static double cubic_ratio(const double *b, double x)
{
    return (b[0] + x * (b[1] + x * (b[2] + x * b[3]))) / (1 + x * (b[4] + x * (b[5] + x * b[6])));
}

enum { MOST = 8 };
static const struct set {
    const char *name;
    double (*model)(const double *b, double x);
    size_t n, p;
    double start[2][MOST], b[MOST], u[MOST];
    double rss, residual_sd;
} sets[] = {
    // clang-format off
    {"Misra1a", misra1a, 14, 2,
     {{500, 0.0001}, {250, 0.0005}},
     {2.3894212918e+02, 5.5015643181e-04},
     {2.7070075241e+00, 7.2668688436e-06},
     1.2455138894e-01, 1.0187876330e-01},
    {"Misra1b", misra1b, 14, 2,
     {{500, 0.0001}, {300, 0.0002}},
     {3.3799746163e+02, 3.9039091287e-04},
     {3.1643950207e+00, 4.2547321834e-06},
     7.5464681533e-02, 7.9301471998e-02},
    {"Misra1c", misra1c, 14, 2,
     {{500, 0.0001}, {600, 0.0002}},
     {6.3642725809e+02, 2.0813627256e-04},
     {4.6638326572e+00, 1.7728423155e-06},
     4.0966836971e-02, 5.8428615257e-02},
    {"Misra1d", misra1d, 14, 2,
     {{500, 0.0001}, {450, 0.0003}},
     {4.3736970754e+02, 3.0227324449e-04},
     {3.6489174345e+00, 2.9334354479e-06},
     5.6419295283e-02, 6.8568272111e-02},
    {"DanWood", danwood, 6, 2,
     {{1, 5}, {0.7, 4}},
     {7.6886226176e-01, 3.8604055871e+00},
     {1.8281973860e-02, 5.1726610913e-02},
     4.3173084083e-03, 3.2853114039e-02},
    {"BoxBOD", boxbod, 6, 2,
     {{1, 1}, {100, 0.75}},
     {2.1380940889e+02, 5.4723748542e-01},
     {1.2354515176e+01, 1.0455993237e-01},
     1.1680088766e+03, 1.7088072423e+01},
    {"Eckerle4", eckerle4, 35, 3,
     {{1, 10, 500}, {1.5, 5, 450}},
     {1.5543827178e+00, 4.0888321754e+00, 4.5154121844e+02},
     {1.5408051163e-02, 4.6803020753e-02, 4.6800518816e-02},
     1.4635887487e-03, 6.7629245447e-03},
    {"MGH09", mgh09, 11, 4,
     {{25, 39, 41.5, 39}, {0.25, 0.39, 0.415, 0.39}},
     {1.9280693458e-01, 1.9128232873e-01, 1.2305650693e-01, 1.3606233068e-01},
     {1.1435312227e-02, 1.9633220911e-01, 8.0842031232e-02, 9.0025542308e-02},
     3.0750560385e-04, 6.6279236551e-03},
    {"MGH10", mgh10, 16, 3,
     {{2, 400000, 25000}, {0.02, 4000, 250}},
     {5.6096364710e-03, 6.1813463463e+03, 3.4522363462e+02},
     {1.5687892471e-04, 2.3309021107e+01, 7.8486103508e-01},
     8.7945855171e+01, 2.6009740065e+00},
    {"MGH17", mgh17, 33, 5,
     {{50, 150, -100, 1, 2}, {0.5, 1.5, -1, 0.01, 0.02}},
     {3.7541005211e-01, 1.9358469127e+00, -1.4646871366e+00, 1.2867534640e-02, 2.2122699662e-02},
     {2.0723153551e-03, 2.2031669222e-01, 2.2175707739e-01, 4.4861358114e-04, 8.9471996575e-04},
     5.4648946975e-05, 1.3970497866e-03},
    {"Thurber", cubic_ratio, 37, 7,
     {{1000, 1000, 400, 40, 0.7, 0.3, 0.03}, {1300, 1500, 500, 75, 1, 0.4, 0.05}},
     {1.2881396800e+03, 1.4910792535e+03, 5.8323836877e+02, 7.5416644291e+01, 9.6629502864e-01, 3.9797285797e-01, 4.9727297349e-02},
     {4.6647963344e+00, 3.9571156086e+01, 2.8698696102e+01, 5.5675370270e+00, 3.1333340687e-02, 1.4984928198e-02, 6.5842344623e-03},
     5.6427082397e+03, 1.3714600784e+01},
    {"Rat42", rat42, 9, 3,
     {{100, 1, 0.1}, {75, 2.5, 0.07}},
     {7.2462237576e+01, 2.6180768402e+00, 6.7359200066e-02},
     {1.7340283401e+00, 8.8295217536e-02, 3.4465663377e-03},
     8.0565229338e+00, 1.1587725499e+00},
    {"Rat43", rat43, 15, 4,
     {{100, 10, 1, 1}, {700, 5, 0.75, 1.3}},
     {6.9964151270e+02, 5.2771253025e+00, 7.5962938329e-01, 1.2792483859e+00},
     {1.6302297817e+01, 2.0828735829e+00, 1.9566123451e-01, 6.8761936385e-01},
     8.7864049080e+03, 2.8262414662e+01},
    {"Chwirut2", chwirut2, 54, 3,
     {{0.1, 0.01, 0.02}, {0.15, 0.008, 0.01}},
     {1.6657666537e-01, 5.1653291286e-03, 1.2150007096e-02},
     {3.8303286810e-02, 6.6621605126e-04, 1.5304234767e-03},
     5.1304802941e+02, 3.1717133040e+00},
    {"Lanczos3", lanczos3, 24, 6,
     {{1.2, 0.3, 5.6, 5.5, 6.5, 7.6}, {0.5, 0.7, 3.6, 4.2, 4, 6.3}},
     {8.6816414977e-02, 9.5498101505e-01, 8.4400777463e-01, 2.9515951832e+00, 1.5825685901e+00, 4.9863565084e+00},
     {1.7197908859e-02, 9.7041624475e-02, 4.1488663282e-02, 1.0766312506e-01, 5.8371576281e-02, 3.4436403035e-02},
     1.6117193594e-08, 2.9923229172e-05},
    {"Kirby2", kirby2, 151, 5,
     {{2, -0.1, 0.003, -0.001, 1e-05}, {1.5, -0.15, 0.0025, -0.0015, 2e-05}},
     {1.6745063063e+00, -1.3927397867e-01, 2.5961181191e-03, -1.7241811870e-03, 2.1664802578e-05},
     {8.7989634338e-02, 4.1182041386e-03, 4.1856520458e-05, 5.8931897355e-05, 2.0129761919e-07},
     3.9050739624e+00, 1.6354535131e-01},
    {"Hahn1", cubic_ratio, 236, 7,
     {{10, -1, 0.05, -1e-05, -0.05, 0.001, -1e-06}, {1, -0.1, 0.005, -1e-06, -0.005, 0.0001, -1e-07}},
     {1.0776351733e+00, -1.2269296921e-01, 4.0863750610e-03, -1.4262662514e-06, -5.7609940901e-03, 2.4053735503e-04, -1.2314450199e-07},
     {1.7070154742e-01, 1.2000289189e-02, 2.2508314937e-04, 2.7578037666e-07, 2.4712888219e-04, 1.0449373768e-05, 1.3027335327e-08},
     1.5324382854e+00, 8.1803852243e-02},
    {"Gauss1", gauss1, 250, 8,
     {{97, 0.009, 100, 65, 20, 70, 178, 16.5}, {94, 0.0105, 99, 63, 25, 71, 180, 20}},
     {9.8778210871e+01, 1.0497276517e-02, 1.0048990633e+02, 6.7481111276e+01, 2.3129773360e+01, 7.1994503004e+01, 1.7899805021e+02, 1.8389389025e+01},
     {5.7527312730e-01, 1.1406289017e-04, 5.8831775752e-01, 1.0460593412e-01, 1.7439951146e-01, 6.2622793913e-01, 1.2436988217e-01, 2.0134312832e-01},
     1.3158222432e+03, 2.3317980180e+00},
    {"Bennett5", bennett5, 154, 3,
     {{-2000, 50, 0.8}, {-1500, 45, 0.85}},
     {-2.5235058043e+03, 4.6736564644e+01, 9.3218483193e-01},
     {2.9715175411e+02, 1.2448871856e+00, 2.0272299378e-02},
     5.2404744073e-04, 1.8629312528e-03},
    // clang-format on
};

static double data[COLUMNS][COLUMN_ROWS];

static void residuals(const double *b, const void *context, double *ret)
{
    const struct set *set = context;
    for (size_t k = 0; k < set->n; k++)
        ret[k] = set->model(b, data[1][k]) - data[0][k];
}

static void check_set(const struct set *set)
{
    char file[64];
    snprintf(file, sizeof file, "strd_nonlinear_%s.csv", set->name);
    CHECK(columns_read(file, data) == set->n);
    struct curvefit_task task = {residuals, NULL, set, set->n, set->p, false};
    for (int start = 0; start < 2; start++) {
        struct curvefit fit;
        enum answer answer = curvefit(&task, set->start[start], 500, &fit);
        if (answer != ANSWER_OK) {
            test_failed(__FILE__, __LINE__, set->name);
            continue;
        }
        bool well = CHECK_REL(fit.chi2, set->rss, 1e-10);
        well = CHECK_REL(fit.residual_sd, set->residual_sd, 1e-9) && well;
        well = CHECK_NEAR(fit.dof, (double)(set->n - set->p), 0) && well;
        for (size_t j = 0; j < set->p; j++) {
            well = CHECK_REL(fit.parameters[j], set->b[j], 1e-7) && well;
            well = CHECK_REL(fit.u[j], set->u[j], 5e-7) && well;
        }
        if (!well)
            test_failed(__FILE__, __LINE__, set->name);
    }
}

TEST(nonlinear_sets)
{
    if (columns_read("strd_nonlinear_Misra1a.csv", data) == 0)
        SKIP("the reference data sets are not on this machine");
    for (size_t k = 0; k < sizeof sets / sizeof *sets; k++)
        check_set(&sets[k]);
}

/* The file of Rat43 prints 9 degrees of freedom. It has 15 observations and 4 parameters, and its
 * certified residual standard deviation is that of 11. */
TEST(degrees_of_freedom_of_rat43)
{
    double rss = 8.7864049080e+03, residual_sd = 2.8262414662e+01;
    CHECK_REL(sqrt(rss / 11), residual_sd, 1e-10);
    CHECK(fabs(sqrt(rss / 9) / residual_sd - 1) > 0.1);
    for (size_t k = 0; k < sizeof sets / sizeof *sets; k++)
        if (strcmp(sets[k].name, "Rat43") == 0)
            CHECK(sets[k].n - sets[k].p == 11);
}
