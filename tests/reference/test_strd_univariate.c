#include "columns.h"

#include "numeric/stats.h"

/* NIST Statistical Reference Datasets, univariate: www.itl.nist.gov/div898/strd. Certified values. Where
 * a set rides on a large offset, its decimals are rounded as soon as they are doubles (NumAcc4: a tenth on
 * ten million keeps eight digits), and no more can be asked of the standard deviation. */
static const struct set {
    const char *name;
    double mean, sd, lag1;
    double near_mean, near_sd, near_lag1; /* relative agreement asked */
} sets[] = {
    {"NumAcc1", 10000002, 1, -0.5, 1e-15, 1e-15, 1e-15},
    {"NumAcc2", 1.2, 0.1, -0.999, 1e-15, 1e-13, 1e-13},
    {"NumAcc3", 1000000.2, 0.1, -0.999, 1e-15, 1e-08, 1e-08},
    {"NumAcc4", 10000000.2, 0.1, -0.999, 1e-15, 1e-07, 1e-07},
    {"Lew", -177.435000000000, 277.332168044316, -0.307304800605679, 1e-15, 1e-14, 1e-13},
    {"Mavro", 2.00185600000000, 0.000429123454003053, 0.937989183438248, 1e-15, 1e-12, 1e-11},
    {"Michelso", 299.852400000000, 0.0790105478190518, 0.535199668621283, 1e-15, 1e-12, 1e-12},
    {"Lottery", 518.958715596330, 291.699727470969, -0.120948622967393, 1e-14, 1e-14, 1e-13},
};

static double data[COLUMNS][COLUMN_ROWS];

TEST(univariate_sets)
{
    for (size_t k = 0; k < sizeof sets / sizeof *sets; k++) {
        char file[64];
        snprintf(file, sizeof file, "strd_univariate_%s.csv", sets[k].name);
        size_t n = columns_read(file, data);
        if (n == 0)
            SKIP("the reference data sets are not on this machine");
        bool well = CHECK_REL(stats_mean(data[0], n), sets[k].mean, sets[k].near_mean);
        well = CHECK_REL(stats_sd(data[0], n), sets[k].sd, sets[k].near_sd) && well;
        well = CHECK_REL(stats_lag1(data[0], n), sets[k].lag1, sets[k].near_lag1) && well;
        if (!well)
            test_failed(__FILE__, __LINE__, sets[k].name);
    }
}
