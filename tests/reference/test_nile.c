#include "columns.h"

#include "numeric/changepoint.h"

/* Annual flow of the Nile at Aswan 1871-1970 (Cobb 1978, Biometrika 65:243, table 1). The sums of
 * squares of the best segmentations into means, with segments of at least 15 years, were computed with
 * the R package strucchange 1.5-3 (Zeileis et al. 2002, J. Stat. Softw. 7(2)). */
static double data[COLUMNS][COLUMN_ROWS];
static struct changepoint_node work[128];
static size_t years[128], changes[128], count;
static double rss;

static void segment_nile(size_t n, double penalty, size_t least)
{
    for (size_t k = 1; k < n; k++)
        years[k - 1] = k;
    struct changepoint_task task = {NULL, data[1], n, years, n - 1, SEGMENT_CONSTANT, penalty, least};
    changepoint_find(&task, work, changes, &count, &rss);
}

TEST(one_shift_after_1898)
{
    size_t n = columns_read("nile.csv", data);
    if (n == 0)
        SKIP("the Nile data are not on this machine");
    CHECK(n == 100);
    segment_nile(n, 1e7, 15);
    CHECK(count == 0);
    CHECK_NEAR(rss, 2835157, 0.5); /* strucchange */
    segment_nile(n, 1e5, 15);
    CHECK(count == 1 && changes[0] == 28); /* the first 28 years end with 1898 */
    CHECK_NEAR(rss, 1597457.194444, 1e-5); /* arithmetic on the data */
}

TEST(more_breaks_as_the_penalty_falls)
{
    size_t n = columns_read("nile.csv", data);
    if (n == 0)
        SKIP("the Nile data are not on this machine");
    segment_nile(n, 23000, 15);
    CHECK(count == 2 && changes[0] == 28 && changes[1] == 83);
    CHECK_NEAR(rss, 1552924, 0.5); /* strucchange */
    /* Three breaks (1538097) are never best: a penalty that pays the third pays the fourth. */
    segment_nile(n, 22000, 15);
    CHECK(count == 4);
    CHECK_NEAR(rss, 1507888, 0.5);
}

TEST(penalty_from_the_noise_finds_the_one_shift)
{
    size_t n = columns_read("nile.csv", data);
    if (n == 0)
        SKIP("the Nile data are not on this machine");
    segment_nile(n, changepoint_penalty(130, n, SEGMENT_CONSTANT), 0); /* 130: about the spread of a year */
    CHECK(count == 1 && changes[0] == 28);
}
