#include "check.h"

#include "numeric/changepoint.h"
#include "numeric/random.h"

enum { N = 4000 };
static double t[N], y[N];
static size_t candidates[N], changes[N];
static struct changepoint_node work[N + 1];
static size_t count;
static double rss;

/* Cost of cutting at given readings; infinite where a segment is too short. */
static double cost_of(const struct changepoint_task *task, const size_t *cuts, size_t used)
{
    double cost = 0;
    for (size_t j = 0; j <= used; j++) {
        size_t from = j > 0 ? cuts[j - 1] : 0, to = j < used ? cuts[j] : task->n;
        struct moments m = moments_of(task->t + from, task->y + from, to - from);
        cost += to - from < task->least_readings ? INFINITY : moments_rss(&m, task->shape);
    }
    return cost + (double)used * task->penalty;
}

/* Counts through all subsets of the candidates. */
static double least_by_trying(const struct changepoint_task *task)
{
    double least = INFINITY;
    for (unsigned set = 0; set < 1u << task->candidate_count; set++) {
        size_t cuts[16], used = 0;
        for (size_t j = 0; j < task->candidate_count; j++)
            if (set >> j & 1)
                cuts[used++] = task->candidates[j];
        least = fmin(least, cost_of(task, cuts, used));
    }
    return least;
}

TEST(agrees_with_trying_every_cut)
{
    struct random *random = random_new(31);
    for (int trial = 0; trial < 300; trial++) {
        size_t n = 0, places = 0;
        double level = 0, now = 5e4, slope = 0;
        for (n = 0; n < 40 && places < 10; n++) {
            now += random_uniform(random) < 0.05 ? 0 : random_uniform(random);
            if (n > 0 && random_uniform(random) < 0.25)
                candidates[places++] = n;
            if (random_uniform(random) < 0.1) {
                level = 4 * random_normal(random);
                slope = random_normal(random);
            }
            t[n] = now;
            y[n] = 1e3 + level + slope * (now - 5e4) + random_normal(random);
        }
        struct changepoint_task task = {
            .t = t,
            .y = y,
            .n = n,
            .candidates = candidates,
            .candidate_count = places,
            .shape = trial % 2 == 0 ? SEGMENT_CONSTANT : SEGMENT_LINE,
            .penalty = 8 * random_uniform(random),
            .least_readings = (size_t)(6 * random_uniform(random)),
        };
        changepoint_find(&task, work, changes, &count, &rss);
        double cost = cost_of(&task, changes, count); /* where two ways cost the same, either will do */
        CHECK_NEAR(cost, least_by_trying(&task), 1e-9);
        CHECK_NEAR(rss + (double)count * task.penalty, cost, 1e-9);
    }
    random_free(random);
}

static void all_are_candidates(size_t n)
{
    for (size_t k = 1; k < n; k++)
        candidates[k - 1] = k;
}

TEST(steps_on_a_drift_are_found_with_lines)
{
    /* Amps of a constant-power load rise as volts fall; two loads are switched on and off. */
    struct random *random = random_new(32);
    for (size_t k = 0; k < N; k++) {
        t[k] = (double)k;
        y[k] = 20 + 1.5e-3 * t[k] + (k >= 1200 && k < 1260 ? 3 : 0) + (k >= 3000 ? -1 : 0) +
               0.1 * random_normal(random);
    }
    random_free(random);
    all_are_candidates(N);
    double penalty = changepoint_penalty(0.1, N, SEGMENT_LINE);
    CHECK_REL(penalty, 3 * 0.01 * log(N), 1e-12);
    struct changepoint_task task = {t, y, N, candidates, N - 1, SEGMENT_LINE, penalty, 3};
    changepoint_find(&task, work, changes, &count, &rss);
    CHECK(count == 3 && changes[0] == 1200 && changes[1] == 1260 && changes[2] == 3000);
    CHECK_REL(rss, N * 0.01, 0.05);
    task.shape = SEGMENT_CONSTANT; /* which must cut the drift to pieces */
    changepoint_find(&task, work, changes, &count, &rss);
    CHECK(count > 6);
}

TEST(a_short_segment_late_in_a_long_log_keeps_its_digits)
{
    /* Seconds since an epoch and a large offset: sums of squares about zero would leave no digit. */
    for (size_t k = 0; k < 10; k++) {
        t[k] = 1.7e9 + 0.1 * (double)k;
        y[k] = 1e6 + 2 * (double)k + (k % 2 == 0 ? 1e-3 : -1e-3);
    }
    struct moments m = moments_of(t, y, 10);
    /* Of the zigzag about its own line: sum z^2 - (sum x z)^2 / sum (x - mean)^2 (algebra). */
    CHECK_REL(moments_rss(&m, SEGMENT_LINE), 1e-5 - 5e-3 * 5e-3 / 82.5, 1e-3);
}

TEST(one_reading_and_no_candidates)
{
    double one = 7;
    struct changepoint_task task = {NULL, &one, 1, NULL, 0, SEGMENT_CONSTANT, 1, 0};
    changepoint_find(&task, work, changes, &count, &rss);
    CHECK(count == 0 && rss == 0);
    task.least_readings = 5; /* more than there are: one segment all the same */
    changepoint_find(&task, work, changes, &count, &rss);
    CHECK(count == 0 && rss == 0);
}

TEST(noise_alone_is_seldom_cut)
{
    struct random *random = random_new(33);
    int cut = 0;
    all_are_candidates(400);
    for (int trial = 0; trial < 200; trial++) {
        for (size_t k = 0; k < 400; k++) {
            t[k] = (double)k;
            y[k] = random_normal(random);
        }
        struct changepoint_task task = {
            t, y, 400, candidates, 399, SEGMENT_LINE, changepoint_penalty(1, 400, SEGMENT_LINE), 3};
        changepoint_find(&task, work, changes, &count, &rss);
        cut += count > 0;
    }
    random_free(random);
    CHECK(cut <= 10);
}
